"""Where the turner is told to put the seat (what a limit means: plain arithmetic)."""

from __future__ import annotations

import re

import pytest
from hypothesis import HealthCheck, given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from mandrelgen.workshop.turning.operations import order_of_work
from tests.support.bench_pens import ALL, made
from tests.support.randompens import SHOP, pens


def said(mandrel: Mandrel) -> list[float]:
    """How far behind the nose a seat is put, by the words of its step."""
    words = " ".join(s.what for s in order_of_work(mandrel))
    return [float(n) for n in re.findall(r"face the seat ([\d.]+) behind the nose", words)]


def limits(mandrel: Mandrel) -> list[tuple[float, float]]:
    """The limits of what places the foremost face of each plug's end from its seat."""
    sizes = {c.id: c for c in mandrel.characteristics}
    ends = [sizes.get(f"{e}nose.end") or sizes.get(f"{e}thread.end") for e in ("", "second.")]
    return [(c.lower, c.upper) for c in ends if c and c.lower is not None and c.upper is not None]


def check(mandrel: Mandrel) -> int:
    found = said(mandrel)
    for aim in found:
        assert any(aim == pytest.approx((a + b) / 2, abs=6e-4) for a, b in limits(mandrel))
    return len(found)


def test_a_seat_is_aimed_at_the_middle_of_its_limits() -> None:
    counted = [check(d.mandrel) for n in ALL for d in made(n, "")[2] if d.mandrel is not None]
    assert sum(counted) >= 3


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(pens())
def test_no_aim_lies_on_a_limit(pen: Pen) -> None:
    for d in designs(pen, SHOP):
        if d.mandrel is not None:
            check(d.mandrel)
