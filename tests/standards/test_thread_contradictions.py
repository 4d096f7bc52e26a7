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


# By hand, H = 0.866025 P: crests stand 5/4 H = 1.08253 P over the hole, under 2 H = 1.73205 P over
# the root; ten crests over a diameter d take 2.5 d at most, reckoned from the hole d1 by
# d = d1 / (1 - 0.270633), from the root d3 by d = d3 / (1 - 0.433013).
BY_HAND = [
    ("crest=10±0.01, root=8±0.01, ten=10±0.01", "crest", "root", 0.26795,
     "at a pitch of 1.00 a thread is 1.73 deep on the diameter at most"),
    ("crest=10±0.01, root=8.3±0.01, ten=10±0.01", "", "", 0.0, ""),
    ("crest=10±0.01, minor=8.7±0.01, ten=10±0.01", "crest", "minor", 0.21747,
     "at a pitch of 1.00 crests stand above their hole by 1.08 at most"),
    ("crest=10±0.01, root=5.5±0.01", "crest", "root", 0.16987,
     "at any pitch of such a diameter a thread is 4.33 deep on the diameter at most"),
    ("crest=10±0.01, minor=7.2±0.01", "crest", "minor", 0.09367,
     "at any pitch of such a diameter crests stand above their hole by 2.71 at most"),
    # 0.11747 too deep: what one reading's uncertainty alone explains, and what it does not.
    ("crest=10±0.15, minor=8.8±0.01, ten=10±0.01", "", "", 0.0, ""),
    ("crest=10±0.01, minor=8.8±0.15, ten=10±0.01", "", "", 0.0, ""),
    ("crest=10±0.01, minor=8.8±0.01, ten=10±1.1", "", "", 0.0, ""),
    ("crest=10±0.01, minor=8.8±0.01, ten=10±1.05", "crest", "minor", 0.11747, ""),
    ("minor=4±0.01, ten=14±0.1", "minor", "ten", 0.28948,
     "threads of such a diameter are 13.7 over ten crests at most"),
    ("minor=4±0.01, ten=13.6±0.1", "", "", 0.0, ""),
    ("root=4±0.01, ten=18±0.1", "root", "ten", 0.36292,
     "threads of such a diameter are 17.6 over ten crests at most"),
    ("root=4±0.01, ten=17.5±0.1", "", "", 0.0, ""),
    ("crest=10±0.01, ten=25.3±0.4", "", "", 0.0, ""),
    ("crest=10±0.01, ten=25.3±0.1", "crest", "ten", 0.3,
     "threads of such a diameter are 25.0 over ten crests at most"),
    ("ten=10±0.02, lead=2.5±0.1, starts=2", "ten", "lead", 0.5,
     "2 starts of 1.00 make a lead of 2.00"),
    ("ten=12±0.02, lead=1.7±0.1, starts=1", "ten", "lead", 0.5,
     "1 start of 1.20 make a lead of 1.20"),
    ("ten=10±0.02, lead=2.5±0.6, starts=2", "", "", 0.0, ""),
    ("ten=10±2.6, lead=2.5±0.01, starts=2", "", "", 0.0, ""),
    ("minor=8±0.01, root=8.5±0.01", "minor", "root", 0.5,
     "the tenon's root is no larger than the hole it goes into"),
    ("crest=9±0.01, minor=9.4±0.01", "crest", "minor", 0.4,
     "the hole is smaller than the crests that hold in it"),
]  # fmt: skip


@pytest.mark.parametrize(("readings", "first", "second", "by", "why"), BY_HAND)
def test_each_bound_and_its_uncertainty_by_hand(
    readings: str, first: str, second: str, by: float, why: str
) -> None:
    """ISO 68-1:1998, figure 1: H = √3/2 P."""
    found = contradictions(plain(readings))
    if not first:
        assert found == ()
        return
    assert (found[0].first, found[0].second) == (first, second)
    assert found[0].by == pytest.approx(by, abs=2e-5)
    assert not why or found[0].why == why


def plain(text: str) -> dict[str, Reading]:
    """Readings as they stand, also such as no finder would take alone."""
    out = {}
    for one in text.split(", "):
        kind, value = one.split("=")
        size, _, u = value.partition("±")
        out[kind] = Reading(float(size), float(u or 0.0))
    return out
