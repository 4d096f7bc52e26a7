"""What a maker accepts: which findings become notes, which lapse, which may not be accepted."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.accepting import accepted
from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.spec.pen import Pen

THIN = Finding(
    level=Level.WARNING,
    code="wall.thin",
    where="cap.mouth",
    message="a thin wall",
    remedy="more of it",
    remedies=(Remedy((Change(("parts", "cap", "diameter"), 14.0),), "⌀14"),),
    value=0.5,
    less_is_worse=True,
)


def pen(*accept: dict[str, Any]) -> Pen:
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "reed", "name": "Reed"},
            "parts": {"cap": {"length": 60.0, "diameter": 14.0, "ends": {"mouth": {}}}},
            "accept": list(accept),
        }
    )


def entry(value: float | None = None, **change: str) -> dict[str, Any]:
    said: dict[str, Any] = {"code": "wall.thin", "where": "cap.mouth", "reason": "it has held"}
    return said | change | ({} if value is None else {"value": value})


def altered(**change: Any) -> Finding:
    return replace(THIN, **change)


@pytest.mark.parametrize("level", [Level.WARNING, Level.ERROR])
def test_an_accepted_finding_is_a_note_with_the_reason_and_without_advice(level: Level) -> None:
    (told,) = accepted(pen(entry()), [altered(level=level)])
    assert told.level is Level.NOTE
    assert told.reason == "it has held"
    assert (told.remedy, told.remedies) == ("", ())
    assert (told.message, told.value, told.key) == ("a thin wall", 0.5, ("wall.thin", "cap.mouth"))


def test_what_nobody_accepts_stays_as_it_is() -> None:
    assert accepted(pen(), [THIN]) == (THIN,)


def test_an_acceptance_concerns_its_own_place_and_code_alone() -> None:
    """Of three findings the one of that code at that place."""
    others = [altered(where="barrel.mouth"), altered(code="seat.none")]
    told = accepted(pen(entry()), [others[0], THIN, others[1]])
    assert [f.level for f in told] == [Level.WARNING, Level.NOTE, Level.WARNING]
    assert (told[0], told[2]) == (others[0], others[1])


@pytest.mark.parametrize(
    ("less_is_worse", "then", "now", "lapsed"),
    [  # amounts that differ by 0.005 are the same
        (True, 0.5, 0.496, False), (True, 0.5, 0.494, True), (True, 0.5, 0.6, False),
        (False, 0.5, 0.504, False), (False, 0.5, 0.506, True), (False, 0.5, 0.4, False),
        (True, 0.5, 0.495, False), (False, 0.5, 0.505, False),
    ],
)  # fmt: skip
def test_an_acceptance_lapses_where_the_amount_got_worse(
    less_is_worse: bool, then: float, now: float, lapsed: bool
) -> None:
    found = altered(value=now, less_is_worse=less_is_worse)
    (told,) = accepted(pen(entry(then)), [found])
    assert told.level is (Level.WARNING if lapsed else Level.NOTE)
    assert told.remedies == (THIN.remedies if lapsed else ())
    if lapsed:
        assert told.message == f"a thin wall (accepted at {then}, now {now}: it lapsed)"


@pytest.mark.parametrize(("then", "now"), [(None, 0.1), (0.5, None), (None, None)])
def test_what_has_no_amount_does_not_lapse(then: float | None, now: float | None) -> None:
    (told,) = accepted(pen(entry(then)), [altered(value=now)])
    assert told.level is Level.NOTE


def test_an_amount_of_nothing_lapses_like_any_other() -> None:
    """Accepted where 0.5 was left, now nothing is; and where nothing went wrong, now a little."""
    (gone,) = accepted(pen(entry(0.5)), [altered(value=0.0)])
    assert gone.message == "a thin wall (accepted at 0.5, now 0: it lapsed)"
    (come,) = accepted(pen(entry(0.0)), [altered(value=0.25, less_is_worse=False)])
    assert come.message == "a thin wall (accepted at 0, now 0.25: it lapsed)"


def test_what_cannot_be_built_stays_an_error_and_says_so() -> None:
    found = altered(level=Level.ERROR, firm=True)
    (told,) = accepted(pen(entry()), [found])
    assert (told.level, told.remedies, told.reason) == (Level.ERROR, THIN.remedies, "")
    assert told.message == (
        "a thin wall (this cannot be accepted: it could not be built, or someone could be hurt)"
    )


def test_a_note_has_nothing_to_accept_so_that_its_entry_is_idle() -> None:
    note = altered(level=Level.NOTE)
    told, idle = accepted(pen(entry()), [note])
    assert told == note
    assert idle.code == "accept.idle"


def test_an_entry_that_meets_nothing_is_a_warning_and_goes() -> None:
    """Counted from 1 for people, from 0 in the file."""
    told, idle = accepted(pen(entry(), entry(code="seat.none")), [THIN])
    assert told.level is Level.NOTE
    assert (idle.level, idle.code, idle.where) == (Level.WARNING, "accept.idle", "accept[2]")
    assert idle.message == "nothing is found that 'seat.none' at 'cap.mouth' would accept"
    (way,) = idle.remedies
    assert way.changes == (Change(("accept", 1), None),)
    assert way.says == "take this entry out of accept"
