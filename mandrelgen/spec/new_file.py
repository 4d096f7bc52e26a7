"""A new pen file from what its maker said: only that, in the joints' order, a comment a line."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from mandrelgen.core.lengths import Length
from mandrelgen.standards.thread_finder import Reading

SCHEMA_LINE = "#:schema ./schema/{kind}.schema.json"
"""The first line of a new file, by which editors know its keys; ``kind``: pen or shop."""

USUAL = {
    "cap": ("barrel.mouth", "cap.mouth"),
    "section": ("section.rear", "barrel.mouth"),
    "finial": ("finial.root", "cap.crown"),
    "tailpiece": ("tailpiece.root", "barrel.tail"),
}
"""Joints as pens usually have them: tenon, then the end it screws into."""

NIB = "nib"
"""What ``new`` calls the thread in the section's front that a nib unit screws into."""

ONE_END = {"section": "rear", "finial": "root"}
_WIDE = 34


@dataclass(slots=True)
class SaidPart:
    """A part as far as it was said; sizes as typed, None: not known. ``hole``: diameter, depth."""

    id: str
    length: str | None = None
    diameter: str | None = None
    hole: tuple[str, str | None] | None = None


@dataclass(slots=True)
class SaidJoint:
    """A joint, or the one thread of a part without a neighbour (one of the places empty).

    ``readings``: what was measured on its thread, by the finder's names, where it has no name.
    """

    id: str
    external: str
    internal: str
    thread: str | None = None
    tenon: str | None = None
    depth: str | None = None
    readings: Mapping[str, Reading] = field(default_factory=dict)


@dataclass(slots=True)
class SaidPen:
    """What was said of a pen."""

    id: str
    name: str
    parts: list[SaidPart] = field(default_factory=list)
    joints: list[SaidJoint] = field(default_factory=list)


def usual_joints(parts: list[str], asked: dict[str, str] | None = None) -> list[SaidJoint]:
    """The joints between parts: as pens usually have them, else each into the part that ``asked``
    names. A part that joins no other gets its thread as an end of its own."""
    out: list[SaidJoint] = []
    for part in parts:
        places = USUAL.get(part)
        if places is None and asked and asked.get(part):
            places = (f"{part}.root", f"{asked[part]}.{part}")
        if places and all(p.split(".")[0] in parts for p in places):
            out.append(SaidJoint(part, *places))
    if not out and len(parts) == 1:
        out.append(SaidJoint(parts[0], "", f"{parts[0]}.{ONE_END.get(parts[0], 'mouth')}"))
    return out


def nib_thread() -> SaidJoint:
    """The thread for a nib unit: its counterpart is bought, and no part of the file."""
    return SaidJoint(NIB, "", "section.front")


def written(pen: SaidPen) -> bytes:
    """The file's text, UTF-8."""
    return ("\n".join(_lines(pen)).rstrip() + "\n").encode()


def _lines(pen: SaidPen) -> Iterator[str]:
    yield SCHEMA_LINE.format(kind="pen")
    yield "# Sizes in mm. Lines that begin with # are comments; uncomment to use."
    yield line("schema", "1", "the form of this file")
    yield ""
    yield "[pen]"
    yield line("id", quoted(pen.id), "short name; never changed once a mandrel is issued")
    yield line("name", quoted(pen.name), "for the paper")
    # Only keys of the table stand here: an order asks for them.
    yield unknown("owner", '""', "who owns the drawings: goes on the order")
    yield unknown("drawn_by", '""', "who drew them: goes on the order")
    alone = [j for j in pen.joints if not (j.external and j.internal)]
    for part in pen.parts:
        yield ""
        own = [j for j in alone if _of(j) == part.id]
        yield from _left_open(_has_end(part, pen), _part(part, pen, own))
    for joint in pen.joints:
        if joint not in alone:
            yield ""
            yield from _left_open(joint.thread is not None, _joint(joint))


def _left_open(known: bool, lines: Iterator[str]) -> Iterator[str]:
    """Lines of the file; as comments while no thread is ``known`` there, so that the rest of the
    pen can be judged meanwhile."""
    if known:
        yield from lines
        return
    yield "# Left open: say the thread, then take the first # off each of these lines."
    yield from (f"# {text}" if text else text for text in lines)


def _has_end(part: SaidPart, pen: SaidPen) -> bool:
    """Whether an end of the part is known: by a thread, or by a hole drilled from there."""
    threaded = any(
        place.startswith(f"{part.id}.")
        for j in pen.joints if j.thread is not None
        for place in (j.external, j.internal)
    )  # fmt: skip
    return threaded or (part.hole is not None and not _through(part))


def _through(part: SaidPart) -> bool:
    return part.hole is not None and (part.id == "section" or part.hole[1] is None)


def _of(joint: SaidJoint) -> str:
    return (joint.external or joint.internal).split(".")[0]


def _part(part: SaidPart, pen: SaidPen, threads: list[SaidJoint]) -> Iterator[str]:
    yield f"[parts.{part.id}]"
    yield _size("length", part.length, "over all, tenons included")
    yield _size("diameter", part.diameter, "at the fattest place, finished")
    end = _holed_end(part, pen)
    if part.hole is not None and _through(part):
        yield _size("through", part.hole[0], "bored right through")
    elif part.hole is not None:
        wide, deep = (number(t or "") for t in part.hole)
        value = f"[{{ diameter = {wide}, depth = {deep} }}]"
        yield line(f"ends.{end}.bore", value, "the hole, from that end's face")
    yield from _measured_ends(part, pen, threads)
    for thread in threads:
        yield ""
        known = thread.thread is not None or not _has_end(part, pen)  # else the whole part is open
        yield from _left_open(known, _alone(part, thread))


def _measured_ends(part: SaidPart, pen: SaidPen, alone: list[SaidJoint]) -> Iterator[str]:
    for joint in pen.joints:
        for side, place in (("external", joint.external), ("internal", joint.internal)):
            if joint not in alone and place.startswith(f"{part.id}."):
                yield from _measured(f"ends.{place.split('.')[1]}.{side}.measured", side, joint)


def _alone(part: SaidPart, thread: SaidJoint) -> Iterator[str]:
    """The thread of a part without a neighbour, as an end of its own."""
    side = "external" if thread.external else "internal"
    name = (thread.external or thread.internal).split(".")[1]
    yield f"[parts.{part.id}.ends.{name}.{side}]"
    yield from _thread(thread)
    yield from _measured("measured", side, thread)
    if side == "external":
        yield _size("length", thread.tenon, "the tenon, from its face to the shoulder")
    else:
        yield _size("depth", thread.depth, "from the face to where the tap stopped")


def _holed_end(part: SaidPart, pen: SaidPen) -> str:
    """The end a hole is drilled from: where the part takes a thread, else where it has one."""
    for places in ([j.internal for j in pen.joints], [j.external for j in pen.joints]):
        for place in places:
            if place.split(".")[0] == part.id:
                return place.split(".")[1]
    return "mouth"


def _joint(joint: SaidJoint) -> Iterator[str]:
    yield f"[joints.{joint.id}]"
    yield from _thread(joint)
    yield line("external", quoted(joint.external), "the end with the tenon")
    yield line("internal", quoted(joint.internal), "the end it screws into")
    yield _size("tenon", joint.tenon, "from its face to the shoulder")
    yield _size("depth", joint.depth, "from the face to where the tap stopped")


def _thread(joint: SaidJoint) -> Iterator[str]:
    if joint.readings:
        read = ", ".join(
            f"{kind} {round(r.value, 3):g}" + (f" ± {round(r.u, 3):g}" if r.u else "")
            for kind, r in joint.readings.items()
        )
        yield f"# read: {read}"
    if joint.thread is None:
        hint = 'not known yet: mandrelgen thread --measured "crest=…"'
        yield unknown("thread", '""', hint)
    else:
        yield line("thread", quoted(joint.thread), "of both parts, as the trade writes it")


def _measured(key: str, side: str, joint: SaidJoint) -> Iterator[str]:
    """The reading on this side's crests, which the file has a key for."""
    read = joint.readings.get("crest" if side == "external" else "minor")
    if read is not None and joint.thread is not None:
        u = "" if read.assumed else f", uncertainty = {round(read.u, 4):g}"
        value = f"{{ crest = {round(read.value, 4):g}{u} }}"
        yield line(key, value, "what the caliper read on it")


def _size(key: str, said: str | None, comment: str) -> str:
    if said is None:
        return unknown(key, "0.0", f"not known yet: {comment}")
    return line(key, number(said), comment)


def line(key: str, value: str, comment: str) -> str:
    """A key with its comment."""
    return beside(f"{key} = {value}", comment)


def unknown(key: str, value: str, comment: str) -> str:
    """A key that was not said, as a comment to be filled in."""
    return beside(f"# {key} = {value}", comment)


def beside(said: str, comment: str) -> str:
    """Text of a line with its comment, the comments below one another."""
    return said.ljust(max(_WIDE, len(said) + 2)) + f"# {comment}"


def number(typed: str) -> str:
    """A length as TOML: a number in mm as typed, an inch size as a text. Raises ValueError."""
    length = Length.parse(typed)
    bare = typed.strip().removesuffix("mm").strip().replace(",", ".")
    try:
        return f"{float(bare):g}" if "." not in f"{float(bare):g}" else repr(float(bare))
    except ValueError:
        return quoted(length.written)


def quoted(said: str) -> str:
    """A text as TOML has it."""
    return json.dumps(said, ensure_ascii=False).replace("\x7f", "\\u007f")
