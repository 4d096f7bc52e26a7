"""The pen file: what the maker knows about the pen, and the mandrels wanted."""

# Annotations stay as they are: postponed ones are texts that pydantic compiles one by one.
from typing import Annotated

from pydantic import Field, model_validator

from mandrelgen.core.lengths import Length
from mandrelgen.spec.base import (
    BarName,
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

    diameter: Size
    depth: Size
    made: Manner = Manner.DRILLED
    tolerance: Annotated[str, Field(pattern=r"^[A-Z]{1,2}\d{1,2}$")] | None = None
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
        "(default 2 P, single-pointed 1 P)",
    )
    chamfer: Distance | None = Field(
        default=None, description="axial length of the entry chamfer at 45°, mm"
    )


class InternalThread(ThreadBase):
    """A thread in the bore of an end; depths count from the end's face, one of two is needed."""

    depth: Size | None = Field(default=None, description="to the end of the tapped stretch, mm")
    full_thread: Size | None = Field(default=None, description="to the last full turn, mm")
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


class End(Strict):
    """One end of a part."""

    diameter: Size = Field(
        description="finished outside diameter where the end meets its neighbour "
        "(for a tenon: the shoulder), mm"
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
        description="what the part is made of, as the rod is called: cast acrylic, hard rubber",
    )
    pale: Flag = Field(default=False, description="true if a bore shows through: pale, clear")
    least_wall: Size | None = Field(
        default=None,
        description="thinnest wall I mean to leave in this part, mm; left out: by place and "
        "material",
    )
    ends: Annotated[dict[Id, End], Field(min_length=1)] = Field(
        description="the one or two ends, each a table"
    )


class Title(Strict):
    """Who and what: the title block."""

    id: Id = Field(description="short name of the pen; never changed once a mandrel is issued")
    name: Annotated[Text, Field(min_length=1)] = Field(description="name of the pen for the paper")
    owner: Text = Field(default="", description="who owns the drawings")
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
    thread_order: ThreadOrder | None = Field(default=None, description="how to make the thread")
    soft_washer: Distance | None = Field(
        default=None, description="thickness of a soft washer on the seat, mm; 0 for none"
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
        description="true if the tailstock is up while turning (default: only with a plain spigot)",
    )
    far_end: FarEnd | None = Field(
        default=None,
        description="what the far end offers the tailstock: a pip that is left on, a button, "
        "the bore itself, or nothing",
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


class Pen(Strict):
    """The whole pen file."""

    schema_version: Annotated[Whole, Field(ge=1, le=1)] = Field(
        alias="schema", description="version of this form of file: 1"
    )
    pen: Title = Field(description="who and what: the title block")
    parts: Annotated[dict[Id, Part], Field(min_length=1)] = Field(
        description="the parts, each a table"
    )
    mandrels: Wanted = Field(default=Wanted(), description="the mandrels wanted")
    accept: Annotated[tuple[Accepted, ...], Field(max_length=100)] = Field(
        default=(), description="findings that are seen and accepted"
    )
    shop: dict[str, object] | None = Field(
        default=None, description="keys of the shop file that differ for this pen"
    )
