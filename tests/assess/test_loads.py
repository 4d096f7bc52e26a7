"""How a mandrel is used: what the request says, else the pen, else what is assumed and said.

The assumed values are retyped here; the rules are common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.loads import Loads, loads
from mandrelgen.spec.pen import FarEnd, MandrelType
from mandrelgen.spec.shop import Shop
from tests.support.judged_pens import plug_pen
from tests.support.randompens import SHOP

ALONE = SHOP.model_copy(update={"lathe": SHOP.lathe.model_copy(update={"tailstock": False})})
PRACTICE = "common practice, no source"
ASSUMED = (
    f"side load 50 N ({PRACTICE})",
    f"torque 0.4 N·m ({PRACTICE})",
    f"catch 200 N ({PRACTICE})",
    f"catch 2 N·m ({PRACTICE})",
    "thread friction 0.15 (from memory)",
    "seat friction 0.15 (from memory)",
    f"target for the joint step 0.05 mm ({PRACTICE})",
)


def used(
    use: dict[str, Any] | None = None,
    of_request: dict[str, Any] | None = None,
    shop: Shop = SHOP,
    kind: MandrelType = MandrelType.PLUG,
) -> Loads:
    pen = plug_pen(use, wishes={} if of_request is None else {"use": of_request})
    return loads(pen, shop, pen.mandrels.requests[0], kind)


def test_without_a_word_everything_is_assumed_and_said() -> None:
    found = used()
    assert found == Loads(
        side=50.0,
        torque=0.4,
        catch_side=200.0,
        catch_torque=2.0,
        speed=None,
        tailstock=False,
        roughing_up=True,
        far_end=None,
        finish_only=False,
        tailstock_missing=False,
        thread_friction=0.15,
        seat_friction=0.15,
        target=0.05,
        said=("tailstock up for roughing, away for finishing (not said)", *ASSUMED),
    )
    pen = plug_pen()
    assert loads(pen, SHOP, None, MandrelType.PLUG) == found


OWN: dict[str, tuple[float, str]] = {
    "side_load": (25.0, "side"), "torque": (0.2, "torque"), "catch_force": (100.0, "catch_side"),
    "catch_torque": (1.0, "catch_torque"), "thread_friction": (0.1, "thread_friction"),
    "seat_friction": (0.12, "seat_friction"), "target_step": (0.08, "target"),
    "speed": (900, "speed"),
}  # fmt: skip


@pytest.mark.parametrize("key", OWN)
def test_a_value_of_the_maker_s_replaces_its_assumption_alone(key: str) -> None:
    value, field = OWN[key]
    found = used({key: value})
    changed = {f for f in Loads._fields if getattr(found, f) != getattr(used(), f)}
    assert changed == ({field} if key == "speed" else {field, "said"})
    assert getattr(found, field) == value
    if key != "speed":
        gone = set(used().said) - set(found.said)
        assert len(gone) == 1
        assert set(found.said) < set(used().said)


def test_the_request_s_word_goes_before_the_pen_s_and_what_it_leaves_out_is_the_pen_s() -> None:
    pens = {"side_load": 20.0, "torque": 0.1, "tailstock": True, "far_end": "pip"}
    found = used(pens, {"side_load": 30.0, "tailstock": False, "far_end": "bore"})
    assert (found.side, found.torque) == (30.0, 0.1)
    assert (found.tailstock, found.roughing_up) == (False, False)
    assert found.far_end is FarEnd.BORE
    found = used(pens, {"side_load": 30.0})
    assert (found.tailstock, found.roughing_up, found.far_end) == (True, True, FarEnd.PIP)


@pytest.mark.parametrize(
    ("kind", "shop", "stated", "expected", "said"),
    [
        (MandrelType.PLUG, SHOP, None, (False, True, False), "up for roughing, away for finishing"),
        (MandrelType.PLUG, ALONE, None, (False, False, False), "away"),
        (MandrelType.SPIGOT, SHOP, None, (True, True, False), "up"),
        (MandrelType.SPIGOT, ALONE, None, (False, False, True), "away"),
        (MandrelType.PLUG, SHOP, True, (True, True, False), ""),
        (MandrelType.PLUG, ALONE, True, (False, False, True), ""),
        (MandrelType.PLUG, SHOP, False, (False, False, False), ""),
        (MandrelType.SPIGOT, SHOP, False, (False, False, False), ""),
    ],
)
def test_where_the_tailstock_is(
    kind: MandrelType,
    shop: Shop,
    stated: bool | None,
    expected: tuple[bool, bool, bool],
    said: str,
) -> None:
    """Up all the time, up for roughing, asked for and not on the lathe: a plain spigot wants it,
    every other mandrel only for roughing, unless the maker says."""
    found = used({} if stated is None else {"tailstock": stated}, None, shop, kind)
    assert (found.tailstock, found.roughing_up, found.tailstock_missing) == expected
    first = (f"tailstock {said} (not said)",) if said else ()
    assert found.said == (*first, *ASSUMED)


def test_finished_only_if_pen_or_request_says_so() -> None:
    assert used({"finish_only": True}).finish_only
    assert used({}, {"finish_only": True}).finish_only
    assert not used({"speed": 300}, {"finish_only": False}).finish_only
