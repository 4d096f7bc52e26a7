"""The bent axes of the maker's page: the numbers of their rule stand apart."""

from __future__ import annotations

import re
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.paper.drawing.model import Text
from mandrelgen.paper.reports.assessment import Bow
from mandrelgen.paper.reports.plots import bows


@given(st.floats(1.0, 120.0), st.floats(3.0, 250.0))
def test_the_numbers_along_the_axis_stand_a_millimetre_apart(behind: float, ahead: float) -> None:
    bow = Bow(
        caption="Tailstock away.", points=((-behind, 0.0), (ahead, 0.1)), tool=ahead,
        deflection=0.1, tailstock=False, used=True,
    )  # fmt: skip
    ((_, drawn),) = bows([bow], 20.0, 190.0)
    numbers = [d for d in drawn if isinstance(d, Text) and re.fullmatch(r"−?\d+", d.text)]
    assert "0" in {n.text for n in numbers}
    for a, b in pairwise(sorted(numbers, key=lambda n: n.at[0])):
        assert b.at[0] - b.width / 2 - (a.at[0] + a.width / 2) >= 1.0 - 1e-9
