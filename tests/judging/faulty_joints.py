"""Faulty pens: joints that do not close, do not hold, or do not go together."""

from __future__ import annotations

from collections.abc import Iterator

from tests.judging import arithmetic as a
from tests.judging.cases import base_pen, bench, kind
from tests.judging.faulty import Row
from tests.judging.iso import Thread, name, read
from tests.judging.trees import Sizes, Tree, bored, classed, hole, r

CLOSES = "trade, pen checks wanted: closes on its shoulder before the threads bottom [A]"
JOINTS = (
    ("barrel.mouth", "cap.mouth", "section.rear"),
    ("section.rear", "barrel.mouth", "cap.mouth"),
)


def _both(s: Sizes) -> Iterator[tuple[tuple[str, str], Tree, Tree, Tree, Thread]]:
    """Each joint in a fresh tree that holds another part: places, tree, screw, nut, thread."""
    for outer, inner, other in JOINTS:
        tree = base_pen(s, other)
        screw = a.end_of(tree, outer)["external"]
        yield (outer, inner), tree, screw, a.end_of(tree, inner)["internal"], read(screw["thread"])


@kind("joint.short-thread", "engagement", "trade, count full pitches (≥ 3) [no source]")
def short_thread(s: Sizes) -> Iterator[Row]:
    """A tenon so short that fewer than three pitches engage at worst limits."""
    for level, pitches in (("warning", 2.0), ("warning", 2.5), ("warning", 2.9), ("", 3.1)):
        for places, tree, screw, _, t in _both(s):
            start = max(screw["unformed"], a.start_of(a.end_of(tree, places[1])))
            screw["length"] = r(start + pitches * t.p + a.BY_HAND + screw["chamfer"])
            if places[0] == "section.rear":  # the part keeps what shows of it
                _longer(tree, s, screw["length"])
            yield level, places, pitches, tree, bench()


def _longer(tree: Tree, s: Sizes, tenon: float) -> None:
    part = tree["parts"]["section"]
    part["length"] = r(s.exposed + tenon)
    for end in part["ends"].values():
        end["bore"][-1]["depth"] = part["length"]


@kind("joint.unformed", "open", "judging, compare with a tolerance of 0.005 [A]")
def unformed(s: Sizes) -> Iterator[Row]:
    """Turns without full form that reach past the counterbore or a shallow countersink."""
    for level, gap in (("warning", 0.3), ("warning", 0.1), ("warning", 0.025), ("", -0.015)):
        for places, tree, screw, _, _t in _both(s):
            screw["unformed"] = r(a.start_of(a.end_of(tree, places[1])) + gap)
            yield level, places, gap, tree, bench()


@kind("joint.thread-bottoms", "bottoms", CLOSES)
def bottoms(s: Sizes) -> Iterator[Row]:
    """The tenon's thread is longer than the tapped thread; the nearest silent pen leaves room for
    two lengths set by hand."""
    for level, room in (("error", -1.0), ("error", -0.3), ("error", -0.05), ("", 0.6)):
        for places, tree, screw, nut, _t in _both(s):
            nut["depth"] = r(screw["length"] - screw["chamfer"] + nut["tap_lead"] + room)
            yield level, places, room, tree, bench()


@kind("joint.nose-bottoms", "nose", CLOSES)
def nose(s: Sizes) -> Iterator[Row]:
    """A tenon with a long plain nose meets the floor of a flat hole."""
    for level, room in (("error", -0.9), ("error", -0.3), ("error", -0.05), ("", 0.6)):
        for places, tree, screw, nut, _t in _both(s):
            if places[0] == "section.rear":
                screw["chamfer"] = 2.0
                nut["depth"] = r(screw["length"] + room)
                nut["tap_lead"] = r(screw["chamfer"] - 0.6 + room)
                end = a.end_of(tree, "barrel.mouth")
                end["bore"][0]["depth"], end["bottom"] = nut["depth"], "flat"
                yield level, places, room, tree, bench()


@kind("thread.none-internal", "thread.none", "no full turn is left: an error by definition [A]")
def none_internal(s: Sizes) -> Iterator[Row]:
    """The counterbore takes the whole thread."""
    for left in (-1.0, -0.05, 0.0):
        tree = base_pen(s, "section.rear")
        nut = a.end_of(tree, "cap.mouth")["internal"]
        nut["counterbore"]["depth"] = r(nut["depth"] - nut["tap_lead"] - left)
        yield "error", ("cap.mouth",), left, tree, bench()


@kind("thread.none-external", "thread.none", "no full turn is left: an error by definition [A]")
def none_external(s: Sizes) -> Iterator[Row]:
    """Unformed turns and chamfer take the whole tenon."""
    for left in (-1.0, -0.05, 0.0):
        tree = base_pen(s, "cap.mouth")
        screw = a.end_of(tree, "section.rear")["external"]
        screw["unformed"] = r(screw["length"] - screw["chamfer"] - left)
        yield "error", ("section.rear",), left, tree, bench()


@kind("passes.diameter", "passes", "trade, the section passes the cap; 0.1 to spare [E]")
def passes(s: Sizes) -> Iterator[Row]:
    """The section against the cap's hole as it is bored; the nearest silent pen also passes the
    least minor diameter of the class with as much to spare, so that either reckoning will do."""
    for level, spare in (("error", -0.4), ("error", -0.02), ("error", 0.08), ("", 0.2)):
        tree = base_pen(s.but(section_od=r(hole(s.cap) - spare)), "cap.mouth")
        yield level, ("section", "cap.mouth"), spare, tree, bench()


def _tapered(s: Sizes, near: float, far: float, *holds: str) -> Tree:
    """The section straight from one diameter at its tenon to another at its front."""
    tree = base_pen(s, *holds)
    section = tree["parts"]["section"]
    section["diameter"] = r(max(near, far))
    section["ends"]["rear"]["diameter"], section["ends"]["front"]["diameter"] = r(near), r(far)
    return tree


@kind("passes.flared", "passes", "trade, the section passes the cap; 0.1 to spare [E]")
def flared(s: Sizes) -> Iterator[Row]:
    """A section that is wider at its front: that is what passes the cap's thread."""
    for level, spare in (("error", -0.4), ("error", -0.02), ("error", 0.08), ("", 0.2)):
        wide = hole(s.cap) - spare
        yield (
            level,
            ("section", "cap.mouth"),
            spare,
            _tapered(s, wide - 0.8, wide, "cap.mouth"),
            bench(),
        )


@kind("passes.tapered", "passes", "trade, the section passes the cap; 0.1 to spare [E]")
def tapered(s: Sizes) -> Iterator[Row]:
    """A cap bored narrower from half way along a section that tapers to its front: what counts is
    the diameter that comes so far, not the largest."""
    for level, spare in (("error", -0.4), ("error", -0.02), ("error", 0.08), ("", 0.2)):
        near = r(min(s.section_od, hole(s.cap) - 0.4))
        tree = _tapered(s, near, near - 1.6, "section.rear")
        mouth = a.end_of(tree, "cap.mouth")
        first = mouth["bore"][0]
        narrow = bored(near - 0.8 + spare, first["depth"])
        mouth["bore"] = [{**first, "depth": r(s.tenon + s.exposed / 2)}, narrow]
        yield level, ("section", "cap.mouth"), spare, tree, bench()


@kind("passes.length", "too-long", "trade, nib and section fit the cap's depth [A]")
def too_long(s: Sizes) -> Iterator[Row]:
    """The cap is bored less deep than tenon and section reach."""
    for level, room in (("error", -3.0), ("error", -0.3), ("error", -0.05), ("", 0.6)):
        tree = base_pen(s, "section.rear")
        bore = a.end_of(tree, "cap.mouth")["bore"][-1]
        bore["depth"] = r(s.tenon + s.exposed + room)
        yield level, ("section", "cap.mouth"), room, tree, bench()


@kind("cap.unsaid", "cap-bore", "the cap's thread alone holds what screws into it [A]")
def cap_unsaid(s: Sizes) -> Iterator[Row]:
    """No bore is said of the cap: where its thread ends, what screws into it has to end."""
    for level, room in (("warning", -8.0), ("warning", -0.3), ("warning", -0.05), ("", 0.6)):
        tree = base_pen(s, "section.rear")
        mouth = a.end_of(tree, "cap.mouth")
        del mouth["bore"]
        mouth["internal"]["depth"] = r(s.tenon + s.exposed + room)
        yield level, ("cap.mouth", "cap"), room, tree, bench()


MATES = "threads that screw together are alike: an error by definition"


@kind("mate.pitch", "mate.pitch", MATES)
def pitch(s: Sizes) -> Iterator[Row]:
    for places, tree, screw, _, t in _both(s):
        other = 0.8 if t.p == 0.75 else 0.75
        screw["thread"] = classed(name(t.d, other), True)
        yield "error", places, 1.0, tree, bench()


@kind("mate.starts", "mate.starts", MATES)
def starts(s: Sizes) -> Iterator[Row]:
    for number in (2, 3):
        for places, tree, screw, _, t in _both(s):
            screw["thread"] = classed(name(t.d, t.p, number), True)
            yield "error", places, 1.0, tree, bench()


@kind("mate.hand", "mate.hand", MATES)
def hand(s: Sizes) -> Iterator[Row]:
    for places, tree, screw, _, t in _both(s):
        screw["thread"] = classed(name(t.d, t.p, left=True), True)
        yield "error", places, 1.0, tree, bench()


@kind("mate.diameter", "mate.diameter", "0.25 cut apart on purpose at most [no source]")
def diameter(s: Sizes) -> Iterator[Row]:
    """The cap's thread larger than the barrel's; its hole follows by half."""
    for level, step in (
        ("error", 1.0),
        ("error", 0.27),
        ("warning", 0.22),
        ("warning", 0.1),
        ("", 0.0),
    ):
        tree = base_pen(s, "section.rear")
        end = a.end_of(tree, "cap.mouth")
        end["internal"]["thread"] = classed(name(r(s.cap.d + step), s.cap.p), False)
        wide = end["internal"]["counterbore"]
        wide["diameter"] = r(wide["diameter"] + step)
        end["internal"]["countersink"] = r(end["internal"]["countersink"] + step)
        end["bore"][0]["diameter"] = r(hole(s.cap) + step / 2)
        yield level, ("barrel.mouth", "cap.mouth"), step, tree, bench()
