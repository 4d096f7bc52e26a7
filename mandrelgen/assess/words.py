"""One word for each mandrel: order, have, make, skip or change; and the reason in a sentence.

Limits are estimates (common practice, no source) unless a line says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from typing import NamedTuple

from mandrelgen.assess.same_piece import Key, key_of
from mandrelgen.core.errors import Finding, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.designed import Designed
from mandrelgen.design.options import Wishes
from mandrelgen.design.own_tools import cuts
from mandrelgen.design.plan import Hold
from mandrelgen.mechanics.practice import assumed
from mandrelgen.spec.joints import EndRef, joints
from mandrelgen.spec.pen import Part, Pen, ThreadOrder
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.thread_spelling import read_thread


class Word(StrEnum):
    """What to do about a mandrel."""

    ORDER = "order"
    HAVE = "have"
    MAKE = "make"
    SKIP = "skip"
    CHANGE = "change"


SAID = {
    Word.ORDER: "order",
    Word.HAVE: "have",
    Word.MAKE: "make yourself",
    Word.SKIP: "not needed",
    Word.CHANGE: "change the pen first",
}
"""The words as people read them."""


BOTH_ENDS = (
    "double-ended: its two ends run true to one shank, which one turned and used in its own collet "
    "cannot have"
)


@dataclass(frozen=True, slots=True)
class Answer:
    """The word for the mandrel ``planned``, and why; ``uses``: the fixture or the mandrel that
    serves instead of a new one (its number or id; empty: none). ``own``: that fixture was made for
    this very place, to this very design; ``state``: how it stands, if it is not there yet."""

    planned: str
    word: Word
    reason: str
    uses: str = ""
    own: bool = False
    state: str = ""

    @property
    def said(self) -> str:
        """The word as people read it; of what is not there yet, how it stands."""
        return self.state or SAID[self.word]


class Owned(NamedTuple):
    """A fixture that is there and does as well as a new one: its number, how well it fits.
    ``own``: it was made for this very place, to this very design. ``state``: how it stands while
    it is not there (asked, quoted, ordered, sent back)."""

    number: str
    says: str
    own: bool = False
    state: str = ""


def held_back(d: Designed, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The errors that stand in the way of a mandrel: its own, and those of the parts it holds."""
    holds = [h for h in (d.planned.hold, d.planned.other) if h is not None]
    parts = {d.planned.id, *(h.part for h in holds)}
    own = {d.planned.id, f"{d.planned.id}, end B"}
    return tuple(
        f
        for f in findings
        if f.level is Level.ERROR and (f.where in own or parts.intersection(f.parts))
    )


def parts_held_back(findings: Iterable[Finding]) -> frozenset[str]:
    """The parts that an error concerns: nothing of theirs stands on a paper that leaves."""
    return frozenset(p for f in findings if f.level is Level.ERROR for p in f.parts)


def answers(
    pen: Pen,
    shop: Shop,
    designed: Sequence[Designed],
    findings: Sequence[Finding],
    owned: Mapping[str, Owned],
) -> tuple[Answer, ...]:
    """The word for each planned mandrel, in their order. ``owned``: by planned id."""
    found: list[Answer] = []
    serving: dict[Key, str] = {}
    for d in designed:
        a = _answer(pen, shop, d, designed, held_back(d, findings), owned)
        key = key_of(d.mandrel)
        if a.word in (Word.ORDER, Word.MAKE) and d.planned.request is None and key:
            other = serving.setdefault(key, d.planned.id)
            if other != d.planned.id:
                a = Answer(d.planned.id, Word.SKIP, f"{other} is the same piece", other)
        found.append(a)
    return tuple(found)


def word_alone(pen: Pen, shop: Shop, d: Designed, designed: Sequence[Designed]) -> Word:
    """The word for one mandrel by itself: order, make, or skip where none is needed. ``designed``:
    what is there beside it."""
    return _answer(pen, shop, d, designed, (), {}).word


def _answer(
    pen: Pen,
    shop: Shop,
    d: Designed,
    designed: Sequence[Designed],
    errors: tuple[Finding, ...],
    owned: Mapping[str, Owned],
) -> Answer:
    name = d.planned.id
    if errors:
        more = f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""
        return Answer(name, Word.CHANGE, errors[0].message + more)
    if name in owned:
        there = owned[name]
        return Answer(
            planned=name, word=Word.HAVE, reason=there.says, uses=there.number, own=there.own,
            state=there.state,
        )  # fmt: skip
    without = needless(pen, shop, d, designed)
    if without is not None:
        return Answer(name, Word.SKIP, without)
    word, reason = order_or_make(pen, shop, d.planned.hold, d.wishes)
    if word is Word.MAKE and d.planned.other is not None:
        return Answer(name, Word.ORDER, BOTH_ENDS)
    return Answer(name, word, reason)


# -- not needed ------------------------------------------------------------------------------------
def needless(pen: Pen, shop: Shop, d: Designed, designed: Sequence[Designed]) -> str | None:
    """Why no mandrel is needed: a part turned on its neighbour, in one chucking at the rod's end,
    or in a plain collet. One that is asked for, by name or by ``all_needed``, is wanted anyway."""
    p = d.planned
    if p.request is not None or p.other is not None or pen.mandrels.all_needed:
        return None
    part = pen.parts[p.hold.part]
    return (
        _on_its_neighbour(pen, p.hold, part, designed)
        or _in_one_chucking(p.hold, part)
        or _in_a_collet(p.hold, part, shop)
    )


def on_its_neighbour(pen: Pen, d: Designed, designed: Sequence[Designed]) -> str | None:
    """How a small part is turned on its neighbour instead; None if it is not, or a mandrel for it
    was asked for by name."""
    p = d.planned
    if p.request is not None or p.other is not None:
        return None
    return _on_its_neighbour(pen, p.hold, pen.parts[p.hold.part], designed)


def _on_its_neighbour(pen: Pen, hold: Hold, part: Part, designed: Sequence[Designed]) -> str | None:
    """A small part that screws into one which has a mandrel of its own, or none to wait for."""
    if hold.by != "external":
        return None
    external = part.ends[hold.end].external
    head = float(part.length) - (float(external.length) if external else 0.0)
    longest = assumed("words", "neighbour_head").value
    if head > longest or _other_features(part, hold.end):
        return None
    here = EndRef(hold.part, hold.end)
    held = {h.part for o in designed for h in (o.planned.hold, o.planned.other) if h is not None}
    for j in joints(pen):
        if j.external == here and j.internal.part in held:
            return (
                f"turn it screwed into its {j.internal.part}: only {text_of(head, 1)} stand out "
                f"({longest:g} at most, rule of thumb)"
            )
    return None


def _in_one_chucking(hold: Hold, part: Part) -> str | None:
    """A short part with everything at one end."""
    ratio = float(part.length) / float(part.diameter)
    most = assumed("words", "one_chucking").value
    if hold.by == "bore" or ratio > most or _other_features(part, hold.end):
        return None
    return (
        "shape, drill and thread it in one chucking at the rod's end and part it off: it is "
        f"{text_of(ratio, 1)} × its diameter long ({most:g} at most, rule of thumb)"
    )


def _in_a_collet(hold: Hold, part: Part, shop: Shop) -> str | None:
    """A straight part that a collet on the shelf closes on."""
    d = float(part.diameter)
    plain = all(abs(float(e.diameter) - d) < 0.01 for e in part.ends.values())
    if not plain or any(e.external is not None for e in part.ends.values()):
        return None
    sizes = {float(size) for c in shop.collets for size in c.sizes}
    if not any(abs(size - d) < 0.01 for size in sizes):
        return None
    return (
        f"it is straight: turn it between centres, then hold it in the collet of {text_of(d)} "
        "with paper between"
    )


def _other_features(part: Part, end: str) -> bool:
    """Whether another end has a thread or a bore."""
    return any(
        e.internal is not None or e.external is not None or e.bore
        for name, e in part.ends.items()
        if name != end
    )


# -- order or make ---------------------------------------------------------------------------------
def order_or_make(pen: Pen, shop: Shop, hold: Hold, wishes: Wishes | None) -> tuple[Word, str]:
    """Whether a mandrel for ``hold`` is ordered or made at home, and why."""
    if wishes is None or wishes.thread_order is not ThreadOrder.SINGLE_POINT or wishes.quantity > 1:
        return Word.ORDER, _as_asked(wishes)
    thread = _thread(pen, hold)
    if thread is None:
        return Word.ORDER, "no thread to cut: any turner makes it from the drawing"
    plug = hold.by == "internal"
    kind, tools = ("die", shop.dies) if plug else ("tap", shop.taps)
    few = int(assumed("words", "pens_on_own").value)
    count = wishes.pens
    if count is not None and count > few:
        return Word.ORDER, (
            f"{count} pens on this thread: a mandrel you cut yourself is worn out after about "
            f"{few} (rule of thumb)"
        )
    if not any(cuts(t, thread) for t in tools):
        unsaid = not (shop.taps or shop.dies)
        return Word.ORDER, (
            f"say which {kind}s you own ([[{kind}s]] in the shop file): with the one for "
            f"{thread.name} you can make it yourself"
            if unsaid
            else f"no {kind} for {thread.name} is listed in the shop file"
        )
    taken = "" if count is not None else "; taken as few pens: say pens = …"
    return Word.MAKE, (
        f"your own {kind} for {thread.name} cuts it, for up to about {few} pens (rule of thumb); "
        f"the card says of what and how{taken}"
    )


def _as_asked(w: Wishes | None) -> str:
    if w is not None and w.thread_order is ThreadOrder.BLANK:
        return "as a blank, as you asked: you cut the thread"
    if w is not None and w.thread_order is ThreadOrder.MY_TOOL:
        return "cut with your own tool, as you asked: it goes along"
    if w is not None and w.thread_order is ThreadOrder.STOCK_TAP:
        return "cut with the turner's own tools, as you asked"
    return f"{w.quantity} off, as you asked" if w is not None else "as designed"


def _thread(pen: Pen, hold: Hold) -> Designation | None:
    """The thread a mandrel for ``hold`` mates with."""
    end = pen.parts[hold.part].ends[hold.end]
    thread = {"internal": end.internal, "external": end.external}.get(hold.by)
    return None if thread is None else read_thread(thread.thread)


def summary(found: Sequence[Answer]) -> str:
    """One line for the pen: how many of each word."""
    row = [
        (Word.CHANGE, "to change first"),
        (Word.ORDER, "to order"),
        (Word.MAKE, "to make yourself"),
        (Word.HAVE, "you have"),
        (Word.SKIP, "not needed"),
    ]
    counts = [(sum(a.word is w and not a.state for a in found), text) for w, text in row]
    waits = [a.state for a in found if a.state]
    counts += [(waits.count(s), s) for s in dict.fromkeys(waits)]
    return ", ".join(f"{n} {text}" for n, text in counts if n) or "no mandrel"
