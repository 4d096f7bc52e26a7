"""Every kind of bad pen is caught by its own finding, and a good pen has none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mandrelgen.assess import mandrel_findings as mandrel_checks
from mandrelgen.assess.choose_tolerances import neighbours_of, situated
from mandrelgen.assess.end_assessment import judge
from mandrelgen.assess.settled import designs
from mandrelgen.core.errors import Level
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import ChuckMount, Shop
from tests.support.judged_pens import codes, cup_pen, plug_pen, said, verdict_of
from tests.support.randompens import SHOP

NO_TAILSTOCK = SHOP.model_copy(update={"lathe": SHOP.lathe.model_copy(update={"tailstock": False})})
TAPER = SHOP.model_copy(update={"lathe": SHOP.lathe.model_copy(update={"chuck": ChuckMount.TAPER})})
W, E = Level.WARNING, Level.ERROR
BAD: dict[str, tuple[str, Level, Pen, Shop]] = {
    "long and thin": ("use.part_weak", W, plug_pen(outside=12.2, length=150.0,
                      wishes={"material": "11SMn30"},
                      bore=[{"diameter": 9.2, "depth": 140}]), NO_TAILSTOCK),
    "a mandrel that yields": ("use.mandrel_weak", W, plug_pen(thread="M4x0.5-6H",
                              countersink=4.2, bore=[{"diameter": 3.5, "depth": 20}],
                              length=80.0, wishes={"material": "CW614N"}), NO_TAILSTOCK),
    "tailstock on nothing": ("use.far_end", W, plug_pen({"tailstock": True,
                             "far_end": "nothing"}), SHOP),
    "taper without a draw-bar": ("use.taper", E, plug_pen(), TAPER),
    "speed over the cap": ("use.speed", E, plug_pen({"speed": 5000}), SHOP),
    "plastic without a word on speed": ("use.speed", W, plug_pen(wishes={"material": "acetal"}),
                                        SHOP),
    "plastic too fast": ("use.speed", E, plug_pen({"speed": 2500, "tailstock": True},
                         wishes={"material": "acetal"}), SHOP),
    "plastic without tailstock": ("use.speed", E, plug_pen({"speed": 500},
                                  wishes={"material": "acetal"}), SHOP),
    "plastic worn out at once": ("use.speed", E, plug_pen({"speed": 500, "side_load": 600.0,
                                 "tailstock": True}, wishes={"material": "acetal"}), SHOP),
    "not self-locking": ("use.locking", W, plug_pen({"thread_friction": 0.05},
                         thread="M12xPh3P0.75-6H", countersink=12.2, outside=16.0,
                         bore=[{"diameter": 11.2, "depth": 30}]), SHOP),
    "start spacing": ("use.spacing", W, plug_pen(thread="M12xPh2.4P0.8-6H", countersink=12.2,
                      outside=16.0, bore=[{"diameter": 11.2, "depth": 30}],
                      wishes={"thread_class": "4h"}), SHOP),
    "too much friction to centre": ("use.no_centring", W, plug_pen({"seat_friction": 0.3}), SHOP),
    "no tailstock on the lathe": ("use.tailstock", E, plug_pen({"tailstock": True}), NO_TAILSTOCK),
    "flats refused": ("use.flats", W, plug_pen({"catch_torque": 4.0}, wishes={"flats": False}),
                      SHOP),
    "left hand": ("use.sense", W, plug_pen(thread="M10x0.75-LH"), SHOP),



}  # fmt: skip


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_pen_of_every_kind_is_caught(kind: str) -> None:
    code, level, pen, shop = BAD[kind]
    found = designs(pen, shop)
    assert all(d.mandrel is not None for d in found), found[0].findings
    assert codes(found).get(code) is level, codes(found)
    for f in said(found):
        assert f.message
        assert f.remedy


def test_a_good_pen_has_none_of_these() -> None:
    """Every kind above comes from its own fault: without it the same pens are not blamed."""
    use = {"tailstock": True, "far_end": "pip"}
    for pen in (plug_pen(use), cup_pen(use)):
        assert codes(designs(pen, SHOP)) == {}


def test_every_code_of_the_checks_is_in_the_list_of_bad_pens() -> None:
    """No finding without a pen that brings it; bottoming and binding are tried on their own."""
    import inspect
    import re

    source = inspect.getsource(mandrel_checks)
    written = set(re.findall(r'"(use\.[a-z_]+)"', source))
    written |= {f"use.{kind}" for kind in mandrel_checks.REMEDY}
    of_checks = {f"use.{kind}" for kind in mandrel_checks.REMEDY}
    # Notes, findings of joints and of walls: tried elsewhere.
    others = {"use.bottoms", "use.binds", "use.step", "use.reveal", "use.chuck", "use.locators",
              "use.wall"}  # fmt: skip
    assert written == {b[0] for b in BAD.values()} | of_checks | others


@pytest.mark.parametrize("kind", mandrel_checks.REMEDY)
def test_a_place_that_fails_is_told_in_one_row_with_what_goes_with_it(kind: str) -> None:
    v = verdict_of(designs(plug_pen(), SHOP)[0])
    weak = StrengthCheck(id=f"{kind}.x", label="it gives way", demand=2, capacity=1, unit="N")
    other = StrengthCheck(id="seat.y", label="the other", demand=1, capacity=0.9, unit="N")
    found = mandrel_checks.of_verdict(replace(v, checks=(other, weak)), "x")
    (row,) = [f for f in found if f.level is W]
    assert row.code == f"use.{kind}"
    assert "safety factor 0.50 (1.0 required)" in row.message
    assert row.message.endswith("so would: the other")
    assert row.remedy == mandrel_checks.REMEDY[kind]


def test_a_mandrel_that_bottoms_or_binds_is_caught() -> None:
    """The designer never makes one; a drawing changed by hand is judged all the same."""
    pen = plug_pen(wishes={"spigot_length": 10.0})
    (d,) = designs(pen, SHOP)
    assert d.mandrel is not None

    def changed(id: str, **limits: float) -> Mandrel:
        assert d.mandrel is not None
        row = tuple(
            replace(c, **limits) if c.id == id else c  # type: ignore[arg-type]
            for c in d.mandrel.characteristics
        )
        return replace(d.mandrel, characteristics=row)

    for mandrel, code, number in (
        (changed("thread.end", upper=12.0), "use.bottoms", "thread.end"),
        (changed("nose.end", upper=31.0), "use.bottoms", "nose.end"),
        (changed("spigot1.diameter", upper=9.25), "use.binds", "0.05"),
    ):
        ends = situated(replace(d, mandrel=mandrel), pen, SHOP)
        v = judge(ends[0], neighbours_of({"x": ends}), pen, SHOP)
        found = [f for f in mandrel_checks.of_verdict(v, "x") if f.code == code]
        assert found, code
        assert number in found[0].message
