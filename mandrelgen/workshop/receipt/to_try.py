"""What still has to be tried before a mandrel that arrived gets its word: what decides first.

A mandrel is fit for use when the part screws home on it by hand in every start and seats all round,
its shank goes into the collet, and its run-out was read where there is an indicator (common
practice, no source). Sizes that a caliper reads decide none of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.model.feature import own_name
from mandrelgen.workshop.receipt.home_evidence import Evidence
from mandrelgen.workshop.receipt.home_form import AMOUNT_ALONE, RUNS, asked
from mandrelgen.workshop.receipt.home_tests import HomeTest, Standing

DECIDES = ("screws", "enters", "seats", "clamps")
"""Tests that the word rests on whatever instruments there are, what decides most first."""


def to_try(e: Evidence, indicator: bool) -> tuple[str, ...]:
    """What is left, in words, what decides first; ``indicator``: whether one is owned."""
    left = [x for own in DECIDES for t in e.tests if own_name(t.id) == own for x in _left(e, t)]
    if indicator or _read(e):
        left += [asked(t.text) for t in run_outs(e) if t.state is Standing.NOT_DONE]
    return tuple(left)


def run_outs(e: Evidence) -> tuple[HomeTest, ...]:
    """The run-outs that can be read at home."""
    return tuple(t for t in e.tests if own_name(t.id).startswith(RUNS))


def run_out_unknown(e: Evidence) -> bool:
    """Whether a run-out was not read, or only as amounts that leave it open."""
    return any(
        t.state is Standing.NOT_DONE or (t.state is Standing.OPEN and AMOUNT_ALONE in t.shows)
        for t in run_outs(e)
    )


def _read(e: Evidence) -> bool:
    """Whether any run-out was read: then there is an indicator."""
    return any(t.state is not Standing.NOT_DONE for t in run_outs(e))


def _left(e: Evidence, t: HomeTest) -> Iterator[str]:
    """What a test that decides still lacks."""
    own = own_name(t.id)
    if t.state is Standing.NOT_DONE:
        every = ", in every start" if own == "screws" and ", entered" in t.text else ""
        yield asked(t.text) + every
    elif t.state is Standing.OPEN and own == "screws":
        yield f"{asked(t.text)}: {t.shows}"
    elif t.state is Standing.OPEN and own == "seats":
        if dict(t.answers).get(f"{t.id}.follows") is None:
            yield (f"the locating face: {t.shows}; try whether the loose place stays with the "
                   "mandrel or goes with the part")  # fmt: skip
        elif not _face_read(e, t):
            yield f"the locating face: {t.shows}; try it with a part whose face is square"


def _face_read(e: Evidence, seats: HomeTest) -> bool:
    """Whether the run-out of that end's face was read instead."""
    name = seats.id.removesuffix("seats") + f"{RUNS}seat"
    return any(t.id == name and t.state is not Standing.NOT_DONE for t in e.tests)
