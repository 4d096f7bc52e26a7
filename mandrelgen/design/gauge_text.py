"""What is said of a thread gauge on paper: title, purpose, marking, how it is used and measured."""

from __future__ import annotations

from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.model.mandrel import ThreadData
from mandrelgen.standards import wires
from mandrelgen.standards.iso_1502 import Gauge
from mandrelgen.standards.threads import ThreadLimits

# Common practice, no source: any through-hardening tool steel that keeps its size will do.
MATERIAL = "tool steel 90MnCrV8 (1.2842), 58 to 62 HRC"
DENSITY = 7.85
FROM_MEMORY = "from memory"
# The gauge's own "class", as its thread is named on paper.
GO, NOT_GO = "GO", "NOT GO"


def title(own: ThreadLimits) -> str:
    """``GO plug M8.5x0.75-6H``."""
    kind = "plug" if own.external else "ring"
    return f"{own.tolerance_class} {kind} {own.designation.text}"


def marking(own: ThreadLimits) -> str:
    """What stands on the gauge: ``GO M8.5x0.75-6H``, with LH in it where it is left-handed."""
    return f"{own.tolerance_class} {own.designation.text}"


def purpose(own: ThreadLimits, called: str) -> str:
    """Whose thread it tries (``called``), and what must happen."""
    d = own.designation
    side, way = ("internal", "in") if own.external else ("external", "on")
    must = f"It must screw {way} by hand, without force, over the whole length."
    if own.tolerance_class != GO:
        must = "It may enter two turns at most, from either end."
        if d.starts > 1:
            # Two turns of a long lead would be most of a pen's thread, and reject nothing.
            must = (
                f"It may enter two pitches at most, {text_of(2 * float(d.pitch))} mm of travel, "
                f"from either end (our own rule for {d.starts} starts: ISO 1502's two turns are "
                "those of one start)."
            )
    return f"Tries the {side} thread {d.text} of {called}. {must}"


def notes(data: ThreadData, sizes: Gauge) -> tuple[str, ...]:
    """How it is made, measured, marked and when it is worn out."""
    own = data.limits
    starts = own.designation.starts
    go = own.tolerance_class == GO
    out = [
        "Thread ground or lapped after hardening. Complete profile."
        if go
        else "Thread ground or lapped after hardening. Truncated profile: it bears on its flanks.",
        "First and last turn dressed back to the full profile (no feather edge)"
        + (f", at each of the {starts} starts." if starts > 1 else "."),
        _measured(data),
        _worn(own, sizes),
    ]
    if starts > 1:
        out.append(f"Try it in each of the {starts} starts; lead and starts as the work's.")
    if not go:
        out.append("Marked red besides, so that it is not taken for the GO gauge.")
    if sizes.basis == FROM_MEMORY:
        out.append(
            "ISO 1502 limits of this gauge were entered from memory: compare with the standard "
            "before it is made."
        )
    return tuple(out)


def cautions() -> tuple[str, ...]:
    """For whoever uses it."""
    return (
        "Stop the spindle before a gauge is tried; never screw it onto or into a turning part.",
        "Thread edges are sharp after grinding: dress them, and handle with care.",
        "Clean thread and gauge first; never force it: a forced gauge wears, and marks the part.",
        "Keep to local rules and to qualified practice when hardening and grinding.",
    )


def _measured(data: ThreadData) -> str:
    """Over wires with the limits of the reading, or by comparison."""
    own = data.limits
    p, lead = float(own.designation.pitch), own.designation.lead
    wire = wires.choose(p) if own.external else None
    if wire is None or own.pitch.min is None or own.pitch.max is None:
        how = "check plugs or a two-ball comparator set to a master"
        how = "three wires" if own.external else how
        return f"Pitch diameter measured by {how}, at 20 °C (ISO 1)."
    low, high = (wires.over_wires(e, wire, p, lead) for e in (own.pitch.min, own.pitch.max))
    count = "two wires, straight opposite" if own.designation.starts % 2 == 0 else "three wires"
    return (
        f"Pitch diameter measured over {count} of ⌀{text_of(wire)}: "
        f"{lower_limit_text(low, 4)} to {upper_limit_text(high, 4)}, at 20 °C (ISO 1)."
    )


def _worn(own: ThreadLimits, sizes: Gauge) -> str:
    if own.external:
        return f"Worn out where the pitch diameter is below {lower_limit_text(sizes.wear, 4)}."
    return f"Worn out where the pitch diameter is above {upper_limit_text(sizes.wear, 4)}."
