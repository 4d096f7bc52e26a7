"""What the thread finder says: in words a pen maker reads, and as values for ``--json``."""

from __future__ import annotations

from functools import partial
from typing import Any

from mandrelgen.core.frozen import dataclass
from mandrelgen.standards.thread_aloud import in_words
from mandrelgen.standards.thread_contradictions import Contradiction, contradictions
from mandrelgen.standards.thread_finder import Found, Match, Reading
from mandrelgen.workflows.answers.plain import rounded

SHOWN = 6
NAMES = {
    "crest": "diameter over the crests",
    "ten": "length over ten crests",
    "starts": "number of starts",
    "root": "root diameter",
    "minor": "bore (minor diameter)",
    "lead": "lead",
}
HOW = {
    "crest": "measure over the crests again, with a micrometer",
    "ten": "measure over ten crests (from a crest to the tenth after it), or over as many as there "
    "are; a thread gauge or a known screw laid beside it does as well",
    "starts": "count the beginnings of the thread at its end",
    "root": "measure the root with the caliper's knife edges, or over wires",
    "minor": "measure the bore of the nut: pins, or a small bore gauge",
    "lead": "screw it home and measure how far one turn takes it",
}


def value(found: Found) -> dict[str, Any]:
    """``candidates``, best first, and ``decides``; agreement 1 is best, 0.5 at the uncertainty."""
    return {
        "candidates": [
            {
                "designation": m.candidate.designation.text,
                "agreement": rounded(m.agreement, 4),
                "within": m.within,
                "worst_reading": m.worst,
            }
            for m in found.matches
        ],
        "contradictions": [
            {"readings": [c.first, c.second], "by": rounded(c.by), "why": c.why}
            for c in contradicted(found)
        ],
        "decides": found.decides,
        "decided": len(found.within) == 1,
        "readings": {
            k: {"value": rounded(r.value), "uncertainty": rounded(r.u), "assumed": r.assumed}
            for k, r in found.readings.items()
        },
    }


def text(found: Found, numbered: bool = False) -> str:
    """The readings, the verdict in a sentence, the candidates, and what to measure next."""
    out = ["read: " + ", ".join(_read(k, r) for k, r in found.readings.items())]
    if any(r.assumed for r in found.readings.values()):
        out.append("* a caliper's usual uncertainty (k = 2), common practice; give your own with ±")
    out += ["", *verdict(found), ""]
    shown = [(m.candidate.designation.text, m) for m in found.matches[:SHOWN]]
    width = max((len(name) for name, _ in shown), default=0)
    for n, (name, m) in enumerate(shown, 1):
        head = f"{n}  " if numbered else ""
        out.append(f"  {head}{name:{width}}  {m.agreement:4.0%}  {_why(m, found)}")
    rest = len(found.matches) - SHOWN
    if rest > 0:
        out.append(f"  and {rest} more")
    return "\n".join(out)


@dataclass(frozen=True, slots=True)
class Row:
    """A candidate in words."""

    designation: str
    share: str
    why: str


def rows(found: Found) -> tuple[Row, ...]:
    """The candidates that are shown, best first."""
    return tuple(
        Row(m.candidate.designation.text, f"{m.agreement:.0%}", _why(m, found))
        for m in found.matches[:SHOWN]
    )


def _read(kind: str, r: Reading) -> str:
    if kind == "starts":
        return f"{NAMES[kind]} {r.value:g}"
    return f"{NAMES[kind]} {r.value:.2f} ± {r.u:.2f} mm{'*' if r.assumed else ''}"


def verdict(found: Found) -> list[str]:
    """Which thread it is and in words, or that it cannot be decided and what would decide; readings
    that contradict one another are told instead, with what they miss one another by."""
    if against := contradicted(found):
        return [*map(partial(_against, found), against),
                "Read both again; no thread agrees with these."]  # fmt: skip
    if not found.matches:
        count = found.readings["starts"].value
        return [f"Cannot decide: the list holds threads of 1 to 4 starts, none of {count:g}."]
    best = found.matches[0].candidate.designation
    inside = len(found.within)
    if inside == 1:
        return [f"It is {best.text}: no other thread of the list agrees with every reading.",
                in_words(best)]  # fmt: skip
    head = (
        f"Cannot decide: {inside} threads agree with every reading."
        if inside
        else "Cannot decide: no thread of the list agrees with every reading within its "
        "uncertainty. It may be worn, cut under size, or a thread of the maker's own."
    )
    if found.decides is None:
        return [head]
    second = found.matches[1].candidate.designation
    a, b = (m.candidate.predicted.get(found.decides) for m in found.matches[:2])
    sizes = ""
    if a is not None and b is not None:
        sizes = f" ({best.text}: {_band(a.low, a.high)}; {second.text}: {_band(b.low, b.high)} mm)"
    return [
        head,
        f"The {NAMES[found.decides]} parts {best.text} from {second.text}{sizes}: "
        f"{HOW[found.decides]}.",
    ]


def contradicted(found: Found) -> tuple[Contradiction, ...]:
    """Readings that cannot all be true; none where a thread agrees with every one."""
    return () if found.within else contradictions(found.readings)


def _against(found: Found, c: Contradiction) -> str:
    a, b = (_read(k, found.readings[k]).rstrip("*") for k in (c.first, c.second))
    return f"Two readings contradict one another by {c.by:.2f} mm: {a}, and {b}; {c.why}."


def _band(low: float, high: float) -> str:
    return f"{low:.2f}" if high - low < 0.005 else f"{low:.2f} to {high:.2f}"


def _why(m: Match, found: Found) -> str:
    if m.z == 0:
        return "every reading inside its limits"
    p, r = m.candidate.predicted[m.worst], found.readings[m.worst]
    off = p.distance(r.value)
    return (
        f"{NAMES[m.worst]} {_band(p.low, p.high)}, read {r.value:.2f}: {off:.2f} off, "
        f"{'within' if m.within else f'{m.z:.1f} times'} the uncertainty"
    )
