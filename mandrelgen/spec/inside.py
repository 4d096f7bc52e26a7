"""What goes inside the pen: bought parts that decide lengths. Sizes only, no makes."""

# Annotations stay as they are: postponed ones are texts that pydantic compiles one by one.
from pydantic import Field

from mandrelgen.spec.base import Distance, Place, Size, Strict


class NibUnit(Strict):
    """The nib with its feed and housing, in the front of a section."""

    stick_out: Size = Field(description="how far the nib stands out of the section's front, mm")
    front: Place | None = Field(
        default=None,
        description="the end it sits in: part.end; left out: the part that goes into the cap",
    )


class Reservoir(Strict):
    """A converter or a cartridge, behind the section."""

    diameter: Size = Field(description="largest diameter, mm")
    behind: Size = Field(description="how far it stands out behind the section's rear face, mm")
    into: Place | None = Field(
        default=None,
        description="the end whose bore it goes into: part.end; left out: where the section "
        "screws in",
    )


class ClipRing(Strict):
    """The ring of a clip, held between a tenon's shoulder and the part it screws into."""

    on: Place = Field(description="the end whose tenon goes through the ring: part.end")
    hole: Size = Field(description="diameter of the ring's hole, mm")
    thickness: Size = Field(description="thickness of the ring, mm")


class InnerCap(Strict):
    """A cup in the end of the cap's bore that seals the nib."""

    floor: Size = Field(description="from the end of the cap's bore to the bottom inside it, mm")


class Posting(Strict):
    """The cap put on the other end of the pen for writing."""

    end: Place = Field(description="the end the cap goes on: part.end")
    depth: Size = Field(description="how far the cap goes over it, mm")
    longest: Size | None = Field(
        default=None, description="longest I want the pen to be so, without the nib, mm"
    )


class Inside(Strict):
    """What goes inside the pen, and posting."""

    nib_unit: NibUnit | None = Field(default=None, description="the nib with feed and housing")
    reservoir: Reservoir | None = Field(default=None, description="a converter or a cartridge")
    clip_ring: ClipRing | None = Field(default=None, description="the ring of a clip")
    inner_cap: InnerCap | None = Field(default=None, description="a cup that seals the nib")
    posting: Posting | None = Field(default=None, description="the cap on the pen's other end")
    room: Distance | None = Field(
        default=None, description="room to spare in front of nib and reservoir, mm (default 1)"
    )
