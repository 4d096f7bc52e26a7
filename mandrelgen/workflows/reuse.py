"""Before anything new is made: which fixture of the archive would do, and what make leaves out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.naming import MARKER
from mandrelgen.assess.words import Owned
from mandrelgen.core.errors import Finding, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.mandrel import MandrelKind
from mandrelgen.workflows.check import Checked

if TYPE_CHECKING:
    from mandrelgen.archive.index import Index
    from mandrelgen.archive.index_rows import IndexRow
    from mandrelgen.archive.records import Event
    from mandrelgen.archive.states import State
    from mandrelgen.workflows.reuse_judging import Miss, Offer


@dataclass(frozen=True, slots=True)
class Looked:
    """What the archive has for a pen. ``owned``: the mandrels that need not be made: a fixture
    that exists, is on its way or stands in another pen's order does as well, and their own slot was
    never filled. ``in_order``: number -> the order it stands in, of which nothing was asked yet.
    ``own``: the pen's own fixtures of this very design that are there or on their way. ``near``:
    what would not do, and why, where that was asked."""

    offers: tuple[Offer, ...] = ()
    owned: frozenset[str] = frozenset()
    in_order: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    own: Mapping[str, Owned] = field(default_factory=dict)
    near: tuple[Miss, ...] = ()

    @property
    def serving(self) -> dict[str, Owned]:
        """The fixtures that serve in place of new ones, by planned id."""
        best = dict(self.own)
        for o in self.offers:
            if o.planned in self.owned and o.as_good:
                if o.row.owned:
                    best.setdefault(
                        o.planned, Owned(o.row.number, said(o), state=_waits(o.row.state))
                    )
                elif order := self.in_order.get(o.row.number):
                    says = f"{said(o)}; it stands in order {order}: order it once, for both"
                    best.setdefault(o.planned, Owned(o.row.number, says))
        return best


def look(
    checked: Checked, folder: Path, again: bool = False, near: bool = False,
    but: frozenset[str] = frozenset(),
) -> Looked:  # fmt: skip
    """Look in the archive ``folder``, if there is one; ``again``: nothing shall be left out;
    ``but``: nor these mandrels (ids), which are wanted again; ``near``: also what would not do, and
    why.

    Raises DiskError.
    """
    if not exists(folder / MARKER):
        return Looked()
    from mandrelgen.archive import index as records_index
    from mandrelgen.archive import messages, root
    from mandrelgen.workflows import reuse_judging

    pen, shop = checked.inputs.pen, checked.inputs.shop
    with records_index.opened(root.open_root(folder)) as index:
        unread: list[str] = []
        found = reuse_judging.offers(index, pen, shop, checked.designed, unread)
        waiting = {} if again else _in_order(index, found)
        owned = frozenset() if again else _owned(checked, index, found, waiting) - but
        own = {} if again else {k: v for k, v in _own(checked, index).items() if k not in but}
        missed: tuple[Miss, ...] = ()
        if near:
            missed = reuse_judging.misses(index, pen, shop, checked.designed, found, unread)
        faults = tuple(messages.unread(folder, (*index.faults(), *unread)))
    notes = _notes(checked, found, owned, waiting)
    return Looked(
        offers=found,
        owned=owned,
        in_order=waiting,
        findings=(*notes, *faults),
        own=own,
        near=missed,
    )


def _in_order(index: Index, found: tuple[Offer, ...]) -> dict[str, str]:
    """Of the fixtures offered that nobody was asked for yet, the live orders they stand in."""
    from mandrelgen.archive.events import revision_of
    from mandrelgen.archive.orders import names_of_orders, order_holding
    from mandrelgen.archive.states import State, state_of

    out: dict[str, str] = {}
    rows = {o.row.number: o.row for o in found if o.as_good and not o.row.owned}
    among = names_of_orders(index.archive) if rows else ()
    for number, r in rows.items():
        entry = revision_of(index.archive, number, r.revision)
        if state_of(index.archive, entry) is not State.DESIGNED:
            continue
        if order := order_holding(index.archive, r.pen, number, r.revision, r.draft, among):
            out[number] = order
    return out


def _own(checked: Checked, index: Index) -> dict[str, Owned]:
    """The pen's own fixtures that are asked for, on their way or there, as many as are wanted, by
    planned id: each of the very design that is planned now."""
    from mandrelgen.archive.design_hash import design_hash, slot_of
    from mandrelgen.archive.events import events_of, revision_of
    from mandrelgen.archive.orders import asked_for
    from mandrelgen.archive.query import Query, find
    from mandrelgen.archive.states import history

    pen = checked.inputs.pen.pen.id
    rows = {(r.part, r.end, r.role): r for r in find(index, Query(pen=pen)) if r.owned}
    out = {}
    for d in checked.designed if rows else ():
        slot = slot_of(d.mandrel) if d.mandrel is not None else None
        row = rows.get((slot.part, slot.end, slot.role)) if slot is not None else None
        if row is None or d.mandrel is None or d.wishes is None:
            continue
        entry = revision_of(index.archive, row.number, row.revision)
        digest = entry.record.design_hash
        if digest != design_hash(d.mandrel):
            continue
        many = d.wishes.quantity
        if many > 1 and asked_for(index.archive, [pen], [entry])[row.number, digest] < many:
            continue
        out[d.planned.id] = _mine(row, history(events_of(index.archive, row.number), entry))
    return out


def unsent(checked: Checked, folder: Path) -> frozenset[str]:
    """The planned mandrels that the archive ``folder`` holds, of the very design that is planned
    now, and that nobody was asked for yet. Raises DiskError."""
    if not exists(folder / MARKER):
        return frozenset()
    from mandrelgen.archive import index as records_index
    from mandrelgen.archive import root
    from mandrelgen.archive.design_hash import design_hash, slot_of
    from mandrelgen.archive.query import Query, find
    from mandrelgen.archive.states import State

    with records_index.opened(root.open_root(folder)) as index:
        found = find(index, Query(pen=checked.inputs.pen.pen.id))
    filed = {
        (r.part, r.end, r.role, r.design_hash) for r in found if r.state == State.DESIGNED.value
    }
    own = ((d.planned.id, d.mandrel) for d in checked.designed if d.mandrel is not None)
    slots = ((id, slot_of(m), design_hash(m)) for id, m in own)
    return frozenset(id for id, s, hash in slots if (s.part, s.end, s.role, hash) in filed)


def _mine(row: IndexRow, past: Sequence[tuple[State, Event | None]]) -> Owned:
    """A fixture of the pen's own: how it stands, of whom it was asked, since when; where another
    one is asked for, how both stand."""
    from mandrelgen.archive.states import State, had_before

    state, event = past[-1]
    had = had_before(past)
    whom = next((str(e.data["whom"]) for _, e in reversed(past) if e and e.data.get("whom")), "")
    since = "" if event is None else f"since {event.date}"
    told = ", ".join(x for x in (state.told_of(whom), since) if x)
    says = f"{row.number} {row.revision}, made for this very end, is "
    says += state.said if had is None else f"{had.said}; another is {state.said}"
    says += ", at the turner's" * (state is State.SENT_BACK)
    says += f" ({told})" * bool(told)
    away = had is State.SENT_BACK and state is not State.DECLINED
    return Owned(row.number, says, own=True, state=_waits(state if away else had or state))


def _waits(state: State | str) -> str:
    """The state's word while a fixture is on its way or sent back; empty once it is there."""
    from mandrelgen.archive.states import AWAITED, State

    found = State(state)
    return found.said if found in (*AWAITED, State.SENT_BACK) else ""


def _owned(
    checked: Checked, index: Index, found: tuple[Offer, ...], waiting: Mapping[str, str]
) -> frozenset[str]:
    """The planned mandrels for which a fixture owned, or about to be asked for, is as good as a new
    one."""
    from mandrelgen.archive.query import Query, find

    pen = checked.inputs.pen.pen.id
    filled = {(r.part, r.end, r.role) for r in find(index, Query(pen=pen))}
    out = set()
    for d in checked.designed:
        p = d.planned
        several = d.wishes is not None and d.wishes.quantity > 1
        if several or (p.hold.part, p.hold.end, p.kind.value) in filled:
            continue
        mine = [o for o in found if o.planned == p.id and o.as_good]
        if any(o.row.owned or o.row.number in waiting for o in mine):
            out.add(p.id)
    return frozenset(out)


def _notes(
    checked: Checked, found: tuple[Offer, ...], owned: frozenset[str], waiting: Mapping[str, str]
) -> list[Finding]:
    """The best offer for each mandrel."""
    asked = {d.planned.id: d.wishes.quantity for d in checked.designed if d.wishes is not None}
    out: list[Finding] = []
    for planned in dict.fromkeys(o.planned for o in found):
        best, *others = [o for o in found if o.planned == planned]
        more = f" (and {len(others)} more)" if others else ""
        if planned in owned and best.row.number in waiting:
            remedy = (
                f"it stands in order {waiting[best.row.number]}: order it once, for both; make "
                "leaves this one out, --again makes it too"
            )
        elif planned in owned:
            remedy = f"use {best.row.number}: make leaves this one out, --again makes it too"
        elif best.row.owned and asked.get(planned, 1) > 1:
            remedy = f"{asked[planned]} are asked for, so they are made: lower the quantity"
        elif best.row.owned:
            remedy = f"use {best.row.number} if that is good enough"
        else:
            remedy = "nobody was asked for it yet: order it once, for both"
        code = "reuse.would-do" if best.as_good else "reuse.would-hold"
        out.append(
            Finding(
                level=Level.NOTE,
                code=code,
                where=planned,
                message=f"{said(best)}{more}",
                remedy=remedy,
            )
        )
    return out


def said(o: Offer) -> str:
    """An offer in one sentence, without its differences' end."""
    new = "" if o.new_step is None else f" (a new one: {text_of(o.new_step)})"
    verb = "would do" if o.as_good else "would hold it"
    where = f" for {o.row.pen} {o.row.part}" if not o.row.adopted else ""
    text = f"{o.row.name}{where} {verb}"
    if o.row.kind != MandrelKind.BUTTON.value:  # nothing is turned true by a button
        text += f": joint step {text_of(o.fitting.step)}{new}"
    if o.row.checked:
        from mandrelgen.standards.iso_14253 import Conformity

        text += f", last measured {o.row.checked}"
        text += " and rejected then" if o.row.verdict == Conformity.REJECT.value else ""
    if o.weaker:
        text += f"; weaker: {', '.join(o.weaker)}"
    if o.fitting.differs:
        text += f"; different: {'; '.join(o.fitting.differs)}"
    return text
