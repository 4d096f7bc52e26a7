"""What a request says of a fixture that is ordered once more: that one was made to this drawing and
served."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from mandrelgen.archive import events, states
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.records import Event
from mandrelgen.archive.root import Archive
from mandrelgen.archive.states import State


def made_before(archive: Archive, entries: Iterable[Entry]) -> str:
    """A sentence that names those of which one was put into use, each with its day; empty if none
    was. Raises DiskError."""
    said = [
        f"{e.number} {e.revision} ({day})"
        for e in entries
        if (day := in_use_since(states.history(events.events_of(archive, e.number), e)))
    ]
    if not said:
        return ""
    *first, last = said
    names = f"{', '.join(first)} and {last}" if first else last
    served = "were made to these drawings" if first else "was made to this drawing"
    them = "them" if first else "it"
    return f"{names} {served} before and taken into use on that day: please make {them} as then."


def in_use_since(past: Sequence[tuple[State, Event | None]]) -> str:
    """The day from which the last one served, empty if none does: what was sent back or booked back
    as only arrived recommends nothing; what was lost did serve.

    >>> in_use_since([(State.DESIGNED, None), (State.ASKED, None)])
    ''
    """
    day, before = "", State.DESIGNED
    for state, event in past:
        if state is State.IN_USE and event is not None:
            day = event.date
        elif state is State.SENT_BACK or (state is State.ARRIVED and before is State.IN_USE):
            day = ""
        before = state
    return day
