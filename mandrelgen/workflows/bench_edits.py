"""What the page's boxes and buttons do to the text of a pen or shop file; comments stay."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from mandrelgen.core.errors import Change, Finding, Value
from mandrelgen.core.lengths import Length
from mandrelgen.spec.expand import expand
from mandrelgen.spec.joints import Joint
from mandrelgen.spec.patch import patched_text, table_at
from mandrelgen.standards.thread_finder import Reading
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workflows.answers.bench_fields import mates_of
from mandrelgen.workflows.answers.boxes import CHOICE, FLAG, SIZE, THREAD, WHOLE, Field, Tree
from mandrelgen.workflows.answers.texts import label
from mandrelgen.workflows.edit import Transform
from mandrelgen.workflows.measured_thread import thread_or_readings
from mandrelgen.workflows.what_follows import following

NEW_SHOP = b"schema = 1\n"
"""A shop file that says nothing yet."""


class ValueRefusedError(ValueError):
    """What was typed cannot stand there; the message says what is allowed."""


def value_of(field: Field, text: str) -> Value | None:
    """What a box's text is in the file; None: the key goes. Raises ValueRefusedError."""
    text = text.strip()
    if not text:
        if field.needed:
            out = f"; {label('thread_out')}" if field.kind == THREAD else ""
            raise ValueRefusedError(f"{field.label}: a value is needed here{out}")
        return None
    if field.kind == SIZE:
        return size_of(text)
    if field.kind == THREAD:
        return _thread(text)
    if field.kind == FLAG:
        return True
    if field.kind == WHOLE:
        if not text.isdecimal() or len(text) > 6:
            raise ValueRefusedError(f"{field.label}: a whole number")
        return int(text)
    if field.kind == CHOICE and text not in {v for v, _ in field.choices}:
        raise ValueRefusedError(f"{field.label}: choose one of the list")
    return text[:200]


def size_of(text: str) -> float | str:
    """A length as the file has it: a number for mm, a text for inches. Raises
    ValueRefusedError."""
    try:
        length = Length.parse(text)
    except ValueError as e:
        raise ValueRefusedError(str(e)) from e
    plain = text.removesuffix("mm").strip().replace(",", ".")
    return float(plain) if re.fullmatch(r"\d*\.?\d+", plain) else length.written


def _thread(text: str) -> str:
    try:
        return thread_or_readings(text).text
    except ValueError as e:
        raise ValueRefusedError(str(e)) from e


def set_field(field: Field, text: str) -> Transform:
    """Put what was typed into the file, and what follows of it. Raises ValueRefusedError at
    once."""
    change = Change(field.path, value_of(field, text))

    def transform(old: str) -> str:
        (placed,) = _placed(old, [change])
        return patched_text(old, [placed, *following(old, placed)])

    return transform


def _placed(text: str, changes: Sequence[Change]) -> list[Change]:
    """The changes where the file has their values: at an end, or in its joint."""
    origins = expand(tomllib.loads(text))[1]
    return list(map(origins.change, changes))


def set_joint(values: Mapping[str, Any], joint: Joint, text: str) -> Transform:
    """One thread for both sides of a joint; each keeps its own tolerance class. Raises
    ValueRefusedError."""
    try:
        wanted = thread_or_readings(text)
    except ValueError as e:
        raise ValueRefusedError(str(e)) from e
    changes, classes = [], []
    for ref, side in ((joint.internal, "internal"), (joint.external, "external")):
        path = mates_of(ref, side)
        old = read_thread(Tree(values).text(path))
        same = old.system == wanted.system
        classes.append(old.tolerance_class if same else "")
        changes.append(Change(path, replace(wanted, tolerance_class=classes[-1]).text))

    def transform(text: str) -> str:
        placed = _placed(text, changes)
        if placed[0].path == placed[1].path:  # one key for both
            own = "/".join(c for c in classes if c)
            bare = replace(wanted, tolerance_class="").text
            placed = [Change(placed[0].path, f"{bare}-{own}" if own else bare)]
        return patched_text(text, placed)

    return transform


def set_measured(
    values: Mapping[str, Any], joint: Joint, thread: str, readings: Mapping[str, Reading]
) -> Transform:
    """A joint's thread with what was read on its crests and in its hole. Raises
    ValueRefusedError."""
    named = set_joint(values, joint, thread)
    changes = []
    for ref, side, kind in (
        (joint.external, "external", "crest"), (joint.internal, "internal", "minor")
    ):  # fmt: skip
        if (read := readings.get(kind)) is not None:
            at = (*mates_of(ref, side)[:-1], "measured")
            changes.append(Change((*at, "crest"), round(read.value, 4)))
            if not read.assumed:
                changes.append(Change((*at, "uncertainty"), round(read.u, 4)))
    return lambda text: patched_text(named(text), changes)  # a joint has no key for it


def add_hole(part: str, end: str, diameter: str, depth: str, undercut: bool = False) -> Transform:
    """One more step of an end's bore, where its depth puts it among the others; one as deep as the
    part goes through it. Raises ValueRefusedError, as what it gives does where another hole leaves
    nothing of this one, or this one nothing of another."""
    step: dict[str, Any] = {"diameter": size_of(diameter), "depth": size_of(depth)}
    if undercut:
        step["undercut"] = True

    def transform(text: str) -> str:
        import tomlkit
        from tomlkit.items import AoT

        document: Any = tomlkit.parse(text)
        here: Any = table_at(document, ("parts", part, "ends", end))
        row = here.get("bore")
        table = tomlkit.table() if isinstance(row, AoT) else tomlkit.inline_table()
        table.update(step)
        if row is None:
            here["bore"] = tomlkit.array()
            row = here["bore"]
        row.insert(_place_of(step, row), table)
        whole = document["parts"][part].get("length")
        if whole is not None and _mm(step["depth"]) >= _mm(whole):
            row[-1]["depth"] = whole
            here["bottom"] = "through"
        return tomlkit.dumps(document)

    return transform


def _place_of(step: Mapping[str, Any], row: Sequence[Mapping[str, Any]]) -> int:
    """Behind what is shallower. Raises ValueRefusedError where two holes are one, unless the step
    is wider inside on purpose."""
    wide, deep = _mm(step["diameter"]), _mm(step["depth"])
    at = sum(_mm(s["depth"]) < deep for s in row)
    for n, s in enumerate(row, 1):
        said = f"hole {n} (⌀{_mm(s['diameter']):g}, {_mm(s['depth']):g} deep)"
        if n > at and wide <= _mm(s["diameter"]):
            raise ValueRefusedError(
                f"{said} goes as deep and is as wide already: nothing is left of ⌀{wide:g}, "
                f"{deep:g} deep"
            )
        if n <= at and wide >= _mm(s["diameter"]) and "undercut" not in step:
            raise ValueRefusedError(
                f"⌀{wide:g}, {deep:g} deep, leaves nothing of {said}: take that one out, or tick "
                "that this one is wider inside on purpose"
            )
    return at


def _mm(value: Any) -> float:
    return float(Length.parse(value))


def drop_hole(part: str, end: str, number: int) -> Transform:
    """Without one step of a bore."""
    change = Change(("parts", part, "ends", end, "bore", number), None)
    return lambda text: patched_text(text, [change])


def add_thread(part: str, end: str, side: str, thread: str, reach: str, mates: str) -> Transform:
    """A thread at an end; ``reach``: the tenon's length or the tapped depth. Raises
    ValueRefusedError."""
    at = ("parts", part, "ends", end, side)
    changes = [
        Change((*at, "thread"), _thread(thread)),
        Change((*at, "length" if side == "external" else "depth"), size_of(reach)),
    ]
    if mates:
        changes.append(Change((*at, "mates"), mates))
    return lambda text: patched_text(text, changes)


def leave_out(part: str, out: bool) -> Transform:
    """A part that shall have no mandrel, or that shall have one again."""

    def transform(text: str) -> str:
        import tomlkit

        document = tomlkit.parse(text)
        wanted: Any = document.setdefault("mandrels", tomlkit.table())
        row = [p for p in wanted.get("skip", []) if p != part] + [part] * out
        if row:
            wanted["skip"] = row
        else:
            wanted.pop("skip", None)
        return tomlkit.dumps(document)

    return transform


def add_tool(key: str, thread: str) -> Transform:
    """One more tap (``key`` taps) or die (dies) in the shop's file."""

    def transform(text: str) -> str:
        import tomlkit

        document: Any = tomlkit.parse(text)
        table = tomlkit.table()
        table["thread"] = thread
        if not document.get(key):  # an empty list says that there is none
            document[key] = tomlkit.aot()
        document[key].append(table)
        return tomlkit.dumps(document)

    return transform


def accept(f: Finding, reason: str) -> Transform:
    """A finding that the maker lives with, in the pen's file; an older entry for it is replaced."""

    def transform(text: str) -> str:
        import tomlkit

        document: Any = tomlkit.parse(text)
        rows = document.get("accept") or []
        old = next((a for a in rows if (a.get("code"), a.get("where")) == f.key), None)
        table = tomlkit.table() if old is None else old
        table.update({"code": f.code, "where": f.where, "reason": reason})
        if f.value is not None:
            table["value"] = f.value
        if old is None:
            if not document.get("accept"):
                document["accept"] = tomlkit.aot()
            document["accept"].append(table)
        return tomlkit.dumps(document)

    return transform
