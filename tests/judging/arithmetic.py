"""What plain arithmetic finds wrong with a pen, from its tree alone: the expected answers' check.

Nothing of the program is imported. Limits are retyped; behind each stands the line of the
facts on judging ("judging") or on the trade ("trade") it was taken from, with [E] estimate,
[M] from memory, [A] arithmetic. All mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tests.judging.iso import Thread, read

Tree = dict[str, Any]

# judging, "Least walls at worst limits … error / warning" [E]
TENON = (0.4, 0.6)  # "tenon root over its bore 0.4 / 0.6"
LIP = (0.5, 0.8)  # "cap lip over thread or counterbore 0.5 / 0.8"
SOFT_LIP = (0.6, 1.0)  # "(hard rubber and soft resin 0.6 / 1.0)"
BODY = (0.7, 1.0)  # "body over a bore 0.7 / 1.0"; the crown over a drill point is one of these
SOFT = ("ebonite", "casting-resin")
# judging, "Error: below 30 % at worst or 45 % as given; warning: below 60 % as given" [E]
OVERLAP_WORST, OVERLAP_ERROR, OVERLAP_WARNING = 0.30, 0.45, 0.60
OVERLAP_OF = 0.541  # "over 0.541 P" [A]: 5/8 H
# trade, "Count full pitches (≥ 3)" [common practice, no source]
PITCHES = 3.0
# judging, "compare with a tolerance of 0.005"
NOTHING = 0.005
# [common practice, no source] a depth or a length set by hand on a wood lathe, ±
BY_HAND = 0.2
# [E] a section passes the cap's thread with this to spare on the diameter
SPARE = 0.1
# [common practice, no source] mates cut to slightly different diameters on purpose
NEAR = 0.25

LEVELS = ("", "note", "warning", "error")


@dataclass(frozen=True)
class Fault:
    """A family of faults, its level, where it is, and the figure that was compared."""

    family: str
    level: str
    places: tuple[str, ...]
    value: float


def graded(value: float, error: float, warning: float) -> str:
    """Level of a figure that shall not be small."""
    return "error" if value < error else "warning" if value < warning else ""


def faults(tree: Tree) -> list[Fault]:
    """Every fault of the pen itself."""
    found = [f for name, part in tree["parts"].items() for f in _of_part(name, part)]
    for outer, inner in joints(tree):
        found += _mates(tree, outer, inner)
        if not any(f.family.startswith("mate.") and f.level == "error" for f in found):
            found += _closing(tree, outer, inner)
            found += _overlap(tree, outer, inner)
    found += _passes(tree)
    return [f for f in found if f.level]


def end_of(tree: Tree, place: str) -> Tree:
    """The end ``part.end``."""
    part, end = place.split(".")
    return tree["parts"][part]["ends"][end]  # type: ignore[no-any-return]


def joints(tree: Tree) -> list[tuple[str, str]]:
    """(external, internal) places, from ``mates`` of the internal threads."""
    return [
        (end["internal"]["mates"], f"{name}.{end_name}")
        for name, part in tree["parts"].items()
        for end_name, end in part["ends"].items()
        if end.get("internal", {}).get("mates")
    ]


def largest(step: Tree) -> float:
    """Upper limit of a bore or counterbore; those here are given with deviations or H8."""
    d = float(step["diameter"])
    if "upper" in step:
        return d + float(step["upper"])
    if step.get("tolerance") == "H8":  # ISO 286-1 Table 1, IT8, 3 to 30 mm
        return d + (0.018 if d <= 6 else 0.022 if d <= 10 else 0.027 if d <= 18 else 0.033)
    raise ValueError("a hole without limits")


def _of_part(name: str, part: Tree) -> Iterator[Fault]:
    soft = part.get("material") in SOFT
    for end_name, end in part["ends"].items():
        place = f"{name}.{end_name}"
        for family, value, limits in _walls(end, SOFT_LIP if soft else LIP):
            yield Fault(family, graded(value, *limits), (place,), value)
        yield from _hole_short(place, end)
        yield from _formed(place, end)
    yield from _crowns(name, part)


def _walls(end: Tree, lip: tuple[float, float]) -> Iterator[tuple[str, float, tuple[float, float]]]:
    outer, inner = end.get("external"), end.get("internal")
    holes = [(0.0, b) for b in end.get("bore", [])[:1]] + [
        (a["depth"], b) for a, b in zip(end.get("bore", []), end.get("bore", [])[1:], strict=False)
    ]
    wide = inner.get("counterbore") if inner else None
    body = float(end["diameter"])
    if outer:
        root = read(outer["thread"]).root_ext
        if inner:
            yield "wall.tenon", (root - read(inner["thread"]).root_int) / 2, TENON
            yield "wall.tenon", (root - float(inner.get("countersink", 0))) / 2, TENON
        if wide:
            yield "wall.tenon", (root - largest(wide)) / 2, TENON
        for start, b in holes:
            if start < outer["length"]:
                yield "wall.tenon", (root - largest(b)) / 2, TENON
    elif inner:
        yield "wall.lip", (body - read(inner["thread"]).root_int) / 2, lip
        if wide:
            yield "wall.lip", (body - largest(wide)) / 2, lip
    threaded = inner["depth"] if inner else 0.0
    for _, b in holes:
        if b["depth"] <= threaded:
            continue  # ends with the thread, which is wider: judged above
        yield "wall.body", (body - largest(b)) / 2, BODY


def _hole_short(place: str, end: Tree) -> Iterator[Fault]:
    """A thread cannot be tapped deeper than its hole."""
    inner, bore = end.get("internal"), end.get("bore")
    if inner and bore and end.get("bottom") != "through":
        over = inner["depth"] - max(b["depth"] for b in bore)
        yield Fault("hole.short", "error" if over > NOTHING else "", (place,), over)


def _formed(place: str, end: Tree) -> Iterator[Fault]:
    """Something of a thread must be left between its unformed stretches."""
    inner, outer = end.get("internal"), end.get("external")
    if inner:
        floor = inner.get("counterbore", {}).get("depth", 0.0)
        left = inner["depth"] - inner["tap_lead"] - floor
        yield Fault("thread.none", "error" if left <= NOTHING else "", (place,), left)
    if outer:
        left = outer["length"] - outer["unformed"] - outer["chamfer"]
        yield Fault("thread.none", "error" if left <= NOTHING else "", (place,), left)


def point(diameter: float) -> float:
    """Height of a 118° drill point."""
    return diameter / 2 / math.tan(math.radians(59))


def _crowns(name: str, part: Tree) -> Iterator[Fault]:
    ends = part["ends"]
    for end_name, end in ends.items():
        if not end.get("bore") or end.get("bottom") == "through":
            continue
        last = end["bore"][-1]
        tip = 0.0 if end.get("bottom") == "flat" else point(last["diameter"])
        other = max(
            (
                max(
                    [b["depth"] for b in e.get("bore", [])]
                    + [e.get("internal", {}).get("depth", 0)]
                )
                for n, e in ends.items()
                if n != end_name
            ),
            default=0.0,
        )
        left = part["length"] - last["depth"] - tip - other
        places = tuple(f"{name}.{n}" for n in ends)
        if end_name == next(iter(ends)):
            yield Fault("wall.crown", graded(left, *BODY), places, left)


def _mates(tree: Tree, outer: str, inner: str) -> Iterator[Fault]:
    a, b = read(end_of(tree, outer)["external"]["thread"]), _inner(tree, inner)
    where = (outer, inner)
    for family, differs in (
        ("mate.pitch", abs(a.p - b.p) > 1e-6),
        ("mate.starts", a.starts != b.starts),
        ("mate.hand", a.left != b.left),
    ):
        if differs:
            yield Fault(family, "error", where, 1.0)
    step = abs(a.d - b.d)
    if step > 1e-6:
        yield Fault("mate.diameter", "error" if step > NEAR else "warning", where, step)


def _inner(tree: Tree, place: str) -> Thread:
    return read(end_of(tree, place)["internal"]["thread"])


def start_of(end: Tree) -> float:
    """Where the nut's first full thread stands: behind counterbore and countersink (90°)."""
    inner = end["internal"]
    sink = max(0.0, (inner["countersink"] - read(inner["thread"]).minor_int[0]) / 2)
    return float(inner.get("counterbore", {}).get("depth", 0.0)) + sink


def _closing(tree: Tree, outer: str, inner: str) -> Iterator[Fault]:
    screw, end = end_of(tree, outer)["external"], end_of(tree, inner)
    nut = end["internal"]
    where, p = (outer, inner), read(screw["thread"]).p
    full = nut["depth"] - nut["tap_lead"] - BY_HAND
    formed = screw["length"] - BY_HAND - screw["chamfer"]
    start = start_of(end)
    held = min(formed, full) - max(screw["unformed"], start)
    yield Fault("engagement", "warning" if held / p < PITCHES else "", where, held / p)
    gap = screw["unformed"] - start
    yield Fault("open", "warning" if gap > NOTHING else "", where, gap)
    yield Fault("bottoms", "error" if thread_room(tree, outer, inner) < 0 else "", where, 0.0)
    yield Fault("nose", "error" if nose_room(tree, outer, inner) < 0 else "", where, 0.0)


def thread_room(tree: Tree, outer: str, inner: str) -> float:
    """Nominal room between the screw's last full turn and the nut's."""
    screw, nut = end_of(tree, outer)["external"], end_of(tree, inner)["internal"]
    room = nut["depth"] - nut["tap_lead"] - (screw["length"] - screw["chamfer"])
    return float(room)


def nose_room(tree: Tree, outer: str, inner: str) -> float:
    """Nominal room between the screw's nose and the end of the hole."""
    end = end_of(tree, inner)
    depth = max([b["depth"] for b in end.get("bore", [])] + [end["internal"]["depth"]])
    return float(depth - end_of(tree, outer)["external"]["length"])


def overlap(tree: Tree, outer: str, inner: str) -> tuple[float, float]:
    """Share of 0.541 P that the crests overlap: as given, and at worst limits."""
    t, end = read(end_of(tree, outer)["external"]["thread"]), end_of(tree, inner)
    step = end["bore"][0]
    given = step["diameter"] + (step["lower"] + step["upper"]) / 2
    scale = 2 * OVERLAP_OF * t.p
    return (t.crest_mid - given) / scale, (t.major_ext[0] - largest(step)) / scale


def _overlap(tree: Tree, outer: str, inner: str) -> Iterator[Fault]:
    if not end_of(tree, inner).get("bore"):
        return  # drilled as the thread wants it: nothing else is said
    given, worst = overlap(tree, outer, inner)
    level = graded(given, OVERLAP_ERROR, OVERLAP_WARNING)
    level = "error" if worst < OVERLAP_WORST else level
    yield Fault("overlap", level, (outer, inner), given)


def _passes(tree: Tree) -> Iterator[Fault]:
    """A section must pass the cap's thread and find room in the cap's bore."""
    pairs = dict(joints(tree))
    for outer, cap in pairs.items():
        for passing in (o for o, i in pairs.items() if i == outer):
            part, end = tree["parts"][passing.split(".")[0]], end_of(tree, cap)
            inside = end_of(tree, outer)["external"]["length"] + part["length"]
            inside -= end_of(tree, passing)["external"]["length"]
            if not end.get("bore"):
                room = end["internal"]["depth"] - inside
                yield Fault("cap-bore", "warning" if room < 0 else "", (cap,), room)
                continue
            spare = _to_spare(part, passing, end["bore"], end_of(tree, outer)["external"]["length"])
            places = (passing.split(".")[0], cap)
            yield Fault("passes", "error" if spare < SPARE else "", places, spare)
            room = end["bore"][-1]["depth"] - inside
            yield Fault("too-long", "error" if room < 0 else "", places, room)


def _to_spare(part: Tree, passing: str, bore: list[Tree], tenon: float) -> float:
    """The least that a part screwed into the tenon's end leaves in any hole of the cap: "judged by
    the hole that is there", its lower limit, and by what of the outside comes so deep; the outside
    is straight between its two ends."""
    name = passing.split(".")[1]
    near = float(part["ends"][name]["diameter"])
    far = next(float(e["diameter"]) for n, e in part["ends"].items() if n != name)
    length = part["length"] - part["ends"][name]["external"]["length"]
    found, start = [], 0.0
    for hole in bore:
        along = max(0.0, start - tenon) / length
        if along < 1:
            widest = max(near + along * (far - near), far)
            found.append(hole["diameter"] + hole["lower"] - widest)
        start = hole["depth"]
    return min(found)
