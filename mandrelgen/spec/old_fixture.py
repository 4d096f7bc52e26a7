"""The file of a fixture that is older than its records: what was measured on it, and nothing else.

Sizes in mm. Depths and lengths count from the seat (the face the part rests on).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from enum import StrEnum
from typing import Annotated

from pydantic import Field, ValidationError

from mandrelgen.core.errors import Finding, InputError, Level, Path
from mandrelgen.core.lengths import Length
from mandrelgen.spec.base import BarName, Day, Distance, Id, Size, Strict, Text, Whole
from mandrelgen.spec.faults import model_remarks
from mandrelgen.spec.places import Places
from mandrelgen.spec.remark import Remark, dotted, plain
from mandrelgen.standards import materials, measuring
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.thread_spelling import read_thread


class OldKind(StrEnum):
    """The shapes that can be entered."""

    PLUG = "plug"
    CUP = "cup"
    SPIGOT = "spigot"


class OldThread(Strict):
    """Its thread: the designation, what was read on it, and where it stands."""

    thread: Annotated[str, Field(max_length=60)] = Field(
        description="as the trade writes it, with its class if you know it: M9x0.75-6g"
    )
    crest: Size | None = Field(
        default=None, description="major diameter of a plug's, minor diameter of a cup's thread"
    )
    pitch_diameter: Size | None = Field(
        default=None, description="from wires or a thread micrometer"
    )
    start: Distance = Field(description="from the seat to the first full turn")
    end: Size = Field(description="from the seat to the last full turn")


class OldSeat(Strict):
    """The face the part rests on."""

    diameter: Size = Field(description="outside diameter of the collar")
    length: Size = Field(default=Length.parse(1.5), description="length of the collar")
    run_out: Distance | None = Field(default=None, description="axial run-out, total reading")


class OldPlain(Strict):
    """A plain cylinder."""

    diameter: Size = Field(description="its diameter")
    length: Size = Field(description="its length; of a counterbore: its depth")


class OldSpigot(Strict):
    """One step of the spigot."""

    diameter: Size = Field(description="diameter of the step")
    start: Distance = Field(description="from the seat to its beginning")
    end: Size = Field(description="from the seat to its end")
    run_out: Distance | None = Field(default=None, description="run-out, total reading")


class OldFixture(Strict):
    """The whole file."""

    schema_version: Annotated[Whole, Field(ge=1, le=1)] = Field(
        alias="schema", description="version of this form of file: 1"
    )
    id: Id = Field(description="your own short name for it; never changed")
    kind: OldKind = Field(description="plug, cup or spigot")
    title: Text = Field(default="", description="a few words for the list")
    material: BarName = Field(default="11SMn30", description="what it is made of")
    date: Day | None = Field(default=None, description="day of the measurements, 2026-05-31")
    instrument: Id = Field(default="caliper", description="what it was measured with")
    uncertainty: Distance | None = Field(
        default=None, description="expanded uncertainty (k = 2) of every reading, mm"
    )
    thread: OldThread | None = None
    seat: OldSeat
    neck: OldPlain | None = None
    shank: OldPlain
    register_: OldPlain | None = Field(default=None, alias="register")
    spigot: tuple[OldSpigot, ...] = Field(default=(), description="its steps, from the seat on")
    counterbore: OldPlain | None = Field(
        default=None, description="the plain mouth of a cup: diameter and depth"
    )
    floor: Size | None = Field(default=None, description="depth of a cup to its floor")
    relief: Size | None = Field(
        default=None, description="diameter of a cup's groove behind its thread, if it has one"
    )
    nose: Size | None = Field(default=None, description="from the seat to the nose")
    notes: Annotated[tuple[Text, ...], Field(max_length=20)] = Field(
        default=(), description="anything else, a text each"
    )


def read_old(data: bytes, name: str) -> OldFixture:
    """Read the file of an old fixture. Raises InputError with every fault, each with its line."""
    name = plain(name)
    try:
        text = data.decode("utf-8-sig")
        values = tomllib.loads(text)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as exc:
        fault = Finding(
            level=Level.ERROR,
            code="old.toml",
            where=name,
            message=f"it is no TOML: {exc}",
            remedy="correct the file",
        )
        raise InputError([fault]) from exc
    try:
        found = OldFixture.model_validate(values)
    except ValidationError as error:
        raise InputError(_findings(model_remarks(error, OldFixture), text, name)) from error
    remarks = tuple(_remarks(found))
    if remarks:
        raise InputError(_findings(remarks, text, name))
    return found


def _findings(remarks: tuple[Remark, ...], text: str, name: str) -> tuple[Finding, ...]:
    places = Places(text)
    return tuple(
        Finding(
            level=r.level,
            code=r.code,
            where=f"{name}:{places.line(r.path)} {dotted(r.path)}",
            message=plain(r.message),
            remedy=plain(r.remedy),
        )
        for r in remarks
    )


def _remarks(f: OldFixture) -> Iterator[Remark]:
    def fault(path: Path, message: str, remedy: str) -> Remark:
        return Remark("old.wrong", path, message, remedy)

    try:
        materials.material(f.material)
    except NotHeldError as e:
        yield fault(("material",), e.message, e.remedy)
    if f.uncertainty is None and f.instrument not in measuring.instruments():
        yield fault(
            ("instrument",),
            f"'{f.instrument}' is not an instrument whose uncertainty is known",
            f"use {', '.join(measuring.instruments())}, or add uncertainty = 0.02",
        )
    if f.kind is OldKind.SPIGOT:
        if f.thread is not None:
            yield fault(("thread",), "a spigot mandrel has no thread", 'kind = "plug" or "cup"')
        if not f.spigot:
            yield fault(("spigot",), "a spigot mandrel needs its spigot", "add a [[spigot]]")
    elif f.thread is None:
        yield fault(("thread",), f"a {f.kind.value} needs its thread", "add a [thread]")
    if f.thread is not None:
        try:
            read_thread(f.thread.thread)
        except NotHeldError as e:
            yield fault(("thread", "thread"), e.message, e.remedy)
        if f.thread.start >= f.thread.end:
            yield fault(("thread", "end"), "the thread ends before it begins", "swap the two")
    if f.kind is OldKind.CUP:
        for key in ("counterbore", "floor"):
            if getattr(f, key) is None:
                yield fault((key,), f"a cup needs its {key}", f"measure it and add {key}")
        if f.spigot or f.register_:
            yield fault(("spigot",), "a cup has neither spigot nor register", "take it away")
        if f.floor is not None and f.thread is not None and f.floor < f.thread.end:
            yield fault(("floor",), "the floor lies above the thread's end", "measure again")
    before = float(f.thread.end) if f.thread else 0.0
    for n, s in enumerate(f.spigot):
        if not before - 1e-9 <= s.start < s.end:
            yield fault(
                ("spigot", n), f"it runs from {s.start:g} to {s.end:g}, what stands before it "
                f"ends at {before:g}", "give the steps from the seat on, each start before its end",
            )  # fmt: skip
        before = float(s.end)
    if f.nose is not None and f.nose < before:
        yield fault(("nose",), "the nose stands before the last spigot's end", "measure again")
