"""Small rules by hand: the lathe's readings, the tools listed, a stock tap's cost, and when two
mandrels are one piece."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.lathe_measured import (
    bore_drift,
    collet,
    collet_said,
    thread_tilt,
    uses_readings,
)
from mandrelgen.assess.same_piece import key_of
from mandrelgen.assess.stock_tapped import stock_tapped, tapping_costs
from mandrelgen.assess.tools_owned import check
from mandrelgen.core.errors import Level
from mandrelgen.design.designed import Designed
from mandrelgen.design.shank import Grip
from mandrelgen.mechanics.concentricity import Felt, Judged, Outcome
from mandrelgen.mechanics.practice import manner
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.spec.pen import Manner, Pen
from mandrelgen.spec.shop import Lathe, Shop
from tests.support.judged_pens import fixed, plug_pen, verdict_of
from tests.support.randompens import SHOP


# -- the lathe -------------------------------------------------------------------------------------
def lathe(**said: Any) -> Lathe:
    return Lathe.model_validate(said)


def grip(**more: Any) -> Grip:
    usual = Grip(shank=12.0, collet="c", system=None, size=12.0, length=40.0, nut=4.0, behind=None,
                 run_out=None, run_out_at=None)  # fmt: skip
    return usual._replace(**more)


@pytest.mark.parametrize(
    ("said", "off"),
    [({"tailstock_side": 0.6}, 0.6), ({"tailstock_height": -0.6}, 0.6),
     ({"tailstock_height": 0.36, "tailstock_side": -0.48}, 0.6),
     ({"tailstock_height": 0.0, "tailstock_side": 0.0}, 0.0)],
)  # fmt: skip
def test_a_tailstock_leans_the_tap_it_guides(said: dict[str, float], off: float) -> None:
    """One reading alone counts as the whole; 3-4-5 of both; over 60 mm."""
    found = thread_tilt(Manner.GUIDED, lathe(**said))
    assert math.tan(math.radians(found.value)) * 60 == pytest.approx(off)
    assert found.basis == (
        f"tailstock {off:g} off the spindle's axis, measured on this lathe, over 60 (from memory)"
    )


def test_a_tap_by_hand_or_screwcut_is_no_matter_of_the_tailstock() -> None:
    off = lathe(tailstock_side=0.6)
    for made in (Manner.FREEHAND, Manner.SINGLE_POINT):
        assert thread_tilt(made, off) == manner(made.value).thread_tilt
    assert thread_tilt(Manner.GUIDED, lathe()) == manner("guided").thread_tilt


@pytest.mark.parametrize("made", ["drilled", "guided"])
def test_a_drill_runs_off_as_it_was_measured_over_50(made: str) -> None:
    found = bore_drift(made, lathe(drill_drift=0.2))
    assert found.value == pytest.approx(0.004)
    assert found.basis == "measured on this lathe"
    assert bore_drift(made, lathe()) == manner(made).bore_drift
    assert bore_drift(made, lathe(drill_drift=0.0)).value == 0


def test_a_bored_hole_is_not_the_drills() -> None:
    for made in ("bored", "reamed"):
        assert bore_drift(made, lathe(drill_drift=0.2)) == manner(made).bore_drift


READ = {"run_out_nut": 0.01, "run_out_40": 0.03}


def test_two_readings_give_a_slope_from_the_nut_on() -> None:
    """0.02 more over 40 mm: 0.0005 a mm; the seat stands 20 in front of the collet, 16 of the
    nut."""
    found = collet(grip(), 20.0, lathe(**READ))
    assert (found.run_out, found.at, found.stand_off) == (0.01, 40.0, 16.0)
    assert found.slope == pytest.approx(0.0005)
    assert collet(grip(nut=21.0), 20.0, lathe(**READ)).stand_off == 0
    down = collet(grip(), 20.0, lathe(run_out_nut=0.03, run_out_40=0.0))
    assert down.slope == pytest.approx(-0.00075)
    up = collet(grip(), 20.0, lathe(run_out_nut=0.0, run_out_40=0.02))
    assert up.run_out == 0
    assert up.slope == pytest.approx(0.0005)
    said = "collet run-out 0.01 at the nut and 0.03 40 out, measured on this lathe"
    assert collet_said(grip(), lathe(**READ)) == [said]
    none = lathe(run_out_nut=0.0, run_out_40=0.0)
    said = "collet run-out 0 at the nut and 0 40 out, measured on this lathe"
    assert collet_said(grip(), none) == [said]


@pytest.mark.parametrize(
    ("run_out", "at", "readings"),
    [
        (None, None, True),  # nothing is known of the collets
        (0.02, 30.0, True),  # the standard's, at its own distance
        (0.02, None, False),  # measured on the set itself
    ],
)
def test_the_lathes_readings_give_way_to_the_sets_own(
    run_out: float | None, at: float | None, readings: bool
) -> None:
    g = grip(run_out=run_out, run_out_at=at)
    assert uses_readings(g, lathe(**READ)) is readings
    # With one reading alone no line can be drawn.
    half = lathe().model_copy(update={"run_out_nut": lathe(**READ).run_out_nut})
    other = lathe().model_copy(update={"run_out_40": lathe(**READ).run_out_40})
    for without in (half, other, lathe()):
        assert not uses_readings(g, without)
        found = collet(g, 20.0, without)
        usual = (0.03, 30.0) if run_out is None else (0.02, at or 25.0)
        assert (found.run_out, found.at, found.stand_off, found.slope) == (*usual, 20.0, None)
        assert "this lathe" not in collet_said(g, without)[0]


# -- the tools listed ------------------------------------------------------------------------------
def threaded(**more: Any) -> Pen:
    mouth = {"diameter": 14.0, "internal": {"thread": "M10x0.75", "depth": 9.0}}
    root = {"diameter": 12.0, "external": {"thread": "M8x0.5", "length": 6.0}}
    mouth["internal"] |= more.get("internal", {})
    root["external"] |= more.get("external", {})
    parts = {"body": {"length": 60.0, "diameter": 14.0, "ends": {"root": root, "mouth": mouth}}}
    return Pen.model_validate({"schema": 1, "pen": {"id": "reed", "name": "Reed"}, "parts": parts})


def listed(**tools: tuple[str, ...]) -> Shop:
    rows = {k: [{"thread": t, "id": t.partition("x")[0].lower()} for t in v]
            for k, v in tools.items()}  # fmt: skip
    return Shop.model_validate({"schema": 1, **rows})


def missing(pen: Pen, shop: Shop) -> list[tuple[str, str]]:
    found = list(check(pen, shop))
    assert {(f.level, f.code) for f in found} <= {(Level.NOTE, "thread.no_tool")}
    assert all(f.remedy for f in found)
    return [(f.where, f.message) for f in found]


NO_DIE = ("body.root", "no die for M8x0.5 is among the dies listed in the shop file")
NO_TAP = ("body.mouth", "no tap for M10x0.75 is among the taps listed in the shop file")


def test_a_tap_cuts_holes_and_a_die_tenons() -> None:
    """Each kind is looked for among its own, and only where any of it is listed; every end is
    looked at, whatever was found of the others."""
    assert missing(threaded(), listed()) == []
    assert missing(threaded(), listed(taps=("M10x0.75",))) == []
    assert missing(threaded(), listed(taps=("M8x0.5",))) == [NO_TAP]
    assert missing(threaded(), listed(dies=("M10x0.75",))) == [NO_DIE]
    both = listed(taps=("M8x0.5",), dies=("M10x0.75",))
    assert missing(threaded(), both) == [NO_DIE, NO_TAP]
    enough = listed(taps=("M8x0.5", "M10x0.75"), dies=("M10x0.75", "M8x0.5"))
    assert missing(threaded(), enough) == []


def test_a_thread_that_is_screwcut_or_has_its_tool_named_needs_no_other() -> None:
    both = listed(taps=("M8x0.5",), dies=("M10x0.75",))
    screwcut = {"made": "single-point"}
    assert missing(threaded(external=screwcut), both) == [NO_TAP]
    assert missing(threaded(internal=screwcut), both) == [NO_DIE]
    assert missing(threaded(internal={"tool": "m8"}), both) == [NO_DIE]
    assert missing(threaded(external={"tool": "m10"}), both) == [NO_TAP]


# -- one piece -------------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def made() -> Designed:
    (d,) = fixed(plug_pen(), SHOP)
    return d


@pytest.fixture(scope="module")
def plug(made: Designed) -> Mandrel:
    assert made.mandrel is not None
    return made.mandrel


def test_a_mandrel_that_cannot_be_made_is_no_piece(plug: Mandrel) -> None:
    assert key_of(None) == ()
    assert key_of(plug)


def test_what_is_written_beside_the_sizes_makes_no_other_piece(plug: Mandrel) -> None:
    """Its name, its part, the number asked, the marking, and the order its sizes stand in."""
    order = replace(plug.ordering, quantity=3, marking="HERON")
    same = replace(plug, id="x", part="y", title="z", ordering=order,
                   characteristics=plug.characteristics[::-1])  # fmt: skip
    assert key_of(same) == key_of(plug)


def test_a_size_a_limit_or_a_unit_makes_another_piece(plug: Mandrel) -> None:
    """From a thousandth of a micrometre on; noise behind that is none."""
    i = next(n for n, c in enumerate(plug.characteristics) if c.id == "collar.diameter")
    row = plug.characteristics
    c = row[i]
    assert c.lower is not None
    assert c.upper is not None

    def other(**change: Any) -> tuple[object, ...]:
        new = (*row[:i], replace(c, **change), *row[i + 1 :])
        return key_of(replace(plug, characteristics=new))

    for key in ("nominal", "lower", "upper"):
        base = round(getattr(c, key), 6)
        exact = other(**{key: base})
        assert exact == key_of(plug)
        assert other(**{key: base + 3e-7}) == exact
        assert other(**{key: base + 1e-6}) != exact
        assert other(**{key: base - 1e-6}) != exact
    assert other(upper=None) != key_of(plug)
    assert other(unit="µm") != key_of(plug)
    assert other(id="collar2.diameter") != key_of(plug)
    assert other(source="elsewhere") == key_of(plug)


def test_kind_material_and_the_way_of_cutting_make_another_piece(plug: Mandrel) -> None:
    (t,) = plug.threads
    d = t.limits.designation
    left = replace(t, limits=replace(t.limits, designation=replace(d, left_hand=True)))
    others = [
        replace(plug, kind=MandrelKind.GAUGE),
        replace(plug, ordering=replace(plug.ordering, material="11SMn30")),
        replace(plug, ordering=replace(plug.ordering, thread_order="blank")),
        replace(plug, threads=()),
        replace(plug, threads=(left,)),
        plug,
    ]
    assert len({key_of(m) for m in others}) == len(others)


# -- a stock tap -----------------------------------------------------------------------------------
def tapped(made: Designed, mismatch: float | None, outcome: Outcome | None = None,
           **more: Any) -> Designed:  # fmt: skip
    """The plug as if a stock tap cut it, with that mismatch at its joint (None: no verdict)."""
    assert made.mandrel is not None
    assert made.wishes is not None
    (t,) = made.mandrel.threads
    order = more.get("order", "stock-tap")
    mandrel = replace(made.mandrel, threads=(replace(t, order=order),))
    wishes = replace(made.wishes, thread_open=more.get("open_", True))
    verdict = None
    if mismatch is not None:
        v = verdict_of(made)
        step = v.truth.step
        joined = Judged(Felt.FLUSH, 0.0, 0.0, mismatch, 0.05, 0.0, outcome, uneven=False)
        tight = step.states.tight._replace(statistical=mismatch)
        step = replace(step, joint=more.get("joint", "cap+body"), joined=joined,
                       states=step.states._replace(tight=tight))  # fmt: skip
        verdict = replace(v, truth=replace(v.truth, step=step))
    ends = (None, verdict) if more.get("end_b") else (verdict, None)
    return replace(made, mandrel=mandrel, wishes=wishes, verdict=ends[0], verdict_b=ends[1])


def test_a_stock_tap_that_nobody_asked_for(made: Designed) -> None:
    assert stock_tapped(tapped(made, None))
    assert not stock_tapped(tapped(made, None, order="single-point"))
    assert not stock_tapped(tapped(made, None, open_=False))
    assert not stock_tapped(replace(tapped(made, None), mandrel=None))
    assert not stock_tapped(replace(tapped(made, None), wishes=None))
    d = tapped(made, None)
    assert d.mandrel is not None
    (t,) = d.mandrel.threads
    two = replace(d.mandrel, threads=(replace(t, order="single-point"), t))
    assert stock_tapped(replace(d, mandrel=two))


MET, MISSED = Outcome.MET, Outcome.NOT_MET


@pytest.mark.parametrize(
    ("now", "then", "dear"),
    [
        ((0.030, MET), (0.020, MET), False),  # a hundredth is not felt
        ((0.01, MET), (0.0, MET), False),
        ((0.0301, MET), (0.020, MET), True),
        ((0.0347, MET), (0.0204, MET), True),
        ((0.045, MISSED), (0.044, MET), True),  # the joint would no longer be met
        ((0.045, Outcome.DEPENDS), (0.044, MET), True),
        ((0.045, MISSED), (0.044, Outcome.DEPENDS), False),  # it was not met before
        ((0.045, MISSED), (0.044, MISSED), False),
        ((0.020, None), (0.044, None), False),
    ],
)
@pytest.mark.parametrize("end_b", [False, True])
def test_a_stock_tap_costs_what_is_felt(
    made: Designed, now: tuple[float, Outcome], then: tuple[float, Outcome], dear: bool,
    end_b: bool,
) -> None:  # fmt: skip
    a, b = tapped(made, *now, end_b=end_b), tapped(made, *then, end_b=end_b)
    wanted = (
        f"tapped, the mismatch at cap+body would be {round(now[0], 3):g}, "
        f"screwcut {round(then[0], 3):g} (tightened, 95 %)"
    )
    assert tapping_costs([a], [b]) == ({made.planned.id: wanted} if dear else {})


def test_where_no_joint_is_known_it_is_its_own(made: Designed) -> None:
    a, b = (tapped(made, x, joint="") for x in (0.06, 0.02))
    assert tapping_costs([a], [b])[made.planned.id].startswith("tapped, the mismatch at its joint")


def test_what_was_not_judged_or_asked_for_costs_nothing(made: Designed) -> None:
    bad, well = tapped(made, 0.06), tapped(made, 0.02)
    assert tapping_costs([tapped(made, None)], [well]) == {}
    assert tapping_costs([bad], [tapped(made, None)]) == {}
    assert tapping_costs([tapped(made, 0.06, open_=False)], [well]) == {}
    other = replace(bad, planned=replace(bad.planned, id="other"))
    first = replace(tapped(made, 0.06, open_=False))
    assert list(tapping_costs([first, other], [replace(well, planned=other.planned), well])) == [
        "other"
    ]
