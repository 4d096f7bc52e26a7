"""The pen file: what the maker knows about the pen, and the mandrels wanted."""

# Annotations stay as they are: postponed ones are texts that pydantic compiles one by one.
from typing import Annotated

from pydantic import Field, model_validator

from mandrelgen.core.lengths import Length
from mandrelgen.spec.base import (
    Day,
    Deviation,
    Distance,
    Flag,
    Id,
    Number,
    Place,
    RodName,
    Size,
    Strict,
    Text,
    Whole,
)
from mandrelgen.spec.choices import (
    Bottom as Bottom,
)
from mandrelgen.spec.choices import (
    CentreHoles as CentreHoles,
)
from mandrelgen.spec.choices import (
    DepthFrom as DepthFrom,
)
from mandrelgen.spec.choices import (
    FarEnd as FarEnd,
)
from mandrelgen.spec.choices import (
    Fit as Fit,
)
from mandrelgen.spec.choices import (
    MandrelType as MandrelType,
)
from mandrelgen.spec.choices import (
    Manner as Manner,
)
from mandrelgen.spec.choices import (
    Side as Side,
)
from mandrelgen.spec.choices import (
    ThreadOrder as ThreadOrder,
)
from mandrelgen.spec.choices import (
    ThreadRelief as ThreadRelief,
)
from mandrelgen.spec.expand import expand
from mandrelgen.spec.inside import Inside
from mandrelgen.spec.wanted import Accepted as Accepted
from mandrelgen.spec.wanted import MandrelRequest as MandrelRequest
from mandrelgen.spec.wanted import Options as Options
from mandrelgen.spec.wanted import Use as Use
from mandrelgen.spec.wanted import Wanted as Wanted


class Measured(Strict):
    """What the calipers read on a thread, mm."""

    crest: Size | None = Field(
        default=None,
        description="major diameter of an external, minor diameter of an internal thread, mm",
    )
    pitch_diameter: Size | None = Field(
        default=None, description="pitch diameter, from wires or a thread micrometer, mm"
    )
    instrument: Id = Field(
        default="caliper", description="an instrument of the shop file, or a kind of instrument"
    )
    uncertainty: Distance | None = Field(
        default=None, description="expanded uncertainty (k = 2) if not the instrument's own, mm"
    )

    @model_validator(mode="before")
    @classmethod
    def _old_name(cls, data: object) -> object:
        """``pitch``, as older files call the pitch diameter, is still read."""
        if not isinstance(data, dict) or "pitch" not in data:
            return data
        if "pitch_diameter" in data:
            raise ValueError("pitch is the old name of pitch_diameter, and both are given")
        return {"pitch_diameter" if k == "pitch" else k: v for k, v in data.items()}


class MeasuredSize(Strict):
    """One reading of a plain size, mm."""

    value: Size = Field(description="the reading, mm")
    instrument: Id = Field(
        default="caliper", description="an instrument of the shop file, or a kind of instrument"
    )
    uncertainty: Distance | None = Field(
        default=None, description="expanded uncertainty (k = 2) if not the instrument's own, mm"
    )


class Counterbore(Strict):
    """A wider, flat-bottomed start of a bore, mm; a register can centre in it if it was made true
    or measured."""

    diameter: Size = Field(description="diameter of the counterbore, mm")
    depth: Size = Field(description="from the end's face to its floor, mm")
    made: Manner = Field(default=Manner.DRILLED, description="how it was cut")
    tolerance: Annotated[str, Field(pattern=r"^[A-Z]{1,2}\d{1,2}$")] | None = Field(
        default=None, description="tolerance class of a hole, such as H8"
    )
    upper: Deviation | None = Field(default=None, description="upper deviation, mm")
    lower: Deviation | None = Field(default=None, description="lower deviation, mm")
    measured: MeasuredSize | None = None


class ThreadBase(Strict):
    """What both kinds of thread share."""

    thread: Annotated[str, Field(max_length=60)] = Field(
        description="as the trade writes it: M9x0.75-6g, M12xPh2.4P0.8-6H, 3/8-32 UNEF-2B"
    )
    mates: Place | None = Field(
        default=None, description="the end this thread screws into or onto: part.end"
    )
    made: Manner = Field(default=Manner.GUIDED, description="how the thread was cut")
    tool: Id | None = Field(
        default=None,
        description="the tap or die of the shop file that cut it, by its id; left out: the one of "
        "this thread, if I own just one",
    )
    measured: Measured | None = Field(default=None, description="what was measured on the thread")
    starts_factor: Annotated[Number, Field(ge=1.0, le=2.0)] = Field(
        default=1.0, description="widens the pitch-diameter tolerance of a multi-start thread"
    )


class ExternalThread(ThreadBase):
    """A thread on the outside of an end (a tenon)."""

    length: Size = Field(description="from the end's face to the shoulder, mm")
    unformed: Distance | None = Field(
        default=None,
        description="axial length at the shoulder that the die leaves without full form, mm "
        "(default 2 P, screwcut 1 P)",
    )
    full_thread: Size | None = Field(
        default=None,
        description="from the end's face to the last full turn, mm; instead of unformed",
    )
    chamfer: Distance | None = Field(
        default=None, description="axial length of the lead-in chamfer at 45°, mm"
    )
    chamfer_diameter: Size | None = Field(
        default=None,
        description="diameter where the lead-in chamfer begins at the face, mm; instead of chamfer",
    )


class InternalThread(ThreadBase):
    """A thread in the bore of an end; depths count from the end's face, one of two is needed."""

    depth: Size | None = Field(default=None, description="to the end of the tapped stretch, mm")
    full_thread: Size | None = Field(default=None, description="to the last full turn, mm")
    depth_from: DepthFrom = Field(
        default=DepthFrom.FACE,
        description="where depth and full_thread count from: the end's face, or the floor of the "
        "counterbore",
    )
    tap_lead: Distance | None = Field(
        default=None,
        description="unformed length at the bottom, mm (default 2 P, a bottoming tap)",
    )
    countersink: Size | None = Field(
        default=None, description="diameter of the countersink at the mouth, mm"
    )
    countersink_angle: Annotated[Number, Field(ge=30, le=150)] = Field(
        default=90.0, description="included angle of the countersink, degrees"
    )
    counterbore: Counterbore | None = Field(
        default=None, description="a plain wider stretch in front of the thread"
    )


class BoreStep(Strict):
    """One step of the bore, from the end's face inwards: ``diameter`` down to ``depth``, mm.

    The tolerance comes from how it was made, a class (``H8``), written deviations, or a reading.
    """

    diameter: Size = Field(description="diameter of the step, mm")
    depth: Size = Field(description="depth of the step's end from the end's face, mm")
    made: Manner = Field(default=Manner.DRILLED, description="how the bore was cut")
    tolerance: Annotated[str, Field(pattern=r"^[A-Z]{1,2}\d{1,2}$")] | None = Field(
        default=None, description="tolerance class of a hole, such as H8"
    )
    upper: Deviation | None = Field(default=None, description="upper deviation, mm")
    lower: Deviation | None = Field(default=None, description="lower deviation, mm")
    measured: MeasuredSize | None = Field(default=None, description="what was measured")
    undercut: Flag = Field(
        default=False, description="true if this step is meant to be wider than the one before it"
    )


class OutsidePoint(Strict):
    """A point of the outside: ``at`` from the end's face, ``diameter`` there, mm."""

    at: Distance = Field(description="from the end's face, mm")
    diameter: Size = Field(description="finished outside diameter there, mm")


class End(Strict):
    """One end of a part."""

    diameter: Size = Field(
        description="finished outside diameter where the end meets its neighbour "
        "(for a tenon: the shoulder), mm; left out: the part's"
    )
    body: Size | None = Field(
        default=None,
        description="outside diameter of the body behind this end, where it is another, mm",
    )
    outside: Annotated[tuple[OutsidePoint, ...], Field(max_length=40)] = Field(
        default=(),
        description="the finished outside from this end's face on: straight from point to point, "
        "two points at one place are a step",
    )
    side: Side | None = Field(default=None, description="which way the end looks along the pen")
    edge_break: Distance = Field(
        default=Length.parse(0.2), description="radial size of the broken outer edge, mm"
    )
    band: Flag = Field(
        default=False, description="true if a metal band or ring holds this end together"
    )
    visible_face: Flag = Field(
        default=False, description="true if the end's face shows on the finished pen"
    )
    face_made: Manner = Field(default=Manner.GUIDED, description="how the face was cut")
    mates: Place | None = Field(default=None, description="the end this end meets: part.end")
    external: ExternalThread | None = Field(default=None, description="thread on the outside")
    internal: InternalThread | None = Field(default=None, description="thread in the bore")
    bore: tuple[BoreStep, ...] = Field(
        default=(), description="steps of the bore behind the thread, from the face inwards"
    )
    bottom: Bottom = Field(default=Bottom.DRILL_POINT, description="how the bore ends")
    drill_point_angle: Annotated[Number, Field(ge=60, le=180)] = Field(
        default=118.0, description="included angle of the drill point, degrees"
    )


class Part(Strict):
    """One part of the pen."""

    length: Size = Field(description="length over all, tenons included, mm")
    diameter: Size = Field(description="largest finished diameter, mm")
    name: Text = Field(default="", description="name for the paper; the table key if left out")
    material: RodName = Field(
        default="cast-acrylic",
        description="what the part is made of, as the rod is called: cast acrylic, hard rubber; "
        "left out: the pen's",
    )
    pale: Flag = Field(default=False, description="true if a bore shows through: pale, clear")
    least_wall: Size | None = Field(
        default=None,
        description="thinnest wall I mean to leave in this part, mm; left out: by place and "
        "material",
    )
    through: Size | None = Field(
        default=None, description="a plain bore of this diameter right through the part, mm"
    )
    ends: Annotated[dict[Id, End], Field(min_length=1)] = Field(
        description="the one or two ends, each a table"
    )


class JointTable(Strict):
    """A joint of two parts: the short form of two threaded ends. What an end says itself wins."""

    thread: Annotated[str, Field(max_length=60)] = Field(
        description="of both parts: M9x0.75, or with both classes M9x0.75-6H/6g"
    )
    external: Place = Field(description="the end with the tenon: part.end")
    internal: Place = Field(description="the end it screws into: part.end")
    shoulder: Size | None = Field(
        default=None,
        description="outside diameter where the two parts meet, mm; left out: each part's own",
    )
    tenon: Size | None = Field(
        default=None, description="length of the tenon from its face to the shoulder, mm"
    )
    unformed: Distance | None = Field(
        default=None, description="what the die leaves without full form at the shoulder, mm"
    )
    tenon_full_thread: Size | None = Field(
        default=None, description="from the tenon's face to its last full turn, mm"
    )
    chamfer: Distance | None = Field(
        default=None, description="axial length of the tenon's lead-in chamfer at 45°, mm"
    )
    chamfer_diameter: Size | None = Field(
        default=None, description="diameter where the tenon's chamfer begins at its face, mm"
    )
    depth: Size | None = Field(default=None, description="to where the tap stopped, mm")
    full_thread: Size | None = Field(
        default=None, description="to the last full turn in the hole, mm"
    )
    depth_from: DepthFrom = Field(
        default=DepthFrom.FACE,
        description="where depth and full_thread count from: the face, or the counterbore's floor",
    )
    tap_lead: Distance | None = Field(
        default=None, description="unformed length at the bottom of the hole, mm"
    )
    countersink: Size | None = Field(
        default=None, description="diameter of the countersink at the hole's mouth, mm"
    )
    counterbore: Counterbore | None = Field(
        default=None, description="a plain wider stretch in front of the hole's thread"
    )


class Title(Strict):
    """Who and what: the title block."""

    id: Id = Field(description="short name of the pen; never changed once a mandrel is issued")
    name: Annotated[Text, Field(min_length=1)] = Field(description="name of the pen for the paper")
    material: RodName | None = Field(
        default=None, description="what every part is made of that does not say its own"
    )
    owner: Text = Field(
        default="", description="who owns the drawings; left out: the workshop of the shop file"
    )
    drawn_by: Text = Field(default="", description="who drew them")
    approved_by: Text = Field(default="", description="who approved them")
    number_prefix: Annotated[str, Field(pattern=r"^[A-Z][A-Z0-9]{0,7}$")] | None = Field(
        default=None,
        description="letters in front of the drawing number; left out: the archive's own",
    )
    date: Day | None = Field(default=None, description="date for the paper, 2026-05-31")
    projection: Annotated[str, Field(pattern="^(first|third)$")] = Field(
        default="first", description="projection method of the drawing: first or third"
    )


class Pen(Strict):
    """The whole pen file."""

    schema_version: Annotated[Whole, Field(ge=1, le=1)] = Field(
        alias="schema", description="version of this form of file: 1"
    )
    pen: Title = Field(description="who and what: the title block")
    parts: Annotated[dict[Id, Part], Field(min_length=1)] = Field(
        description="the parts, each a table"
    )
    joints: Annotated[dict[Id, JointTable], Field(max_length=20)] = Field(
        default={}, description="joints of two parts, each a table: short for two threaded ends"
    )
    inside: Inside = Field(
        default=Inside(), description="what goes inside: nib, converter, clip ring, inner cap"
    )
    mandrels: Wanted = Field(default=Wanted(), description="the mandrels wanted")
    accept: Annotated[tuple[Accepted, ...], Field(max_length=100)] = Field(
        default=(), description="findings that are seen and accepted"
    )
    shop: dict[str, object] | None = Field(
        default=None, description="keys of the shop file that differ for this pen"
    )

    @model_validator(mode="before")
    @classmethod
    def _expanded(cls, values: object) -> object:
        """Joints and other short forms written out; see :mod:`mandrelgen.spec.expand`."""
        return expand(values)[0] if isinstance(values, dict) else values
