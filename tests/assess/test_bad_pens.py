"""Every kind of bad pen is caught by its own finding, and a good pen has none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mandrelgen.assess import mandrel_findings as mandrel_checks
from mandrelgen.assess.choose_tolerances import neighbours_of, situated
from mandrelgen.assess.end_assessment import judge
from mandrelgen.assess.settled import designs
from mandrelgen.core.errors import Level
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from tests.support.judged_pens import codes, cup_pen, plug_pen
from tests.support.randompens import SHOP

NO_TAILSTOCK = SHOP.model_copy(update={"lathe": SHOP.lathe.model_copy(update={"tailstock": False})})
W, E = Level.WARNING, Level.ERROR
BAD: dict[str, tuple[str, Level, Pen, Shop]] = {
    "step over the target": ("use.step", W, plug_pen({"target_step": 0.005}), SHOP),
    "bursting lip": ("use.lip", W, plug_pen({"catch_torque": 6.0}, outside=12.2), SHOP),
    "seat crushed": ("use.seat", W, plug_pen({"catch_torque": 30.0}, outside=12.2), SHOP),
    "stripping": ("use.strip", W, plug_pen({"catch_torque": 40.0}), SHOP),
    "core pulled off": ("use.tension", W, plug_pen({"catch_torque": 50.0}, thread="M5x0.5-6H",
                        countersink=5.2, bore=[{"diameter": 4.5, "depth": 20}]), SHOP),
    "slip in the collet": ("use.slip", W, plug_pen({"catch_torque": 50.0}), SHOP),
    "bends in normal work": ("use.bend", W, plug_pen({"side_load": 400.0}), SHOP),
    "breaks in a catch": ("use.catch", W, plug_pen({"catch_force": 1500.0}), SHOP),
    "twists off": ("use.twist", W, plug_pen({"catch_torque": 50.0},
                   wishes={"material": "PLA"}), SHOP),
    "speed over the cap": ("use.speed", E, plug_pen({"speed": 5000}), SHOP),
    "plastic without a word on speed": ("use.speed", W, plug_pen(wishes={"material": "acetal"}),
                                        SHOP),
    "plastic too fast": ("use.speed", E, plug_pen({"speed": 2500, "tailstock": True},
                         wishes={"material": "acetal"}), SHOP),
    "plastic without tailstock": ("use.speed", E, plug_pen({"speed": 500},
                                  wishes={"material": "acetal"}), SHOP),
    "plastic worn out at once": ("use.life", E, plug_pen({"speed": 500, "side_load": 600.0},
                                 wishes={"material": "acetal"}), SHOP),
    "not self-locking": ("use.locking", W, plug_pen({"thread_friction": 0.05},
                         thread="M12xPh3P0.75-6H", countersink=12.2, outside=16.0,
                         bore=[{"diameter": 11.2, "depth": 30}]), SHOP),
    "binding locators": ("use.locators", W, plug_pen(made="freehand", face="freehand",
                         bore=[{"diameter": 9.2, "depth": 30, "made": "bored"}],
                         wishes={"fit": "close"}), SHOP),
    "start spacing": ("use.spacing", W, plug_pen(thread="M12xPh2.4P0.8-6H", countersink=12.2,
                      outside=16.0, bore=[{"diameter": 11.2, "depth": 30}],
                      wishes={"thread_class": "4h"}), SHOP),
    "too much friction to centre": ("use.no_centring", W, plug_pen({"seat_friction": 0.3}), SHOP),
    "no tailstock on the lathe": ("use.tailstock", E, plug_pen({"tailstock": True}), NO_TAILSTOCK),
    "flats refused": ("use.flats", W, plug_pen({"catch_torque": 4.0}, wishes={"flats": False}),
                      SHOP),
    "left hand": ("use.sense", W, plug_pen(thread="M10x0.75-LH"), SHOP),
    "wall turned thin": ("use.wall", W, plug_pen(outside=12.0, length=80.0, face="freehand",
                         made="freehand",
                         bore=[{"diameter": 9.2, "depth": 70.0, "made": "drilled"}]), SHOP),
    "cup's wall gives way": ("use.cup", W, cup_pen({"catch_torque": 40.0},
                             wishes={"material": "PLA"}), SHOP),
    "tenon crushed": ("use.tenon", W, cup_pen({"catch_torque": 40.0}, bore=8.0), SHOP),
}  # fmt: skip


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_pen_of_every_kind_is_caught(kind: str) -> None:
    code, level, pen, shop = BAD[kind]
    found = designs(pen, shop)
    assert all(d.mandrel is not None for d in found), found[0].findings
    said = codes(found)
    assert said.get(code) is level, said
    for f in mandrel_checks.check(found):
        assert f.message
        assert f.remedy


def test_a_good_pen_has_none_of_these() -> None:
    """Every kind above comes from its own fault: without it the same pens are not blamed."""
    use = {"tailstock": True, "target_step": 0.2}
    for pen in (plug_pen(use), cup_pen(use)):
        assert codes(designs(pen, SHOP)) == {}


def test_every_code_of_the_checks_is_in_the_list_of_bad_pens() -> None:
    """No finding without a pen that brings it; bottoming and binding are tried on their own."""
    import inspect
    import re

    source = inspect.getsource(mandrel_checks)
    written = set(re.findall(r'"(use\.[a-z_]+)"', source))
    written |= {f"use.{kind}" for kind in mandrel_checks.REMEDY}
    assert written == {b[0] for b in BAD.values()} | {"use.bottoms", "use.binds"}


def test_a_mandrel_that_bottoms_or_binds_is_caught() -> None:
    """The designer never makes one; a drawing changed by hand is judged all the same."""
    pen = plug_pen()
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
