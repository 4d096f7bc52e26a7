"""Random pens built to be valid: sizes that a maker could cut, all kinds of mandrel."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

from hypothesis import strategies as st

from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter, starter_names

PITCHES = (0.35, 0.5, 0.6, 0.75, 0.8, 1.0, 1.25, 1.5)
SHOP_TREE = {
    "schema": 1,
    "collets": [
        {"system": "ISO 15488-25", "sizes": [4, 5, 6, 8, 10, 12, 14, 16], "nut_length": 4},
        {"system": "ISO 15488-40", "sizes": [18, 20, 22, 24, 26]},
    ],
}
SHOP = Shop.model_validate(SHOP_TREE)


def designation(d: float, p: float, starts: int, left: bool) -> str:
    """Metric text of a thread."""
    body = f"M{d:g}xPh{starts * p:g}P{p:g}" if starts > 1 else f"M{d:g}x{p:g}"
    return body + ("-LH" if left else "")


@st.composite
def thread_sizes(draw: st.DrawFn, least: float = 4.0, most: float = 30.0) -> dict[str, Any]:
    """Diameter 4 to 30, pitch 0.35 to 1.5, 1 to 6 starts, both hands."""
    p = draw(st.sampled_from(PITCHES))
    d = draw(st.integers(int(max(least, 6 * p) * 10), int(most * 10))) / 10
    starts = draw(st.integers(1, 6)) if d >= 8 else draw(st.integers(1, 2))
    return {"d": d, "p": p, "starts": starts, "left": draw(st.booleans())}


def _text(t: dict[str, Any]) -> str:
    return designation(t["d"], t["p"], t["starts"], t["left"])


@st.composite
def tapped_ends(draw: st.DrawFn) -> tuple[dict[str, Any], float]:
    """An end with an internal thread, and the part's least length."""
    t = draw(thread_sizes())
    need = 6 * t["p"] + 4
    counterbore = draw(st.booleans())
    depth = need + draw(st.integers(0, 120)) / 10
    tap_hole = round(t["d"] - t["p"], 2)
    end: dict[str, Any] = {
        "diameter": round(t["d"] + 2.4 + draw(st.integers(0, 40)) / 10, 2),
        "internal": {"thread": _text(t), "depth": depth, "tap_lead": round(1.5 * t["p"], 2)},
        "bore": [
            {
                "diameter": tap_hole,
                "depth": depth + draw(st.integers(0, 400)) / 10,
                "made": draw(st.sampled_from(["drilled", "reamed", "bored"])),
            }
        ],
    }
    if counterbore:
        end["internal"]["counterbore"] = {
            "diameter": round(t["d"] + 0.4, 2), "depth": 1.5,
            "made": draw(st.sampled_from(["drilled", "bored"])),
        }  # fmt: skip
        end["diameter"] += 1.0
    return end, depth + 45


@st.composite
def tenon_ends(draw: st.DrawFn) -> tuple[dict[str, Any], float]:
    """An end with an external thread on a tenon, and the part's least length."""
    t = draw(thread_sizes())
    p = t["p"]
    end = {
        "diameter": round(t["d"] + 2.6 + draw(st.integers(0, 40)) / 10, 2),
        "external": {
            "thread": _text(t),
            "length": round(8 * p + 2 + draw(st.integers(0, 60)) / 10, 2),
            "unformed": round(draw(st.sampled_from([0.5, 1.0, 2.0])) * p, 2),
            "chamfer": round(0.6 * p, 2),
        },
    }
    return end, float(end["external"]["length"]) + 20  # type: ignore[index]


@st.composite
def plain_ends(draw: st.DrawFn) -> tuple[dict[str, Any], float]:
    """An end with a plain reamed bore."""
    d = draw(st.integers(40, 240)) / 10
    depth = d * 2 + draw(st.integers(50, 300)) / 10
    end = {
        "diameter": round(d + 3, 2),
        "bore": [{"diameter": d, "depth": depth, "made": "reamed"}],
        "bottom": draw(st.sampled_from(["flat", "drill-point"])),
    }
    return end, depth + 15


@st.composite
def trees(draw: st.DrawFn) -> dict[str, Any]:
    """A pen file of one part, one end, one mandrel of any kind, with some of the options."""
    end, length = draw(st.one_of(tapped_ends(), tenon_ends(), plain_ends()))
    wishes: dict[str, Any] = {
        "fit": draw(st.sampled_from(["close", "normal", "free"])),
        "flats": draw(st.booleans()),
        "thread_order": draw(st.sampled_from(["single-point", "my-tool", "blank"])),
        "centre_holes": draw(st.sampled_from(["both", "nose", "none"])),
    }
    if relief := draw(st.sampled_from(["", "groove", "none"])):
        wishes["thread_relief"] = relief
    if draw(st.integers(0, 3)) == 0:
        wishes["soft_washer"] = 0.5
    request: dict[str, Any] = {"holds": "body.mouth"}
    if not end.get("internal") and not end.get("external"):
        request["kind"] = draw(st.sampled_from(["spigot", "tailstock-button"]))
    return {
        "schema": 1,
        "pen": {"id": "random", "name": "Random"},
        "parts": {
            "body": {
                "length": round(length, 2),
                "diameter": end["diameter"],
                "ends": {"mouth": end},
            }
        },
        "mandrels": {"defaults": wishes, "requests": [request]},
    }


def pens() -> st.SearchStrategy[Pen]:
    """The same, as read."""
    return trees().map(Pen.model_validate)


@st.composite
def varied_starters(draw: st.DrawFn) -> dict[str, Any]:
    """A whole pen of several parts: a shipped one, some of its sizes a little or far off."""
    tree = tomllib.loads(starter("pen", draw(st.sampled_from(starter_names("pen")))).decode())
    places = list(_numbers(tree))
    for _ in range(draw(st.integers(1, 6))):
        table, key = draw(st.sampled_from(places))
        factor = draw(st.sampled_from([0.5, 0.8, 0.9, 0.97, 0.99, 1.01, 1.03, 1.1, 1.25, 2.0]))
        table[key] = round(table[key] * factor, 2)
    return tree


def _numbers(tree: Any) -> Iterator[tuple[Any, Any]]:
    """Table (or list) and key of every measure of a pen file."""
    for key, value in tree.items() if isinstance(tree, dict) else enumerate(tree):
        if isinstance(value, float):
            yield tree, key
        elif isinstance(value, dict | list):
            yield from _numbers(value)


@st.composite
def double_ended_trees(draw: st.DrawFn) -> dict[str, Any]:
    """A pen file of two parts, one end each, and a mandrel with a working end for either."""
    parts: dict[str, Any] = {}
    for name in ("front", "back"):
        end, length = draw(st.one_of(tapped_ends(), tenon_ends(), plain_ends()))
        parts[name] = {
            "length": round(length, 2), "diameter": end["diameter"], "ends": {"mouth": end}
        }  # fmt: skip
    # The end that is not in use passes through the collet.
    wide = max(p["diameter"] for p in parts.values())
    shank = next((d for d in (16, 18, 20, 22, 24, 26) if d >= wide), 26)
    wishes = {
        "fit": draw(st.sampled_from(["close", "normal", "free"])),
        "flats": draw(st.booleans()),
        "thread_order": draw(st.sampled_from(["single-point", "my-tool", "blank"])),
        "centre_holes": draw(st.sampled_from(["both", "nose", "none"])),
    }
    if relief := draw(st.sampled_from(["", "groove", "none"])):
        wishes["thread_relief"] = relief
    request = {
        "holds": "front.mouth", "also_holds": "back.mouth", "kind": "double-ended",
        "shank_diameter": shank, "soft_washer": draw(st.sampled_from([0.0, 0.5])),
    }  # fmt: skip
    return {
        "schema": 1,
        "pen": {"id": "random", "name": "Random"},
        "parts": parts,
        "mandrels": {"defaults": wishes, "requests": [request]},
    }


def double_ended_pens() -> st.SearchStrategy[Pen]:
    """The same, as read."""
    return double_ended_trees().map(Pen.model_validate)
