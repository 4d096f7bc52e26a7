"""A new pen file from what its maker said: only that, in the joints' order, a comment a line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from mandrelgen.core.lengths import Length

SCHEMA_LINE = "#:schema ./schema/{kind}.schema.json"
"""The first line of a new file, by which editors know its keys; ``kind``: pen or shop."""

USUAL = {
    "cap": ("barrel.mouth", "cap.mouth"),
    "section": ("section.rear", "barrel.mouth"),
    "finial": ("finial.root", "cap.crown"),
    "tailpiece": ("tailpiece.root", "barrel.tail"),
}
"""Joints as pens usually have them: tenon, then the end it screws into."""

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
    """A joint, or the one thread of a part without a neighbour (one of the places empty)."""

    id: str
    external: str
    internal: str
    thread: str | None = None
    tenon: str | None = None
    depth: str | None = None


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


def written(pen: SaidPen) -> bytes:
    """The file's text, UTF-8."""
    return ("\n".join(_lines(pen)).rstrip() + "\n").encode()


def _lines(pen: SaidPen) -> Iterator[str]:
    yield SCHEMA_LINE.format(kind="pen")
    yield "# Sizes in mm. Lines that begin with # are comments; uncomment to use."
    yield _line("schema", "1", "the form of this file")
    yield ""
    yield "[pen]"
    yield _line("id", _text(pen.id), "short name; never changed once a mandrel is issued")
    yield _line("name", _text(pen.name), "for the paper")
    # Only keys of the table stand here: an order asks for them.
    yield '# owner = ""                      # who owns the drawings: goes on the order'
    yield '# drawn_by = ""                   # who drew them: goes on the order'
    alone = [j for j in pen.joints if not (j.external and j.internal)]
    for part in pen.parts:
        yield ""
        yield from _part(part, pen, next((j for j in alone if _of(j) == part.id), None))
    for joint in pen.joints:
        if joint not in alone:
            yield ""
            yield from _joint(joint)


def _of(joint: SaidJoint) -> str:
    return (joint.external or joint.internal).split(".")[0]


def _part(part: SaidPart, pen: SaidPen, thread: SaidJoint | None) -> Iterator[str]:
    yield f"[parts.{part.id}]"
    yield _size("length", part.length, "over all, tenons included")
    yield _size("diameter", part.diameter, "at the fattest place, finished")
    end = _holed_end(part, pen)
    through = part.id == "section"
    if part.hole is not None and (through or part.hole[1] is None):
        yield _size("through", part.hole[0], "bored right through")
    elif part.hole is not None:
        wide, deep = (_number(t or "") for t in part.hole)
        value = f"[{{ diameter = {wide}, depth = {deep} }}]"
        yield _line(f"ends.{end}.bore", value, "the hole, from that end's face")
    if thread is not None:
        yield ""
        side = "external" if thread.external else "internal"
        name = (thread.external or thread.internal).split(".")[1]
        yield f"[parts.{part.id}.ends.{name}.{side}]"
        yield _thread(thread)
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
    yield _thread(joint)
    yield _line("external", _text(joint.external), "the end with the tenon")
    yield _line("internal", _text(joint.internal), "the end it screws into")
    yield _size("tenon", joint.tenon, "from its face to the shoulder")
    yield _size("depth", joint.depth, "from the face to where the tap stopped")


def _thread(joint: SaidJoint) -> str:
    if joint.thread is None:
        return _unknown("thread", '""', 'not known yet: mandrelgen thread --measured "crest=…"')
    return _line("thread", _text(joint.thread), "of both parts, as the trade writes it")


def _size(key: str, said: str | None, comment: str) -> str:
    if said is None:
        return _unknown(key, "0.0", f"not known yet: {comment}")
    return _line(key, _number(said), comment)


def _line(key: str, value: str, comment: str) -> str:
    said = f"{key} = {value}"
    return said.ljust(max(_WIDE, len(said) + 2)) + f"# {comment}"


def _unknown(key: str, value: str, comment: str) -> str:
    return f"# {_line(key, value, comment)}"


def _number(text: str) -> str:
    """A length as TOML: a number in mm as typed, an inch size as a text. Raises ValueError."""
    length = Length.parse(text)
    bare = text.strip().removesuffix("mm").strip().replace(",", ".")
    try:
        return f"{float(bare):g}" if "." not in f"{float(bare):g}" else repr(float(bare))
    except ValueError:
        return _text(length.written)


def _text(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
