"""The verdict on whole pens: every number traced, every kind of bad pen caught, monotone rules.

The rules are common practice, no source; the numbers are worked again here from the drawing's
characteristics and the pen file, by other ways than the program's.
"""

from __future__ import annotations

import itertools
import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mandrelgen.checks import mandrel as mandrel_checks
from mandrelgen.checks.story import paragraph
from mandrelgen.cli import main
from mandrelgen.comparing import table, view
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import design, design_one
from mandrelgen.design.plan import plan
from mandrelgen.design.settled import LADDER, SEAT_LOOSEST, Settled
from mandrelgen.design.settling import judged, neighbours_of, situated
from mandrelgen.design.stiff import beam
from mandrelgen.design.verdict import judge
from mandrelgen.design.whatif import compare
from mandrelgen.errors import InputError, Level
from mandrelgen.mandrel import Mandrel
from mandrelgen.mechanics.verdict_types import Verdict
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.verdictview import verdict as verdict_view
from tests.randompens import SHOP, pens

STARTERS = {"heron": "bench", "wren": "bench", "bittern": "small"}


def starters(name: str) -> tuple[Pen, Shop]:
    shop = STARTERS[name]
    return read_pen(starter("pen", name), name), read_shop(starter("shop", shop), shop)


def fixed(pen: Pen, shop: Shop, rung: float = 0.02) -> tuple[Designed, ...]:
    """Designed with given run-outs, so that only what a test varies changes."""
    one = tuple(design_one(pen, shop, p, Settled(rung=rung)) for p in plan(pen))
    return judged(pen, shop, one)


def verdict_of(d: Designed) -> Verdict:
    assert d.verdict is not None, d.findings
    return d.verdict


def codes(designed: tuple[Designed, ...]) -> dict[str, Level]:
    return {f.code: f.level for f in mandrel_checks.check(designed)}


# -- a pen that can be made bad in every way ------------------------------------------------------
def plug_pen(use: dict[str, Any] | None = None, **change: Any) -> Pen:
    """One part with an internal thread; ``change``: thread, made, face, outside, bore, wishes."""
    end: dict[str, Any] = {
        "diameter": change.get("outside", 15.0),
        "face_made": change.get("face", "single-point"),
        "internal": {
            "thread": change.get("thread", "M10x0.75-6H"),
            "depth": 10.0,
            "tap_lead": 1.0,
            "countersink": change.get("countersink", 10.2),
            "made": change.get("made", "single-point"),
        },
        "bore": change.get("bore", [{"diameter": 9.2, "depth": 30.0, "made": "reamed"}]),
    }
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "test", "name": "Test"},
            "parts": {
                "body": {
                    "length": change.get("length", 40.0),
                    "diameter": change.get("outside", 15.0),
                    "material": change.get("stuff", "cast-acrylic"),
                    "ends": {"mouth": end},
                }
            },
            "mandrels": {
                "use": use or {},
                "requests": [{"holds": "body.mouth", **change.get("wishes", {})}],
            },
        }
    )


def cup_pen(use: dict[str, Any] | None = None, **change: Any) -> Pen:
    """One part with a tenon."""
    end = {
        "diameter": 13.0,
        "face_made": "single-point",
        "external": {
            "thread": change.get("thread", "M10x0.75-6g"),
            "length": 8.0,
            "unformed": 0.75,
            "chamfer": 0.5,
            "made": "single-point",
        },
        "bore": [{"diameter": change.get("bore", 6.0), "depth": 25.0}],
    }
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "test", "name": "Test"},
            "parts": {"body": {"length": 40.0, "diameter": 13.0, "ends": {"mouth": end}}},
            "mandrels": {
                "use": use or {},
                "requests": [{"holds": "body.mouth", **change.get("wishes", {})}],
            },
        }
    )


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
    found = design(pen, shop)
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
        assert codes(design(pen, SHOP)) == {}


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
    (d,) = design(pen, SHOP)
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


# -- the numbers ----------------------------------------------------------------------------------
def test_the_step_of_a_pen_by_hand() -> None:
    """Every cause of the cap's step worked again from the drawing, the pen and the shop."""
    pen, shop = starters("wren")
    designed = {d.planned.id: d for d in design(pen, shop)}
    cap, barrel = designed["cap-mouth-plug"], designed["barrel-mouth-plug"]
    v = verdict_of(cap)
    got = {s.cause.id: s.eccentricity for s in v.truth.step.budget.shares}
    assert cap.mandrel is not None
    assert barrel.mandrel is not None
    quarter = 0.25  # share of a thread's play left when pulled tight: from memory
    for d, prefix in ((cap, ""), (barrel, "neighbour:")):
        assert d.mandrel is not None
        part_max = d.mandrel.threads[0].partner.pitch.max
        own_min = d.mandrel.characteristic("thread.pitch_diameter").lower
        assert part_max is not None
        assert own_min is not None
        play = (part_max - own_min) / 2 * quarter
        assert got[f"{prefix}thread.pitch_diameter"] == pytest.approx(play, abs=1e-9)
    # ISO 15488 class 2: 0.020 at 40 for ⌀12, 0.015 at 25 for ⌀9; the seats stand nearer.
    assert got["collet.runout"] == pytest.approx(0.010)
    assert got["neighbour:collet.runout"] == pytest.approx(0.0075)
    # M11x0.75 6g in 6H: ISO 965-1 Td2 100, TD2 132 + es 22 (1998 edition, up to 11.2).
    assert got["joint.barrel.mouth-cap.mouth"] == pytest.approx(0.254 / 2 * quarter, abs=1e-9)
    total = math.sqrt(sum(e * e for e in got.values()))
    tight = v.truth.step.states.tight
    assert tight.statistical == pytest.approx(total, rel=0.05)  # ids met twice count twice
    assert tight.worst == pytest.approx(
        sum(s.eccentricity for s in v.truth.step.budget.shares), abs=1e-9
    )


@pytest.mark.parametrize("name", STARTERS)
def test_every_cause_leads_to_a_characteristic_or_an_input(name: str) -> None:
    pen, shop = starters(name)
    designed = design(pen, shop)
    known = {c.id for d in designed if d.mandrel for c in d.mandrel.characteristics}
    for d in designed:
        v = verdict_of(d)
        assert len(v.assumptions) >= 6
        assert sum(s.of_variance for s in v.truth.step.budget.shares) == pytest.approx(1)
        for s in v.truth.step.budget.shares:
            bare = s.cause.id.removeprefix("neighbour:")
            assert bare in known or bare.split(".")[0] in ("collet", "part", "joint"), bare
        for g in v.gaps:
            assert g.id in known or g.id == "thread.engagement", g.id


@pytest.mark.parametrize("name", STARTERS)
def test_deflection_by_the_unit_load_integral(name: str) -> None:
    """Maxwell-Mohr: δ = Σ F/EI ∫ (L−z)² dz over the stretches; same stretches, other method."""
    pen, shop = starters(name)
    for d in design(pen, shop):
        row = beam(situated(d, pen, shop)[0])
        length = sum(s.length for s in row)
        total, z = 0.0, 0.0
        for s in row:
            a, b = length - z, length - z - s.length
            inertia = math.pi / 64 * (s.outer**4 - s.inner**4)
            total += 50.0 / (s.modulus * inertia) * (a**3 - b**3) / 3
            z += s.length
        stiffness = verdict_of(d).stiffness
        assert stiffness is not None
        assert stiffness.away.tool == pytest.approx(total, rel=1e-6)
        assert stiffness.up.tool < stiffness.away.tool


def test_the_beam_reaches_from_the_collet_to_the_far_end() -> None:
    """Stand-off 15 (default) plus the nut's 4 to the seat, then the part."""
    pen = plug_pen()
    (d,) = design(pen, SHOP)
    stiffness = verdict_of(d).stiffness
    assert stiffness is not None
    assert stiffness.overhang == pytest.approx(15 + 4 + 40)


def test_pull_and_lip_by_hand() -> None:
    """2 N·m on M10x0.75, µ 0.15: F = T / (d2/2·tan(ρ'+λ) + µ·rm), then Lamé at the groove."""
    pen = plug_pen(outside=15.0)
    (d,) = design(pen, SHOP)
    v = verdict_of(d)
    assert d.mandrel is not None
    assert v.screwed is not None
    d2 = 10 - 0.649519 * 0.75
    collar = d.mandrel.characteristic("collar.diameter").lower
    assert collar is not None
    mean = (10.2 + min(collar, 14.6)) / 2
    lead = math.atan(0.75 / (math.pi * d2))
    rho = math.atan(0.15 / math.cos(math.atan(math.tan(math.radians(30)) * math.cos(lead))))
    force = 2000 / (d2 / 2 * math.tan(rho + lead) + 0.15 * mean / 2)
    assert v.screwed.pull == pytest.approx(force, rel=1e-3)
    lip = next(c for c in v.checks if c.id == "lip")
    data = d.mandrel.threads[0]
    pressure = force * math.tan(math.radians(30)) / (math.pi * d2 * data.full_pitches * 0.75)
    eccentric = v.truth.runout_seat.tight.worst / 2
    outer, root = 15.0 - 2 * eccentric, data.partner.major_max_worst
    hoop = pressure * (outer**2 + root**2) / (outer**2 - root**2)
    assert lip.demand == pytest.approx(hoop, rel=2e-3)
    assert lip.capacity == 62  # cast acrylic, tensile: data/materials.toml


def test_the_maker_s_own_values_replace_the_assumptions() -> None:
    use = {"side_load": 25.0, "torque": 0.2, "catch_force": 100.0, "catch_torque": 1.0,
           "tailstock": False, "thread_friction": 0.1, "seat_friction": 0.1,
           "target_step": 0.1}  # fmt: skip
    (usual,), (own,) = design(plug_pen({"tailstock": False}), SHOP), design(plug_pen(use), SHOP)
    a, b = verdict_of(usual), verdict_of(own)
    assert a.stiffness is not None
    assert b.stiffness is not None
    assert b.stiffness.away.tool == pytest.approx(a.stiffness.away.tool / 2, rel=0.02)
    assert len(b.assumptions) == len(a.assumptions) - 7
    assert b.truth.step.target == 0.1
    # A request's own use goes before the pen's.
    request = plug_pen(use, wishes={"use": {"side_load": 50.0}})
    (mixed,) = design(request, SHOP)
    stiffness = verdict_of(mixed).stiffness
    assert stiffness is not None
    assert stiffness.away.tool == pytest.approx(a.stiffness.away.tool, rel=0.02)


# -- it drives the design -------------------------------------------------------------------------
def runouts(m: Mandrel) -> dict[str, float]:
    return {c.id: c.upper or 0.0 for c in m.characteristics if c.id.endswith(".runout")}


def test_tolerances_are_the_loosest_that_meet_the_target() -> None:
    """Each rung looser would miss the target; the drawing carries the number behind it."""
    seen = set()
    for target in (0.02, 0.025, 0.03, 0.035, 0.04, 0.06, 0.1):
        pen = plug_pen({"target_step": target})
        (d,) = design(pen, SHOP)
        v = verdict_of(d)
        assert d.mandrel is not None
        drawn = runouts(d.mandrel)
        rung = drawn["spigot1.runout"]
        seen.add(rung)
        assert rung in LADDER
        assert drawn["seat.runout"] == min(rung, SEAT_LOOSEST)
        looser = [r for r in LADDER if r > rung]
        if v.truth.step.met and looser:
            p = plan(pen)[0]
            again = design_one(pen, SHOP, p, replace(d.settled, rung=looser[-1]))
            assert not verdict_of(judged(pen, SHOP, (again,))[0]).truth.step.met
        text = next(x for x in d.mandrel.decisions if x.id == "spigot1.runout")
        # The number is the first design's: the settled one has its own on the maker's page.
        assert "first design's step at the joint" in text.why
        assert "the settled design's own step: see How true" in text.why
        assert any(ch.isdigit() for ch in text.why)
    assert len(seen) >= 3


def test_a_closer_fit_is_chosen_only_where_it_alone_helps_and_none_was_asked() -> None:
    fits = {}
    for target in (0.02, 0.024, 0.028, 0.032, 0.036, 0.06):
        (d,) = design(plug_pen({"target_step": target}), SHOP)
        assert d.wishes is not None
        fits[target] = d.wishes.fit.value
        (asked,) = design(plug_pen({"target_step": target}, wishes={"fit": "normal"}), SHOP)
        assert asked.wishes is not None
        assert asked.wishes.fit.value == "normal"
    assert fits[0.06] == "normal"
    assert "close" in fits.values()


def test_flats_come_when_a_hand_cannot_free_the_part() -> None:
    hard, easy = {"catch_torque": 4.0}, {"catch_torque": 1.0}
    (d,) = design(plug_pen(hard), SHOP)
    assert d.mandrel is not None
    assert d.mandrel.flats is not None
    why = next(x.why for x in d.mandrel.decisions if x.id == "flats.across")
    assert "N·m free it" in why
    (d,) = design(plug_pen(easy), SHOP)
    assert d.mandrel is not None
    assert d.mandrel.flats is None
    (d,) = design(plug_pen(hard, wishes={"flats": False}), SHOP)
    assert d.mandrel is not None
    assert d.mandrel.flats is None
    assert "use.flats" in codes((d,))


def test_a_double_ended_mandrel_is_judged_at_both_ends() -> None:
    pen, shop = starters("heron")
    data = pen.model_dump(by_alias=True)
    rows = []
    for a, b in (("section.front", "cap.crown"), ("cap.crown", "section.front")):
        data["mandrels"] = {"requests": [{"holds": a, "also_holds": b, "shank_diameter": 14.0}]}
        (d,) = design(Pen.model_validate(data), shop)
        assert d.verdict is not None
        assert d.verdict_b is not None
        rows.append((d.verdict, d.verdict_b))
    # Turned round, each end serves as it did at the other side.
    for one, other in ((rows[0][0], rows[1][1]), (rows[0][1], rows[1][0])):
        assert one.part == other.part
        assert one.truth.step.states.tight.statistical == pytest.approx(
            other.truth.step.states.tight.statistical
        )
        assert one.gaps == other.gaps
        assert one.stiffness is not None
        assert other.stiffness is not None
        assert one.stiffness.overhang == pytest.approx(other.stiffness.overhang)


# -- rules on whole pens --------------------------------------------------------------------------
@pytest.mark.parametrize(("fit", "made"), list(itertools.product(["close", "normal"],
                                                            ["reamed", "bored"])))  # fmt: skip
def test_a_longer_close_spigot_never_tilts_more(fit: str, made: str) -> None:
    tilts = []
    for length in (3, 6, 9, 12, 15):
        bore = [{"diameter": 9.2, "depth": 30.0, "made": made}]
        pen = plug_pen(bore=bore, wishes={"spigot_length": length, "fit": fit})
        t = verdict_of(fixed(pen, SHOP)[0]).truth
        tilts.append(t.runout_end.loose.worst - t.runout_seat.loose.worst)
    assert all(b <= a + 1e-9 for a, b in itertools.pairwise(tilts)), tilts


@pytest.mark.parametrize("thread", ["M10x0.75-6H", "M10x0.75-5H", "M10xPh1.5P0.75-6H"])
def test_a_looser_fit_never_has_less_run_out(thread: str) -> None:
    rows = []
    for fit in ("close", "normal", "free"):
        t = verdict_of(fixed(plug_pen(thread=thread, wishes={"fit": fit}), SHOP)[0]).truth
        rows.append((t.runout_seat.loose.worst, t.runout_seat.tight.worst,
                     t.runout_end.tight.worst, t.step.states.tight.worst))  # fmt: skip
    for a, b in itertools.pairwise(rows):
        assert all(y >= x - 1e-9 for x, y in zip(a, b, strict=True)), rows
    assert rows[-1] > rows[0]


def test_stiffer_material_never_bends_more() -> None:
    found = []
    # In the order of Young's modulus: 2.5, 3, 70, 97, 200, 210 GPa (data/materials.toml).
    for name, modulus in (("acetal", 0), ("PLA", 1), ("6082-T6", 2), ("CW614N", 3),
                          ("1.4305", 4), ("C45", 5)):  # fmt: skip
        pen = plug_pen(wishes={"material": name})
        stiffness = verdict_of(fixed(pen, SHOP)[0]).stiffness
        assert stiffness is not None
        found.append((modulus, stiffness.away.tool, stiffness.up.tool))
    for a, b in itertools.pairwise(found):
        assert b[1] <= a[1]
        assert b[2] <= a[2]


def test_a_worse_tap_never_gives_a_better_verdict() -> None:
    rows = []
    for made in ("single-point", "guided", "freehand"):
        pen = plug_pen(made=made, face=made)
        v = verdict_of(fixed(pen, SHOP)[0])
        assert v.truth.wall is not None
        rows.append((v.truth.step.states.tight.worst, v.truth.runout_seat.tight.worst,
                     v.truth.runout_end.tight.worst, -v.truth.wall.worst,
                     len(v.conflicts)))  # fmt: skip
    for a, b in itertools.pairwise(rows):
        assert all(y >= x - 1e-9 for x, y in zip(a, b, strict=True)), rows
    assert rows[-1] > rows[0]


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    pens(),
    st.sampled_from(["11SMn30", "6082-T6", "acetal", "PETG"]),
    st.booleans(),
)
def test_every_pen_gets_a_verdict_that_makes_sense(pen: Pen, stuff: str, tailstock: bool) -> None:
    wishes = pen.mandrels.defaults.model_copy(update={"material": stuff})
    use = pen.mandrels.use.model_copy(update={"tailstock": tailstock})
    wanted = pen.mandrels.model_copy(update={"defaults": wishes, "use": use})
    for d in design(pen.model_copy(update={"mandrels": wanted}), SHOP):
        if d.mandrel is None:
            assert d.verdict is None
            continue
        v = verdict_of(d)
        t = v.truth
        for s in (t.step.states, t.runout_seat, t.runout_end):
            assert 0 <= s.tight.statistical <= s.tight.worst + 1e-12
            assert s.tight.worst <= s.loose.worst + 1e-12
        assert t.remount.worst <= t.regripped.worst * 2 + 1e-12
        text = json.dumps(verdict_view(v), allow_nan=False)
        assert len(paragraph(v)) >= 2
        assert '"budget"' in text
        if v.stiffness is not None and v.speed is not None:
            assert v.stiffness.up.tool <= v.stiffness.away.tool
            assert v.speed.allowed <= SHOP.lathe.max_speed
            plastic = stuff in ("acetal", "PETG")
            assert (v.life is not None) is plastic
            if plastic:
                assert v.speed.allowed == 0  # no speed was stated
        for g in v.gaps:
            if g.kind == "seat":
                assert g.least >= -1e-6, g


# -- what a maker sees ----------------------------------------------------------------------------
@pytest.mark.parametrize("name", STARTERS)
def test_each_starter_gives_a_verdict_in_words(name: str) -> None:
    pen, shop = starters(name)
    designed = design(pen, shop)
    for d in designed:
        text = "\n".join(paragraph(verdict_of(d)))
        for word in ("how true", "how stiff", "how strong", "how fast", "target", "thread:"):
            assert word in text
    assert E not in codes(designed).values()


def test_the_json_has_what_was_promised() -> None:
    (d,) = design(plug_pen(), SHOP)
    said = verdict_view(verdict_of(d))
    assert {"joint_step", "thinnest_wall", "remount", "runout_seat", "runout_end", "deflection",
            "safety", "max_speed", "budget", "assumptions"} <= set(said)  # fmt: skip
    assert {"worst", "statistical"} <= set(said["joint_step"]["tight"])
    assert said["joint_step"]["tight"]["label"] == "estimate"
    assert {"characteristic", "share"} <= set(said["budget"][0])
    assert said["safety"]["weakest"] in {c["id"] for c in said["safety"]["checks"]}


def test_designing_is_the_same_every_time() -> None:
    pen, shop = starters("heron")
    assert design(pen, shop) == design(pen, shop)


def test_what_if_names_what_changes() -> None:
    pen, shop = starters("heron")
    planned, found = compare(pen, shop, "barrel-mouth-plug")
    by = {(v.group, v.value): v for v in found}
    assert {g for g, _ in by} >= {"material", "fit", "spigot length", "shank", "thread"}
    base = found[0].verdict
    assert base is not None
    # The mandrel's own material and the same as asked for changes nothing.
    assert by["material", "11SMn30"].changes == ()
    assert any("speed" in c for c in by["material", "acetal"].changes)
    assert any("safety" in c for c in by["shank", "4"].changes)
    shown = table(planned, found)
    assert len(shown.splitlines()) == len(found) + 2
    assert len(json.dumps(view(planned, found))) > 1000
    with pytest.raises(InputError) as e:
        compare(pen, shop, "nothing")
    assert "barrel-mouth-plug" in e.value.findings[0].remedy
    with pytest.raises(InputError):
        compare(pen, shop, None)


def test_what_if_from_the_command_line(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    file = tmp_path / "wren.toml"
    file.write_bytes(starter("pen", "wren"))
    run = CliRunner()
    done = run.invoke(main, ["what-if", str(file), "section-rear-cup", "--json"])
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["mandrel"] == "section-rear-cup"
    assert {"group", "value", "changes", "failing", "verdict"} <= set(said["variants"][1])
    shown = run.invoke(main, ["what-if", str(file), "section-rear-cup"])
    assert "material acetal" in shown.stdout
    wrong = run.invoke(main, ["what-if", str(file), "nothing"])
    assert wrong.exit_code == 2
    assert "section-rear-cup" in wrong.stderr


def test_check_says_what_it_assumed(tmp_path: Path) -> None:
    """No measured source exists for hand-tool loads: the assumption stands on the output."""
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    file = tmp_path / "wren.toml"
    file.write_bytes(starter("pen", "wren"))
    done = CliRunner().invoke(main, ["check", str(file)])
    assert done.exit_code == 0, done.output
    for words in ("side load 50 N (common practice, no source)", "how true", "collet run-out"):
        assert words in done.stdout


@pytest.mark.parametrize("key", ["side_load", "torque", "catch_force", "catch_torque", "speed",
                                 "thread_friction", "target_step"])  # fmt: skip
def test_senseless_uses_are_refused_in_words(key: str) -> None:
    text = starter("pen", "wren") + f"\n[mandrels.use]\n{key} = -1\n".encode()
    with pytest.raises(InputError) as e:
        read_pen(text, "wren.toml")
    (finding,) = e.value.findings
    assert key in finding.where
    assert finding.remedy
