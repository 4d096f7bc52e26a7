"""What a test by hand that fails leaves to be asked before a piece is sent back.

Where the drawing lets the limits decide, or a gauge beside the test piece, a piece that does not
go is the turner's only once something shows it outside its limits; where the test piece decides,
or the maker's own tool made it, the test itself is the proof.
"""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import MandrelEnd
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.standards.iso_14253 import Conformity, zone
from mandrelgen.workshop.receipt import home_shank
from mandrelgen.workshop.receipt.home_evidence import Evidence
from mandrelgen.workshop.receipt.home_form import thread_at
from mandrelgen.workshop.receipt.home_tests import HomeTest
from mandrelgen.workshop.turning import instruments
from mandrelgen.workshop.turning.acceptance import SAMPLE, AcceptanceRule, rule_of
from mandrelgen.workshop.turning.inspection_plan import limits_text
from mandrelgen.workshop.turning.names import what

BY_LIMITS = "By the drawing the limits decide"


@dataclass(frozen=True, slots=True)
class Asks:
    """What decides whether a piece that does not go is within its limits: ``to_read`` what is left
    to read, in words, ``letter`` what the turner is asked ("": nothing), ``why`` it is not sent
    back yet."""

    to_read: tuple[str, ...]
    letter: str
    why: str


def binds(e: Evidence, t: HomeTest) -> str:
    """What the drawing says of a piece that fails this test; "" where it says nothing."""
    end = MandrelEnd.of(t.id)
    own = t.id.removeprefix(end.value)
    if own == "screws":
        rule = _rule(e, end)
        return "" if rule is None else rule.binds
    return BY_LIMITS if own in ("enters", "clamps") else ""


def asks(e: Evidence, t: HomeTest) -> Asks | None:
    """What is asked first of a test that fails; None where it is proof enough."""
    end = MandrelEnd.of(t.id)
    rule = _rule(e, end) if t.id == end.named("screws") else None
    if not binds(e, t) or (rule is not None and rule.judge == SAMPLE):
        return None
    if t.id == "clamps" and (other := home_shank.instead(e)):
        return Asks((f"the shank in {other}",), "", "another collet of mine clamps what I read")
    sizes = tuple(_decide(e, t))
    if not sizes or any(e.verdict(c.id) is Conformity.REJECT for c in sizes):
        return None
    left = [c for c in sizes if e.verdict(c.id) is not Conformity.ACCEPT]
    if not left:
        named = " and ".join(_named(e, c) for c in sizes)
        return Asks(
            ("another part or test piece, since this one reads within its limits",),
            f"I read it within its limits: {named}. What did you find?",
            "it reads within its limits, so that it may be the part",
        )
    named = " and ".join(_named(e, c) for c in left)
    return Asks(
        tuple(f"{_named(e, c)}, which decides: {_with(e, c)}" for c in left),
        f"What did you read for {named}, or by which gauge did it pass?",
        "nothing shows it outside its limits yet",
    )


def _rule(e: Evidence, end: MandrelEnd) -> AcceptanceRule | None:
    """The rule for a thread that the turner cut; None for one of the maker's own tool."""
    thread = thread_at(e.drawn, end)
    if thread is None or thread.order in (ThreadOrder.MY_TOOL, ThreadOrder.BLANK):
        return None
    return rule_of(thread, e.drawn)


def _decide(e: Evidence, t: HomeTest) -> Iterator[Characteristic]:
    """The sizes whose limits say whether the piece is as drawn: of a thread those that bind."""
    for c in e.drawn.characteristics:
        inside = instruments.is_inside(e.drawn, c)
        crest = Kind.THREAD_MINOR if inside else Kind.THREAD_MAJOR
        limited = c.lower is not None or c.upper is not None
        if c.id in t.stands_for and limited and c.kind in (*_SIZES, crest):
            yield c


_SIZES = (Kind.THREAD_PITCH_DIAMETER, Kind.DIAMETER)


def _with(e: Evidence, c: Characteristic) -> str:
    """What reads it: what is at home where that can decide it, else what could."""
    for tool in instruments.advised(e.shop, e.drawn, c):
        if zone(c.lower, c.upper, tool.uncertainty) is not None:
            return tool.name.replace("-", " ")
    read = [r.value for r in e.of(c.id) if r.value is not None]
    middle = None if c.lower is None or c.upper is None else (c.lower + c.upper) / 2
    about = read[-1] if read else middle
    return instruments.elsewhere(e.drawn, c, sample=False, value=about)


def _named(e: Evidence, c: Characteristic) -> str:
    return f"{what(c)} (balloon {e.balloon(c.id)}, {limits_text(c)})"
