"""Faulty pens: one fault each, in and just outside every limit, with the expected answer.

Walls, holes, joints; those of the mandrels are in ``faulty_mandrels.py``, joints that do not go
together in ``faulty_joints.py``; all together in ``every.py``. Limits: ``arithmetic.py``.
"""

from __future__ import annotations

from collections.abc import Iterator

from tests.judging import arithmetic as a
from tests.judging.cases import (
    asking,
    base_pen,
    bench,
    grades,
    kind,
    lone_barrel,
)
from tests.judging.iso import name, read
from tests.judging.trees import FINIAL, Sizes, Tree, bored, classed, hole, r

Row = tuple[str, tuple[str, ...], float, Tree, Tree]

DEEP = (0.02, 0.2)  # beside the edge of 0.38 and more: the "wall 0 to 0.35"
_WALLS = "judging, least walls at worst limits, error / warning: {:g} / {:g} [E]"
TENON_WALL, BODY_WALL, LIP_WALL, SOFT_WALL = (
    _WALLS.format(*limits) for limits in (a.TENON, a.BODY, a.LIP, a.SOFT_LIP)
)


def h8(diameter: float) -> float:
    """Upper deviation of H8 (as in arithmetic.largest)."""
    return a.largest({"diameter": diameter, "tolerance": "H8"}) - diameter


@kind("wall.tenon-bore", "wall.tenon", TENON_WALL)
def tenon_bore(s: Sizes) -> Iterator[Row]:
    """Section's bore under its tenon."""
    for level, wall in grades(*a.TENON, *DEEP):
        bore = r(s.inner.root_ext - 2 * wall - 0.03)
        yield level, ("section.rear",), wall, base_pen(s.but(bore=bore), "cap.mouth"), bench()


@kind("wall.tenon-thread", "wall.tenon", TENON_WALL)
def tenon_thread(s: Sizes) -> Iterator[Row]:
    """Barrel's inner thread under its tenon."""
    for level, wall in grades(*a.TENON, *DEEP):
        tree = lone_barrel(s, "cap.mouth")
        root = s.cap.root_ext - 2 * wall
        d = next(
            d for d in (r(root - k) for k in _allowances()) if read(name(d, 0.75)).root_int <= root
        )
        _inner(tree, d)
        yield level, ("barrel.mouth",), wall, tree, bench()


def _allowances() -> tuple[float, float]:
    """What the root of an internal thread P 0.75 lies over its diameter: 5.6–11.2, over 11.2."""
    return tuple(read(name(d, 0.75)).root_int - d for d in (10.0, 12.0))  # type: ignore[return-value]


def _inner(tree: Tree, d: float) -> None:
    """Give the barrel an inner thread of that diameter, its countersink kept inside the thread."""
    mouth = tree["parts"]["barrel"]["ends"]["mouth"]
    mouth["internal"].update(thread=classed(name(d, 0.75), False), countersink=r(d - 0.2))
    mouth["bore"][0]["diameter"] = r(d - 0.75)


@kind("wall.tenon-counterbore", "wall.tenon", TENON_WALL)
def tenon_counterbore(s: Sizes) -> Iterator[Row]:
    """A counterbore in the barrel's mouth, under the tenon."""
    for level, wall in grades(*a.TENON, *DEEP):
        tree = lone_barrel(s, "cap.mouth")
        wide = s.cap.root_ext - 2 * wall
        wide = r(wide - h8(wide - 0.03))
        _inner(tree, 7.0)
        tree["parts"]["barrel"]["ends"]["mouth"]["internal"]["counterbore"] = {
            "diameter": wide, "depth": 1.5, "made": "bored", "tolerance": "H8",
        }  # fmt: skip
        yield level, ("barrel.mouth",), wall, tree, bench()


def _lip_thread(s: Sizes, limits: tuple[float, float], material: str) -> Iterator[Row]:
    """The lip over the cap's thread, no counterbore; the bore behind is narrow (no section)."""
    for level, wall in grades(*limits, *DEEP):
        tree = lone_barrel(s, "barrel.mouth")
        cap = tree["parts"]["cap"]
        mouth = cap["ends"]["mouth"]
        mouth["diameter"] = r(s.cap.root_int + 2 * wall)
        mouth["internal"].pop("counterbore")
        depth = mouth["bore"][0]["depth"]
        mouth["bore"] = [
            bored(hole(s.cap), mouth["internal"]["depth"]), bored(s.cap.d - 3, depth),
        ]  # fmt: skip
        tree["parts"]["barrel"]["ends"]["mouth"]["external"]["unformed"] = 0.3
        mouth["internal"]["countersink"] = r(s.cap.minor_int[0] + 0.7)
        cap["material"] = material
        yield level, ("cap.mouth",), wall, tree, bench()


@kind("wall.lip-thread", "wall.lip", LIP_WALL)
def lip_thread(s: Sizes) -> Iterator[Row]:
    yield from _lip_thread(s, a.LIP, "cast-acrylic")


@kind("wall.lip-thread-hard-rubber", "wall.lip", SOFT_WALL)
def lip_rubber(s: Sizes) -> Iterator[Row]:
    yield from _lip_thread(s, a.SOFT_LIP, "ebonite")


def _lip_counterbore(s: Sizes, limits: tuple[float, float], material: str) -> Iterator[Row]:
    for level, wall in grades(*limits, *DEEP):
        tree = base_pen(s, "section.rear")
        wide = s.cap_od - 2 * wall
        cap = tree["parts"]["cap"]
        cap["material"] = material
        cap["ends"]["mouth"]["internal"]["counterbore"]["diameter"] = r(wide - h8(wide - 0.03))
        yield level, ("cap.mouth",), wall, tree, bench()


@kind("wall.lip-counterbore", "wall.lip", LIP_WALL)
def lip_counterbore(s: Sizes) -> Iterator[Row]:
    yield from _lip_counterbore(s, a.LIP, "cast-acrylic")


@kind("wall.lip-counterbore-soft-resin", "wall.lip", SOFT_WALL)
def lip_resin(s: Sizes) -> Iterator[Row]:
    yield from _lip_counterbore(s, a.SOFT_LIP, "casting-resin")


@kind("wall.counterbore-through", "wall.lip", "nothing is left: an error by definition [A]")
def counterbore_through(s: Sizes) -> Iterator[Row]:
    """A counterbore as wide as the lip, wider, and a hair less."""
    for over in (0.5, 0.05, 0.0, -0.05):
        tree = base_pen(s, "section.rear")
        wide = r(s.cap_od + over)
        tree["parts"]["cap"]["ends"]["mouth"]["internal"]["counterbore"]["diameter"] = wide
        yield "error", ("cap.mouth",), (-over - h8(wide)) / 2, tree, bench()


@kind("wall.body-front", "wall.body", BODY_WALL)
def body_front(s: Sizes) -> Iterator[Row]:
    """A wide bore from the section's front."""
    for level, wall in grades(*a.BODY, *DEEP):
        tree = base_pen(s, "cap.mouth")
        front = tree["parts"]["section"]["ends"]["front"]
        front["bore"].insert(0, bored(s.section_od - 2 * wall - 0.03, 6.0))
        yield level, ("section.front",), wall, tree, bench()


@kind("wall.body-undercut", "wall.body", BODY_WALL)
def body_undercut(s: Sizes) -> Iterator[Row]:
    """The cap's body behind the mouth, bored wider than the thread."""
    for level, wall in grades(*a.BODY, *DEEP):
        tree = base_pen(s, "section.rear")
        mouth = tree["parts"]["cap"]["ends"]["mouth"]
        first = mouth["bore"][0]
        wide = bored(s.cap_od - 2 * wall - 0.03, first["depth"], undercut=True)
        mouth["bore"] = [{**first, "depth": r(mouth["internal"]["depth"] + 2)}, wide]
        mouth["bottom"] = "flat"
        yield level, ("cap.mouth",), wall, tree, bench()


@kind("wall.crown", "wall.crown", BODY_WALL)
def crown(s: Sizes) -> Iterator[Row]:
    """The cap's crown over the drill point."""
    for level, left in grades(*a.BODY, *DEEP):
        tree = base_pen(s, "section.rear")
        cap = tree["parts"]["cap"]
        bore = cap["ends"]["mouth"]["bore"][-1]
        cap["length"] = r(bore["depth"] + a.point(bore["diameter"]) + left)
        yield level, ("cap.mouth", "cap.crown"), left, tree, bench()


@kind("wall.crown-tapped", "wall.crown", BODY_WALL)
def crown_tapped(s: Sizes) -> Iterator[Row]:
    """Between the cap's flat-bottomed bore and a crown tapped from outside."""
    for level, left in grades(*a.BODY, *DEEP):
        tree = base_pen(s, "section.rear")
        cap = tree["parts"]["cap"]
        mouth, top = cap["ends"]["mouth"], cap["ends"]["crown"]
        mouth["bottom"] = top["bottom"] = "flat"
        top["internal"] = {
            "thread": classed(FINIAL, False), "depth": 6.0, "tap_lead": 1.5, "countersink": 7.1,
        }  # fmt: skip
        top["bore"] = [bored(6.25, 6.0)]
        cap["length"] = r(mouth["bore"][-1]["depth"] + 6.0 + left)
        yield level, ("cap.mouth", "cap.crown"), left, tree, bench()


HOLE = "judging, a hole at or over the mate's crest leaves no thread [A]"
SHARES = "judging, overlap below 45 % as given an error, below 60 % a warning [E]"
WORST = "judging, below 30 % at worst limits an error; a warning never from them alone [E]"


def _bored_to(tree: Tree, place: str, diameter: float, plus_minus: float) -> Tree:
    step = a.end_of(tree, place)["bore"][0]
    step.update(diameter=r(diameter), lower=-r(plus_minus), upper=r(plus_minus))
    return tree


def _joints(s: Sizes) -> Iterator[tuple[tuple[str, str], float, float, float, str]]:
    """Both joints: places, crest's middle and least, scale of the overlap, what to hold instead."""
    for outer, inner, t, other in (
        ("barrel.mouth", "cap.mouth", s.cap, "section.rear"),
        ("section.rear", "barrel.mouth", s.inner, "cap.mouth"),
    ):
        yield (outer, inner), t.crest_mid, t.major_ext[0], 2 * a.OVERLAP_OF * t.p, other


@kind("hole.at-crest", "overlap", HOLE)
def at_crest(s: Sizes) -> Iterator[Row]:
    """Hole over, at and just under the mate's largest crest."""
    for places, mid, _, scale, other in _joints(s):
        t = s.cap if "cap.mouth" in places else s.inner
        for bigger in (0.3, 0.0, -0.05):
            size = t.d + bigger
            tree = _bored_to(base_pen(s, other), places[1], size, 0.01)
            yield "error", places, (mid - r(size)) / scale, tree, bench()


@kind("hole.overlap", "overlap", SHARES)
def overlap(s: Sizes) -> Iterator[Row]:
    """Overlap as given, in and outside 45 % and 60 %."""
    for places, mid, _, scale, other in _joints(s):
        for level, share in grades(a.OVERLAP_ERROR, a.OVERLAP_WARNING, 0.15):
            tree = _bored_to(base_pen(s, other), places[1], mid - share * scale, 0.01)
            yield level, places, share, tree, bench()


@kind("hole.overlap-worst", "overlap", WORST)
def overlap_worst(s: Sizes) -> Iterator[Row]:
    """A hole known so badly that its worst limit decides; worst alone is never a warning."""
    for places, mid, least, scale, other in _joints(s):
        for level, given, worst in (
            ("error", 0.50, 0.10),
            ("error", 0.50, 0.28),
            ("warning", 0.50, 0.32),
            ("", 0.65, 0.32),
        ):
            size = mid - given * scale
            spread = least - worst * scale - size
            tree = _bored_to(base_pen(s, other), places[1], size, spread)
            yield level, places, worst, tree, bench()


@kind("hole.short", "hole.short", "cannot be tapped deeper than it is drilled [A]")
def hole_short(s: Sizes) -> Iterator[Row]:
    """Barrel drilled less deep than it is tapped."""
    for level, over in (("error", 2.0), ("error", 0.5), ("error", 0.05), ("", 0.0)):
        tree = base_pen(s, "cap.mouth")
        mouth = a.end_of(tree, "barrel.mouth")
        mouth["bore"][0]["depth"] = r(mouth["internal"]["depth"] - over)
        yield level, ("barrel.mouth",), over, tree, bench()


@kind("nothing-asked", "nothing-asked", "nothing to make: an error by definition")
def nothing_asked(s: Sizes) -> Iterator[Row]:
    yield "error", ("mandrels",), 0.0, asking(base_pen(s)), bench()
