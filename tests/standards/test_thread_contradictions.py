"""Readings of one thread that cannot all be true are told: which two, and by how much. Expected by
plain arithmetic on ISO 68-1's triangle (H = 0.8660 P)."""

from __future__ import annotations

import random

import pytest

from mandrelgen.standards.thread_contradictions import contradictions
from mandrelgen.standards.thread_finder import Reading, candidates
from mandrelgen.standards.thread_readings import parse_readings
from mandrelgen.workflows.answers import found_thread
from mandrelgen.workflows.thread_limits import find_thread


@pytest.mark.parametrize(
    ("readings", "pair", "by"),
    [
        ("crest=9.0, minor=9.4", ("crest", "minor"), 0.4),
        ("crest=9.0, root=9.2, ten=7.5", ("crest", "root"), 0.2),
        ("minor=8.0, root=8.5, ten=7.5", ("minor", "root"), 0.5),
        ("crest=12.0, minor=10.0, ten=8", ("crest", "minor"), 2.0 - 1.0825 * 0.8),
        ("crest=12.0, minor=6.0", ("crest", "minor"), 6.0 - 1.0825 * 0.25 * 12),
        ("crest=9, ten=25", ("crest", "ten"), 25 - 10 * 0.25 * 9),
        ("crest=12, ten=8, starts=3, lead=1.6", ("ten", "lead"), 0.8),
        ("crest=12, ten=8, lead=1.2", ("ten", "lead"), 0.4),
    ],
)
def test_two_readings_that_cannot_both_be_true(
    readings: str, pair: tuple[str, str], by: float
) -> None:
    found = contradictions(parse_readings(readings))
    assert (found[0].first, found[0].second) == pair
    assert found[0].by == pytest.approx(by, abs=0.005)
    (first, *_) = found_thread.verdict(find_thread(readings))
    assert first.startswith(f"Two readings contradict one another by {found[0].by:.2f} mm")
    assert found_thread.value(find_thread(readings))["contradictions"]


def test_what_the_uncertainties_explain_is_no_contradiction() -> None:
    """0.05 apart, ± 0.04 each: root of the sum of squares 0.057."""
    near = {"crest": Reading(9.0, 0.04), "minor": Reading(9.05, 0.04)}
    assert contradictions(near) == ()
    far = {"crest": Reading(9.0, 0.03), "minor": Reading(9.05, 0.03)}
    assert len(contradictions(far)) == 1


def test_no_thread_of_the_list_contradicts_itself() -> None:
    """Every thread of the list at random places within its limits, all six readings."""
    rng = random.Random(7)
    for c in candidates():
        d = c.designation
        if d.starts > 1 and rng.random() < 0.5:
            continue
        read = {k: Reading(rng.uniform(p.low, p.high), 0.01) for k, p in c.predicted.items()}
        read["starts"] = Reading(d.starts, 0)
        assert contradictions(read) == (), d.text


def test_the_worst_is_told_first() -> None:
    """A hole 0.2 over the crests, a root 0.5 over the hole and 0.7 over the crests."""
    found = contradictions(parse_readings("crest=9.0, minor=9.2, root=9.7"))
    assert [round(c.by, 3) for c in found] == [0.7, 0.5, 0.2]
