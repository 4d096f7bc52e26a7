"""The shop file: collets, instruments, lathe, kept once beside the archive."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from mandrelgen.spec.base import Distance, Flag, Id, Number, Size, Strict, Text, Whole
from mandrelgen.units import Length


class ColletSet(Strict):
    """One holder and the collets on the shelf."""

    system: Annotated[Text, Field(min_length=1, max_length=40)] = Field(
        description="ISO 15488-11 … ISO 15488-40, or a name of your own"
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


class Lathe(Strict):
    """The wood lathe the mandrel will run in."""

    max_speed: Annotated[Whole, Field(ge=50, le=10000)] = Field(
        default=3000, description="highest speed, 1/min"
    )
    power: Annotated[Number, Field(gt=0, le=5000)] = Field(
        default=370.0, description="motor power, W"
    )
    tailstock: Flag = Field(default=True, description="false if the lathe has no tailstock")


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
    instruments: dict[Id, Instrument] = Field(
        default={}, description="measuring instruments, each a table"
    )
    lathe: Lathe = Field(default=Lathe(), description="the wood lathe")
