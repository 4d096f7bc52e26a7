"""What is said of one end in use, at each limit: the verdict on a good pen, one thing changed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.mandrel_findings import check, of_designs, of_verdict
from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import (
    Assessment,
    Capacity,
    Gap,
    LeftWall,
    Screwed,
)
from mandrelgen.mechanics.budget import Budget, Cause, Origin, Share
from mandrelgen.mechanics.combined import Bears, Weak
from mandrelgen.mechanics.concentricity import Felt, Judged, Outcome
from mandrelgen.mechanics.holding import Conflict
from mandrelgen.mechanics.speed import Speed
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.mechanics.tailstock import Allowed
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import ChuckMount, Shop
from tests.support.judged_pens import fixed, plug_pen, verdict_of
from tests.support.randompens import SHOP

E, W, N = Level.ERROR, Level.WARNING, Level.NOTE


@pytest.fixture(scope="module")
def made() -> Designed:
    """A plug of which nothing is said."""
    (d,) = fixed(plug_pen({"tailstock": True, "far_end": "pip"}), SHOP)
    return d


@pytest.fixture(scope="module")
def good(made: Designed) -> Assessment:
    v = verdict_of(made)
    assert of_verdict(v, "here") == []
    return v


def told(v: Assessment, **change: Any) -> list[Finding]:
    return of_verdict(replace(v, **change), "here")


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


def screwed(good: Assessment, **change: Any) -> Screwed:
    assert good.screwed is not None
    return replace(good.screwed, **change)


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


def step(good: Assessment, shares: bool = True, **change: Any) -> dict[str, Any]:
    """The mismatch at a joint, most of it from the face."""
    given: dict[str, Any] = {
        "felt": Felt.FLUSH, "shoulder": 0.214, "typical": 0.0312, "seldom": 0.0671,
        "target": 0.05, "over": 0.0171, "outcome": Outcome.MET, "uneven": False,
    } | change  # fmt: skip
    cause = Cause("part.face", "part's face out of square", Origin.PART, lateral=0.01)
    most = Share(cause=cause, eccentricity=0.01, of_worst=1.0, of_variance=1.0)
    budget = Budget(0.0, 0.01, 0.01, (most,) if shares else ())
    new = replace(good.truth.step, joint="cap+barrel", joined=Judged(**given), budget=budget)
    return {"truth": replace(good.truth, step=new)}


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
    assert weak(good, mandrel=30.0).code == "use.part_weak"
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
    assert not f.message.endswith("goes")
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


# -- of a whole set --------------------------------------------------------------------------------
def changed(made: Designed, **change: Any) -> tuple[Pen, Designed]:
    """The plug's pen, and the plug with something else found of it."""
    pen = plug_pen({"tailstock": True, "far_end": "pip"})
    return pen, replace(made, **change)


def test_each_end_is_told_by_its_own_place(made: Designed, good: Assessment) -> None:
    loose = replace(good, screwed=screwed(good, locking=0.5))
    name = made.planned.id
    pen, d = changed(made, verdict=loose, verdict_b=loose)
    found = check((d, replace(d, verdict=None, verdict_b=None)), pen, SHOP)
    assert [(f.where, f.code) for f in found] == [
        (name, "use.locking"), (f"{name}, end B", "use.locking"),
    ]  # fmt: skip
    for f in found:
        assert f.parts == (name,)
        assert [r.says for r in f.remedies] == ["the tailstock up all the time"]
    _, second = changed(made, verdict=None, verdict_b=loose)
    assert [f.where for f in check((second,), pen, SHOP)] == [f"{name}, end B"]


def small_and_large() -> tuple[Pen, Shop]:
    """A knob of 6 mm and its tenon, screwed into a body: turned on it."""
    mouth = {"diameter": 14.0, "internal": {"thread": "M8x0.5", "depth": 10.0}}
    tenon = {"thread": "M8x0.5", "length": 6.0, "mates": "body.mouth"}
    parts = {
        "body": {"length": 60.0, "diameter": 15.0, "ends": {"mouth": mouth}},
        "knob": {"length": 12.0, "diameter": 14.0,
                 "ends": {"root": {"diameter": 14.0, "external": tenon}}},
    }  # fmt: skip
    tree = {"schema": 1, "pen": {"id": "reed", "name": "Reed"}, "parts": parts}
    return Pen.model_validate(tree), SHOP


@pytest.fixture(scope="module")
def pair() -> tuple[Pen, Designed, Designed]:
    pen, shop = small_and_large()
    by = {d.planned.hold.part: d for d in fixed(pen, shop)}
    return pen, by["body"], by["knob"]


def test_a_mismatch_of_what_is_turned_on_its_neighbour_is_a_note(
    pair: tuple[Pen, Designed, Designed],
) -> None:
    """It is none if it is done so; of a part that is not, the warning stays. Other findings are
    none the less warnings."""
    pen, body, knob = pair
    levels = {}
    for d in (body, knob):
        v = verdict_of(d)
        bad = replace(v, gaps=(), conflicts=(), checks=(), screwed=screwed(v, locking=0.5),
                      **step(v, outcome=Outcome.NOT_MET))  # fmt: skip
        others = tuple(replace(o, verdict=None) for o in (body, knob) if o is not d)
        found = {f.code: f for f in check((replace(d, verdict=bad), *others), pen, SHOP)}
        levels[d.planned.hold.part] = found["use.step"].level, found["use.locking"].level
        ends = found["use.step"].message.partition("; none if you ")[2]
        assert ends.startswith("turn it screwed into its body") is (d is knob)
        assert bool(found["use.step"].remedies) is (d is body)
    assert levels == {"body": (W, W), "knob": (N, W)}


def designers(code: str, level: Level, **more: Any) -> Finding:
    return Finding(level=level, code=code, where="here", message="it fails", **more)


def test_what_the_designer_finds_of_a_needless_mandrel_is_no_fault(
    pair: tuple[Pen, Designed, Designed],
) -> None:
    """Errors alone become notes, and say why no mandrel is needed; nothing is changed for them."""
    pen, body, knob = pair
    found = (designers("spigot.not_possible", E, remedy="do this"),
             designers("spigot.not_possible", W, remedy="do that"))  # fmt: skip
    both = tuple(replace(d, findings=found) for d in (body, knob))
    of_body, body_warned, of_knob, knob_warned = of_designs(both, pen, SHOP, ())
    assert (of_body.level, of_body.message, of_body.remedy) == (E, "it fails", "do this")
    assert (of_knob.level, of_knob.remedy, of_knob.remedies) == (N, "", ())
    assert of_knob.message.startswith(
        "it fails; no mandrel is needed: turn it screwed into its body"
    )
    assert (knob_warned.level, knob_warned.message) == (W, "it fails")
    for f in (of_body, body_warned, knob_warned):
        assert [r.says for r in f.remedies] == ["no spigot"]
    assert [f.parts for f in (of_body, of_knob)] == [(body.planned.id,), (knob.planned.id,)]


def test_what_the_designer_offers_itself_is_kept(made: Designed) -> None:
    own = (Remedy((Change(("parts", "body", "length"), 50.0),), "longer"),)
    found = (designers("spigot.not_possible", W, remedies=own, parts=("body",)),
             designers("spigot.not_possible", N), designers("other", E))  # fmt: skip
    pen, d = changed(made, findings=found)
    first, note, unknown = of_designs((d,), pen, SHOP, ())
    assert (first.remedies, first.parts) == (own, ("body",))
    assert note.remedies == ()
    assert unknown.remedies == ()
    assert unknown.parts == (d.planned.id,)


def test_amounts_are_kept_to_a_tenth_of_a_micrometre(good: Assessment) -> None:
    """An accepted finding lapses when its amount gets worse: noise behind that is none."""
    f = one(good, **step(good, outcome=Outcome.NOT_MET, seldom=0.067123456))
    assert f.value == 0.0671
