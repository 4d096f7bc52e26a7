"""Faulty pens: a part or a mandrel too weak to be turned at its free end without a tailstock."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tests.judging import arithmetic as a
from tests.judging.cases import base_pen, kind
from tests.judging.faulty import Row
from tests.judging.faulty_mandrels import BARREL, CAP, metal_of
from tests.judging.iso import read
from tests.judging.trees import Sizes, Tree, hole, pen, r, shop

UNSUPPORTED = 90.0  # judging, "below 90 N where there is none" [E]
# Strength, MPa: least yield of EN 12164 CW614N R430 and EN 10277 11SMn30+C (metals yield by the
# nominal stress: judging, "Strength"); tensile of casting resin and acrylic [M].
BRASS, STEEL, RESIN, ACRYLIC = 220.0, 410.0, 30.0, 62.0
NOTCH = 2.5  # judging, "a brittle resin sees a notch there"; [M]: with and without must agree


def bending(d: float, inner: float, strength: float, reach: float) -> float:
    """Force at ``reach`` that brings the outer fibre to ``strength``: σ π(d⁴ − i⁴)/(32 d L)."""
    return strength * math.pi * (d**4 - inner**4) / (32 * d) / reach


def plug_bears(tree: Tree, _: Tree) -> float:
    """Free-end force that yields the barrel's plug at its root."""
    part = tree["parts"]["barrel"]
    root = read(part["ends"]["mouth"]["internal"]["thread"]).root_ext
    metal = BRASS if metal_of(tree) == "CW614N" else STEEL
    return bending(root, 0.0, metal, part["length"])


@kind("strength.mandrel", "strength", "judging, below 90 N where there is no tailstock [E]")
def strength_mandrel(s: Sizes) -> Iterator[Row]:
    """A brass plug of P 0.75 in a long barrel: it yields first. Silent: steel, well outside, for
    the relief behind the thread is thinner than the root."""
    small = s.but(section_thread="M7x0.75", bore=4.2)
    for level, force, metal in (
        ("warning", 45.0, "CW614N"),
        ("warning", 60.0, "CW614N"),
        ("warning", 80.0, "CW614N"),
        ("", 160.0, "11SMn30"),
    ):
        strength = BRASS if metal == "CW614N" else STEEL
        reach = bending(small.inner.root_ext, 0.0, strength, force)
        sizes = small.but(barrel_length=r(reach))
        tree = base_pen(sizes, BARREL, material=metal)
        yield level, ("barrel",), force, tree, shop("bench", False)


def cap_bears(tree: Tree, _: Tree) -> float:
    """Free-end force that breaks the cap just past the plug's thread, without a notch."""
    part = tree["parts"]["cap"]
    nut = part["ends"]["mouth"]["internal"]
    strength = RESIN if part["material"] == "casting-resin" else ACRYLIC
    reach = part["length"] - (nut["depth"] - nut["tap_lead"])
    return bending(part["diameter"], read(nut["thread"]).root_int, strength, reach)


@kind("strength.part", "strength", "judging, below 90 N where there is no tailstock [E]")
def strength_part(s: Sizes) -> Iterator[Row]:
    """A long cap of casting resin without a tailstock: too weak even without a notch. Silent: a
    short one of acrylic, strong enough even with one."""
    for level, force in (("warning", 40.0), ("warning", 60.0), ("warning", 85.0)):
        tree = _cap_for(s, force, RESIN, "casting-resin")
        yield level, ("cap",), force, tree, shop("bench", False)
    tree = _cap_for(s, UNSUPPORTED * NOTCH * 1.1, ACRYLIC, "cast-acrylic")
    yield "", ("cap",), UNSUPPORTED * NOTCH * 1.1, tree, shop("bench", False)


def _cap_for(s: Sizes, force: float, strength: float, material: str) -> Tree:
    """A cap as long as that force breaks it; its bore ends with the thread, its crown is solid."""
    tree = pen(s)
    nut = tree["parts"]["cap"]["ends"]["mouth"]["internal"]
    reach = bending(s.cap_od, s.cap.root_int, strength, force)
    length = r(nut["depth"] - nut["tap_lead"] + reach)
    sizes = s.but(cap_length=length)
    made = base_pen(sizes, CAP, material="11SMn30")
    cap = made["parts"]["cap"]
    cap["material"] = material
    deepest = s.tenon + s.exposed + 4
    if length < deepest + a.point(hole(s.cap)) + 1.5:  # a short cap goes with a short section
        return _shorter(sizes, length, material)
    return made


def _shorter(s: Sizes, length: float, material: str) -> Tree:
    exposed = r(length - a.point(hole(s.cap)) - 1.5 - s.tenon - 4)
    tree = base_pen(s.but(exposed=exposed), CAP, material="11SMn30")
    tree["parts"]["cap"]["material"] = material
    return tree
