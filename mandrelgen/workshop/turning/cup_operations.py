"""The inside of a cup in the sequence of operations."""

from __future__ import annotations

from mandrelgen.core.tolerance import text_of
from mandrelgen.design.cup import COUNTERSINK
from mandrelgen.design.cup_body import THIN
from mandrelgen.model.feature import FeatureKind
from mandrelgen.workshop.turning.working_end import Operation, WorkingEnd

_BORED = (
    FeatureKind.PILOT,
    FeatureKind.COUNTERBORE,
    FeatureKind.COUNTERSINK,
    FeatureKind.RELIEF,
    FeatureKind.FLOOR,
)
_MOUTH = (FeatureKind.COUNTERBORE, FeatureKind.COUNTERSINK)
_MOUTH_TEXT = f"counterbore and countersink {text_of(2 * COUNTERSINK)}° included"
# A threading tool that leaves a cut passes what stands further off than this without care, mm on
# the radius (common practice, no source).
CARELESS = 0.5
# What is left, mm on diameter, on the outside of a cup with so thin a wall that it is finished
# after the inside (estimate).
LATE = 0.3


def bored(end: WorkingEnd) -> Operation | None:
    """Everything inside a cup but the thread, and but its mouth where the tool could score it."""
    if end.thread is None or end.thread.limits.external:
        return None
    crest = ("thread.minor_diameter", "thread.diameter")
    late = _mouth_gap(end) is not None
    ids = end.ids(crest, tuple(k for k in _BORED if not (late and k in _MOUTH)))
    drill = "Drill the pilot hole; bore" if "pilot" in end.has else "Bore"
    text = f"{drill} to the thread's minor diameter, cut the relief at the floor"
    why = "the relief must be there before the tool runs into it"
    if "relief" not in end.has:
        text = "Drill, and ream or bore if need be, to the thread's minor diameter"
        why = "the hole goes on behind the thread for the tap's lead and the chips"
    if not late:
        text += f", then {_MOUTH_TEXT}"
    return Operation(end.setting, text, why, ids)


def thin_walled(end: WorkingEnd) -> bool:
    """Whether a screwcut cup's outside is better finished after its inside."""
    t = end.thread
    collar = end.collar
    if end.plain or t is None or t.limits.external or t.order != "single-point" or collar is None:
        return False
    inside = [t.limits.major_max_worst]
    for name in ("relief.diameter", "counterbore.diameter"):
        c = end.size(name)
        inside += [c.upper] if c is not None and c.upper is not None else []
    return ((collar.lower or collar.nominal) - max(inside)) / 2 < THIN


def _mouth_gap(end: WorkingEnd) -> float | None:
    """How far, mm on the radius, the point of a single-point tool at its full depth stays off the
    counterbore that the thread lies behind; None if it stays well off, or no such tool cuts."""
    t = end.thread
    mouth = end.size("counterbore.diameter")
    if t is None or t.limits.external or t.order != "single-point" or mouth is None:
        return None
    gap = ((mouth.lower or 0.0) - t.limits.major_max_worst) / 2
    return gap if gap < CARELESS else None


def with_late_mouth(end: WorkingEnd, dress: Operation) -> Operation:
    """The step behind the thread, with the mouth in front of it where the threading tool would have
    passed that too closely."""
    gap = _mouth_gap(end)
    if gap is None:
        return dress
    close = f"pass it by {text_of(gap, 2)} only" if gap >= 0.005 else "touch it"
    why = (
        "the mouth after the thread: on its way out the threading tool's point would "
        f"{close}, were it finished; {dress.why}"
    )
    text = f"{_MOUTH_TEXT[0].upper()}{_MOUTH_TEXT[1:]}. {dress.what}"
    return Operation(end.setting, text, why, (*end.ids((), _MOUTH), *dress.finishes))
