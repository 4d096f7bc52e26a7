"""Faulty pens: what keeps a mandrel from being held, made or used, one fault each.

The figures compare wishes and rings with plain arithmetic that reads the tree alone
(``figures.py``); how strong parts and mandrels are stands in ``faulty_strength.py``.
A mandrel's place is its part.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from tests.judging import arithmetic as a
from tests.judging.cases import base_pen, bench, kind
from tests.judging.faulty import Row
from tests.judging.iso import name, read
from tests.judging.trees import Sizes, Tree, r, shop

SEAT = 0.5  # trade, "seat ≥ 0.5 wide" [common practice, no source]
LEAST_CLEARANCE = 0.1  # trade, "0.1–0.2 a side below" the part's finished ring
CUP_RING = 0.2 + 0.6 + LEAST_CLEARANCE  # trade: a cup's wall ≥ 0.6 over its relief, D + 0.4 at most
BORE_WALL = 1.0  # [E] wall of a mandrel round a through bore
INSERTED = 2 / 3  # [M] a shank fills two thirds of its collet at least
OWN_LENGTH, OWN_BEHIND, OWN_CLOSES = 30.0, 35.0, 0.2  # trees.shop("own")
PLA = 35.0  # MPa, tensile, printed [M]
CATCH = 2000.0  # trade, "a catch of 2 N·m", in N·mm

CAP, BARREL, SECTION = "cap.mouth", "barrel.mouth", "section.rear"


def _wish(tree: Tree, key: str) -> float:
    return float(tree["mandrels"]["requests"][0].get(key, 0.0))


def _use(tree: Tree, key: str) -> Any:
    return tree["mandrels"].get("use", {}).get(key)


def metal_of(tree: Tree) -> str:
    return str(tree["mandrels"]["requests"][0]["material"])


def ring(tree: Tree, _: Tree) -> float:
    """Ring of the cap's face beside counterbore and edge break, a side."""
    end = a.end_of(tree, CAP)
    wide = a.largest(end["internal"]["counterbore"])
    return float(end["diameter"] - 2 * end.get("edge_break", 0.2) - wide) / 2


@kind("seat.plug", "seat", "trade, seat ≥ 0.5 wide and 0.1 a side below the ring [no source]")
def seat_plug(s: Sizes) -> Iterator[Row]:
    """A cap's face without a flat ring: all edge break."""
    lip = ring(base_pen(s), {}) + 0.2
    for level, left in (("error", 0.1), ("error", 0.3), ("error", 0.48), ("", 0.75)):
        tree = base_pen(s, CAP)
        a.end_of(tree, CAP)["edge_break"] = r(lip - left)
        yield level, ("cap",), left, tree, bench()


def shoulder(tree: Tree, _: Tree) -> float:
    """Ring of the section's shoulder beside its tenon, a side."""
    end = a.end_of(tree, SECTION)
    d = read(end["external"]["thread"]).d
    return float(end["diameter"] - 2 * end["edge_break"] - d) / 2


@kind("seat.cup", "seat", "trade, seat ≥ 0.5 wide; 0.1 a side for the cup's counterbore")
def seat_cup(s: Sizes) -> Iterator[Row]:
    """A section whose shoulder hardly shows beside its tenon."""
    for level, left in (("error", 0.1), ("error", 0.3), ("error", 0.48)):
        sizes = s.but(section_od=r(s.inner.d + 0.2 + 2 * left))
        yield level, ("section",), left, base_pen(sizes, SECTION), bench()
    yield "", ("section",), shoulder(base_pen(s), {}), base_pen(s, SECTION), bench()


def closing(tree: Tree, place: Tree) -> float:
    """How far the nearest larger collet on the shelf would have to close."""
    sizes = [x for c in place["collets"] for x in c["sizes"]]
    wish = _wish(tree, "shank_diameter")
    return min((x - wish for x in sizes if x >= wish), default=math.inf)


@kind("collet.none", "collet", "collets only close, by what the shop says [A]")
def no_collet(s: Sizes) -> Iterator[Row]:
    """A shank that no collet on the shelf takes."""
    own = shop("own")
    for level, wish in (
        ("error", 20.5),
        ("error", 16.05),
        ("error", 13.0),
        ("error", 13.75),
        ("", 14.0),
    ):
        for holds in (CAP, BARREL):
            tree = base_pen(s, holds, shank_diameter=wish)
            yield level, (holds.split(".")[0],), closing(tree, own), tree, own


STAND_OFF = 12.0
ENOUGH = OWN_LENGTH * INSERTED


def in_collet(tree: Tree, _: Tree) -> float:
    """Upper bound of what is in the collet: the whole shank."""
    return _wish(tree, "shank_length")


@kind("shank.short", "shank", "two thirds of the collet [M]; stand-off is not all shank")
def shank_short(s: Sizes) -> Iterator[Row]:
    """Too little of the shank in the collet, wherever neck and collar end."""
    for level, length in (("error", 8.0), ("error", 15.0), ("error", ENOUGH - 0.5), ("", 34.0)):
        tree = base_pen(s, BARREL, shank_length=length, stand_off=STAND_OFF)
        yield level, ("barrel",), length, tree, shop("own")


@kind("shank.long", "shank", "no more room behind the nut than the shop says [A]")
def shank_long(s: Sizes) -> Iterator[Row]:
    """More shank behind the nut than there is room, wherever neck and collar end."""
    room = OWN_LENGTH + OWN_BEHIND
    for level, length in (
        ("error", 140.0),
        ("error", 90.0),
        ("error", room + STAND_OFF + 1),
        ("", room - 1),
    ):
        tree = base_pen(s, BARREL, shank_length=length, stand_off=STAND_OFF)
        yield level, ("barrel",), length, tree, shop("own")


NECK_AND_COLLAR = 12.0  # [E] no mandrel here has more between shank and seat


def left_in_collet(tree: Tree, _: Tree) -> float:
    """Upper bound of what the stand-off leaves in the collet."""
    return _wish(tree, "shank_length") - _wish(tree, "stand_off") + NECK_AND_COLLAR


@kind("shank.stand-off", "shank", "two thirds of the collet [M]; neck and collar at most 12 [E]")
def stand_off(s: Sizes) -> Iterator[Row]:
    """A stand-off that pulls a shank of 60 out of its collet."""
    most = 60.0 + NECK_AND_COLLAR - ENOUGH
    for level, off in (("error", 80.0), ("error", 60.0), ("error", most + 0.5), ("", 30.0)):
        tree = base_pen(s, BARREL, shank_length=60.0, stand_off=off)
        yield level, ("barrel",), left_in_collet(tree, {}), tree, shop("own")


def _using(tree: Tree, **use: Any) -> Tree:
    tree["mandrels"]["use"] = use
    return tree


def lacks_tailstock(tree: Tree, place: Tree) -> float:
    """1 where a tailstock is counted on and there is none."""
    return float(bool(_use(tree, "tailstock")) and not place["lathe"]["tailstock"])


@kind("tailstock.none", "tailstock", "the shop's tailstock is believed: an error by definition")
def no_tailstock(s: Sizes) -> Iterator[Row]:
    """The tailstock is to be up and the lathe has none."""
    for holds in (CAP, BARREL):
        for level, there in (("error", False), ("", True)):
            tree = _using(base_pen(s, holds), tailstock=True)
            yield level, (holds.split(".")[0],), float(not there), tree, shop("bench", there)


def printed_unsupported(tree: Tree, place: Tree) -> float:
    """1 where a printed mandrel is to turn without a tailstock."""
    made_of = tree["mandrels"]["requests"][0].get("material", "")
    return float(made_of in ("PLA", "PETG", "resin") and not place["lathe"]["tailstock"])


@kind("plastic.unsupported", "plastic", "judging, plastic mandrels: turning is refused")
def plastic_unsupported(s: Sizes) -> Iterator[Row]:
    """A printed mandrel on a lathe without a tailstock, whatever the speed asked."""
    for material in ("PLA", "PETG", "resin"):
        tree = base_pen(s, SECTION, material=material)
        yield "error", ("section",), 1.0, _using(tree, speed=600), shop("bench", False)
    tree = _using(base_pen(s, SECTION, material="11SMn30"), speed=600)
    yield "", ("section",), 0.0, tree, shop("bench", False)


def twist(tree: Tree, _: Tree) -> float:
    """Shear at a printed plug's root in a catch, MPa: 16 T/(π d³), d the thread's crest (too kind);
    0 for a metal one, which bears several times as much."""
    if metal_of(tree) != "PLA":
        return 0.0
    d = read(a.end_of(tree, BARREL)["internal"]["thread"]).d
    return CATCH / (math.pi * d**3 / 16)


@kind("plastic.weak", "plastic", "shear over the printed material's tensile strength [A]")
def plastic_weak(s: Sizes) -> Iterator[Row]:
    """A slender printed plug, the tailstock up: a usual catch twists it off. Silent: of steel."""
    for level, thread, material in (
        ("error", "M6x0.75", "PLA"),
        ("error", "M6.5x0.75", "PLA"),
        ("", "M6.5x0.75", "11SMn30"),
    ):
        small = s.but(section_thread=thread, bore=3.2)
        tree = _using(base_pen(small, BARREL, material=material), speed=600, tailstock=True)
        yield level, ("barrel",), twist(tree, {}), tree, bench()


def spigot_over(tree: Tree, _: Tree) -> float:
    """How much a spigot wished for exceeds the thread's least crest."""
    inner = read(a.end_of(tree, BARREL)["internal"]["thread"])
    return _wish(tree, "spigot_diameter") - inner.minor_int[0]


@kind("spigot.large", "spigot", "trade, an error only if a size was forced [A]")
def spigot(s: Sizes) -> Iterator[Row]:
    """A spigot that does not pass the barrel's thread."""
    for level, over in (("error", 0.5), ("error", 0.1), ("error", 0.02), ("", -0.1)):
        wish = r(s.inner.minor_int[0] + over)
        tree = base_pen(s, BARREL, spigot_diameter=wish, spigot_length=8.0)
        yield level, ("barrel",), over, tree, bench()


def bored_wall(tree: Tree, _: Tree) -> float:
    """Wall under a plug's thread over its through bore, a side."""
    return (
        read(a.end_of(tree, BARREL)["internal"]["thread"]).root_ext - _wish(tree, "through_bore")
    ) / 2


@kind("mandrel.bore-wall", "bore-wall", "a wall of 1.0 [E]; the silent pen leaves 0.6 for grooves")
def bore_wall(s: Sizes) -> Iterator[Row]:
    """A knock-out bore too wide for the plug."""
    for level, wall in (("error", 0.3), ("error", 0.7), ("error", 0.95), ("", 1.6)):
        tree = base_pen(s, BARREL, through_bore=r(s.inner.root_ext - 2 * wall))
        yield level, ("barrel",), wall, tree, bench()


def binding(tree: Tree, _: Tree) -> float:
    """How far the plug's greatest pitch diameter exceeds the part's greatest: binds for certain."""
    t = read(a.end_of(tree, BARREL)["internal"]["thread"])
    return t.pitch_ext[1] + _wish(tree, "deviation") - t.pitch_int[1]


@kind("mandrel.binds", "binds", "larger than the largest part: an error by definition [A]")
def binds(s: Sizes) -> Iterator[Row]:
    """A plug asked so large that it enters no part."""
    t = s.inner
    for level, over in (("error", 0.2), ("error", 0.05), ("error", 0.01), ("", None)):
        wish = 0.0 if over is None else r(t.pitch_int[1] - t.pitch_ext[1] + over)
        tree = base_pen(s, BARREL, deviation=wish, fit="normal")
        yield level, ("barrel",), binding(tree, {}), tree, bench()


def widest_over(tree: Tree, _: Tree) -> float:
    """How much a double-ended mandrel's other thread exceeds its shank."""
    return read(a.end_of(tree, CAP)["internal"]["thread"]).d - _wish(tree, "shank_diameter")


@kind("double.wide", "double", "the end not in use passes through the collet [A]")
def double_wide(s: Sizes) -> Iterator[Row]:
    """A double-ended mandrel whose cap end does not go through the collet."""
    for level, shank in (("error", 8.0), ("error", 10.0), ("", 20.0)):
        tree = base_pen(
            s, BARREL, also_holds=CAP, kind="double-ended", shank_diameter=shank, id="pair"
        )
        yield level, ("pair", "barrel", "cap"), widest_over(tree, {}), tree, shop("wide")


def runs_back(tree: Tree, _: Tree) -> float:
    """1 where the thread that is held is left-hand."""
    held = a.end_of(tree, tree["mandrels"]["requests"][0]["holds"])
    side = held.get("internal") or held["external"]
    return float("-LH" in side["thread"])


@kind("left-hand", "left-hand", "trade, left-hand threads unscrew: warn [A]")
def left_hand(s: Sizes) -> Iterator[Row]:
    """A joint with left-hand threads on both sides, its parts held by them."""
    for holds, change in (
        (CAP, {"cap_thread": f"{s.cap_thread}-LH"}),
        (BARREL, {"section_thread": f"{s.section_thread}-LH"}),
        (SECTION, {"section_thread": f"{s.section_thread}-LH"}),
    ):
        tree = base_pen(s.but(**change), holds)
        yield "warning", (holds.split(".")[0],), 1.0, tree, bench()
        yield "", (holds.split(".")[0],), 0.0, base_pen(s, holds), bench()


def steel_die(tree: Tree, _: Tree) -> float:
    """Starts that the maker's tool is to cut in steel (0: not steel, or not the maker's tool)."""
    wish = tree["mandrels"]["requests"][0]
    own = wish.get("thread_order") == "my-tool" and wish.get("material") in ("11SMn30", "1.4305")
    return float(own) * read(a.end_of(tree, CAP)["internal"]["thread"]).starts


@kind("tool.steel", "tool", "trade, steel with my-tool on two or more starts is a warning")
def tool_steel(s: Sizes) -> Iterator[Row]:
    """A resin maker's many-start die sent to cut steel."""
    for level, starts, material in (
        ("warning", 3, "11SMn30"),
        ("warning", 2, "1.4305"),
        ("", 1, "11SMn30"),
        ("", 3, "CW614N"),
    ):
        sizes = s.but(cap_thread=name(s.cap.d, s.cap.p, starts))
        tree = base_pen(sizes, CAP, thread_order="my-tool", material=material)
        yield level, ("cap",), float(starts), tree, bench()


def nowhere_to_run_out(tree: Tree, _: Tree) -> float:
    """1 where no groove is asked for and the turner's single point cuts the thread."""
    wish = tree["mandrels"]["requests"][0]
    return float(wish["thread_relief"] == "none" and wish["thread_order"] == "single-point")


@kind("relief.none", "relief", "trade, a threading tool needs a groove to run out into [no source]")
def relief_none(s: Sizes) -> Iterator[Row]:
    """No groove asked for where a single point cuts the thread."""
    for holds in (CAP, BARREL, SECTION):
        for level, relief in (("warning", "none"), ("", "groove")):
            tree = base_pen(s, holds, thread_relief=relief, thread_order="single-point")
            yield level, (holds.split(".")[0],), float(relief == "none"), tree, bench()
