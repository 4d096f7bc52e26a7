"""What is said of another way to make a mandrel, and which way is taken.

The amounts of the made-up verdicts are chosen so that their ratios can be worked out in the head.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from mandrelgen.assess import what_if
from mandrelgen.assess.what_if import Variant, best, least
from mandrelgen.assess.words import Answer, Word
from mandrelgen.design.plan import Planned
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.concentricity import Outcome

Compared = tuple[Planned, tuple[Variant, ...]]


# -- what a change does, in words ----------------------------------------------------------------
def spread(x: float) -> SimpleNamespace:
    return SimpleNamespace(tight=SimpleNamespace(statistical=x))


def verdict(
    step: float = 0.05, end: float = 0.1, outcome: Outcome | None = None, tool: float | None = None,
    rows: tuple[tuple[str, float, float], ...] = (), bears: tuple[str, float, float] | None = None,
    speed: int | None = None,
) -> Assessment:  # fmt: skip
    """A verdict of the numbers that a comparison looks at; ``rows`` and ``bears``: where, the
    factor (the force) and what is asked."""
    truth = SimpleNamespace(
        step=SimpleNamespace(states=spread(step), outcome=outcome), runout_end=spread(end)
    )
    checks = tuple(
        SimpleNamespace(label=a, id=a, factor=f, asked=r, passes=f >= r) for a, f, r in rows
    )
    capacity = None if bears is None else SimpleNamespace(
        judged=SimpleNamespace(spot=SimpleNamespace(name=bears[0]), force=bears[1]), asked=bears[2]
    )  # fmt: skip
    made = SimpleNamespace(
        truth=truth, checks=checks, capacity=capacity,
        stiffness=None if tool is None else SimpleNamespace(used=SimpleNamespace(tool=tool)),
        speed=None if speed is None else SimpleNamespace(allowed=speed),
    )  # fmt: skip
    return cast(Assessment, made)


@pytest.mark.parametrize(
    ("was", "now", "changes"),
    [
        ({}, {}, ()),
        ({"step": 0.05}, {"step": 0.06}, ("mismatch 0.05 → 0.06",)),
        ({"end": 0.1}, {"end": 0.0512}, ("run-out at the far end 0.1 → 0.051",)),
        ({"outcome": Outcome.MET}, {"outcome": Outcome.NOT_MET}, ("target not met",)),
        ({"outcome": Outcome.MET}, {}, ("target not judged",)),
        ({"tool": 0.2}, {"tool": 0.1}, ("deflection 0.2 → 0.1",)),
        ({"tool": 0.2}, {}, ()),
        # A thousandth is the last place of a length.
        ({"step": 0.05004}, {"step": 0.06054}, ("mismatch 0.05 → 0.061",)),
        ({"tool": 0.20004}, {"tool": 0.10064}, ("deflection 0.2 → 0.101",)),
        ({}, {"tool": 0.2}, ()),
        ({"speed": 1000}, {"speed": 1010}, ("speed 1000 → 1010",)),
        ({"speed": 1000}, {"speed": 1000}, ()),
        ({"speed": 1000}, {}, ()),
        ({}, {"speed": 1000}, ()),
        ({"rows": (("a", 3.0, 2.0),)}, {"rows": (("a", 4.0, 2.0),)},
         ("least factor / required 1.5 → 2",)),
        ({"rows": (("a", 3.0, 2.0),)}, {"rows": (("b", 3.0, 2.0),)}, ("weakest: b",)),
        ({"rows": (("a", 3.0, 2.0),)}, {"rows": (("b", 1.23456, 1.0),)},
         ("least factor / required 1.5 → 1.23", "weakest: b")),
        ({"rows": (("a", 3.0, 2.0),)}, {}, ()),
        ({}, {"rows": (("a", 3.0, 2.0),)}, ()),
        ({"step": 0.05, "rows": (("a", 3.0, 2.0),)}, {"step": 0.06, "rows": (("a", 4.0, 2.0),)},
         ("mismatch 0.05 → 0.06", "least factor / required 1.5 → 2")),
        ({"step": 0.05, "end": 0.1, "tool": 0.2, "speed": 900},
         {"step": 0.1, "end": 0.2, "tool": 0.1, "speed": 1200},
         ("mismatch 0.05 → 0.1", "run-out at the far end 0.1 → 0.2", "deflection 0.2 → 0.1",
          "speed 900 → 1200")),
    ],
)  # fmt: skip
def test_a_change_is_told_with_its_numbers(
    was: dict[str, Any], now: dict[str, Any], changes: tuple[str, ...]
) -> None:
    assert what_if._changes(verdict(**was), verdict(**now)) == changes


@pytest.mark.parametrize(
    ("was", "now", "told"),
    [
        # A twentieth of the value is noise.
        (100.0, 105.0, False), (100.0, 106.0, True), (100.0, 95.0, False), (100.0, 94.0, True),
        (-100.0, -105.0, False), (-100.0, -106.0, True), (0.0, 0.0, False), (0.0, 0.001, True),
    ],
)  # fmt: skip
def test_a_change_of_more_than_a_twentieth_is_named(was: float, now: float, told: bool) -> None:
    found = what_if._number("x", was, now, 3)
    assert found == ([f"x {was:g} → {now:g}".replace("-", "−")] if told else [])


def test_the_least_factor_is_the_least_over_what_is_asked_of_it() -> None:
    """6 of 4 asked is less than 2 of 1, and 100 N of 80 less than both."""
    rows = (("seat", 2.0, 1.0), ("thread", 6.0, 4.0))
    assert least(verdict(rows=rows)) == (1.5, "thread")
    assert least(verdict(rows=rows, bears=("neck", 100.0, 80.0))) == (1.25, "neck")
    assert least(verdict(rows=rows, bears=("neck", 320.0, 80.0))) == (1.5, "thread")
    assert least(verdict(bears=("neck", 320.0, 80.0))) == (4.0, "neck")
    assert least(verdict()) is None


# -- which one to take ---------------------------------------------------------------------------
def way(name: str, word: Word, *settles: str, of: Assessment | None = None) -> Variant:
    return Variant(
        group=name, value="", answer=Answer("p", word, ""), verdict=of, refused="", changes=(),
        settles=settles,
    )  # fmt: skip


BASE = way("as it is", Word.ORDER)


@pytest.mark.parametrize(
    ("others", "taken"),
    [
        ((), None),
        ((way("a", Word.ORDER),), None),
        ((way("a", Word.CHANGE, "−x"),), None),
        ((way("a", Word.MAKE), way("b", Word.HAVE), way("c", Word.MAKE)), "b"),
        ((way("a", Word.ORDER, "−x"), way("b", Word.SKIP, "+y")), "b"),
        # The first of two that change the word alike, and of two that only mend.
        ((way("a", Word.MAKE), way("b", Word.MAKE)), "a"),
        ((way("z", Word.ORDER), way("a", Word.ORDER, "−x"), way("b", Word.ORDER, "−x")), "a"),
        # What mends one and brings another mends nothing.
        ((way("a", Word.ORDER, "−x", "+y"), way("b", Word.ORDER, "−x", "−y")), "b"),
    ],
)
def test_the_way_that_asks_least_of_a_maker_is_taken(
    others: tuple[Variant, ...], taken: str | None
) -> None:
    found = best((BASE, *others))
    assert (found.group if found else None) == taken


def test_from_the_word_that_asks_most_to_the_one_that_asks_least() -> None:
    words = [Word.CHANGE, Word.ORDER, Word.MAKE, Word.HAVE, Word.SKIP]
    for n, word in enumerate(words):
        better = [w for w in words if best((way("as it is", word), way("x", w))) is not None]
        assert better == words[n + 1 :]


def test_a_way_names_what_is_varied_and_what_fails_of_it() -> None:
    rows = (("seat", 2.0, 1.0), ("thread", 3.0, 4.0), ("lip", 1.0, 1.5))
    v = replace(way("fit", Word.ORDER, of=verdict(rows=rows)), value="close")
    assert v.name == "fit close"
    assert v.failing == ("thread", "lip")
    assert v.least == (pytest.approx(2 / 3), "lip")
    assert not v.mends
    assert way("fit", Word.ORDER, "−x").mends
