"""Short forms of the pen file written out: joints as two ends, a bore right through, depths from a
counterbore's floor, chamfers by diameter, a material for all parts. And the way back: where a value
really stands.

What an end says itself wins over its joint. Written out twice, a pen stays the same.
"""

from __future__ import annotations

import copy
import re
from dataclasses import dataclass, field
from typing import Any

from mandrelgen.core.errors import Change, Path
from mandrelgen.core.lengths import Length
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.standards.thread_spelling import read_thread

Table = dict[str, Any]

EXTERNAL_KEYS = {
    "thread": "thread",
    "length": "tenon",
    "unformed": "unformed",
    "full_thread": "tenon_full_thread",
    "chamfer": "chamfer",
    "chamfer_diameter": "chamfer_diameter",
    "mates": "internal",
}
"""Keys of an external thread as its joint calls them."""

INTERNAL_KEYS = {
    "thread": "thread",
    "depth": "depth",
    "full_thread": "full_thread",
    "depth_from": "depth_from",
    "tap_lead": "tap_lead",
    "countersink": "countersink",
    "counterbore": "counterbore",
    "mates": "external",
}
"""Keys of an internal thread as its joint calls them."""

_KEYS = {"external": EXTERNAL_KEYS, "internal": INTERNAL_KEYS}
_FLOOR_KEYS = ("depth", "full_thread")
_CLASS = r"(?:[3-9][a-hA-H](?:[3-9][a-hA-H])?|[123][AB])"
_CLASSES = re.compile(rf"^(.*?)([-\s]+)({_CLASS})(?:\s*/\s*({_CLASS}))?\s*$")


@dataclass(slots=True)
class Origins:
    """Where the values of a written-out pen stand in the file.

    ``leaves``: the same value under another key. ``lines``: a value reckoned from another.
    ``tables``: a thread's table that stands in a joint, with the joint's names for its keys.
    ``floors``: by how much (mm) a depth in the file is less than from the face.
    """

    raw: Table
    leaves: dict[Path, Path] = field(default_factory=dict)
    lines: dict[Path, Path] = field(default_factory=dict)
    tables: dict[Path, tuple[Path, dict[str, str]]] = field(default_factory=dict)
    floors: dict[Path, float] = field(default_factory=dict)

    def place(self, path: Path) -> Path:
        """Where a person finds the value of ``path``; ``path`` itself where it was written."""
        return self._moved(path, self.leaves | self.lines)

    def change(self, change: Change) -> Change:
        """A change of the written-out pen as a change of the file."""
        path = self._moved(change.path, self.leaves)
        floor = self.floors.get(change.path, 0.0)
        value = change.value
        if floor and isinstance(value, int | float) and not isinstance(value, bool):
            value = round(value - floor, 4)
        return Change(path, value)

    def _moved(self, path: Path, known: dict[Path, Path]) -> Path:
        for end in range(len(path), 0, -1):
            head = path[:end]
            if head in known:
                return (*known[head], *path[end:])
            if self._written(head):
                return path
            below = path[end] if end < len(path) else ""
            if head in self.tables:
                joint, keys = self.tables[head]
                if below in keys:
                    return (*joint, keys[str(below)], *path[end + 1 :])
                return joint if not below else path
        return path

    def _written(self, path: Path) -> bool:
        here: Any = self.raw
        for step in path:
            if isinstance(here, list) and isinstance(step, int) and step < len(here):
                here = here[step]
                continue
            if not isinstance(here, dict) or step not in here:
                return False
            here = here[step]
        return True


def expand(values: Table) -> tuple[Table, Origins]:
    """A pen's values with every short form written out, and where each stands.

    Raises nothing: what cannot be written out stays for the model to complain about.
    """
    origins = Origins(values)
    parts = values.get("parts")
    if not isinstance(parts, dict):
        return values, origins
    out = {**values, "parts": copy.deepcopy(parts)}
    _material(out, origins)
    joints = values.get("joints")
    if isinstance(joints, dict):
        for name, joint in joints.items():
            if isinstance(joint, dict):
                _joint(out["parts"], ("joints", name), joint, origins)
        for name, joint in joints.items():
            if isinstance(joint, dict):
                _shoulders(out["parts"], ("joints", name), joint, origins)
    for name, part in out["parts"].items():
        if isinstance(part, dict) and isinstance(part.get("ends"), dict):
            _part(("parts", name), part, origins)
    return out, origins


def with_joints(values: Table) -> Table:
    """The values with what joints say of their ends written at the ends too, and nothing else."""
    out, origins = expand(values)
    found = copy.deepcopy(values)
    for path in origins.leaves:
        if any(isinstance(step, int) for step in path):
            continue
        *way, last = map(str, path)
        here, there = found, out
        for step in way:
            here, there = here.setdefault(step, {}), there[step]
        if last in there:  # else it was reckoned into another key
            here[last] = copy.deepcopy(there[last])
    return found


# -- joints ----------------------------------------------------------------------------------------
def _end(parts: Table, place: object) -> tuple[Path, Table] | None:
    """The end a joint names, made if its part is there; None if it names none."""
    steps = [s.strip() for s in place.split(".")] if isinstance(place, str) else []
    if len(steps) != 2 or not all(steps) or not isinstance(parts.get(steps[0]), dict):
        return None
    ends = parts[steps[0]].setdefault("ends", {})
    if not isinstance(ends, dict):
        return None
    end = ends.setdefault(steps[1], {})
    return (("parts", steps[0], "ends", steps[1]), end) if isinstance(end, dict) else None


def _joint(parts: Table, at: Path, joint: Table, origins: Origins) -> None:
    both = {side: _end(parts, joint.get(side)) for side in _KEYS}
    for side, found in both.items():
        if found is None or None in both.values():
            continue
        path, end = found
        thread = end.setdefault(side, {})
        if not isinstance(thread, dict):
            continue
        here = (*path, side)
        origins.tables.setdefault(here, (at, _KEYS[side]))
        inner = side == "internal" and not _says_depth(thread)
        if inner and _says_depth(joint) and "depth_from" in joint:
            thread.setdefault("depth_from", joint["depth_from"])
            origins.leaves[*here, "depth_from"] = (*at, "depth_from")
        taken = _rivals(thread, side)
        for key, theirs in _KEYS[side].items():
            if key in thread or key in taken or theirs not in joint or key == "depth_from":
                continue
            value = copy.deepcopy(joint[theirs])
            thread[key] = _of_side(value, side) if key == "thread" else value
            origins.leaves[*here, key] = (*at, theirs)


def _says_depth(table: Table) -> bool:
    return any(k in table for k in _FLOOR_KEYS)


def _rivals(thread: Table, side: str) -> set[str]:
    """Keys a thread does not take from its joint, since it says the same in another way."""
    pairs = {
        "external": (("unformed", "full_thread"), ("chamfer", "chamfer_diameter")),
        "internal": (_FLOOR_KEYS,),
    }[side]
    return {k for pair in pairs if any(p in thread for p in pair) for k in pair}


def _of_side(text: object, side: str) -> object:
    """The thread with the class of its own side: ``-6H/6g`` parted, the other side's left out."""
    match = _CLASSES.match(text) if isinstance(text, str) else None
    if match is None:
        return text
    for name in (match[3], match[4]):
        if name is not None and _inner(name) == (side == "internal"):
            return f"{match[1]}{match[2]}{name}"
    return match[1]


def _inner(name: str) -> bool:
    return name[-1] == "B" if name[0] in "12" or name == "3B" else name[1].isupper()


def _shoulders(parts: Table, at: Path, joint: Table, origins: Origins) -> None:
    """The diameter where two parts meet: of the tenon's shoulder, and of the other end too where
    neither it nor a joint with a tenon on it says another."""
    if "shoulder" not in joint:
        return
    for side in _KEYS:
        found = _end(parts, joint.get(side))
        if found is None:
            continue
        path, end = found
        other_joint = side == "internal" and "external" in end
        if "diameter" not in end and not other_joint:
            end["diameter"] = joint["shoulder"]
            origins.leaves[*path, "diameter"] = (*at, "shoulder")


# -- parts -----------------------------------------------------------------------------------------
def _material(out: Table, origins: Origins) -> None:
    """What the pen is made of, at every part that does not say its own."""
    title = out.get("pen")
    if not isinstance(title, dict) or "material" not in title:
        return
    for name, part in out["parts"].items():
        if isinstance(part, dict) and "material" not in part:
            part["material"] = title["material"]
            origins.lines["parts", name, "material"] = ("pen", "material")


def _part(at: Path, part: Table, origins: Origins) -> None:
    ends = {n: e for n, e in part["ends"].items() if isinstance(e, dict)}
    for name, end in ends.items():
        path = (*at, "ends", name)
        if "diameter" not in end and "diameter" in part:
            end["diameter"] = part["diameter"]
            origins.lines[*path, "diameter"] = (*at, "diameter")
        if "through" in part and "bore" not in end and "length" in part:
            end["bore"] = [{"diameter": part["through"], "depth": part["length"]}]
            end.setdefault("bottom", "through")
            origins.leaves[*path, "bore", 0, "diameter"] = (*at, "through")
            origins.lines[*path, "bore"] = (*at, "through")
        for side in ("external", "internal"):
            if isinstance(end.get(side), dict):
                _thread((*path, side), end[side], side, origins)
    _other_side(at, part, ends, origins)


def _thread(at: Path, thread: Table, side: str, origins: Origins) -> None:
    if side == "internal":
        _from_floor(at, thread, origins)
        return
    length, full = mm_of(thread.get("length")), mm_of(thread.get("full_thread"))
    if "unformed" not in thread and length is not None and full is not None and full <= length:
        thread["unformed"] = round(length - full, 6)
        del thread["full_thread"]
        origins.lines[*at, "unformed"] = origins.place((*at, "full_thread"))
    begins, crest = mm_of(thread.get("chamfer_diameter")), _diameter(thread.get("thread"))
    if "chamfer" not in thread and begins is not None and crest is not None and begins <= crest:
        thread["chamfer"] = round((crest - begins) / 2, 6)
        del thread["chamfer_diameter"]
        origins.lines[*at, "chamfer"] = origins.place((*at, "chamfer_diameter"))


def _from_floor(at: Path, thread: Table, origins: Origins) -> None:
    """Depths from the counterbore's floor, as depths from the face."""
    wide = thread.get("counterbore")
    floor = mm_of(wide.get("depth")) if isinstance(wide, dict) else None
    if thread.get("depth_from") != "floor" or floor is None:
        return
    said = {k: mm_of(thread[k]) for k in _FLOOR_KEYS if k in thread}
    if any(v is None for v in said.values()):
        return
    for key, value in said.items():
        thread[key] = round((value or 0.0) + floor, 6)
        origins.floors[*at, key] = floor
    del thread["depth_from"]


def mm_of(value: object) -> float | None:
    """A length as mm; None if it is none."""
    try:
        return None if value is None else float(Length.parse(value))
    except (ValueError, OverflowError):
        return None


def _diameter(text: object) -> float | None:
    try:
        return float(read_thread(text).diameter) if isinstance(text, str) else None
    except ThreadTextError:
        return None


def _other_side(at: Path, part: Table, ends: dict[str, Table], origins: Origins) -> None:
    """A bore right through that one end describes, as the other end sees it."""
    if len(ends) != 2:
        return
    for (name, end), (other_name, other) in (
        tuple(ends.items()),
        tuple(reversed(ends.items())),
    ):
        if end.get("bottom") != "through" or "bore" in other or "bottom" in other:
            continue
        steps = _mirrored(end.get("bore"), mm_of(part.get("length")))
        if not steps:
            continue
        other["bore"], other["bottom"] = steps, "through"
        origins.lines[*at, "ends", other_name, "bore"] = (*at, "ends", name, "bore")
        return


def _mirrored(bore: object, length: float | None) -> list[Table] | None:
    if not isinstance(bore, list) or length is None:
        return None
    out: list[Table] = []
    start = 0.0
    before: float | None = None
    for step in bore:
        deep = mm_of(step.get("depth")) if isinstance(step, dict) else None
        wide = mm_of(step.get("diameter")) if isinstance(step, dict) else None
        if deep is None or wide is None or not start < deep <= length + 1e-9:
            return None
        far = {k: v for k, v in step.items() if k != "undercut"}
        out.insert(0, {**far, "depth": round(length - start, 6)})
        start = deep
    if abs(start - length) > 1e-6:
        return None
    for step in out:
        wide = mm_of(step["diameter"])
        if before is not None and wide is not None and wide > before:
            step["undercut"] = True
        before = wide
    return out
