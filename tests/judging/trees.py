"""One pen and its shop as trees: the one place where a key of the pen or shop file is written.

Keys that do not exist yet (pens on a thread, taps and dies owned, how the chuck is mounted, what
the far end offers) are to be added in :func:`finish_pen` and :func:`finish_shop`, for all pens.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from tests.judging.iso import Thread, read

Tree = dict[str, Any]


@dataclass(frozen=True)
class Sizes:
    """What a pen is made to, mm. ``exposed``: what shows of the section beyond the barrel."""

    cap_thread: str
    section_thread: str
    cap_od: float
    barrel_od: float
    section_od: float
    bore: float  # through the section
    tenon: float  # barrel's tenon
    section_tenon: float
    exposed: float
    cap_length: float
    barrel_length: float
    material: str = "cast-acrylic"
    made: str = "guided"
    unformed: float = 2.0  # pitches that the die leaves at the shoulder
    tap_lead: float = 2.0  # pitches
    nib_thread: bool = False
    finial: bool = False
    tailstock: bool = True
    shop: str = "bench"

    @property
    def cap(self) -> Thread:
        """The joint of cap and barrel."""
        return read(self.cap_thread)

    @property
    def inner(self) -> Thread:
        """The joint of barrel and section."""
        return read(self.section_thread)

    def but(self, **change: Any) -> Sizes:
        """The same with something changed."""
        return replace(self, **change)


def r(x: float) -> float:
    """Sizes in a pen file go to a thousandth."""
    return round(x, 3)


def hole(thread: Thread) -> float:
    """The hole a maker bores for a thread: D − P."""
    return r(thread.d - thread.p)


def bored(diameter: float, depth: float, **more: Any) -> Tree:
    """A step that is true and known: +0.03/0."""
    given = {"diameter": r(diameter), "depth": r(depth), "made": "bored", "lower": 0.0}
    return {**given, "upper": 0.03, **more}


def classed(text: str, external: bool) -> str:
    """A thread's text with the class 6g, 6H, 2A or 2B (before the hand)."""
    un = " UN" in text
    klass = ("2A" if external else "2B") if un else ("6g" if external else "6H")
    return f"{text[:-3]}-{klass}-LH" if text.endswith("-LH") else f"{text}-{klass}"


def pen(s: Sizes) -> Tree:
    """Cap, barrel and section (and a finial, where the sizes say so)."""
    parts = {"cap": _cap(s), "barrel": _barrel(s), "section": _section(s)}
    if s.finial:
        parts["finial"] = _finial(s)
    for part in parts.values():
        part["material"] = s.material
    tree = {"schema": 1, "pen": {"id": "wren", "name": "Wren"}, "parts": parts}
    return finish_pen(tree, s)


def finish_pen(tree: Tree, s: Sizes) -> Tree:
    """Keys of use and mandrels that every pen has; new keys are added here."""
    del s
    tree["mandrels"] = {"all_needed": True, "requests": []}
    return tree


def counterbore_depth(s: Sizes) -> float:
    """As deep as the turns that the die leaves, and a little more."""
    return r(s.unformed * s.cap.p + 0.3)


FINIAL = "M7x0.75"


def _cap(s: Sizes) -> Tree:
    t = s.cap
    deep = counterbore_depth(s)
    depth = s.tenon + s.tap_lead * t.p + 1.2
    inside = s.tenon + s.exposed + 4
    mouth = {
        "side": "tail",
        "diameter": s.cap_od,
        "face_made": s.made,
        "internal": {
            "thread": classed(s.cap_thread, False),
            "mates": "barrel.mouth",
            "made": s.made,
            "depth": r(depth),
            "tap_lead": r(s.tap_lead * t.p),
            "counterbore": {
                "diameter": r(t.d + 0.4), "depth": deep, "made": "bored", "tolerance": "H8",
            },
            "countersink": r(t.d + 0.1),
        },
        "bore": [bored(hole(t), inside)],
    }  # fmt: skip
    crown: Tree = {"side": "nib", "diameter": s.cap_od, "visible_face": not s.finial}
    if s.finial:
        f = read(FINIAL)
        crown["internal"] = {
            "thread": classed(FINIAL, False), "mates": "finial.root", "depth": 8.0,
            "tap_lead": 1.5, "counterbore": {
                "diameter": 7.2, "depth": 1.0, "made": "bored", "tolerance": "H8",
            },
            "countersink": 7.2,
        }  # fmt: skip
        crown["bore"] = [bored(hole(f), 8.0)]
        crown["bottom"] = "flat"
    return {
        "length": s.cap_length, "diameter": s.cap_od, "ends": {"mouth": mouth, "crown": crown}
    }  # fmt: skip


def _finial(s: Sizes) -> Tree:
    root = {
        "diameter": s.cap_od, "edge_break": 0.1, "side": "tail", "external": {
            "thread": classed(FINIAL, True), "length": 5.5, "unformed": 0.75, "chamfer": 0.5,
            "made": s.made,
        },
    }  # fmt: skip
    return {"length": 14.0, "diameter": s.cap_od, "ends": {"root": root}}


def sink_of(s: Sizes) -> float:
    """Countersink of the barrel's mouth: deep enough for the tenon's incomplete threads (0.7 P)."""
    return r(s.inner.minor_int[0] + 2 * 0.75 * s.inner.p)


def _barrel(s: Sizes) -> Tree:
    t, i = s.cap, s.inner
    deep = s.section_tenon + s.tap_lead * i.p + 1.2
    mouth = {
        "side": "nib",
        "diameter": s.barrel_od,
        "face_made": s.made,
        "external": {
            "thread": classed(s.cap_thread, True), "length": s.tenon, "made": s.made,
            "unformed": r(s.unformed * t.p), "chamfer": r(0.5 * t.p),
        },
        "internal": {
            "thread": classed(s.section_thread, False), "mates": "section.rear", "made": s.made,
            "depth": r(deep), "tap_lead": r(s.tap_lead * i.p), "countersink": sink_of(s),
        },
        "bore": [bored(hole(i), s.barrel_length - 14)],
    }  # fmt: skip
    tail = {"side": "tail", "diameter": s.barrel_od - 2, "visible_face": True}
    ends = {"mouth": mouth, "tail": tail}
    return {"length": s.barrel_length, "diameter": s.barrel_od, "ends": ends}


def _section(s: Sizes) -> Tree:
    length = r(s.exposed + s.section_tenon)
    bore = [bored(s.bore, length)]
    rear = {
        "side": "tail", "diameter": s.section_od, "edge_break": 0.1, "bottom": "through",
        "face_made": s.made, "bore": bore, "external": {
            "thread": classed(s.section_thread, True), "length": s.section_tenon,
            "unformed": r(0.7 * s.inner.p), "chamfer": r(0.7 * s.inner.p), "made": s.made,
        },
    }  # fmt: skip
    front: Tree = {
        "side": "nib", "diameter": s.section_od, "visible_face": True, "bottom": "through",
        "bore": deepcopy(bore),
    }  # fmt: skip
    if s.nib_thread:
        front["internal"] = {
            "thread": f"M{s.bore + 0.5:g}x0.5-6H", "depth": 9.0, "tap_lead": 1.0,
            "countersink": r(s.bore + 0.7),
        }  # fmt: skip
    return {"length": length, "diameter": s.section_od, "ends": {"rear": rear, "front": front}}


def shop(name: str, tailstock: bool = True) -> Tree:
    """A workshop: ``bench`` (ISO collets), ``own`` (a set of the house's own), ``wide``."""
    iso = {"system": "ISO 15488-25", "sizes": list(range(4, 17)), "nut_length": 4}
    big = {"system": "ISO 15488-40", "sizes": [6, 8, 10, 12, 14, 16, 18, 20], "nut_length": 5}
    own = {
        "system": "window-lathe set", "sizes": [6, 8, 9, 10, 11, 12, 14, 16], "length": 30.0,
        "closes": 0.2, "run_out": 0.02, "nut_diameter": 30.0, "nut_length": 0.0,
        "depth_behind": 35.0,
    }  # fmt: skip
    sets = {"bench": [iso], "own": [own], "wide": [big, iso]}[name]
    tree = {
        "schema": 1,
        "name": "Reedbed Bench, Withymere",
        "collets": sets,
        "lathe": {"max_speed": 3000, "tailstock": tailstock},
    }
    return finish_shop(tree, name)


def finish_shop(tree: Tree, name: str) -> Tree:
    """Keys that every shop has; taps, dies and the chuck's mounting are added here."""
    del name
    return tree


def toml(tree: Tree) -> str:
    """The tree as a TOML text: bare keys, inline values."""
    return "".join(f"{key} = {_value(value)}\n" for key, value in tree.items())


def _value(x: Any) -> str:
    if isinstance(x, bool):
        return "true" if x else "false"
    if isinstance(x, str):
        return f'"{x}"'
    if isinstance(x, dict):
        return "{" + ", ".join(f"{k} = {_value(v)}" for k, v in x.items()) + "}"
    if isinstance(x, list):
        return "[" + ", ".join(_value(v) for v in x) + "]"
    return repr(x)
