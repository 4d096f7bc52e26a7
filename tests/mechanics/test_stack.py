"""Budgets, holdings and beams: the rules that must hold for any sizes."""

from __future__ import annotations

import doctest
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.mechanics import budget as budget_module
from mandrelgen.mechanics.beam import Load, Segment, bend, shoulder_notch
from mandrelgen.mechanics.budget import (
    Cause,
    Origin,
    budget,
    gains,
    joint_step,
    remount_shift,
    thinnest_wall,
)
from mandrelgen.mechanics.holding import (
    ColletHold,
    Holding,
    Locator,
    PartEnd,
    SeatFace,
    State,
    Surface,
    causes,
    conflicts,
    governing_locator,
)
from mandrelgen.mechanics.locate import envelope, face_tilt, guides, tilt_capacity
from mandrelgen.mechanics.whirl import first_frequency

small = st.floats(0.0, 0.3)
lengths = st.floats(1.0, 40.0)
places = st.floats(-30.0, 100.0)
states = st.sampled_from(list(State))
surfaces = st.sampled_from(list(Surface))


@st.composite
def locators(draw: st.DrawFn) -> Locator:
    z0 = draw(st.floats(-10, 20))
    return Locator(
        id=f"l{draw(st.integers(0, 99))}.diameter",
        on=draw(surfaces),
        clearance=draw(small),
        z0=z0,
        z1=z0 + draw(st.floats(1, 20)),
        run_out=draw(st.floats(0, 0.05)),
    )


@st.composite
def holdings(draw: st.DrawFn) -> Holding:
    seat = SeatFace(draw(st.floats(0, 0.05)), draw(st.floats(6, 16)))
    return Holding(
        locators=tuple(draw(st.lists(locators(), min_size=1, max_size=3))),
        part=PartEnd(
            draw(st.floats(0, 0.1)),
            draw(st.floats(6, 16)),
            draw(st.floats(0, 0.5)),
            draw(st.floats(0, 0.005)),
        ),
        collet=draw(st.none() | st.just(ColletHold(0.02, 40, 15))),
        seat=draw(st.none() | st.just(seat)),
        friction=draw(st.floats(0.05, 0.4)),
    )


def test_worked_example() -> None:
    """The budget worked by hand in the module's text."""
    result = doctest.testmod(budget_module)
    assert (result.attempted > 5, result.failed) == (True, 0)


@settings(deadline=None)
@given(small, lengths, st.floats(1, 3), places)
def test_longer_spigot_never_tilts_more(c: float, length: float, more: float, z: float) -> None:
    assert tilt_capacity(c, length * more) <= tilt_capacity(c, length)
    assert envelope(guides(c, 0, length * more), z) <= envelope(guides(c, 0, length), z) + 1e-9


@settings(deadline=None)
@given(holdings(), states, surfaces, places, small, st.integers(0, 2))
def test_looser_fit_never_less_run_out(
    held: Holding, state: State, follow: Surface, z: float, more: float, which: int
) -> None:
    which %= len(held.locators)
    loose = list(held.locators)
    loose[which] = loose[which]._replace(clearance=loose[which].clearance + more)
    looser = replace(held, locators=tuple(loose))
    before = budget(causes(held, state, follow, z), z)
    after = budget(causes(looser, state, follow, z), z)
    assert after.worst >= before.worst - 1e-9


@settings(deadline=None)
@given(holdings(), states, surfaces, places, st.floats(0, 0.3))
def test_worse_part_never_better(
    held: Holding, state: State, follow: Surface, z: float, more: float
) -> None:
    before = budget(causes(held, state, follow, z), z)
    part = held.part
    for worse in (
        part._replace(thread_tilt=part.thread_tilt + more),
        part._replace(face_squareness=part.face_squareness + more),
        part._replace(bore_drift=part.bore_drift + more / 100),
    ):
        after = budget(causes(replace(held, part=worse), state, follow, z), z)
        assert after.worst >= before.worst - 1e-9
    tilted = replace(held, part=part._replace(thread_tilt=part.thread_tilt + more))
    after = budget(causes(tilted, state, follow, z), z)
    assert after.statistical >= before.statistical - 1e-9


@settings(deadline=None)
@given(holdings(), surfaces, places)
def test_pulled_tight_never_worse_than_loose(held: Holding, follow: Surface, z: float) -> None:
    tight = budget(causes(held, State.TIGHT, follow, z), z)
    assert tight.worst <= budget(causes(held, State.LOOSE, follow, z), z).worst + 1e-9


@settings(deadline=None)
@given(holdings(), states, places)
def test_budget_adds_up(held: Holding, state: State, z: float) -> None:
    found = budget(causes(held, state), z)
    assert found.statistical <= found.worst + 1e-12
    assert found.run_out == 2 * found.worst
    assert found.run_out_statistical == 2 * found.statistical
    if found.worst > 0:
        assert sum(s.of_worst for s in found.shares) == pytest.approx(1)
    if found.statistical > 1e-9:
        assert sum(s.of_variance for s in found.shares) == pytest.approx(1)
    bought = gains(found)
    assert all(a.statistical >= b.statistical for a, b in pairwise(bought))


@settings(deadline=None)
@given(holdings(), states, places)
def test_gain_is_what_halving_brings(held: Holding, state: State, z: float) -> None:
    found = causes(held, state)
    before = budget(found, z)
    best = gains(before)[0]
    halved = [
        replace(c, lateral=c.lateral / 2, tilt=c.tilt / 2,
                play=tuple((zk, h / 2) for zk, h in c.play)) if c is best.cause else c
        for c in found
    ]  # fmt: skip
    after = budget(halved, z)
    assert before.statistical - after.statistical == pytest.approx(best.statistical, abs=1e-9)
    assert before.worst - after.worst == pytest.approx(best.worst, abs=1e-9)


def test_tightest_locator_governs() -> None:
    thread = Locator(id="thread.pitch_diameter", on=Surface.THREAD, clearance=0.2, z0=1, z1=6)
    spigot = Locator(id="spigot1.diameter", on=Surface.BORE, clearance=0.05, z0=9, z1=25)
    held = Holding((thread, spigot), PartEnd(), None, SeatFace(0.01, 12))
    assert governing_locator(held, State.LOOSE) is spigot
    drifted = replace(held, part=PartEnd(bore_drift=0.005))
    assert governing_locator(drifted, State.LOOSE) is thread
    assert governing_locator(drifted, State.LOOSE, Surface.BORE, 17) is spigot
    slack = replace(held, locators=(thread, spigot._replace(clearance=0.3)))
    assert governing_locator(slack, State.LOOSE) is thread


def test_locators_that_bind_are_named() -> None:
    thread = Locator(
        id="thread.pitch_diameter", on=Surface.THREAD, clearance=0.2, z0=1, z1=6, clearance_min=0.03
    )
    spigot = Locator(
        id="spigot1.diameter", on=Surface.BORE, clearance=0.05, z0=9, z1=25, clearance_min=0.01
    )
    held = Holding((thread, spigot), PartEnd(bore_drift=0.004), None, SeatFace(0.01, 12))
    (found,) = conflicts(held)
    assert found.id == "thread.pitch_diameter+spigot1.diameter"
    assert found.needed == pytest.approx(0.004 * 17)
    assert found.available == pytest.approx(0.02)
    assert conflicts(replace(held, part=PartEnd())) == ()
    (lean,) = conflicts(replace(held, part=PartEnd(thread_tilt=0.5)))
    assert lean.id == "part.thread"
    assert lean.needed > lean.available == pytest.approx(0.03 / 5)


def test_wall_and_step() -> None:
    play = Cause("thread.pitch_diameter", "play", Origin.FIT, 0.06)
    bore = Cause(id="part.bore", label="drift", origin=Origin.PART, lateral=0.0, tilt=0.004)
    wall = thinnest_wall(13.0, 10.0, [play, bore], 20)
    assert (wall.true, wall.worst) == pytest.approx((1.5, 1.5 - 0.14))
    assert wall.worst < wall.statistical < wall.true
    step = joint_step([play], [Cause("joint", "play", Origin.FIT, 0.02)], [play])
    assert step.worst == pytest.approx(0.14)
    assert step.shares[0].cause.id == "neighbour:thread.pitch_diameter"
    assert remount_shift([bore], 10, True, 3).worst == 0


def test_refusals() -> None:
    with pytest.raises(ValueError, match="without sign"):
        Cause("a", "a", Origin.PART, -0.1)
    with pytest.raises(ValueError, match="tilt free"):
        envelope([(0, 0.1)], 5)
    with pytest.raises(ValueError, match="negative"):
        guides(-0.1, 0, 1)
    with pytest.raises(ValueError, match="above 0"):
        tilt_capacity(0.1, 0)
    with pytest.raises(ValueError, match="above 0"):
        face_tilt(0.1, 0)
    with pytest.raises(ValueError, match="at least one start"):
        remount_shift([], 0, starts=0)
    with pytest.raises(ValueError, match="at least one locator"):
        causes(Holding((), PartEnd()), State.LOOSE)
    one = Locator(id="a", on=Surface.BORE, clearance=0.1, z0=0, z1=5)
    with pytest.raises(ValueError, match="distance it was measured"):
        causes(Holding((one,), PartEnd(), ColletHold(0.02, 0, 1)), State.LOOSE)


@st.composite
def rows(draw: st.DrawFn) -> list[Segment]:
    found = []
    for _ in range(draw(st.integers(1, 5))):
        outer = draw(st.floats(3, 16))
        inner = draw(st.floats(0, 0.9)) * outer
        modulus = draw(st.sampled_from([210e3, 97e3, 70e3, 3e3]))
        found.append(Segment(draw(st.floats(1, 40)), outer, inner, modulus))
    return found


@settings(deadline=None)
@given(rows(), st.floats(0.05, 1), st.floats(0.05, 1), st.booleans())
def test_beam_reciprocity_and_prop(row: list[Segment], a: float, b: float, held: bool) -> None:
    """Maxwell: deflection at a by a load at b equals that at b by a load at a; the tailstock
    never makes the tool's place softer."""
    length = sum(s.length for s in row)
    za, zb = a * length, b * length
    prop = length if held else None
    at_a = bend(row, [Load(zb, 100)], prop).at(za).deflection
    at_b = bend(row, [Load(za, 100)], prop).at(zb).deflection
    scale = bend(row, [Load(length, 100)]).end.deflection
    assert at_a == pytest.approx(at_b, rel=1e-6, abs=1e-9 * scale)
    free = bend(row, [Load(za, 100)]).at(za).deflection
    propped = bend(row, [Load(za, 100)], length).at(za).deflection
    assert -1e-9 * scale <= propped <= free * (1 + 1e-9) + 1e-9 * scale


@settings(deadline=None)
@given(rows(), st.floats(0.05, 1), st.floats(1, 4), st.integers(0, 4), st.booleans())
def test_stiffer_never_bends_more(
    row: list[Segment], a: float, more: float, which: int, held: bool
) -> None:
    length = sum(s.length for s in row)
    prop = length if held else None
    stiffer = list(row)
    which %= len(row)
    stiffer[which] = replace(row[which], modulus=row[which].modulus * more)
    before = bend(row, [Load(a * length, 50)], prop).at(a * length).deflection
    after = bend(stiffer, [Load(a * length, 50)], prop).at(a * length).deflection
    scale = bend(row, [Load(length, 50)]).end.deflection
    assert after <= before + 1e-9 * scale
    harder = [replace(s, modulus=s.modulus * more) for s in row]
    assert bend(harder, [Load(length, 50)]).end.deflection <= scale * (1 + 1e-12)


@settings(max_examples=40, deadline=None)
@given(rows(), st.floats(0, 0.5), st.floats(1, 4))
def test_frequency_rules(row: list[Segment], blank: float, more: float) -> None:
    """A load of mass lowers, stiffness and a tailstock raise the whirling speed."""
    base = first_frequency(row)
    assert first_frequency([replace(s, added=blank) for s in row]) <= base * (1 + 1e-9)
    stiff = [replace(s, modulus=s.modulus * more) for s in row]
    assert first_frequency(stiff) == pytest.approx(base * more**0.5, rel=1e-6)
    assert first_frequency(row, sum(s.length for s in row)) > base


def test_beam_details() -> None:
    bent = bend([Segment(20, 12, notch=1.5, feature="neck"), Segment(40, 8)], [Load(60, 100)])
    neck, tip = bent.stresses()
    assert (neck.feature, neck.z, neck.notch) == ("neck", 0.0, 1.5)
    assert tip.z == pytest.approx(20)
    assert tip.stress == pytest.approx(4000 / (3.141592653589793 * 8**3 / 32))
    assert bent.at(35).moment == pytest.approx(2500)
    assert shoulder_notch(10, 10, 0.2) == 1
    assert shoulder_notch(8, 12, 0) == shoulder_notch(12, 8, 0) > 2
    bad = (
        lambda: Segment(0, 5),
        lambda: Segment(1, 5, 5),
        lambda: Segment(1, 5, notch=0.5),
        lambda: Segment(1, 5, modulus=0),
        lambda: Segment(1, 5, density=-1),
        lambda: bend([], []),
        lambda: bend([Segment(10, 5)], [Load(11, 1)]),
        lambda: bend([Segment(10, 5)], [], prop=0.0),
        lambda: bent.at(61),
        lambda: shoulder_notch(0, 5, 1),
        lambda: first_frequency([]),
        lambda: first_frequency([Segment(10, 5)], 11),
        lambda: first_frequency([Segment(10, 5)], 0.0),
        lambda: first_frequency([Segment(10, 5), Segment(9, 5, density=0)]),
    )
    for call in bad:
        with pytest.raises(ValueError):  # noqa: PT011
            call()
