"""The shop file: collets, instruments, lathe, kept once beside the archive."""

# Annotations stay as they are: postponed ones are texts that pydantic compiles one by one.
from enum import StrEnum
from typing import Annotated

from pydantic import AfterValidator, Field

from mandrelgen.core.lengths import Length
from mandrelgen.spec.base import (
    Day,
    Deviation,
    Distance,
    Flag,
    Id,
    Number,
    Size,
    Strict,
    Text,
    Whole,
)
from mandrelgen.standards import iso_15488
from mandrelgen.standards.gears import lead_of


def _collet_system(value: str) -> str:
    """The standard's name of a system that it knows, whatever is engraved on the collets."""
    size = iso_15488.system_size(value)
    return value if size is None else f"ISO 15488-{size}"


class ColletSet(Strict):
    """One holder and the collets on the shelf."""

    system: Annotated[Text, Field(min_length=1, max_length=40), AfterValidator(_collet_system)] = (
        Field(
            description="the letters on the collet, ER11 … ER40, or ISO 15488-11 … ISO 15488-40, "
            "or a name of your own"
        )
    )
    sizes: Annotated[tuple[Size, ...], Field(min_length=1)] = Field(
        description="nominal sizes of the collets on the shelf, mm"
    )
    length: Size | None = Field(
        default=None, description="gripping length, mm; needed for a system of your own"
    )
    closes: Distance | None = Field(
        default=None,
        description="how far a collet closes below its size, mm; needed for a system of your own",
    )
    run_out: Distance | None = Field(
        default=None, description="measured run-out at the collet, total reading, mm"
    )
    run_out_class: Annotated[Whole, Field(ge=1, le=2)] = Field(
        default=2, description="run-out class of ISO 15488: 1 or 2"
    )
    nut_diameter: Size | None = Field(
        default=None, description="outside diameter of the clamping nut, mm"
    )
    nut_length: Distance = Field(
        default=Length.parse(0), description="how far the nut stands in front of the collet, mm"
    )
    depth_behind: Distance | None = Field(
        default=None, description="free depth behind the collet (draw-bar, stop), mm"
    )


class InstrumentKind(StrEnum):
    """What an instrument is."""

    CALIPER = "caliper"
    MICROMETER = "micrometer"
    THREAD_MICROMETER = "thread-micrometer"
    WIRES = "wires"
    PINS = "pins"
    DEPTH = "depth-gauge"
    INDICATOR = "indicator"


class Instrument(Strict):
    """An instrument with its expanded uncertainty (k = 2), mm."""

    kind: InstrumentKind = Field(description="what the instrument is")
    uncertainty: Distance | None = Field(
        default=None, description="expanded uncertainty (k = 2), mm"
    )
    note: Text = Field(default="", description="a remark for the paper")


class ChuckMount(StrEnum):
    """How the collet chuck sits on the spindle."""

    TAPER = "taper"
    TAPER_DRAW_BAR = "taper-draw-bar"
    THREAD = "thread"
    THREAD_LOCKED = "thread-locked"


class Lathe(Strict):
    """The wood lathe the mandrel will run in."""

    max_speed: Annotated[Whole, Field(ge=50, le=10000)] = Field(
        default=3000, description="highest speed, 1/min"
    )
    power: Annotated[Number, Field(gt=0, le=5000)] = Field(
        default=370.0, description="motor power, W"
    )
    tailstock: Flag = Field(default=True, description="false if the lathe has no tailstock")
    chuck: ChuckMount | None = Field(
        default=None,
        description="how the collet chuck is mounted: in a taper, in a taper with a draw-bar, "
        "on the spindle's thread, or on the thread with a lock",
    )
    run_out_nut: Distance | None = Field(
        default=None,
        description="measured on a ground pin in the collet, at the nut: total reading, mm",
    )
    run_out_40: Distance | None = Field(
        default=None,
        description="measured on the same pin 40 mm further out, at the same mark: total "
        "reading, mm",
    )
    tailstock_height: Deviation | None = Field(
        default=None,
        description="how far the tailstock's centre stands above (+) or below (-) the spindle's, "
        "mm",
    )
    tailstock_side: Deviation | None = Field(
        default=None,
        description="how far the tailstock's centre stands to the front (+) or back (-), mm",
    )
    drill_drift: Distance | None = Field(
        default=None,
        description="how far a drilled hole has run off the axis after 50 mm of depth, mm",
    )


class ToolCondition(StrEnum):
    """How worn a tap or die is."""

    NEW = "new"
    USED = "used"
    WORN = "worn"


class ThreadTool(Strict):
    """A tap or a die of one's own."""

    thread: Annotated[str, Field(max_length=60)] = Field(
        description="what it cuts, as the trade writes it: M9x0.75, M12xPh2.4P0.8"
    )
    id: Id | None = Field(
        default=None, description="short name, where I own two of the same thread"
    )
    lead: Distance | None = Field(
        default=None, description="a tap's lead: what it leaves without full form at the bottom, mm"
    )
    incomplete: Distance | None = Field(
        default=None, description="a die's incomplete threads: what it leaves at a shoulder, mm"
    )
    tolerance_class: Annotated[str, Field(max_length=8)] | None = Field(
        default=None, description="class it cuts, if it is known: 6H, 6g"
    )
    condition: ToolCondition | None = Field(default=None, description="new, used or worn")
    note: Text = Field(default="", description="a remark: whose, how worn")


class PrinterKind(StrEnum):
    """How a printer builds."""

    FDM = "fdm"
    RESIN = "resin"


class PrinterSizes(Strict):
    """How a printer's parts come out, mm; what is left out is the usual value of its kind."""

    outside: Deviation | None = Field(
        default=None, description="how much larger an outside comes out, on the diameter, mm"
    )
    hole: Deviation | None = Field(
        default=None, description="how much smaller a hole comes out, on the diameter, mm"
    )
    external_thread: Distance | None = Field(
        default=None, description="allowance on a printed external thread, a side, mm"
    )
    internal_thread: Distance | None = Field(
        default=None, description="allowance on a printed internal thread, a side, mm"
    )


class Calibration(PrinterSizes):
    """One day's readings of a printed coupon; for each size the latest entry counts."""

    date: Day = Field(description="day of the readings, 2026-05-31")
    readings: tuple[Text, ...] = Field(default=(), description="the readings, in words")


class PrinterSpec(PrinterSizes):
    """A printer of the maker's."""

    kind: PrinterKind = Field(description="fdm (filament) or resin")
    nozzle: Size | None = Field(default=None, description="nozzle's bore (fdm), mm")
    pixel: Size | None = Field(default=None, description="pixel's edge (resin), mm")
    layer: Size | None = Field(default=None, description="layer height, mm")
    foot: Distance | None = Field(
        default=None, description="how far the first layers spread on the bed, a side, mm"
    )
    least_wall: Size | None = Field(default=None, description="thinnest wall that prints, mm")
    note: Text = Field(default="", description="a remark, such as the material")
    calibration: tuple[Calibration, ...] = Field(
        default=(), description="readings of printed coupons, added by the program"
    )


def _lead_screw(value: str) -> str:
    lead_of(value)
    return value


LeadScrew = Annotated[
    str, Field(max_length=20, examples=["3 mm", "8 TPI"]), AfterValidator(_lead_screw)
]
"""The lead of a lathe's lead screw as a text: ``3 mm`` or ``8 TPI``."""

Teeth = Annotated[Whole, Field(ge=10, le=200)]
"""Teeth of a change gear."""


class Turner(Strict):
    """The metal lathe of the shop that makes the mandrels, for its pages; a usual one if left
    out."""

    lead_screw: LeadScrew = Field(
        default="3 mm", description="lead of the lead screw: 3 mm, or 8 TPI"
    )
    gears: Annotated[tuple[Teeth, ...], Field(max_length=60)] = Field(
        default=(), description="teeth of the change gears owned; left out: a usual set"
    )
    lowest_speed: Annotated[Whole, Field(ge=5, le=500)] = Field(
        default=50, description="lowest speed of the spindle, 1/min"
    )
    wires: tuple[Size, ...] = Field(
        default=(), description="thread measuring wires owned, mm; left out: a usual set"
    )
    anvil: Size = Field(
        default=Length.parse(6.35), description="diameter of the micrometer's anvil, mm"
    )


class Shop(Strict):
    """The whole shop file."""

    schema_version: Annotated[Whole, Field(ge=1, le=1)] = Field(
        alias="schema", description="version of this form of file: 1"
    )
    name: Text = Field(default="", description="name of the workshop")
    collets: tuple[ColletSet, ...] = Field(
        default=(), description="holders and the collets on the shelf"
    )
    mandrel_diameter: Size | None = Field(
        default=None, description="shank diameter used for every mandrel of this shop, mm"
    )
    taps: tuple[ThreadTool, ...] = Field(default=(), description="taps of one's own")
    dies: tuple[ThreadTool, ...] = Field(default=(), description="dies of one's own")
    instruments: dict[Id, Instrument] = Field(
        default={}, description="measuring instruments, each a table"
    )
    lathe: Lathe = Field(default=Lathe(), description="the wood lathe")
    turner: Turner = Field(
        default=Turner(), description="the metal lathe of the shop that makes the mandrels"
    )
    printers: dict[Id, PrinterSpec] = Field(
        default={}, description="printers for trial fixtures, each a table"
    )
