"""Random mandrels of every kind rebuilt from the drawing alone, against the STEP's section; one pen
in ten of those asked for, since each takes a second or two.

    python -m pytest tests/long/test_redraw.py -n 0 -s [--pens N] [--seed-of-pens S]
"""

from __future__ import annotations

import collections

import pytest
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from mandrelgen.assess.settled import designs
from mandrelgen.spec.pen import Pen
from tests.paper.test_dimensions import compare
from tests.support.randompens import SHOP, double_ended_pens, pens


def test_random_mandrels_rebuilt_from_paper_alone(request: pytest.FixtureRequest) -> None:
    count, number = (int(request.config.getoption(n)) for n in ("--pens", "--seed-of-pens"))
    mix: collections.Counter[str] = collections.Counter()

    @seed(number)
    @settings(
        max_examples=max(1, count // 10), deadline=None, database=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(st.one_of(pens(), double_ended_pens()))
    def rebuilt(pen: Pen) -> None:
        for made in designs(pen, SHOP):
            if made.mandrel is not None:
                compare(made.mandrel)
                mix[made.mandrel.kind.value] += 1

    rebuilt()
    print(f"\nseed {number}: {dict(mix.most_common())}")
    assert mix["double-ended"]
