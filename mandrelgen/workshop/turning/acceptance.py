"""Which rule judges a mandrel's thread, said alike on the sheet and in the request, and who brings
what it is judged with."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.standards.iso_1502 import gauges
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.threads import D1_FACTOR
from mandrelgen.workshop.turning.tool_clearance import turned_to_nose

LIMITS, SAMPLE, FIT = "limits", "test piece", "go gauge or test piece"


class AcceptanceRule(NamedTuple):
    """``judge``: the limits of the drawing, the test piece, or, where no shop has a gauge, a GO
    gauge turned for it or the test piece; ``text`` says it in a sentence's end, ``supply`` who
    brings gauge, sample and tool. ``binds``: what it says of a piece that came and does not screw
    home, to be written to the turner; empty where that is the customer's own doing."""

    judge: str
    text: str
    supply: str
    binds: str = ""


def rule_of(t: ThreadData, mandrel: Mandrel) -> AcceptanceRule:
    """The rule for one thread of ``mandrel``, by how it is ordered."""
    external = t.limits.external
    if t.order == "my-tool":
        tool = "die" if external else "tap"
        return AcceptanceRule(
            SAMPLE,
            f"cut with the customer's own {tool}, supplied in its holder, used as it comes; fit "
            f"to the test piece governs: it screws {'on' if external else 'in'} by hand until it "
            f"bears on the seat all round, fit as cut by the {tool}; limits are for information"
            f"{_test_piece(mandrel, t)}. Else stop and ask: the customer answers for the {tool}",
            "all go back",
        )
    if t.order == "blank":
        return AcceptanceRule(
            LIMITS, "left as a blank, judged by the blank's limits", "no gauge is needed"
        )
    if t.order == "stock-tap":
        return AcceptanceRule(
            LIMITS,
            "tapped with a stock tap, guided by the tailstock; judged by the limits in its table "
            f"(plug gauge){_test_piece(mandrel, t)}",
            f"the shop brings tap and gauge; {_screws_home()}",
            _BY_LIMITS,
        )
    if special_gauge(t, mandrel):
        return _by_fit(t, mandrel)
    stands = in_the_way(t, mandrel)
    by = _instruments(t, "" if stands else ", or ring gauge") if external else "plug gauge"
    if stands:
        by += f"; no ring gauge: ⌀{text_of(stands)} in front need not pass through it"
    gauge = "ring" if external else "plug"
    starts = t.limits.designation.starts
    several = ""
    if starts > 1 and not stands:
        several = f" (a {gauge} gauge would need the lead and {starts} starts)"
    return AcceptanceRule(
        LIMITS,
        f"screwcut, judged by the limits in its table ({by})",
        f"the shop brings gauge or instrument{several}; {_screws_home(starts)}",
        _BY_LIMITS,
    )


_RISK = "the customer's risk"
_BY_LIMITS = (
    "By the drawing the limits decide, and you were to ask if a piece within them does not take "
    "the test piece"
)


def _screws_home(starts: int = 1) -> str:
    every = " in every start" if starts > 1 else ""
    return (
        f"the customer's test piece must screw home by hand too{every}; if a piece within the "
        "limits does not take it, ask"
    )


def _instruments(t: ThreadData, ring: str) -> str:
    """What measures an external thread's pitch diameter; ``ring``: the gauge that does as well."""
    if t.limits.designation.starts % 2 == 0:
        return (
            "two wires straight opposite one another, or three, two of them a lead apart: these "
            f"lie in one start{ring}; no thread micrometer: with an even number of starts groove "
            "faces groove"
        )
    return (
        f"thread micrometer with small anvils{ring}; wires only where they and the anvils find room"
    )


def special_gauge(t: ThreadData, mandrel: Mandrel) -> bool:
    """Whether the design says that no shop has a gauge for this screwcut thread."""
    own = t.feature.end.named("thread.gauge")
    return t.order == "single-point" and any(d.id == own for d in mandrel.decisions)


def go_gauge(t: ThreadData, mandrel: Mandrel) -> str:
    """The GO gauge a shop may turn for a thread that none is sold for; "" where none passes."""
    if in_the_way(t, mandrel):
        return ""
    starts = t.limits.designation.starts
    with_ = f" with {starts} starts" if starts > 1 else ""
    return f"a GO {'ring' if t.limits.external else 'plug'}{with_} that the shop turns"


def _by_fit(t: ThreadData, mandrel: Mandrel) -> AcceptanceRule:
    """Nobody buys a gauge for one order: what screws home decides, the limits guide."""
    external, stands = t.limits.external, in_the_way(t, mandrel)
    starts = " in every start" if t.limits.designation.starts > 1 else ""
    judges = " or ".join(x for x in (go_gauge(t, mandrel), "the customer's test piece") if x)
    by = _instruments(t, "") if external else "pin gauges for the minor diameter"
    if stands:
        by += f"; no ring gauge: ⌀{text_of(stands)} in front need not pass through it"
    return AcceptanceRule(
        FIT if not stands else SAMPLE,
        f"screwcut; {judges}, screwing home by hand{starts} without shake, decides; the limits in "
        f"its table guide ({by})",
        "no gauge has to be bought; if a piece within the limits does not screw home, that is "
        f"{_RISK}: ask",
        f"By the drawing {judges} decides; "
        + (f"if you find the piece within the limits, that is {_RISK}: tell me first" if stands
           else f"a piece within the limits that does not screw home is {_RISK}"),
    )  # fmt: skip


def _test_piece(mandrel: Mandrel, t: ThreadData) -> str:
    """How true the thread is to the shank, asked of a test piece; "" on a drawing of old."""
    own = t.feature.end.named("thread.runout")
    asked = next((d.value for d in mandrel.decisions if d.id == own), "")
    if not asked:
        return ""
    return f"; a test piece with the counter thread, screwed home, runs true to A within {asked}"


def in_the_way(t: ThreadData, mandrel: Mandrel) -> float:
    """The largest diameter (mm, at its upper limit) in front of an external thread, if a GO ring
    need not pass over it; 0 if any ring passes. The bore of a metric ring by ISO 1502, least
    (columns from memory); of an inch one without its maker's tolerance, which is not held."""
    if not t.limits.external:
        return 0.0
    row = turned_to_nose(mandrel, t.feature.end)
    ahead = row[next(i for i, s in enumerate(row) if s.feature == t.feature) + 1 :]
    upper = {
        c.feature: c.upper
        for c in mandrel.characteristics
        if c.kind is Kind.DIAMETER and c.upper is not None
    }
    # The far end of each stretch: the thread's own chamfer begins at its crest.
    most = max((max(s.d1, upper.get(s.feature, 0.0)) for s in ahead), default=0.0)
    return most if most > ring_bore(t) else 0.0


def ring_bore(t: ThreadData) -> float:
    """The least bore of a GO ring for an external thread, mm; see `in_the_way`."""
    work = t.limits
    try:
        go, _ = gauges(work)
    except NotHeldError:
        d, high = work.designation, work.pitch.max
        assert high is not None
        return float(d.diameter) - D1_FACTOR * float(d.pitch) + high - work.basic.pitch
    return go.crest - go.crest_half
