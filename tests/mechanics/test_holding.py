"""How a part is held, worked out by hand: which locator governs, and every cause of run-out."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mandrelgen.mechanics.budget import Cause, Origin
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

# A plug: a thread from 0 to 8 with 0.10 play, a spigot from 10 to 30 with 0.02, both run out, a
# seat, a collet. Figures below by the module's rules: half plays, half run-outs, tilts about z.
PLUG = Holding(
    (
        Locator(
            id="thread.pitch_diameter",
            on=Surface.THREAD,
            clearance=0.10,
            z0=0.0,
            z1=8.0,
            clearance_min=0.04,
            run_out=0.010,
            run_out_id="",
            label="thread",
        ),
        Locator(
            id="spigot.diameter",
            on=Surface.BORE,
            clearance=0.02,
            z0=10.0,
            z1=30.0,
            clearance_min=0.01,
            run_out=0.006,
            run_out_id="spigot.runout",
        ),
    ),
    PartEnd(0.02, 12.0, 0.5, 0.001),
    ColletHold(0.02, 40.0, 60.0),
    SeatFace(0.008, 13.0),
)


def found(held: Holding, state: State, follow: Surface, z: float = 0.0) -> dict[str, Cause]:
    every = causes(held, state, follow, z)
    for c in every:
        assert isinstance(c.origin, Origin)
        assert c.label
    named = {c.id: c for c in every}
    assert len(named) == len(every)
    return named


def test_causes_where_the_thread_is_followed() -> None:
    """The spigot lets the thread's axis go 0.010 + 0.003 + drift 0.001·20 = 0.033 off; the loose
    thread 0.050 + 0.005: the spigot governs. Pulled tight a quarter of the thread's play is left,
    0.0125 + 0.005 = 0.0175: it governs."""
    loose = found(PLUG, State.LOOSE, Surface.THREAD)
    assert set(loose) == {
        "collet.runout", "part.face", "part.thread", "seat.runout",
        "spigot.diameter", "spigot.runout", "part.bore",
    }  # fmt: skip
    collet = loose["collet.runout"]  # half the TIR, grown from 40 to 60 mm
    assert (collet.lateral, collet.tilt, collet.origin) == (
        pytest.approx(0.015), pytest.approx(0.01 / 40), Origin.COLLET,
    )  # fmt: skip
    assert loose["part.face"].tilt == pytest.approx(0.02 / 12)
    assert loose["part.thread"].tilt == pytest.approx(math.radians(0.5))
    assert (loose["seat.runout"].tilt, loose["seat.runout"].origin) == (
        pytest.approx(0.008 / 13), Origin.MANDREL,
    )  # fmt: skip
    play = loose["spigot.diameter"]
    assert (play.lateral, play.origin, play.label) == (
        0.01, Origin.FIT, "play of the bore locator",
    )  # fmt: skip
    assert (loose["spigot.runout"].lateral, loose["spigot.runout"].origin) == (
        0.003, Origin.MANDREL,
    )  # fmt: skip
    assert (loose["part.bore"].lateral, loose["part.bore"].origin) == (
        pytest.approx(0.02), Origin.PART,
    )  # fmt: skip
    tight = found(PLUG, State.TIGHT, Surface.THREAD)
    held_by = tight["thread.pitch_diameter"]
    assert held_by.lateral == pytest.approx(0.0125)
    assert held_by.label == "thread (tightened: estimate)"
    assert tight["thread.pitch_diameter.runout"].lateral == pytest.approx(0.005)
    assert "part.bore" not in tight


def test_causes_where_the_bore_is_followed() -> None:
    """The spigot holds the bore itself: about its middle the drift tilts it, at the thread about
    the mouth."""
    bore = found(PLUG, State.LOOSE, Surface.BORE, 20.0)
    drift = bore["part.bore"]
    assert (drift.tilt, drift.pivot, drift.lateral) == (0.001, 20.0, 0.0)
    assert drift.origin is Origin.PART
    alone = replace(PLUG, locators=PLUG.locators[:1])
    by_thread = found(alone, State.LOOSE, Surface.BORE, 20.0)["part.bore"]
    assert (by_thread.tilt, by_thread.pivot) == (0.001, 0.0)
    assert found(alone, State.LOOSE, Surface.THREAD)["thread.pitch_diameter"].label == "thread"


def test_the_governing_locator_depends_on_state_axis_and_place() -> None:
    def governs(state: State, follow: Surface, z: float) -> str:
        return governing_locator(PLUG, state, follow, z).id.split(".")[0]

    assert governs(State.LOOSE, Surface.THREAD, 0.0) == "spigot"
    assert governs(State.TIGHT, Surface.THREAD, 0.0) == "thread"
    # The bore's axis at 20: 0.010 + 0.003 by the spigot, 0.0125 + 0.005 + 0.020 by the thread.
    assert governs(State.TIGHT, Surface.BORE, 20.0) == "spigot"
    # The thread's axis at 20: it does not drift off itself, off the spigot's by 0.020 everywhere.
    assert governs(State.TIGHT, Surface.THREAD, 20.0) == "thread"
    assert "thread.pitch_diameter" in found(PLUG, State.TIGHT, Surface.THREAD, 20.0)
    # At 0: 0.013 + 0.020 by the spigot, 0.0175 by the thread, where bore and thread meet.
    assert governs(State.TIGHT, Surface.BORE, 0.0) == "thread"
    # A run-out counts by its half: two bores alike but for it.
    twins = (
        Locator(id="a", on=Surface.BORE, clearance=0.02, z0=0, z1=10, run_out=0.03),
        Locator(id="b", on=Surface.BORE, clearance=0.04, z0=0, z1=10, run_out=0.0),
    )
    assert governing_locator(Holding(twins, PartEnd()), State.LOOSE, Surface.BORE).id == "b"
    less = (twins[0]._replace(run_out=0.019), twins[1])
    assert governing_locator(Holding(less, PartEnd()), State.LOOSE, Surface.BORE).id == "a"


def test_a_place_that_is_not_named_is_the_seat() -> None:
    """Drift 0.01. At the seat the thread lets the bore's axis go 0.010 off, a bore locator about
    its middle at 1 0.005 + 0.010: the thread governs. At 1 it is 0.010 + 0.010 against 0.005."""
    pair = (
        Locator(id="thread", on=Surface.THREAD, clearance=0.020, z0=0.0, z1=2.0),
        Locator(id="bore", on=Surface.BORE, clearance=0.010, z0=0.5, z1=1.5),
    )
    held = Holding(pair, PartEnd(bore_drift=0.01), seat=SeatFace(0.0, 12.0))
    assert governing_locator(held, State.LOOSE, Surface.BORE).id == "thread"
    assert governing_locator(held, State.LOOSE, Surface.BORE, 1.0).id == "bore"
    assert "thread" in {c.id for c in causes(held, State.LOOSE, Surface.BORE)}
    assert "bore" in {c.id for c in causes(held, State.LOOSE, Surface.BORE, 1.0)}


def test_a_collet_s_run_out_needs_a_distance() -> None:
    """0.02 measured half a millimetre from the face: half of it, twice that at 1 mm, and a tilt of
    0.01/0.5. At the face itself it says nothing of a tilt."""
    near = replace(PLUG, collet=ColletHold(0.02, 0.5, 1.0))
    collet = found(near, State.LOOSE, Surface.THREAD)["collet.runout"]
    assert (collet.lateral, collet.tilt) == (pytest.approx(0.02), pytest.approx(0.02))
    with pytest.raises(ValueError, match="distance it was measured at"):
        causes(replace(PLUG, collet=ColletHold(0.02, 0.0, 1.0)), State.LOOSE)


@pytest.mark.parametrize(("slope", "lateral"), [(0.0005, 0.01), (-0.0005, 0.005), (0.0, 0.005)])
def test_two_readings_of_a_collet_say_how_it_leans(slope: float, lateral: float) -> None:
    """0.010 at the face and 0.0005 more each millimetre: 0.020 at 20 mm, half of it off the axis.
    Where it grows less outwards it is never taken less than at the face."""
    collet = ColletHold(0.010, 5.0, 20.0, id="collet.a", slope=slope)
    cause = found(replace(PLUG, collet=collet), State.LOOSE, Surface.THREAD)["collet.a"]
    assert cause.lateral == pytest.approx(lateral)
    assert cause.tilt == pytest.approx(abs(slope) / 2)
    assert cause.origin is Origin.COLLET


def test_what_is_true_adds_no_cause() -> None:
    """A part and a locator without errors: the seat and the play are left; a face that is out of
    square counts on a seat alone."""
    spigot = Locator(id="spigot", on=Surface.BORE, clearance=0.02, z0=10.0, z1=30.0)
    true = Holding((spigot,), PartEnd(), seat=SeatFace(0.008, 13.0))
    for follow in Surface:
        assert [c.id for c in causes(true, State.LOOSE, follow)] == ["seat.runout", "spigot"]
    askew = replace(true, part=PartEnd(face_squareness=0.03, face_diameter=12.0))
    assert "part.face" in {c.id for c in causes(askew, State.LOOSE)}
    unseated = causes(replace(askew, seat=None), State.LOOSE)
    assert [c.id for c in unseated] == ["spigot"]


def test_without_a_seat_play_tilts_the_part() -> None:
    """One spigot, 0.02 play from 10 to 30, run-out 0.006: at its ends the bore's axis is within
    0.010 + 0.003; at the mouth, z = 0, on a line through (10, −0.013) and (30, 0.013)."""
    free = replace(PLUG, seat=None, locators=PLUG.locators[1:], part=PartEnd(bore_drift=0.001))
    (cause,) = (c for c in causes(free, State.LOOSE, Surface.BORE) if c.play)
    assert (cause.id, cause.origin, cause.label) == (
        "spigot.diameter", Origin.FIT, "play, no seat",
    )  # fmt: skip
    assert cause.at(20) == pytest.approx(0.013)
    assert cause.at(0) == pytest.approx(0.013 * 2)
    # The thread's axis: the drift over the far end (0.001·30) widens both bounds.
    (wider,) = (c for c in causes(free, State.LOOSE, Surface.THREAD) if c.play)
    assert wider.at(20) == pytest.approx(0.043)
    # A second locator tightens: all bounds count, not the last alone.
    both = replace(
        free, locators=(Locator(id="a", on=Surface.BORE, clearance=0.0, z0=0, z1=5), *free.locators)
    )
    (narrow,) = (c for c in causes(both, State.LOOSE, Surface.BORE) if c.play)
    assert (narrow.id, narrow.at(0)) == ("a", 0.0)


def test_locators_that_run_out_bind() -> None:
    """Two spigots on one axis with 0.01 least play each: 0.010 available; they run out 0.008 and
    0.014: 0.011 needed. The thread leans 0.01 rad over 4 mm with 0.03 play: 0.0075 is room."""
    a = Locator(
        id="a", on=Surface.BORE, clearance=0.05, z0=0, z1=5, clearance_min=0.01, run_out=0.008
    )
    b = Locator(
        id="b", on=Surface.BORE, clearance=0.05, z0=10, z1=15, clearance_min=0.01, run_out=0.014
    )
    (bind,) = conflicts(Holding((a, b), PartEnd()))
    assert (bind.id, bind.needed, bind.available) == (
        "a+b", pytest.approx(0.011), pytest.approx(0.01),
    )  # fmt: skip
    assert "a and b can stand 0.011 off each other" in bind.message
    assert bind.most == pytest.approx(0.05)  # half of both plays at their largest
    assert not bind.certain
    (unsaid,) = conflicts(
        Holding(
            (Locator(id="a", on=Surface.BORE, clearance=0.05, z0=0, z1=5, run_out=0.001), b),
            PartEnd(),
        )
    )
    assert unsaid.available == pytest.approx(0.005)  # a least play that is not given is none
    just = b._replace(run_out=0.012)
    assert conflicts(Holding((a._replace(clearance_min=0.0101), just), PartEnd())) == ()
    thread = Locator(id="t", on=Surface.THREAD, clearance=0.05, z0=2, z1=6, clearance_min=0.03)
    part = PartEnd(thread_tilt=math.degrees(0.01))
    (lean,) = conflicts(Holding((thread,), part, seat=SeatFace(0.01, 12)))
    assert (lean.needed, lean.available) == (pytest.approx(0.01), pytest.approx(0.0075))
    assert "t's play" in lean.message
    assert lean.most == pytest.approx(0.0125)  # 0.05 over 4 mm
    assert not lean.certain
    (stands,) = conflicts(
        Holding((thread._replace(clearance=0.0399),), part, seat=SeatFace(0.01, 12))
    )
    assert stands.certain
    assert conflicts(Holding((thread,), part)) == ()  # without a seat nothing is kept off it


def test_play_that_is_just_enough_does_not_bind() -> None:
    """Exact in binary: run-outs of 1/64 and least plays of 1/64 meet at 1/64. A thread that leans
    0.5° in a play of 0.5°·4 mm over 4 mm still seats."""
    a, b = (
        Locator(
            id=name, on=Surface.BORE, clearance=0.05, z0=0, z1=5, clearance_min=play, run_out=1 / 64
        )
        for name, play in (("a", 1 / 64), ("b", 1 / 64))
    )
    assert conflicts(Holding((a, b), PartEnd())) == ()
    assert len(conflicts(Holding((a, b._replace(clearance_min=0.0156)), PartEnd()))) == 1
    lean = math.radians(0.5)
    thread = Locator(id="t", on=Surface.THREAD, clearance=0.05, z0=2, z1=6, clearance_min=4 * lean)
    held = Holding((thread,), PartEnd(thread_tilt=0.5), seat=SeatFace(0.01, 12))
    assert conflicts(held) == ()
    tighter = replace(held, locators=(thread._replace(clearance_min=3.99 * lean),))
    assert len(conflicts(tighter)) == 1


def test_without_a_seat_the_tightest_locator_is_named_whatever_its_name() -> None:
    loose = Locator(id="a", on=Surface.BORE, clearance=0.05, z0=0, z1=5)
    tight = Locator(id="z", on=Surface.BORE, clearance=0.01, z0=10, z1=20)
    for pair in ((loose, tight), (tight, loose)):
        (cause,) = causes(Holding(pair, PartEnd()), State.LOOSE, Surface.BORE)
        assert cause.id == "z"


@pytest.mark.parametrize("slope", [None, 0.0005])
def test_a_collet_is_called_one_however_it_was_read(slope: float | None) -> None:
    held = replace(PLUG, collet=ColletHold(0.01, 5.0, 20.0, slope=slope))
    assert found(held, State.LOOSE, Surface.THREAD)["collet.runout"].label == "collet"
