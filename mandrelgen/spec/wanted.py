"""The pen file's mandrels: what is wanted of them, how they are used, which findings may stay."""

# Annotations stay as they are: postponed ones are texts that pydantic compiles one by one.
from typing import Annotated

from pydantic import Field

from mandrelgen.spec.base import (
    BarName,
    Deviation,
    Distance,
    Flag,
    Id,
    Number,
    Place,
    Size,
    Strict,
    Text,
    Whole,
)
from mandrelgen.spec.choices import (
    CentreHoles,
    FarEnd,
    Fit,
    MandrelType,
    ThreadOrder,
    ThreadRelief,
)

RunOut = Annotated[Number, Field(ge=0.005, le=0.2)]
"""What may be asked of a run-out, mm: as close as a lathe gives at all, as loose as is felt."""


class Options(Strict):
    """Wishes for a mandrel; anything left out is the designer's choice (a printed decision)."""

    fit: Fit | None = Field(default=None, description="how closely the part fits the thread")
    thread_class: Annotated[str, Field(max_length=8)] | None = Field(
        default=None, description="tolerance class of the mandrel's thread instead of the fit"
    )
    deviation: Deviation | None = Field(
        default=None, description="shifts the mandrel's pitch diameter, mm (fitted to the part)"
    )
    material: BarName | None = Field(
        default=None, description="what the mandrel is made of, as the bar is called: brass, 1.4305"
    )
    quantity: Annotated[Whole, Field(ge=1, le=999)] | None = Field(
        default=None, description="how many are ordered"
    )
    shank_diameter: Size | None = Field(default=None, description="diameter in the collet, mm")
    shank_length: Size | None = Field(default=None, description="length of the shank, mm")
    stand_off: Distance | None = Field(
        default=None, description="from the collet nut's face to the part, mm"
    )
    spigot_diameter: Size | None = Field(default=None, description="diameter of the spigot, mm")
    spigot_length: Distance | None = Field(
        default=None, description="length of the spigot, mm; 0 for none"
    )
    flats: Flag | None = Field(default=None, description="spanner flats on the collar")
    centre_holes: CentreHoles | None = Field(default=None, description="where centre holes go")
    through_bore: Distance | None = Field(
        default=None, description="bore for a knock-out rod, mm; 0 for none"
    )
    thread_order: ThreadOrder | None = Field(
        default=None,
        description="how to make the thread; left out: screwcut, but a cup's is tapped where a "
        "turner's stock tap cuts it for less",
    )
    thread_relief: ThreadRelief | None = Field(
        default=None,
        description="a relief groove behind the thread, or none: the thread runs out; left out: a "
        "groove, but a cup under a tap has none where that costs less",
    )
    soft_washer: Distance | None = Field(
        default=None, description="thickness of a soft washer on the seat, mm; 0 for none"
    )
    run_out: RunOut | None = Field(
        default=None,
        description="run-out to the shank asked of thread, counterbore, register and spigot, mm; "
        "left out: 0.03, 0.02 where a flush joint gains by it (a test piece of your own tap or die "
        "keeps 0.03)",
    )
    seat_run_out: RunOut | None = Field(
        default=None,
        description="axial run-out to the shank asked of the locating face, mm; left out: 0.03, "
        "0.02 where a joint gains by it",
    )
    shank_form: Annotated[Number, Field(ge=0.002, le=0.1)] | None = Field(
        default=None,
        description="form asked of the shank (cylindricity), mm; left out: 0.015, 0.008 for a "
        "collet that runs truer than that",
    )
    roughness: Annotated[Number, Field(ge=0.1, le=12.5)] | None = Field(
        default=None,
        description="finish asked of shank and locating face, Ra in µm; left out: 1.6",
    )
    marking: Annotated[Text, Field(max_length=24)] | None = Field(
        default=None, description="text to mark on the mandrel instead of its number"
    )
    tailstock_button: Flag | None = Field(
        default=None, description="a small centre button for the far end"
    )
    pens: Annotated[Whole, Field(ge=1, le=9999)] | None = Field(
        default=None,
        description="how many pens are to be made on this thread; up to about 5 a mandrel of "
        "one's own will do",
    )


class Use(Strict):
    """How the part is worked on the mandrel. Loads of hand tools have no measured source: what is
    left out is an assumption, named on every output."""

    side_load: Annotated[Number, Field(gt=0, le=1000)] | None = Field(
        default=None, description="the tool's push across the axis in normal work, N (default 50)"
    )
    torque: Annotated[Number, Field(gt=0, le=50)] | None = Field(
        default=None, description="turning moment on the part in normal work, N·m (default 0.4)"
    )
    catch_force: Annotated[Number, Field(gt=0, le=2000)] | None = Field(
        default=None, description="the tool's push in a catch, N (default 200)"
    )
    catch_torque: Annotated[Number, Field(gt=0, le=50)] | None = Field(
        default=None, description="turning moment in a catch, N·m (default 2)"
    )
    speed: Annotated[Whole, Field(ge=50, le=10000)] | None = Field(
        default=None, description="speed the mandrel is meant to run at, 1/min"
    )
    tailstock: Flag | None = Field(
        default=None,
        description="true: the tailstock is up all the time; false: never (default: up for "
        "roughing, away for finishing, where the lathe has one; up all the time on a plain spigot)",
    )
    far_end: FarEnd | None = Field(
        default=None,
        description="what the far end offers the tailstock: a pip that is left on, a button, "
        "the bore itself, or nothing",
    )
    finish_only: Flag = Field(
        default=False,
        description="true if the part was roughed before, on the rod or between centres: only "
        "finishing cuts are taken on the mandrel",
    )
    thread_friction: Annotated[Number, Field(gt=0, le=1)] | None = Field(
        default=None, description="coefficient of friction of the threads (default 0.15)"
    )
    seat_friction: Annotated[Number, Field(gt=0, le=1)] | None = Field(
        default=None, description="coefficient of friction at the seat (default 0.15)"
    )
    target_step: Size | None = Field(
        default=None,
        description="largest radial step wanted at the joint with the neighbour, mm (default 0.05)",
    )


class MandrelRequest(Options):
    """One mandrel asked for by name."""

    id: Id | None = Field(default=None, description="short name of the request")
    holds: Place = Field(description="the end it holds: part.end, or part.end.external")
    kind: MandrelType | None = Field(default=None, description="what kind of mandrel")
    also_holds: Place | None = Field(
        default=None, description="a second end held by the same mandrel"
    )
    use: Use | None = Field(default=None, description="how this mandrel is used, where it differs")


class Wanted(Strict):
    """The mandrels wanted: all that are needed (the default when none is asked for by name),
    defaults for every one, and single requests."""

    all_needed: Flag | None = Field(
        default=None, description="true: every mandrel the pen needs, besides the requests"
    )
    defaults: Options = Field(default=Options(), description="wishes that go for every mandrel")
    use: Use = Field(default=Use(), description="how every mandrel is used: loads, speed, target")
    requests: tuple[MandrelRequest, ...] = Field(
        default=(), description="mandrels asked for by name"
    )
    skip: Annotated[tuple[Id, ...], Field(max_length=50)] = Field(
        default=(),
        description="parts that need no mandrel: all but these",
        examples=['["finial"]'],
    )
    hold: dict[Id, Id] = Field(
        default={},
        description="parts to be held by another end than the program would choose",
        examples=['{ section = "front" }'],
    )

    @property
    def wants_all(self) -> bool:
        """True if the designer shall choose the set."""
        return not self.requests if self.all_needed is None else self.all_needed


class Accepted(Strict):
    """A finding that the maker has seen and lives with. It lapses when the value gets worse."""

    code: Annotated[str, Field(max_length=40)] = Field(
        description="the finding's code, as check prints it"
    )
    where: Annotated[str, Field(max_length=120)] = Field(
        description="the finding's place, as check prints it"
    )
    reason: Annotated[Text, Field(min_length=1, max_length=200)] = Field(
        description="why it may stay; printed on the maker's papers"
    )
    value: Number | None = Field(
        default=None, description="the amount that is accepted, as check prints it"
    )
