"""Which of a fixture's events speak of the piece that came last: one that is lost, or had, may be
ordered again under its number."""

from __future__ import annotations

from collections.abc import Iterable

from mandrelgen.archive.records import Event, EventKind

# Somebody makes one, or was asked to; one is there (readings on receipt say so too).
_ASKED_FOR = (EventKind.ASKED, EventKind.QUOTED, EventKind.ORDERED)
_HERE = (EventKind.ARRIVED, EventKind.IN_USE, EventKind.RECEIVED)


def of_last_piece(events: Iterable[Event], revision: str, draft: int) -> tuple[Event, ...]:
    """The events of one draft of a revision, in the order they were entered, from the one on with
    which its last piece begins.

    Another piece of what is had begins when it has come; of what is lost, when it is asked for: one
    that is found again without that is the same.
    """
    happened, first, _ = _walked(events, revision, draft)
    return tuple(happened[first:])


def another_awaited(events: Iterable[Event], revision: str, draft: int) -> bool:
    """Whether one is had, and another was asked for that has not come yet."""
    return _walked(events, revision, draft)[2]


def _walked(events: Iterable[Event], revision: str, draft: int) -> tuple[list[Event], int, bool]:
    """The events of one draft, where its last piece begins, whether another is awaited."""
    happened = [e for e in events if (e.revision, e.draft) == (revision, draft)]
    first, had, another, lost = 0, False, False, False
    for n, e in enumerate(happened):
        if e.kind in _ASKED_FOR:
            if lost:
                first, had = n, False
            another, lost = had, False
        elif e.kind is EventKind.DECLINED:
            another = False
        elif e.kind is EventKind.LOST:
            lost, another = True, False
        elif e.kind in _HERE:
            first, had, another, lost = n if another else first, True, False, False
    return happened, first, another
