"""The states of an order and of a fixture, in the words of the trade, and which may follow which.

A state is the last event that speaks of it, beside the revision it was said of (`events`). The
states of an order (asked, quoted, declined) stand beside each of its fixtures too, with the order's
name in their data, so that one place says how a fixture stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from typing import Any

from mandrelgen.archive.events import append_event, event_for, events_of
from mandrelgen.archive.manifest import check_folder
from mandrelgen.archive.record_files import Entry, entries
from mandrelgen.archive.records import Event, EventKind
from mandrelgen.archive.root import Archive, held
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.model.mandrel import ADOPTED


class State(StrEnum):
    """How a fixture stands."""

    DESIGNED = "designed"
    ASKED = "asked"
    QUOTED = "quoted"
    DECLINED = "declined"
    ORDERED = "ordered"
    ARRIVED = "arrived"
    IN_USE = "in-use"
    REWORKED = "reworked"
    SENT_BACK = "sent-back"
    LOST = "lost"
    WITHDRAWN = "withdrawn"

    @property
    def said(self) -> str:
        """As people read it."""
        return self.value.replace("-", " ")

    def told_of(self, whom: str) -> str:
        """The shop beside the state: whoever was asked did not put it into use, but made it."""
        return f"made by {whom}" if whom and self in _MADE else whom


_S = State
_MADE = (_S.ARRIVED, _S.IN_USE, _S.REWORKED, _S.SENT_BACK, _S.LOST)
OF_ORDER = (_S.ASKED, _S.QUOTED, _S.DECLINED)
"""The states that belong to the order; the others belong to the fixture."""

OWNED = frozenset(
    {_S.ASKED, _S.QUOTED, _S.ORDERED, _S.ARRIVED, _S.IN_USE, _S.REWORKED, _S.SENT_BACK}
)
"""The states in which a fixture counts as owned: it is there, on its way, or at the turner's to be
mended."""

AWAITED = frozenset({_S.ASKED, _S.QUOTED, _S.ORDERED})
"""Of these, it is on its way: somebody was asked and it is not there yet."""

MOVES: Mapping[State, tuple[State, ...]] = {
    _S.DESIGNED: (_S.ASKED, _S.ORDERED, _S.ARRIVED, _S.IN_USE, _S.WITHDRAWN),
    _S.ASKED: (_S.QUOTED, _S.DECLINED, _S.ORDERED, _S.WITHDRAWN),
    _S.QUOTED: (_S.DECLINED, _S.ORDERED, _S.WITHDRAWN),
    _S.DECLINED: (_S.ASKED, _S.ORDERED, _S.IN_USE, _S.WITHDRAWN),
    _S.ORDERED: (_S.ARRIVED, _S.DECLINED, _S.LOST, _S.WITHDRAWN),
    _S.ARRIVED: (_S.IN_USE, _S.REWORKED, _S.SENT_BACK, _S.LOST, _S.WITHDRAWN),
    _S.IN_USE: (_S.ARRIVED, _S.REWORKED, _S.SENT_BACK, _S.LOST, _S.WITHDRAWN),
    _S.REWORKED: (_S.IN_USE, _S.SENT_BACK, _S.LOST, _S.WITHDRAWN),
    _S.SENT_BACK: (_S.ARRIVED, _S.ASKED, _S.LOST, _S.WITHDRAWN),
    _S.LOST: (_S.IN_USE, _S.ASKED, _S.ORDERED, _S.WITHDRAWN),
    _S.WITHDRAWN: (),
}
"""What may follow a state; what was put into use by mistake has arrived again. Asking or ordering
again what is owned needs ``again``."""

_KINDS = {EventKind(s.value): s for s in State if s is not _S.DESIGNED}
HAD = (_S.ARRIVED, _S.IN_USE, _S.REWORKED, _S.SENT_BACK)
"""It has come: it is there, or back at the turner's."""
EARLY = "state.early"
"""The code of the fault that a day is before the one of the state before."""
BEFORE_ARRIVAL = (*OF_ORDER, _S.DESIGNED, _S.ORDERED, _S.SENT_BACK)


def history(events: Iterable[Event], entry: Entry) -> tuple[tuple[State, Event | None], ...]:
    """The states of one revision and draft, oldest first, each with the event that said so; the
    first is designed, or in use for a fixture entered from its measurements. Readings say that it
    arrived."""
    first = _S.IN_USE if entry.record.slot.role == ADOPTED else _S.DESIGNED
    found: list[tuple[State, Event | None]] = [(first, None)]
    for e in events:
        if (e.revision, e.draft) != (entry.revision, entry.draft):
            continue
        if e.kind in _KINDS:
            found.append((_KINDS[e.kind], e))
        elif e.kind is EventKind.RECEIVED and found[-1][0] in BEFORE_ARRIVAL:
            found.append((_S.ARRIVED, e))
    return tuple(found)


def had_before(past: Sequence[tuple[State, Event | None]]) -> State | None:
    """How the one stands that is had while another is asked for, is ordered or was declined; None
    if there is none, or no other was asked for."""
    for state, _ in reversed(past) if past[-1][0] in (*AWAITED, _S.DECLINED) else ():
        if state not in (*AWAITED, _S.DECLINED):
            return state if state in HAD else None
    return None


def owned(past: Sequence[tuple[State, Event | None]]) -> bool:
    """Whether a fixture of this history counts as owned, be it that another one is asked for."""
    return past[-1][0] in OWNED or had_before(past) is not None


def state_of(archive: Archive, entry: Entry) -> State:
    """How one published revision stands. Raises DiskError."""
    return history(events_of(archive, entry.number), entry)[-1][0]


def book(
    archive: Archive, fixtures: Sequence[Entry], state: State, date: str, note: str = "",
    data: Mapping[str, Any] | None = None, again: bool = False,
) -> tuple[Entry, ...]:  # fmt: skip
    """Say that these revisions are now in ``state``; all of it is judged before the first is
    written. One that is there already, said with the same words, stays (so a call that was killed
    is finished by the same call). Returns those whose state changed.

    Raises InputError with every state that cannot follow, DiskError (damaged papers are not sent).
    """
    data = dict(data or {})
    with held(archive):
        todo, faults = [], []
        for entry in fixtures:
            past = history(events_of(archive, entry.number), entry)
            now, last = past[-1]
            if now is state and last is not None and _same(last, date, note, data):
                continue
            restated = now is state and last is not None and _restated(last, state, data)
            if (wrong := _wrong(archive, entry, past, state, date, again or restated)) is not None:
                faults.append(wrong)
            todo.append(entry)
        if faults:
            raise InputError(faults)
        for entry in todo:
            if state in (_S.ASKED, _S.ORDERED):
                _check_papers(archive, entry)
        for entry in todo:
            append_event(
                archive, event_for(entry, EventKind(state.value), date, note=note, data=data)
            )
    return tuple(todo)


def _same(last: Event, date: str, note: str, data: Mapping[str, Any]) -> bool:
    """Whether the last event says the very same."""
    return (last.date, last.note, last.data) == (date, note, dict(data))


def _restated(last: Event, state: State, data: Mapping[str, Any]) -> bool:
    """Whether only price or days of the same shop's quotation or order change."""
    same = data.get("whom", "") in ("", last.data.get("whom", ""))
    return same and state in (_S.QUOTED, _S.ORDERED) and bool(set(data) - {"whom", "order"})


def _wrong(
    archive: Archive, entry: Entry, past: Sequence[tuple[State, Event | None]], state: State,
    date: str, again: bool,
) -> Finding | None:  # fmt: skip
    """Why ``state`` cannot follow on that day; None: it can."""
    now, last = past[-1]
    where = f"{entry.number} {entry.revision}"
    newer = entries(archive.root, entry.number)[-1]
    if newer.folder != entry.folder and newer.revision == entry.revision:
        message = f"draft {entry.draft} of revision {entry.revision} was replaced by a later one"
        return _no(where, message, f"book the newest: {newer.number}")
    if state not in MOVES[now]:
        if state in (_S.ASKED, _S.ORDERED, now) and now in OWNED:
            if not again:
                return _no(
                    where, f"it is {now.said} already{_since(last)}",
                    f"--again, if it shall be {state.said} once more",
                )  # fmt: skip
        else:
            allowed = ", ".join(s.said for s in MOVES[now]) or "nothing: make the next revision"
            return _no(
                where, f"it is {now.said}{_since(last)}; {state.said} cannot follow",
                f"what can follow: {allowed}",
            )  # fmt: skip
    if last is not None and date < last.date:
        message = f"{date} is before {last.date}, when it was {now.said}"
        return _no(where, message, "give a later --date", EARLY)
    return None


def _since(last: Event | None) -> str:
    if last is None:
        return ""
    whom = last.data.get("whom")
    return f" since {last.date}" + (f", of {whom}" if whom else "")


def _no(where: str, message: str, remedy: str, code: str = "state.cannot-follow") -> Finding:
    return Finding(level=Level.ERROR, code=code, where=where, message=message, remedy=remedy)


def _check_papers(archive: Archive, entry: Entry) -> None:
    faults = tuple(check_folder(archive.root, entry.folder))
    if faults:
        raise DiskError(
            f"{entry.number} {entry.revision} is damaged and nothing was noted: "
            f"{faults[0].line()}.",
            "Put the files back from a backup.",
        )


def table() -> tuple[tuple[str, str, str, str], ...]:
    """Each state, what it belongs to, whether it counts as owned, and what may follow: as the
    README prints it."""
    return tuple(
        (
            s.said,
            "order" if s in OF_ORDER else "fixture",
            "yes" if s in OWNED else "no",
            ", ".join(f.said for f in MOVES[s]) or "–",
        )
        for s in State
    )
