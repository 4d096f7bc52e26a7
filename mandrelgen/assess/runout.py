"""Concentricity: mismatch at the joint, run-out, shift when remounted, thinnest wall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.assess.locators import holding
from mandrelgen.assess.setup import Situated
from mandrelgen.design import ends
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.mechanics import budget as sums
from mandrelgen.mechanics import concentricity
from mandrelgen.mechanics.assessment_types import LeftWall, Mismatch, Spread, States, Truth
from mandrelgen.mechanics.budget import Budget, Cause, Origin
from mandrelgen.mechanics.concentricity import Felt
from mandrelgen.mechanics.holding import Holding, State, Surface, causes
from mandrelgen.mechanics.locate import centring_residual, envelope, guides
from mandrelgen.mechanics.play import root_max, thread_play
from mandrelgen.mechanics.practice import judged
from mandrelgen.spec.joints import EndRef, Joint, end_of, joints
from mandrelgen.spec.pen import End, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.thread_spelling import read_thread


class Meeting(NamedTuple):
    """A joint as one of its parts sees it: z in the mandrel's coordinates, largest play of the
    two threads on diameter and the designed shoulder (mm), the neighbour."""

    joint: Joint
    neighbour: EndRef
    at_held_end: bool
    z: float
    play: float
    shoulder: float


def meeting(s: Situated, pen: Pen, shop: Shop) -> Meeting | None:
    """The joint to judge: the held thread's own, else the held end's, else the part's first."""
    here = EndRef(s.hold.part, s.hold.end)
    best: tuple[int, Joint, EndRef, EndRef] | None = None
    for j in joints(pen):
        for mine, other, side in (
            (j.external, j.internal, "external"),
            (j.internal, j.external, "internal"),
        ):
            if mine.part != s.hold.part:
                continue
            rank = 2 if mine != here else 0 if side == s.hold.by else 1
            if best is None or rank < best[0]:
                best = (rank, j, mine, other)
    if best is None:
        return None
    rank, j, mine, other = best
    screw, nut = end_of(pen, j.external), end_of(pen, j.internal)
    if screw is None or nut is None or screw.external is None or nut.internal is None:
        return None
    a, _ = ends.part_thread(screw.external, external=True, shop=shop)
    b, _ = ends.part_thread(nut.internal, external=False, shop=shop)
    z = 0.0 if mine == here else s.shape.far
    return Meeting(
        joint=j,
        neighbour=other,
        at_held_end=mine == here,
        z=z,
        play=max(0.0, thread_play(a, b).pitch_max),
        shoulder=concentricity.shoulder(float(screw.diameter), face_outside(nut)),
    )


def face_outside(nut: End) -> float:
    """Outside of the face that a shoulder shuts on: the end's own thread there, or its body, mm."""
    if nut.external is not None:
        return read_thread(nut.external.thread).diameter
    return float(nut.diameter)


def flush(s: Situated, pen: Pen, shop: Shop) -> bool:
    """Whether the joint that ``s`` is judged by is meant to be flush."""
    met = meeting(s, pen, shop)
    return met is not None and concentricity.felt(met.shoulder) is Felt.FLUSH


def tipped(s: Situated) -> float:
    """How far the part's free end can stand off the mandrel's axis, mm, once a tool has tipped it
    off its seat with the tailstock away: thread, register and spigot alone hold it then."""
    bounds = [g for loc in holding(s).locators for g in guides(loc.clearance, loc.z0, loc.z1)]
    return envelope(bounds, s.shape.far)


def own_causes(
    s: Situated, held: Holding, state: State, z: float, follow: Surface | None = None
) -> tuple[Cause, ...]:
    """The causes as they stand at ``z``, each as a plain eccentricity there."""
    found = causes(held, state, follow or s.follow, z)
    return tuple(
        replace(c, lateral=c.at(z), tilt=0.0, play=()) if c.tilt or c.play else c for c in found
    )


def step(
    s: Situated,
    neighbours: Mapping[str, Situated],
    pen: Pen,
    shop: Shop,
    settled: ToleranceChoice | None = None,
) -> Mismatch:
    """The radial step at the joint. ``neighbours``: part id → that part on its own mandrel;
    ``settled``: run-outs to try on both mandrels."""
    met = meeting(s, pen, shop)
    other = neighbours.get(met.neighbour.part) if met else None
    found = {x: _mismatch(s, met, other, settled, x, None) for x in State}
    tight = found[State.TIGHT]
    left = judged("concentricity", "centred_high")
    centred = _mismatch(s, met, other, settled, State.TIGHT, left)
    joined = None
    if met is not None:
        joined = concentricity.judge(
            met.shoulder, tight.statistical, centred.statistical, s.loads.target
        )
    return Mismatch(
        joint=str(met.joint.id) if met else "",
        at_held_end=met.at_held_end if met else True,
        target=s.loads.target,
        states=_states(found),
        centred=_spread(centred),
        joined=joined,
        budget=tight,
        gains=sums.gains(tight),
        neighbour_known=other is not None,
    )


def _mismatch(
    s: Situated,
    met: Meeting | None,
    other: Situated | None,
    settled: ToleranceChoice | None,
    state: State,
    left: float | None,
) -> Budget:
    """``left``: what a thread that centres itself leaves, mm (None: a quarter of its play)."""
    held = replace(holding(s, settled), left=left)
    own = own_causes(s, held, state, met.z if met else 0.0)
    joint = _joint_play(s, met, held, state)
    away: tuple[Cause, ...] = ()
    if met is not None and other is not None:
        there = other.hold.end == met.neighbour.end
        theirs = replace(holding(other, settled), left=left)
        away = own_causes(other, theirs, state, 0.0 if there else other.shape.far)
    return sums.joint_step(own, joint, away)


def truth(s: Situated, neighbours: Mapping[str, Situated], pen: Pen, shop: Shop) -> Truth:
    """Everything the errors do, from the limits on the drawing."""
    held = holding(s)
    far = s.shape.far
    tight = causes(held, State.TIGHT, s.follow, 0.0)
    starts = s.thread.limits.designation.starts if s.thread else 1
    kept, anew = sums.remount_shifts(tight, 0.0, starts)
    return Truth(
        step=step(s, neighbours, pen, shop),
        runout_seat=_runout(s, held, 0.0),
        runout_end=_runout(s, held, far),
        end_z=far,
        remount=Spread(*kept),
        regripped=Spread(*anew),
        wall=thinnest(s, held),
    )


def thinnest(s: Situated, held: Holding) -> LeftWall | None:
    """The thinnest wall left between the outside turned on this mandrel and thread or bore."""
    found: list[LeftWall] = []
    if s.tapped is not None:
        z = s.shape.face + s.tapped.full_min
        outer = min(s.shape.outside(s.shape.face), s.shape.outside(z))
        found.append(
            _wall(s, held, "over the thread", outer, root_max(s.tapped.thread), z, Surface.THREAD)
        )
    for a, b, d in s.shape.bores:
        if b <= s.shape.body:
            continue
        for z in (max(a, s.shape.body), min(b, s.shape.far)):
            outer = s.shape.outside(z)
            found.append(_wall(s, held, f"over the bore ⌀{d:.2f}", outer, d, z, Surface.BORE))
    return min(found, key=lambda w: w.statistical, default=None)


def _wall(
    s: Situated, held: Holding, where: str, outer: float, inner: float, z: float, follow: Surface
) -> LeftWall:
    on = follow if s.thread is not None else Surface.BORE
    w = sums.thinnest_wall(outer, inner, causes(held, State.TIGHT, on, z), z)
    return LeftWall(where=where, z=z, true=w.true, worst=w.worst, statistical=w.statistical)


def _joint_play(s: Situated, met: Meeting | None, held: Holding, state: State) -> tuple[Cause, ...]:
    """The neighbour's thread in the part's: half its play, less when the joint is tightened."""
    if met is None:
        return ()
    half = met.play / 2
    if state is State.TIGHT:
        friction = s.loads.thread_friction
        if held.left is not None and centring_residual(friction, 0.0) == 0.0:
            half = min(half, held.left)
        else:
            half *= centring_residual(friction, held.residual)
    return (Cause(f"joint.{met.joint.id}", "play of the pen's own joint", Origin.FIT, half),)


def _runout(s: Situated, held: Holding, z: float) -> States:
    found = {state: sums.budget(causes(held, state, s.follow, z), z) for state in State}
    return States(*(
        Spread(found[x].run_out, found[x].run_out_statistical) for x in (State.LOOSE, State.TIGHT)
    ))  # fmt: skip


def _states(found: Mapping[State, Budget]) -> States:
    return States(_spread(found[State.LOOSE]), _spread(found[State.TIGHT]))


def _spread(b: Budget) -> Spread:
    return Spread(b.worst, b.statistical)
