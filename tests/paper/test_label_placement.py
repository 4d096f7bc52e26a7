"""The layout looks only as far as it must: what it takes is what looking at everything finds."""

from __future__ import annotations

import math
from unittest import mock

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.paper.drawing import label_placement
from mandrelgen.paper.drawing.frame import PAPERS
from mandrelgen.paper.drawing.label_ground import Candidate, Ground, Ways
from mandrelgen.paper.drawing.label_placement import CROSSING, Annotation, place
from mandrelgen.paper.drawing.layout import SCALES
from mandrelgen.paper.drawing.one_sheet import begun
from mandrelgen.paper.drawing.segments import meets
from mandrelgen.paper.drawing.view_set import Views
from tests.paper.test_dimensions import MANDRELS
from tests.paper.test_sheet_ink import job_of, sheet_of

_AT = st.integers(0, 40).map(float)
_LINES = st.tuples(_AT, _AT, _AT, _AT)
_BOXES = st.tuples(_AT, _AT, st.integers(1, 8), st.integers(1, 4)).map(
    lambda b: (b[0], b[1], b[0] + b[2], b[1] + b[3])
)
_CANDIDATES = st.builds(
    Candidate,
    boxes=st.tuples(_BOXES),
    lines=st.lists(_LINES, min_size=1, max_size=3).map(tuple),
    cost=st.integers(0, 8).map(lambda n: 0.3 * n),
    build=st.just(tuple),
    apart=st.sampled_from((0.0, 3.5)),
    heads=st.lists(st.tuples(_AT, _AT), max_size=1).map(tuple),
)
_WISHES = st.lists(
    st.tuples(
        st.lists(_CANDIDATES, min_size=1, max_size=5),
        st.lists(_LINES, max_size=1).map(tuple),
        st.booleans(),
    ),
    min_size=1,
    max_size=3,
)


def plainly(ground: Ground, wishes: list[Annotation]) -> list[Candidate | None]:
    """One wish after the other takes the cheapest of all its ways, the first of equals; each is
    held against everything that is there by then. None where all are blocked."""
    ground, taken = ground.copy(), []
    for i, wish in enumerate(wishes):
        waiting = [(p, w.fixed) for w in wishes[i + 1 :] for p in w.paths]
        best, least = None, math.inf
        for c in wish.candidates:
            over = [fixed for p, fixed in waiting for b in c.boxes if meets(p, b)]
            cost = c.cost + CROSSING * ground.crossings(c) + 2.5 * len(over)
            if not ground.blocked(c) and not any(over) and cost < least:
                best, least = c, cost
        taken.append(best)
        ground.take(best or min(wish.candidates, key=lambda c: c.cost))
    return taken


@settings(max_examples=30, deadline=None)
@given(st.lists(_BOXES, max_size=3), st.lists(_LINES, max_size=6), _WISHES)
def test_each_takes_the_cheapest_of_all_its_ways(
    boxes: list[tuple[float, float, float, float]],
    lines: list[tuple[float, float, float, float]],
    asked: list[tuple[list[Candidate], tuple[tuple[float, float, float, float], ...], bool]],
) -> None:
    ground = Ground(boxes=boxes, lines=lines)
    wishes = [
        Annotation(str(n), Ways.of(ways), paths, rank=n, fixed=fixed)
        for n, (ways, paths, fixed) in enumerate(asked)
    ]
    expected = plainly(ground, wishes)
    # Those whose leaders cross are placed anew after that: another test's.
    with mock.patch.object(label_placement, "_untangled", lambda ground, placed: placed):
        placed = place(ground, wishes, attempts=1)
    assert placed.failed == tuple(str(n) for n, c in enumerate(expected) if c is None)
    for c, found in zip(expected, placed.chosen, strict=True):
        assert c is None or found is c


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_no_paper_is_given_up_on_which_everything_finds_room(name: str) -> None:
    """The sheet is the first, from the largest scale and the smallest paper on, that names nothing
    once all of it is laid out; a paper given up before is one that names something then."""
    mandrel = MANDRELS[name]
    job, found = job_of(mandrel), sheet_of(mandrel)
    length = mandrel.outer[-1].z1 - mandrel.outer[0].z0
    for f in SCALES:
        if length * f > PAPERS[-1].frame[2] - PAPERS[-1].frame[0]:
            continue
        views = Views(mandrel, job.profile, f, job.numbers, False)
        for paper in PAPERS:
            start = begun(job, paper, views)
            whole = start.finished()
            assert set(start.crowded) <= set(whole.crowded)
            if not whole.crowded:
                assert (found.scale, found.paper) == (f, paper.name)
                return
    assert found.more
