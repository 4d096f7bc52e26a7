"""STEP files of every gauge and of many random mandrels, read back by the kernel and without it.

python -m pytest tests/long/test_step.py -n 0
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mandrelgen.assess.settled import designs
from mandrelgen.model.half_section import Profile, outline, plain
from mandrelgen.spec.pen import Pen
from tests.files.test_step import check_kernel, check_text
from tests.paper.test_gauge_sheets import EVERY, gauge_of
from tests.support.proving import mandrels
from tests.support.randompens import SHOP, pens
from tests.support.thread_parts import flatted, parts

GAUGES = {str(e): outline(gauge_of(*e)) for e in EVERY}
PLAIN = {name: plain(outline(m)) for name, m in mandrels().items()}


@pytest.mark.parametrize("profile", [*GAUGES.values(), *PLAIN.values()], ids=[*GAUGES, *PLAIN])
def test_every_gauge_and_plain_part(profile: Profile) -> None:
    check_kernel(profile)
    check_text(profile)


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(pens())
def test_random_mandrels(pen: Pen) -> None:
    for d in designs(pen, SHOP):
        if d.mandrel is not None:
            check_kernel(outline(d.mandrel))
            check_text(outline(d.mandrel))


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.one_of(parts(), flatted()))
def test_random_parts(profile: Profile) -> None:
    check_kernel(profile)
    check_text(profile)
