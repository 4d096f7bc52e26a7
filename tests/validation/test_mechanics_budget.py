"""The error stack against closed forms and Monte Carlo simulations written independently.

The simulations work on vectors in the plane (complex numbers: direction and size) and know
nothing of causes or budgets.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from mandrelgen.mechanics.budget import Cause, Origin, budget, joint_step, remount_shift
from mandrelgen.mechanics.holding import (
    ColletHold,
    Holding,
    Locator,
    PartEnd,
    SeatFace,
    State,
    Surface,
    causes,
)
from mandrelgen.mechanics.locate import envelope, face_tilt, guides, tilt_capacity

N = 100_000
RNG = np.random.default_rng(20240607)

THREAD = Locator(
    id="thread.pitch_diameter",
    on=Surface.THREAD,
    clearance=0.18,
    z0=2.0,
    z1=7.0,
    clearance_min=0.03,
    run_out=0.02,
)
SPIGOT = Locator(
    id="spigot1.diameter",
    on=Surface.BORE,
    clearance=0.05,
    z0=10.0,
    z1=26.0,
    clearance_min=0.02,
    run_out=0.01,
)
PLUG = Holding(
    (THREAD, SPIGOT),
    PartEnd(0.03, 11.5, 0.1, 0.0005),
    ColletHold(0.020, 40.0, 12.0),
    SeatFace(0.01, 12.0),
)
LOOSE_ONLY_THREAD = Holding(
    (THREAD,), PartEnd(0.05, 11.0, 0.3, 0.004), ColletHold(0.015, 25.0, 30.0), SeatFace(0.02, 12.0)
)


def _vec(limit: float) -> np.ndarray:
    """Vectors of any direction, any size up to the limit."""
    return limit * RNG.random(N) * np.exp(2j * np.pi * RNG.random(N))


def test_tilt_of_a_spigot() -> None:
    """Geometry of a bar d x L in a bore D: L sin θ + d cos θ = D solved exactly, against c/L; and
    the run-out it allows at 0, 30 and 60 outside the mouth, c (1 + 2x/L)."""
    d, length, c = 8.0, 15.0, 0.02
    low, high = 0.0, 0.1
    for _ in range(100):
        mid = (low + high) / 2
        low, high = (
            (mid, high) if length * math.sin(mid) + d * math.cos(mid) < d + c else (low, mid)
        )
    assert tilt_capacity(c, length) == pytest.approx(low, rel=1e-3)
    assert tilt_capacity(c, length) * 1e3 == pytest.approx(1.3333, abs=5e-5)
    bore = guides(c, -length, 0.0)
    assert [2 * envelope(bore, x) for x in (0, 30, 60)] == pytest.approx([0.02, 0.10, 0.18])


def test_shoulder_seat() -> None:
    """TIR(x) = c + 2 x t/Ds: c 0.02, t 0.01, Ds 12, x 60 gives 0.12."""
    spigot = Locator(id="spigot1.diameter", on=Surface.BORE, clearance=0.02, z0=-15.0, z1=0.0)
    held = Holding((spigot,), PartEnd(), None, SeatFace(0.01, 12.0))
    assert budget(causes(held, State.LOOSE, Surface.BORE), 60).run_out == pytest.approx(0.12)
    assert face_tilt(0.01, 12) == pytest.approx(0.01 / 12)


def test_collet_at_the_far_end() -> None:
    """Class 2, 0.020 at 40 (ISO 15488, table 4), is 0.054 at 107 from the collet's face."""
    held = Holding((THREAD,), PartEnd(), ColletHold(0.020, 40.0, 12.0), SeatFace(0.0, 12.0))
    alone = [c for c in causes(held, State.TIGHT) if c.origin is Origin.COLLET]
    assert budget(alone, 107.0 - 40.0).run_out == pytest.approx(0.0535)
    assert budget(alone, 0.0).run_out == pytest.approx(0.020)
    far = Holding((THREAD,), PartEnd(), ColletHold(0.020, 40.0, 80.0), SeatFace(0.0, 12.0))
    alone = [c for c in causes(far, State.TIGHT) if c.origin is Origin.COLLET]
    assert budget(alone, 27.0).run_out == pytest.approx(0.0535)


def _aligned(limit: float) -> np.ndarray:
    """Every vector at its limit, all the same way."""
    return np.full(1, limit, dtype=complex)


def _simulated(
    held: Holding,
    play: float,
    runout: float,
    offset: float,
    z: float,
    draw: Callable[[float], np.ndarray],
) -> np.ndarray:
    """Eccentricity of the part's axis at z, one number a job."""
    assert held.collet is not None
    assert held.seat is not None
    part = held.part
    at_collet = max(1.0, held.collet.stand_off / held.collet.at)
    off = draw(held.collet.run_out / 2) * (at_collet + z / held.collet.at)
    off += draw(runout / 2) + draw(play / 2) + draw(offset)
    off += z * draw(held.seat.run_out / held.seat.diameter)
    off += z * draw(part.face_squareness / part.face_diameter)
    off += z * draw(math.radians(part.thread_tilt))
    return np.asarray(np.abs(off))


@pytest.mark.parametrize(
    ("held", "state", "play", "runout", "offset"),
    [
        # The spigot governs (0.025 + 0.005 + 0.0005·18 against 0.09 + 0.01).
        (PLUG, State.LOOSE, 0.05, 0.01, 0.009),
        # Pulled tight a quarter of the thread's play is left: 0.0225 + 0.010 against 0.039.
        (PLUG, State.TIGHT, 0.045, 0.02, 0.0),
        (LOOSE_ONLY_THREAD, State.LOOSE, 0.18, 0.02, 0.0),
    ],
)
@pytest.mark.parametrize("z", [0.0, 15.0, 62.0])
def test_stack_against_simulation(
    held: Holding, state: State, play: float, runout: float, offset: float, z: float
) -> None:
    """Worst case never exceeded, and reached when all point one way; 95 of 100 below the
    statistical, within 5 %."""
    found = budget(causes(held, state), z)
    jobs = _simulated(held, play, runout, offset, z, _vec)
    assert jobs.max() <= found.worst + 1e-12
    aligned = _simulated(held, play, runout, offset, z, _aligned)
    assert found.worst == pytest.approx(aligned[0])
    assert np.quantile(jobs, 0.95) == pytest.approx(found.statistical, rel=0.05)


def test_step_against_simulation() -> None:
    """Two parts turned on their own mandrels and screwed together: offset of outside from outside
    at the joint."""
    own = causes(PLUG, State.TIGHT)
    other = causes(LOOSE_ONLY_THREAD, State.TIGHT)
    joint = [Cause("joint.play", "play of cap on barrel", Origin.FIT, 0.04)]
    found = joint_step(own, joint, other)
    a = _vec(0.01) + _vec(0.01) + _vec(0.0225)
    b = _vec(0.0075 * 30 / 25) + _vec(0.01) + _vec(0.0225)
    step = np.abs(a - b + _vec(0.04))
    assert step.max() <= found.worst
    assert found.worst == pytest.approx(0.0425 + 0.0415 + 0.04)
    assert np.quantile(step, 0.95) == pytest.approx(found.statistical, rel=0.05)
    assert len({s.cause.id for s in found.shares}) == len(found.shares)


def _remounted(part_turn: complex, mandrel_turn: np.ndarray, regripped: bool) -> np.ndarray:
    """Turn the outside, take the part off, put it back; where does the outside stand?

    All in the plane of the seat. The mandrel's axis stands at ``grip`` in the spindle; its thread
    at ``m`` in the mandrel; the part's thread at ``play`` from that. Turning puts the outside's
    axis on the spindle. Then the part goes on turned by ``part_turn`` against the mandrel.
    """
    m, grip, play = _vec(0.02), _vec(0.01), _vec(0.03)
    thread = grip + m + play
    outside_in_part = -thread
    again_grip = _vec(0.01) if regripped else grip
    turn = mandrel_turn if regripped else 1.0
    thread_again = again_grip + turn * m + _vec(0.03)
    return np.asarray(np.abs(thread_again + turn * part_turn * outside_in_part))


@pytest.mark.parametrize("starts", [1, 2, 3, 4])
@pytest.mark.parametrize("regripped", [False, True])
def test_remount_against_simulation(starts: int, regripped: bool) -> None:
    """The shift when put back, entered at the worst start, mandrel left in or gripped anew."""
    errors = [
        Cause("collet.runout", "collet", Origin.COLLET, 0.01),
        Cause("thread.runout", "thread", Origin.MANDREL, 0.02),
        Cause("thread.pitch_diameter", "play", Origin.FIT, 0.03),
        Cause(id="part.face", label="face", origin=Origin.PART, lateral=0.0, tilt=0.002),
    ]
    found = remount_shift(errors, 0.0, regripped, starts)
    steps = max(range(starts), key=lambda k: math.sin(math.pi * k / starts))
    turn = complex(np.exp(2j * np.pi * steps / starts))
    shift = _remounted(turn, np.exp(2j * np.pi * RNG.random(N)), regripped)
    assert shift.max() <= found.worst + 1e-12
    assert shift.max() > 0.7 * found.worst
    assert np.quantile(shift, 0.95) == pytest.approx(found.statistical, rel=0.05)


@pytest.mark.parametrize("z", [-20.0, 0.0, 4.0, 13.0, 30.0, 60.0])
def test_play_without_a_seat_against_simulation(z: float) -> None:
    """A part that only play holds: random straight lines through both locators, none beyond."""
    bounds = (*guides(0.18, 2, 7), *guides(0.05, 10, 26))
    y, theta = RNG.uniform(-0.3, 0.3, 400_000), RNG.uniform(-0.02, 0.02, 400_000)
    fits = np.ones_like(y, dtype=bool)
    for zk, h in bounds:
        fits &= np.abs(y + theta * zk) <= h
    seen = np.abs(y + theta * z)[fits].max()
    assert 0.85 * envelope(bounds, z) < seen <= envelope(bounds, z)
