"""What was measured on the lathe, in place of values from memory; each says so."""

from __future__ import annotations

import math

from mandrelgen.design import shank
from mandrelgen.mechanics.holding import ColletHold
from mandrelgen.mechanics.practice import Assumed, manner
from mandrelgen.spec.pen import Manner
from mandrelgen.spec.shop import Lathe

MEASURED = "measured on this lathe"
# A tap or die in the tailstock is guided about this far behind its cut, mm (from memory).
GUIDE_LENGTH = 60.0
RUN_OUT_SPAN = 40.0
DRIFT_DEPTH = 50.0

_BY_DRILL = (Manner.DRILLED, Manner.GUIDED)


def thread_tilt(made: Manner, lathe: Lathe) -> Assumed:
    """Lean of a thread's axis, degrees: of a guided tap or die from the tailstock's readings,
    atan(offset / guide length); else the usual value.

    >>> off = Lathe.model_validate({"tailstock_height": 0.06, "tailstock_side": 0.08})
    >>> round(thread_tilt(Manner.GUIDED, off).value, 4)
    0.0955
    """
    if made is not Manner.GUIDED or (
        lathe.tailstock_height is None and lathe.tailstock_side is None
    ):
        return manner(made.value).thread_tilt
    off = math.hypot(lathe.tailstock_height or 0.0, lathe.tailstock_side or 0.0)
    return Assumed(
        math.degrees(math.atan(off / GUIDE_LENGTH)),
        f"tailstock {off:.3g} off the spindle's axis, {MEASURED}, over {GUIDE_LENGTH:g} (from "
        "memory)",
    )


def bore_drift(made: str, lathe: Lathe) -> Assumed:
    """How far a bore runs off, mm per mm of depth: of a drilled one as measured; else usual."""
    if lathe.drill_drift is None or made not in {m.value for m in _BY_DRILL}:
        return manner(made).bore_drift
    return Assumed(float(lathe.drill_drift) / DRIFT_DEPTH, MEASURED)


def collet(grip: shank.Grip, stand_off: float, lathe: Lathe) -> ColletHold:
    """The collet's run-out: of the set as said in the shop file, else as measured on this lathe at
    the nut and 40 further out, else as the standard or memory has it."""
    out, at = shank.collet_runout(grip)
    if not uses_readings(grip, lathe):
        return ColletHold(out, at, stand_off)
    near, far = float(lathe.run_out_nut or 0.0), float(lathe.run_out_40 or 0.0)
    slope = (far - near) / RUN_OUT_SPAN
    return ColletHold(near, RUN_OUT_SPAN, max(0.0, stand_off - grip.nut), slope=slope)


def uses_readings(grip: shank.Grip, lathe: Lathe) -> bool:
    """True where the lathe's readings stand in for the collet's run-out."""
    own = grip.run_out is not None and grip.run_out_at is None
    return not own and lathe.run_out_nut is not None and lathe.run_out_40 is not None


def collet_said(grip: shank.Grip, lathe: Lathe) -> list[str]:
    """What the collet's run-out stands on."""
    if not uses_readings(grip, lathe):
        return shank.collet_said(grip)
    near, far = float(lathe.run_out_nut or 0.0), float(lathe.run_out_40 or 0.0)
    return [f"collet run-out {near:g} at the nut and {far:g} {RUN_OUT_SPAN:g} out, {MEASURED}"]
