"""What is said of one end in use, at each limit: the verdict on a good pen, one thing changed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.mandrel_findings import REMEDY, of_verdict
from mandrelgen.core.errors import Finding, Level
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import (
    Assessment,
    Capacity,
    Gap,
    LeftWall,
)
from mandrelgen.mechanics.combined import Bears, Weak
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.mechanics.holding import Conflict
from mandrelgen.mechanics.speed import Speed
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.mechanics.tailstock import Allowed
from mandrelgen.spec.shop import ChuckMount
from tests.support.changed_verdicts import quiet_plug, screwed, step

E, W, N = Level.ERROR, Level.WARNING, Level.NOTE


@pytest.fixture(scope="module")
def made() -> Designed:
    return quiet_plug()[0]


@pytest.fixture(scope="module")
def good() -> Assessment:
    return quiet_plug()[1]


def told(v: Assessment, **change: Any) -> list[Finding]:
    """What is said; each in words, and with what to do about it but of a chuck that is as it is."""
    found = of_verdict(replace(v, **change), "here")
    for f in found:
        assert f.message
        assert f.remedy or f.code == "use.chuck"
    return found


def one(v: Assessment, **change: Any) -> Finding:
    (f,) = told(v, **change)
    assert f.where == "here"
    return f


def seen(v: Assessment, **change: Any) -> list[tuple[Level, str]]:
    return [(f.level, f.code) for f in told(v, **change)]


# -- room ------------------------------------------------------------------------------------------
def gap(kind: str, least: float, id: str = "nose.end") -> tuple[Gap, ...]:
    return (Gap(id=id, label="the nose in the hole", kind=kind, least=least),)


def test_what_touches_before_the_seat_bears_is_an_error(good: Assessment) -> None:
    f = one(good, gaps=gap("seat", -0.0251))
    assert (f.level, f.code) == (E, "use.bottoms")
    assert f.message == "the nose in the hole: touches 0.025 mm before the seat bears (nose.end)"
    assert f.remedy
    assert (f.value, f.firm) == (None, False)


@pytest.mark.parametrize("kind", ["seat", "play", "engagement"])
def test_what_just_touches_is_no_fault(good: Assessment, kind: str) -> None:
    assert told(good, gaps=gap(kind, 0.0)) == []
    assert told(good, gaps=gap(kind, -1e-7)) == []
    bad = seen(good, gaps=gap(kind, -1.5e-6))
    assert bad == {"seat": [(E, "use.bottoms")], "play": [(W, "use.binds")]}.get(kind, [])


def test_a_thread_binds_by_spacing_only_where_spacing_eats_of_its_play(good: Assessment) -> None:
    binds = "the nose in the hole: binds by 0.03 mm at worst limits"
    eats = {"screwed": screwed(good, eaten=0.012)}
    f = one(good, gaps=gap("play", -0.03, "thread.pitch_diameter"), **eats)
    assert (f.level, f.code) == (W, "use.spacing")
    assert f.message == f"{binds}, of which lead and start-spacing errors take 0.012"
    f = one(good, gaps=gap("play", -0.03, "spigot1.diameter"), **eats)
    assert (f.level, f.code, f.message) == (W, "use.binds", binds)
    for without in (screwed(good, eaten=0.0), None):
        f = one(good, gaps=gap("play", -0.03, "thread.pitch_diameter"), screwed=without)
        assert (f.code, f.message) == ("use.binds", binds)


def test_friction_that_keeps_a_thread_off_the_middle(good: Assessment) -> None:
    assert seen(good, seat_conflict_friction=True) == [(W, "use.no_centring")]


def conflict(id: str, needed: float = 0.02) -> tuple[Conflict, ...]:
    return (Conflict(id, "they bind", needed, 0.01, 0.03),)


def test_locators_that_bind_at_any_limits_are_a_warning(good: Assessment) -> None:
    said = "they bind: {} against 0.01 to 0.03 mm of room"
    f = one(good, conflicts=conflict("spigot1", 0.031))
    assert (f.level, f.code, f.message) == (W, "use.locators", said.format("0.031"))
    assert f.remedy
    f = one(good, conflicts=conflict("spigot1", 0.03))
    assert (f.level, f.code, f.message) == (N, "use.locators", said.format("0.03"))


@pytest.mark.parametrize(
    ("chance", "level", "text"),
    [(0.0004, None, ""), (0.0005, N, "0.1%"), (0.0006, N, "0.1%"), (0.499, N, "49.9%"),
     (0.5, W, "50.0%")],
)  # fmt: skip
def test_a_tilted_thread_is_told_by_its_chance(
    good: Assessment, chance: float, level: Level | None, text: str
) -> None:
    """Whatever is certain of it: half and more is a warning, under 1 in 2,000 nothing."""
    found = told(good, conflicts=conflict("tilt.thread", 0.9), chance=chance)
    assert [f.level for f in found] == ([] if level is None else [level])
    for f in found:
        assert f.code == "use.locators"
        assert f.message.startswith(f"they bind in about {text} of pairs")


def test_a_thread_that_seats_hides_no_other_conflict(good: Assessment) -> None:
    both = conflict("tilt.thread") + conflict("spigot1", 0.05)
    assert seen(good, conflicts=both, chance=0.0) == [(W, "use.locators")]
    assert len(told(good, conflicts=conflict("spigot1", 0.05) + both, chance=0.9)) == 3


# -- true ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("worst", "statistical", "level"),
    [
        (0.5, 0.6, None), (0.499, 0.5, N), (0.499, 0.499, W), (0.2, 0.001, W),
        (-0.1, 0.0, E), (-0.1, -0.05, E),
    ],
)  # fmt: skip
def test_a_wall_left_thin(
    good: Assessment, worst: float, statistical: float, level: Level | None
) -> None:
    """Half a millimetre at worst is enough; what is gone in 5 of 100 is an error."""
    wall = LeftWall(where="over the bore", z=0, true=0.81, worst=worst, statistical=statistical)
    truth = replace(good.truth, wall=wall)
    assert seen(good, truth=truth) == ([] if level is None else [(level, "use.wall")])
    assert told(good, truth=truth, stiffness=None) == []


def test_a_wall_is_said_in_hundredths_and_never_below_nothing(good: Assessment) -> None:
    wall = LeftWall(where="over the bore", z=0, true=0.814, worst=0.236, statistical=0.457)
    f = one(good, truth=replace(good.truth, wall=wall))
    assert f.message == (
        "the wall over the bore may be left 0.24 thin (0.81 if all is true, 0.46 in 95 of 100)"
    )
    gone = replace(wall, worst=-0.3)
    f = one(good, truth=replace(good.truth, wall=gone))
    assert "may be left 0 thin" in f.message


SAID = "mismatch at joint cap+barrel, tightened: typically 0.031, seldom above 0.067"
MOST = "; the most comes from part's face out of square"


def test_a_mismatch_over_the_target_says_by_how_much(good: Assessment) -> None:
    f = one(good, **step(good, outcome=Outcome.NOT_MET, uneven=True))
    assert (f.level, f.code) == (W, "use.step")
    assert f.message == f"{SAID}, 0.017 over the target of 0.05{MOST}"
    assert f.remedy == "finish the two parts screwed together"
    assert (f.value, f.less_is_worse, f.firm) == (0.0671, False, False)


def test_a_mismatch_that_depends_is_a_note_without_an_amount(good: Assessment) -> None:
    f = one(good, **step(good, shares=False, outcome=Outcome.DEPENDS))
    assert (f.level, f.code, f.value) == (N, "use.step", None)
    assert f.message == (
        f"{SAID}: whether the target of 0.05 is met depends on how well the threads centre "
        "themselves"
    )


def test_an_uneven_reveal_is_a_note_and_an_even_one_nothing(good: Assessment) -> None:
    f = one(good, **step(good, outcome=None, uneven=True))
    assert (f.level, f.code) == (N, "use.reveal")
    assert f.message == f"{SAID}, on a shoulder of 0.21: the reveal is visibly uneven"
    assert told(good, **step(good, outcome=None)) == []
    assert told(good, **step(good, outcome=Outcome.MET)) == []
    bad = step(good, outcome=Outcome.NOT_MET)
    assert told(good, **bad, stiffness=None) == []  # nothing is turned true by a button


# -- strong ----------------------------------------------------------------------------------------
def bears(c: Capacity, force: float, prop: float | None = None, of_mandrel: bool = False) -> Bears:
    spot = replace(c.free.spot, name="the neck", of_mandrel=of_mandrel)
    return Bears(force=force, spot=spot, z=1.0, prop=prop)


def capacity(good: Assessment, **change: Any) -> Capacity:
    assert good.capacity is not None
    return replace(good.capacity, **change)


def weak(good: Assessment, prop: float | None = None, of_mandrel: bool = False,
         mandrel: float = 45.99, why: Weak = Weak.FINISHING) -> Finding:  # fmt: skip
    assert good.capacity is not None
    at = bears(good.capacity, 27.96, prop, of_mandrel)
    c = capacity(good, judged=at, asked=30.0, weak=(Weak.ROUGHING, why), mandrel=mandrel)
    return one(good, capacity=c)


def test_a_part_that_gives_way_first(good: Assessment) -> None:
    """Forces are rounded down: 27.96 N is no 28."""
    f = weak(good)
    assert (f.level, f.code) == (W, "use.part_weak")
    assert f.message == (
        "the free end bears 27 N, tailstock away: the neck gives way first; 30 N are required "
        "(twice a finishing cut; estimate)"
    )
    assert (f.value, f.less_is_worse, f.firm) == (27.0, True, False)
    f = weak(good, prop=50.0, why=Weak.ROUGHING)
    assert f.message == (
        "at mid-length, tailstock up, it bears 27 N: the neck gives way first; 30 N are required "
        "(a roughing cut; estimate)"
    )


def test_a_mandrel_that_bears_less_than_is_asked_is_named(good: Assessment) -> None:
    f = weak(good, mandrel=30.0)
    assert f.code == "use.part_weak"
    assert "gives way first; 30 N" in f.message
    f = weak(good, mandrel=29.99)
    assert f.code == "use.mandrel_weak"
    assert "the neck gives way first, then the mandrel at 29 N; 30 N are required" in f.message
    f = weak(good, mandrel=27.96, of_mandrel=True, why=Weak.MANDREL)
    assert f.code == "use.mandrel_weak"
    assert "gives way first; 30 N" in f.message
    assert "a roughing cut: the mandrel gives way before the part" in f.message


def test_a_far_end_that_takes_no_centre_with_the_tailstock_up(good: Assessment) -> None:
    closed = capacity(good, far_end=Allowed.NO, far_end_why="it is a thin dome")
    f = one(good, capacity=closed, tailstock=True)
    assert (f.level, f.code) == (W, "use.far_end")
    assert f.message == "the tailstock is to be up, but it is a thin dome"
    assert told(good, capacity=closed, tailstock=False) == []
    for other in (Allowed.YES, Allowed.ASK):
        assert told(good, capacity=capacity(good, far_end=other), tailstock=True) == []


def test_roughing_with_the_tailstock_up_asks_what_the_far_end_offers(good: Assessment) -> None:
    """A roughing cut is 90 N (estimate): only where the free end bears less, the tailstock is up
    for roughing alone, the part comes unroughed, nothing else is wrong and nobody said."""
    assert good.capacity is not None

    def c(free: float, **change: Any) -> Capacity:
        assert good.capacity is not None
        given = {"free": bears(good.capacity, free), "far_end": Allowed.ASK, "weak": ()} | change
        return capacity(good, **given)

    how = {"tailstock": False, "roughing_up": True, "finish_only": False}
    f = one(good, capacity=c(89.99), **how)
    assert (f.level, f.code) == (N, "use.far_end")
    assert f.message.startswith("the free end bears less than 90 N, a roughing cut (estimate)")
    assert told(good, capacity=c(90.0), **how) == []
    for other in ({"tailstock": True}, {"roughing_up": False}, {"finish_only": True}):
        assert told(good, capacity=c(50.0), **how | other) == []
    for far in (Allowed.YES, Allowed.NO):
        assert told(good, capacity=c(50.0, far_end=far), **how) == []
    at = bears(good.capacity, 20.0)
    both = c(50.0, weak=(Weak.FINISHING,), judged=at, asked=30.0)
    assert seen(good, capacity=both, **how) == [(W, "use.part_weak")]


def strength(id: str, factor: float, asked: float = 1.0, unit: str = "N") -> StrengthCheck:
    return StrengthCheck(id=id, label=f"{id} goes", demand=10.0, capacity=10.0 * factor, unit=unit,
                         asked=asked)  # fmt: skip


def test_the_weakest_by_what_is_asked_of_it_comes_first(good: Assessment) -> None:
    """0.9 of 2 is less than 0.6 of 1; of equal ones the first by name."""
    rows = (strength("lip", 0.6), strength("strip.part", 0.9, 2.0), strength("seat", 1.0))
    f = one(good, checks=rows)
    assert (f.level, f.code) == (W, "use.strip")
    assert f.message == (
        "strip.part goes: load 10 N, allowable 9 N: safety factor 0.90 (2.0 required); so would: "
        "lip goes"
    )
    assert f.remedy == REMEDY["strip"]
    three = (*rows, strength("cup", 0.7))
    assert one(good, checks=three).message.endswith("; so would: lip goes, cup goes")
    assert (f.value, f.less_is_worse) == (0.9, True)
    equal = (strength("tenon", 0.5), strength("cup", 0.5))
    assert one(good, checks=equal).code == "use.cup"
    assert told(good, checks=(strength("seat", 1.0), strength("lip", 2.0, 2.0))) == []


@pytest.mark.parametrize(
    ("unit", "text"),
    [
        ("N", "load 10 N, allowable 5 N:"), ("N·m", "load 10 N·m, allowable 4.56 N·m:"),
        ("MPa", "stress 10 MPa, allowable 5 MPa:"),
    ],
)  # fmt: skip
def test_amounts_stand_in_their_units(good: Assessment, unit: str, text: str) -> None:
    f = one(good, checks=(strength("glue", 0.4559, unit=unit),))
    assert text in f.message
    assert f.message.endswith("safety factor 0.46 (1.0 required)")
    assert (f.code, f.remedy, f.value) == ("use.glue", "lighter cuts", 0.45)


# -- the thread, the chuck, the speed --------------------------------------------------------------
def test_a_thread_that_runs_back(good: Assessment) -> None:
    assert told(good, screwed=screwed(good, locking=1.0)) == []
    f = one(good, screwed=screwed(good, locking=0.994))
    assert (f.level, f.code) == (W, "use.locking")
    assert "(factor 0.99)" in f.message


def test_flats_are_missed_where_a_strap_does_not_do(good: Assessment) -> None:
    tight = screwed(good, flats_needed=True, freeing_catch=3.456)
    f = one(good, screwed=tight, flats=False)
    assert (f.level, f.code) == (W, "use.flats")
    assert "after a dig-in 3.5 N·m" in f.message
    assert told(good, screwed=tight, flats=True) == []
    assert told(good, screwed=screwed(good, flats_needed=False), flats=False) == []


def test_a_left_hand_thread_hurts_on_a_chuck_that_unscrews(good: Assessment) -> None:
    left = screwed(good, forward=False)
    f = one(good, screwed=left, chuck=ChuckMount.THREAD_LOCKED)
    assert (f.level, f.code, f.firm) == (W, "use.sense", False)
    assert f.message == "left-hand thread: forward running unscrews the part"
    f, note = told(good, screwed=left, chuck=ChuckMount.THREAD)
    assert (f.level, f.code, f.firm) == (E, "use.sense", True)
    assert f.message.endswith(", and the chuck, screwed on without a lock, may not run in reverse")
    assert (note.level, note.code, note.remedy) == (N, "use.chuck", "")
    assert told(good, screwed=None) == []


def test_a_taper_without_a_draw_bar_wants_the_tailstock(good: Assessment) -> None:
    f = one(good, chuck=ChuckMount.TAPER, tailstock=False)
    assert (f.level, f.code, f.firm) == (E, "use.taper", True)
    assert told(good, chuck=ChuckMount.TAPER, tailstock=True) == []
    for mount in (ChuckMount.TAPER_DRAW_BAR, ChuckMount.THREAD_LOCKED, None):
        assert told(good, chuck=mount, tailstock=False) == []
    for mount in (ChuckMount.TAPER, ChuckMount.THREAD):
        assert told(good, chuck=mount, tailstock=False, stiffness=None) == []


def test_a_tailstock_that_the_lathe_has_not(good: Assessment) -> None:
    f = one(good, tailstock_missing=True)
    assert (f.level, f.code, f.firm) == (E, "use.tailstock", False)
    assert f.remedy.startswith("use.tailstock = false")


@pytest.mark.parametrize(("wanted", "level"), [(None, W), (1200.0, E)])
def test_a_refused_speed_is_an_error_where_a_speed_was_said(
    good: Assessment, wanted: float | None, level: Level
) -> None:
    assert good.speed is not None
    refused = Speed(0, 0, good.speed.caps, ("too warm", "too fast"))
    f = one(good, speed=refused, wanted_speed=wanted)
    assert (f.level, f.code, f.firm) == (level, "use.speed", True)
    assert f.message == "turning refused: too warm; too fast"
    assert told(good, speed=None, wanted_speed=wanted) == []
    assert told(good, wanted_speed=wanted) == []


def test_amounts_are_kept_to_a_tenth_of_a_micrometre(good: Assessment) -> None:
    """An accepted finding lapses when its amount gets worse: noise behind that is none."""
    f = one(good, **step(good, outcome=Outcome.NOT_MET, seldom=0.067123456))
    assert f.value == 0.0671
