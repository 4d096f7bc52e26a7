"""What holds the part on its mandrel: threads, spigots, seat and collet, with their limits."""

from __future__ import annotations

import math

from mandrelgen.assess import lathe_measured
from mandrelgen.assess.setup import Situated
from mandrelgen.design.chosen_tolerances import RUN_OUT, ToleranceChoice, asked
from mandrelgen.design.ends import Hole
from mandrelgen.mechanics.fit import EffectiveFit, effective_fit, lead_difference, spacing_error
from mandrelgen.mechanics.holding import Holding, Locator, PartEnd, SeatFace, Surface
from mandrelgen.mechanics.play import ThreadPlay, thread_play
from mandrelgen.mechanics.practice import assumed, manner
from mandrelgen.model.characteristic import MEASURED, Characteristic, Kind
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Stretch
from mandrelgen.spec.pen import Manner, ThreadOrder

CENTRED_BY = (Kind.RUNOUT,)
PLAIN = (FeatureKind.SPIGOT, FeatureKind.REGISTER)
"""What centres a part by a plain diameter."""


def fit_of(s: Situated) -> tuple[ThreadPlay, EffectiveFit] | None:
    """Play of the two threads from both limits, and what lead and spacing errors leave of it."""
    if s.thread is None:
        return None
    own, part = s.thread.limits, s.thread.partner
    screw, nut = (own, part) if own.external else (part, own)
    play = thread_play(screw, nut)
    stretch = s.stretch("thread")
    engaged = abs(stretch.z1 - stretch.z0) if stretch else 0.0
    errors = [lead_difference(float(own.designation.lead), float(part.designation.lead), engaged)]
    if own.designation.starts > 1:
        step = spacing_error(assumed("indexing", "error").value, float(own.designation.lead))
        # The part's starts come from one tap or die, or from another indexing.
        errors += [step, step] if s.cut is Manner.SINGLE_POINT else [step]
    return play, effective_fit(play.pitch_min, play.pitch_max, *errors)


def holding(s: Situated, settled: ToleranceChoice | None = None) -> Holding:
    """The part's locators, own errors, collet and seat. ``settled``: run-outs to try instead of
    those on the drawing; what the maker asks stays."""
    settled = settled and asked(s.wishes, settled)
    seat_c = s.upper("seat.runout")
    seat_runout = settled.seat if settled and seat_c is not None else seat_c
    locators = [*_thread_locator(s, settled), *_bore_locators(s, settled)]
    collar = s.collar
    collet = None
    if s.grip is not None and s.collet_face is not None:
        collet = lathe_measured.collet(s.grip, -s.collet_face, s.lathe)
    return Holding(
        locators=tuple(locators),
        part=_part_end(s),
        collet=collet,
        seat=SeatFace(seat_runout, collar.nominal) if seat_runout is not None and collar else None,
        friction=s.loads.seat_friction,
        residual=assumed("centring", "residual").value,
    )


def _thread_asked(s: Situated) -> Characteristic | None:
    """The thread's own run-out; without it the largest of the features cut in one setting with it
    (a cup's counterbore; a register or spigot on a drawing of old)."""
    own = s.size("thread.runout")
    if own is not None:
        return own
    found = [
        c
        for c in s.mandrel.characteristics
        if c.kind in CENTRED_BY and c.upper is not None and c.end is MandrelEnd.FIRST
    ]
    return max(found, key=lambda c: c.upper or 0.0, default=None)


def _thread_locator(s: Situated, settled: ToleranceChoice | None) -> list[Locator]:
    """The thread, with its run-out to the shank as the drawing asks it (or ``settled`` would)."""
    fitted, stretch = fit_of(s), s.stretch("thread")
    if fitted is None or stretch is None or s.thread is None:
        return []
    play, left = fitted
    asked = _thread_asked(s)
    # Never a face's axial run-out. A test piece is asked the usual value in words; where a drawing
    # of old asks nothing, the one setting is taken to give as much (an estimate).
    run_out = RUN_OUT
    if asked is not None and asked.upper is not None:
        run_out = settled.centring if settled else asked.upper
    # What was read on it holds everything, the die's lean too.
    read = asked is not None and asked.written == MEASURED
    if not read and s.thread.order != ThreadOrder.SINGLE_POINT:
        # A die or tap guided on the lathe leans like any other: over half the engagement, each way.
        lean = math.radians(lathe_measured.thread_tilt(Manner.GUIDED, s.lathe).value)
        run_out = run_out if s.thread.order == ThreadOrder.BLANK else RUN_OUT
        run_out += lean * (stretch.z1 - stretch.z0)
    return [
        Locator(
            id="thread.pitch_diameter" if s.size("thread.pitch_diameter") else "thread.diameter",
            on=Surface.THREAD,
            # Errors of lead and spacing may be nil: they take nothing off the largest play.
            clearance=max(0.0, play.pitch_max),
            z0=stretch.z0,
            z1=stretch.z1,
            clearance_min=max(0.0, left.play_min),
            run_out=run_out,
            run_out_id=asked.id if asked else "thread.runout",
            label="play of the thread",
        )
    ]


def _bore_locators(s: Situated, settled: ToleranceChoice | None) -> list[Locator]:
    """Spigot steps and register; a loose one only guides, but bounds the shift all the same."""
    found = []
    for stretch in s.mandrel.outer:
        c = s.size(stretch.feature.size("diameter"))
        if not stretch.feature.is_here(*PLAIN) or c is None:
            continue
        hole = hole_at(s, stretch)
        if hole is None or c.lower is None or c.upper is None:
            continue
        drawn = s.upper(stretch.feature.size("runout"))
        if drawn is None and s.thread is not None:
            continue
        run_out = settled.centring if settled and drawn is not None else drawn
        found.append(
            Locator(
                id=stretch.feature.size("diameter"),
                on=Surface.BORE,
                clearance=max(0.0, hole.size.upper - c.lower),
                z0=stretch.z0,
                z1=stretch.z1,
                clearance_min=max(0.0, hole.size.lower - c.upper),
                run_out=run_out or 0.0,
                run_out_id=stretch.feature.size("runout"),
                label=f"play of the {'register' if stretch.feature == 'register' else 'spigot'}",
            )
        )
    return found


def hole_at(s: Situated, stretch: Stretch) -> Hole | None:
    """The part's bore around a spigot step, or the counterbore around the register."""
    if stretch.feature == "register":
        return s.tapped.counterbore if s.tapped else None
    depth = (stretch.z0 + stretch.z1) / 2 - s.wishes.soft_washer
    return next((h for h in s.holes if h.start <= depth <= h.end), None)


def _part_end(s: Situated) -> PartEnd:
    cut = s.cut
    tilt = lathe_measured.thread_tilt(cut, s.lathe).value if cut is not None else 0.0
    made = _bore_made(s)
    return PartEnd(
        face_squareness=manner(s.end.face_made.value).face_squareness.value,
        face_diameter=float(s.end.diameter),
        thread_tilt=tilt,
        bore_drift=lathe_measured.bore_drift(made, s.lathe).value if made else 0.0,
    )


def _bore_made(s: Situated) -> str:
    """How the bore was cut that a close spigot stands in, else the deepest one."""
    close = [st for st in s.mandrel.outer if s.size(st.feature.size("runout")) is not None]
    for stretch in close:
        hole = hole_at(s, stretch) if stretch.feature.is_here(FeatureKind.SPIGOT) else None
        if hole is not None:
            return _manner_of(hole)
    return _manner_of(s.holes[-1]) if s.holes else ""


def _manner_of(hole: Hole) -> str:
    return hole.made if hole.made in {m.value for m in Manner} else Manner.DRILLED.value
