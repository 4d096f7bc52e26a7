"""What ``receive`` prints as text; nothing is computed here."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from mandrelgen.core.tolerance import signed_text, text_of
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workshop.receipt.comparison import EndInUse, Figure
from mandrelgen.workshop.receipt.readings import Reading

if TYPE_CHECKING:
    from mandrelgen.workflows.receive import Received

LABEL = 76
# Always told; the other figures where they changed.
KEY = ("joint_step", "joint_step.worst", "runout_seat", "remount", "thinnest_wall", "max_speed")
SEEN = 5e-4  # a share below this changes no printed figure, mm


def received_text(r: Received) -> str:
    """The verdict, every characteristic that was read, and how the fixture serves now."""
    out = [f"{r.number} {r.revision}: {_verdict(r)}"]
    for j in r.judgement.judged:
        for x in j.readings:
            out.append(f"  {j.number:>3} {j.id}: {_read(x)}: {x.verdict.value}")
        if j.needed and not j.readings:
            out.append(f"  {j.number:>3} {j.id}: no reading; {j.instead}")
    for p in r.play:
        out.append(
            f"  play of {p.thread} on the pitch diameter: {signed_text(p.made.pitch_min)} to "
            f"{signed_text(p.made.pitch_max)} as made (designed {signed_text(p.designed.pitch_min)}"
            f" to {signed_text(p.designed.pitch_max)})"
        )
    for s in r.served.sides:
        out += _side(s)
    for n in r.served.neighbours:
        out.append(f"  {n.part} on {n.number} {n.revision} as measured {n.checked}")
    out.append(f"stored as '{r.event}' of {r.date}" if r.event else "not stored")
    return "\n".join(out)


def _verdict(r: Received) -> str:
    j = r.judgement
    if j.verdict is Conformity.UNDECIDED and j.missing:
        return f"not proved yet, {len(j.missing)} sizes without a reading"
    return j.verdict.value


def _read(x: Reading) -> str:
    """A reading with what it stands on; over wires both the reading and the pitch diameter."""
    if x.value is None:
        return f"by {x.instrument}"
    raw = ""
    if x.raw is not None and x.wire is not None:
        raw = f" (read {text_of(x.raw, 4)} over ⌀{text_of(x.wire, 4)})"
    return f"{text_of(x.value)} ± {text_of(x.uncertainty)}, {x.instrument}{raw}"


def _side(s: EndInUse) -> Iterator[str]:
    joint = f" at {s.joint}" if s.joint else ""
    yield ""
    yield _line(f"{s.part}, {s.end}{joint} (target {text_of(s.target)})", "designed", "as made")
    for f in s.figures:
        before, after = _value(f, f.designed), _value(f, f.made)
        if f.id in KEY or before != after:
            yield _line("  " + f.label, before, after, "worse" if f.worse else "")
    yield "  shares of the joint step, tightened (eccentricity):"
    for t in s.terms:
        if max(t.designed, t.made) >= SEEN:
            yield _line(f"    {t.id}: {t.label}", text_of(t.designed), text_of(t.made))


def _line(label: str, first: str, second: str, mark: str = "") -> str:
    return f"{label:<{LABEL}} {first:>9} {second:>9}  {mark}".rstrip()


def _value(f: Figure, value: float | None) -> str:
    if value is None:
        return "-"
    return text_of(value, 0 if f.unit == "1/min" else 2 if f.unit == "" else 3)
