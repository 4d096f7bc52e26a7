"""The holes at one end of a part: what the pen file knows of the hole under a thread is on the
card, and is not said to be missing."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import plan
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.workshop.home.part_end import end_steps

SHOP = Shop.model_validate(
    {"schema": 1, "collets": [{"system": "ISO 15488-25", "sizes": [10, 12, 14]}]}
)


def pen(bore: list[dict[str, float]], **thread: Any) -> Pen:
    internal = {"thread": "M9x0.75", "depth": 11.0, **thread}
    mouth = {"diameter": 13.0, "internal": internal, "bore": bore}
    part = {"length": 80.0, "diameter": 13.0, "ends": {"mouth": mouth}}
    return Pen.model_validate(
        {"schema": 1, "pen": {"id": "rail", "name": "Rail"}, "parts": {"barrel": part}}
    )


@pytest.mark.parametrize(
    ("bore", "holes"),
    [
        # Under the thread nothing but the blank bore is listed; the hole there was read.
        ([{"diameter": 6.0, "depth": 60.0}], [("drill", 6.0, 60.0), ("bore", 8.25, 11.0)]),
        ([], [("bore", 8.25, 11.0)]),
        # The file's own step is the hole that was read.
        ([{"diameter": 8.25, "depth": 60.0}], [("drill", 8.25, 60.0)]),
    ],
)
def test_the_hole_that_was_read_under_a_thread_is_a_step(
    bore: list[dict[str, float]], holes: list[tuple[str, float, float]]
) -> None:
    p = pen(bore, measured={"crest": 8.25, "uncertainty": 0.02})
    part = p.parts["barrel"]
    steps = end_steps(part, part.ends["mouth"], SHOP, set())
    made = [s for s in steps if s.what in ("drill", "bore", "ream")]
    assert [(s.what, s.diameter, s.length) for s in made] == holes
    assert not any(s.unsaid for s in made)
    (tap,) = [s for s in steps if s.what == "tap"]
    assert (tap.low, tap.high) == (pytest.approx(8.23), pytest.approx(8.27))


def test_only_what_is_not_said_is_said_to_be_missing() -> None:
    """A crest that was read, and the class and the lead of the shop's own tap, are known; the
    countersink is not."""
    shop = Shop.model_validate(
        {
            **SHOP.model_dump(by_alias=True),
            "taps": [{"thread": "M9x0.75", "lead": 1.2, "tolerance_class": "6H"}],
        }
    )
    p = pen([{"diameter": 8.25, "depth": 60.0}], measured={"crest": 8.25})
    made = design_one(p, shop, plan(p)[0], ToleranceChoice()).mandrel
    assert made is not None
    missing = [d.value for d in made.decisions if d.why == "the pen file does not say"]
    assert len(missing) == 1
    assert "countersunk" in missing[0]
    known = [d.value for d in made.decisions if d.id.startswith("part.known")]
    for word in ("measured 8.25", "class 6H", "tap lead of 1.20"):
        assert any(word in k for k in known), word
    assert len(known) == 3
