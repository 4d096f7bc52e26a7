"""What is put together of one end of a mandrel, and on what it says that it stands."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess import clearances, runout, stiffness, strength
from mandrelgen.assess.end_assessment import judge
from mandrelgen.assess.setup import Situated
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Flats
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import ChuckMount
from tests.support.flush_pen import ends_of, trio
from tests.support.held import bar, held
from tests.support.judged_pens import cup_pen, plug_pen
from tests.support.randompens import SHOP

PEN = plug_pen()
PRACTICE = "common practice, no source"


@pytest.fixture(scope="module")
def plug() -> Situated:
    return held(PEN)


def seen(s: Situated, pen: Pen = PEN) -> Assessment:
    return judge(s, {}, pen, SHOP)


def test_it_says_whose_end_it_is_and_gathers_every_judgement(plug: Situated) -> None:
    found = seen(plug)
    assert (found.mandrel, found.part, found.end) == ("body-mouth-plug", "body", "mouth")
    assert found.material == "1.4305"
    assert found.gaps == clearances.gaps(plug) != ()
    assert found.truth == runout.truth(plug, {}, PEN, SHOP)
    assert found.screwed == strength.screwed(plug)
    assert found.stiffness == stiffness.stiffness(plug)
    assert (found.chance, found.conflicts, found.life) == (0.0, (), None)
    assert found.speed is not None
    assert found.speed.allowed == 3000
    assert found.work != ()
    assert (found.flats, found.tailstock, found.roughing_up) == (False, False, True)
    assert (found.finish_only, found.tailstock_missing) == (False, False)
    assert (found.chuck, found.wanted_speed) == (None, None)


def test_the_lip_is_judged_at_what_the_part_survives_and_by_how_far_it_runs_out(
    plug: Situated,
) -> None:
    """A dig-in of 200 N at 7.5 is 1.5 N·m; the outside is off by half of what the seat reads."""
    found = seen(plug)
    assert found.capacity is not None
    assert found.capacity.dig_in == pytest.approx(1.5)
    assert {c.demand for c in found.checks if c.id == "slip.collet"} == {found.capacity.dig_in}
    off = found.truth.runout_seat.tight.worst / 2
    assert found.checks == strength.checks(plug, 1.5, off)
    assert found.checks != strength.checks(plug, 1.5, 2 * off)
    # 4726 N against 807: the least safety of all is the lip's or the seat's own.
    assert found.weakest == min(found.checks, key=lambda c: c.capacity / c.demand)


def test_the_thread_s_pull_counts_in_what_the_mandrel_bears(plug: Situated) -> None:
    """At the seat's groove of ⌀8.8, 38 from the free end, 1 N at 7.5 draws up as much as a catch
    of 2 N·m does for 267."""
    found = seen(plug)
    assert found.capacity is not None
    assert found.screwed is not None
    z, area = math.pi / 32 * 8.8**3, math.pi / 4 * 8.8**2
    normal = 38 / z + found.screwed.pull * 7.5 / 2000 / area
    by_hand = 190 / math.hypot(normal, math.sqrt(3) * 7.5 / (2 * z))
    assert found.capacity.free.force == pytest.approx(by_hand, rel=1e-6)


def test_a_neighbour_s_own_mandrel_counts_in_the_joint() -> None:
    pen = trio()
    both = ends_of(pen)
    cap = both["cap.mouth"]
    found = judge(cap, {"barrel": both["barrel.front"]}, pen, SHOP)
    assert found.truth.step.neighbour_known
    assert found.truth.step.states.tight.worst > seen(cap, pen).truth.step.states.tight.worst


def test_a_plastic_mandrel_lasts_for_some_pens_and_runs_slower() -> None:
    pen = plug_pen({"tailstock": True}, wishes={"material": "acetal"})
    found = seen(held(pen), pen)
    assert found.life is not None
    assert found.speed is not None
    # 1500 at most for a plastic (data/loads.toml, from memory).
    assert found.speed.allowed <= 1500
    button = replace(held(pen), collet_face=None, grip=None)
    assert seen(button, pen).life is None


def test_a_button_is_tightened_by_hand_and_neither_bent_nor_run(plug: Situated) -> None:
    """1 N·m of a hand: two thirds of what a dig-in of 1.5 N·m draws up."""
    found = seen(replace(plug, collet_face=None, grip=None))
    assert (found.stiffness, found.capacity, found.life, found.speed) == (None,) * 4
    assert found.work == ()
    usual = {c.id: c.demand for c in seen(plug).checks}
    now = {c.id: c.demand for c in found.checks}
    assert now["strip.nut"] == pytest.approx(usual["strip.nut"] / 1.5)


def test_how_it_is_used_is_told_as_it_is(plug: Situated) -> None:
    use = plug.loads._replace(tailstock=True, roughing_up=False, finish_only=True,
                              tailstock_missing=True, speed=700.0)  # fmt: skip
    mandrel = replace(plug.mandrel, flats=Flats(-12.0, -8.0, 12.0))
    shop = SHOP.model_copy(
        update={"lathe": SHOP.lathe.model_copy(update={"chuck": ChuckMount.TAPER})}
    )
    found = judge(replace(plug, loads=use, mandrel=mandrel), {}, PEN, shop)
    assert (found.tailstock, found.roughing_up, found.finish_only) == (True, False, True)
    assert (found.tailstock_missing, found.wanted_speed) == (True, 700.0)
    assert (found.flats, found.chuck) == (True, ChuckMount.TAPER)


@pytest.mark.parametrize(("friction", "conflict"), [(0.2679, False), (0.268, True), (0.4, True)])
def test_a_seat_of_more_friction_than_tan_15_holds_the_thread_off_its_centre(
    plug: Situated, friction: float, conflict: bool
) -> None:
    s = replace(plug, loads=plug.loads._replace(seat_friction=friction))
    assert seen(s).seat_conflict_friction is conflict
    spigot = replace(s, collet_face=None, grip=None)
    assert seen(spigot).seat_conflict_friction is conflict


def leaning(made: str, **more: Any) -> Assessment:
    pen = plug_pen(made=made, **more)
    return seen(held(pen), pen)


def test_how_likely_a_leaning_thread_does_not_seat() -> None:
    """Freehand 0.3°: over the thread's 5.186 it needs 0.02716 of play, 0.00516 more than the least
    0.022. Two errors spread evenly over 0.1 and 0.132 (ISO 965-1, Td2 and TD2): half the square
    over their product."""
    needed = 5.1864439 * math.tan(math.radians(0.3))
    chance = (needed - 0.022) ** 2 / (2 * 0.1 * 0.132)
    assert leaning("freehand").chance == pytest.approx(chance, rel=1e-5)
    assert leaning("guided").chance == 0.0


def test_starts_indexed_wrong_make_it_likelier() -> None:
    """A lead of 2.4: a quarter of a degree on the mandrel eats 0.00289 of the play."""
    bore = [{"diameter": 11.2, "depth": 30.0, "made": "reamed"}]
    pen = plug_pen(thread="M12xPh2.4P0.8-6H", countersink=12.2, outside=16.0, bore=bore,
                   made="freehand")  # fmt: skip
    s = held(pen)
    assert s.thread is not None
    own, part = s.thread.limits.pitch, s.thread.partner.pitch
    assert None not in (own.min, own.max, part.min, part.max)
    widths = (own.max - own.min, part.max - part.min)  # type: ignore[operator]
    at = s.stretch("thread")
    assert at is not None
    least = part.min - own.max - math.sqrt(3) * 2.4 * 0.25 / 360  # type: ignore[operator]
    over = (at.z1 - at.z0) * math.tan(math.radians(0.3)) - least
    expected = max(0.0, over) ** 2 / (2 * widths[0] * widths[1])
    assert seen(s, pen).chance == pytest.approx(expected, rel=1e-6)


def test_without_a_thread_nothing_leans(plug: Situated) -> None:
    freehand = held(plug_pen(made="freehand"))
    assert seen(freehand).chance > 0
    by_bore = replace(freehand, hold=freehand.hold._replace(by="bore"))
    assert seen(by_bore).chance == 0.0
    # A drawing of old whose pitch diameter has no limits: an even chance over the part's alone.
    assert freehand.thread is not None
    limits = freehand.thread.limits
    one = replace(limits, pitch=replace(limits.pitch, min=9.491))
    alone = replace(freehand, thread=replace(freehand.thread, limits=one))
    over = 5.1864439 * math.tan(math.radians(0.3)) - 0.022
    assert seen(alone).chance == pytest.approx(over / 0.132, rel=1e-5)


def test_locators_cut_in_one_setting_do_not_bind_by_their_run_out() -> None:
    """Thread of a play of 0.022 at least and a spigot of 0.05 in its bore, drifting 0.0005 over
    14.5: 0.007 against 0.036. With the drawing's run-outs of 0.03 each it were 0.037."""
    s = held(PEN)
    sizes = [
        Characteristic(
            id=f"spigot1.{what}", feature=Feature("spigot1"), kind=kind, nominal=9.1,
            lower=low, upper=high,
        )
        for what, kind, low, high in (
            ("diameter", Kind.DIAMETER, 9.05, 9.15), ("runout", Kind.RUNOUT, None, 0.03)
        )
    ]  # fmt: skip
    mandrel = replace(
        s.mandrel,
        outer=(*s.mandrel.outer, bar("spigot1", 9.0, 20.0, 9.1)),
        characteristics=(*s.mandrel.characteristics, *sizes),
    )
    assert seen(replace(s, mandrel=mandrel)).conflicts == ()


def test_what_a_plug_s_judgement_stands_on(plug: Situated) -> None:
    """Behind what is said of its use; values retyped from data/manners.toml and loads.toml."""
    found = seen(plug).assumptions
    assert found[: len(plug.said)] == plug.said
    assert found[len(plug.said) :] == (
        "part's thread cut single-point: thread axis tilted 0.02° (from memory)",
        "part's face cut single-point: out of square 0.01 (from memory)",
        "bore drifts 0.005 in 10 mm",
        "tightened, the thread centres itself to 0.02, or 25% of its play is left (from memory: "
        "estimates)",
        f"loosening torque by hand 1.5 N·m ({PRACTICE})",
        "collet tightened with 15 N·m, friction 0.12 (from memory)",
        "notch factor 2.5 at a thread's root (from memory)",
        "part of cast-acrylic; the outside keeps each end's diameter as deep as that end's bore "
        "and runs straight between",
    )


def said(s: Situated, pen: Pen = PEN) -> str:
    return " | ".join(seen(s, pen).assumptions)


def test_what_is_not_there_is_not_said(plug: Situated) -> None:
    cup = held(cup_pen())
    assert "part's thread cut single-point" in said(cup)
    assert "bore drifts 0.0375 in 10 mm |" in said(cup)
    assert "bore drifts" not in said(replace(cup, holes=()))
    assert "collet tightened" not in said(replace(plug, grip=None))
    by_bore = replace(plug, hold=plug.hold._replace(by="bore"))
    assert "part's thread cut" not in said(by_bore)
    assert "starts indexed" not in said(plug)


def test_what_was_measured_on_the_lathe_is_said_to_be() -> None:
    drilled = held(plug_pen(bore=[{"diameter": 9.2, "depth": 30.0, "made": "drilled"}]))
    lathe = drilled.lathe.model_copy(update={"drill_drift": 0.1})
    assert "bore drifts 0.02 in 10 mm (measured on this lathe) |" in said(
        replace(drilled, lathe=lathe)
    )


def test_several_starts_are_indexed_and_the_manner_of_face_and_thread_is_told() -> None:
    bore = [{"diameter": 11.2, "depth": 30.0, "made": "reamed"}]
    pen = plug_pen(thread="M12xPh2.4P0.8-6H", countersink=12.2, outside=16.0, bore=bore,
                   made="guided", face="freehand")  # fmt: skip
    told = said(held(pen), pen)
    assert "starts indexed up to 0.25° off (from memory)" in told
    assert "part's thread cut guided: thread axis tilted 0.1° (from memory)" in told
    assert f"part's face cut freehand: out of square 0.05 ({PRACTICE})" in told


def test_a_strength_that_holds_for_some_bars_alone_says_which() -> None:
    pen = plug_pen(wishes={"material": "11SMn30"})
    assert (
        "strength of free-cutting steel 11SMn30+C: as EN 10277 (1.0715), cold drawn, bars of "
        "10 to 16 mm"
    ) in seen(held(pen), pen).assumptions
