"""My lathe measured once, my taps and dies: what they replace, by plain arithmetic, and that it is
said."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.settled import settled
from mandrelgen.core.errors import InputError
from mandrelgen.design import ends
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.holding import (
    ColletHold,
    Holding,
    Locator,
    PartEnd,
    SeatFace,
    State,
    Surface,
    causes,
)
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.starters import starter

BENCH = starter("shop", "bench").decode()


def _designed(lathe: str) -> Designed:
    pen = read_pen(starter("pen", "avocet"), "pen.toml")
    shop = read_shop(BENCH.replace("[lathe]\n", f"[lathe]\n{lathe}\n").encode(), "shop.toml")
    return settled(pen, effective_shop(shop, pen)).designed[0]


def _said(d: Designed) -> str:
    assert d.verdict is not None
    return " | ".join(d.verdict.assumptions)


def _worst(d: Designed) -> float:
    assert d.verdict is not None
    return d.verdict.truth.runout_end.tight.worst


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ("run_out_nut = 0.004\nrun_out_40 = 0.008", "0.004 at the nut and 0.008 40 out, measured"),
        ("tailstock_side = 0.3", "tilted 0.286° (tailstock 0.3 off"),
        ("drill_drift = 0.5", "bore drifts 0.1 in 10 mm (measured on this lathe)"),
    ],
)
def test_each_reading_replaces_a_value_from_memory_and_says_so(keys: str, words: str) -> None:
    usual, measured = _designed(""), _designed(keys)
    assert words not in _said(usual)
    assert words in _said(measured)


def test_a_tailstock_off_centre_leans_the_thread_and_shows_in_the_budget() -> None:
    """0.3 over 60: atan = 0.286°, against 0.1° from memory; on centre less than either."""
    on, usual, off = (
        _worst(_designed(k)) for k in ("tailstock_side = 0.0", "", "tailstock_side = 0.3")
    )
    assert on <= usual <= off
    assert on < off


def test_two_readings_give_the_run_out_at_the_seat_by_a_straight_line() -> None:
    """0.01 at the nut, 0.03 at 40 out: 0.02 at 20, half of it to the side; 0.0005 mm a mm."""
    thread = Locator(id="t", on=Surface.THREAD, clearance=0.0, z0=0.0, z1=5.0)
    collet = ColletHold(0.01, 40.0, 20.0, slope=0.0005)
    held = Holding(
        locators=(thread,), part=PartEnd(), collet=collet, seat=SeatFace(0.01, 10.0),
        friction=0.15, residual=0.3,
    )  # fmt: skip
    cause = next(c for c in causes(held, State.TIGHT, Surface.THREAD, 0.0) if c.label == "collet")
    assert cause.lateral == pytest.approx(0.02 / 2)
    assert cause.tilt == pytest.approx(0.0005 / 2)


def test_one_reading_of_two_is_refused() -> None:
    text = BENCH.replace("[lathe]\n", "[lathe]\nrun_out_nut = 0.01\n")
    with pytest.raises(InputError, match="add run_out_40"):
        read_shop(text.encode(), "shop.toml")


TOOLS = """schema = 1
[[taps]]
thread = "M9x0.75"
lead = 3.1
tolerance_class = "7H"
[[dies]]
thread = "M9x0.75"
id = "old-one"
incomplete = 1.9
condition = "worn"
"""


def _pen(**more: Any) -> Pen:
    inner = {"thread": "M9x0.75", "depth": 11.0, **more.get("internal", {})}
    outer = {"thread": "M9x0.75", "length": 8.0, **more.get("external", {})}
    parts = {
        "barrel": {"length": 60, "diameter": 14, "ends": {"mouth": {"internal": inner}}},
        "section": {"length": 30, "diameter": 12, "ends": {"rear": {"external": outer}}},
    }
    return Pen.model_validate({"schema": 1, "pen": {"id": "x", "name": "x"}, "parts": parts})


def test_a_thread_takes_lead_class_and_incomplete_threads_from_its_own_tool() -> None:
    shop, pen = read_shop(TOOLS.encode(), "shop.toml"), _pen()
    barrel, section = pen.parts["barrel"], pen.parts["section"]
    tapped = ends.tapped_end(barrel, barrel.ends["mouth"], shop)
    assert tapped.full == pytest.approx(11.0 - 3.1)
    assert tapped.thread.tolerance_class == "7H"
    tenon = ends.tenon_end(section.ends["rear"], shop)
    assert tenon.unformed_max == pytest.approx(1.9)
    assert any("worn" in a for a in tenon.known)
    assert any("3.10, of the tap in the shop file" in a for a in tapped.known)


def test_what_the_pen_says_wins_over_the_tool() -> None:
    shop = read_shop(TOOLS.encode(), "shop.toml")
    pen = _pen(internal={"thread": "M9x0.75-6H", "tap_lead": 1.0}, external={"unformed": 0.5})
    barrel, section = pen.parts["barrel"], pen.parts["section"]
    tapped = ends.tapped_end(barrel, barrel.ends["mouth"], shop)
    assert (tapped.full, tapped.thread.tolerance_class) == (pytest.approx(10.0), "6H")
    assert ends.tenon_end(section.ends["rear"], shop).unformed_max == 0.5


def test_of_two_dies_of_one_thread_the_named_one_counts() -> None:
    two = TOOLS + '[[dies]]\nthread = "M9x0.75"\nid = "new-one"\nincomplete = 0.9\n'
    shop = read_shop(two.encode(), "shop.toml")
    unnamed = _pen().parts["section"].ends["rear"]
    named = _pen(external={"tool": "new-one"}).parts["section"].ends["rear"]
    assert ends.tenon_end(unnamed, shop).unformed_max == pytest.approx(1.5)  # 2 P, as usual
    assert ends.tenon_end(named, shop).unformed_max == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("said", "instead", "words"),
    [
        ("lead = 3.1", "incomplete = 3.1", "a tap has no incomplete"),
        ("incomplete = 1.9", "lead = 1.9", "a die has no lead"),
        ("[[dies]]", '[[dies]]\nthread = "M8x0.75"\nid = "old-one"\n[[dies]]', "already the id"),
    ],
)
def test_a_tool_says_what_its_kind_has(said: str, instead: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_shop(TOOLS.replace(said, instead).encode(), "shop.toml")
