"""Leaders do not cross (ISO 129-1): who stands in another's way is placed anew with it."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.paper.drawing.label_ground import Candidate, Ground, Ways
from mandrelgen.paper.drawing.label_placement import Annotation, place
from mandrelgen.spec.pen import Pen
from tests.paper.test_sheet_ink import check_ink, check_space, sheet_of
from tests.support.randompens import SHOP

# Ends whose mandrels' leaders crossed when each wish took what was cheapest for itself: the frame
# on the seat's extension line and the relief's size behind it, two of them besides the thread's
# name; and in a cup's narrow detail a frame that stood on the counterbore's dimension line.
ENDS: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "plug, five starts": (
        {
            "diameter": 18.6,
            "internal": {
                "thread": "M11.5xPh7.5P1.5-LH", "depth": 23.1, "tap_lead": 2.25,
                "counterbore": {"diameter": 11.9, "depth": 1.5, "made": "bored"},
            },
            "bore": [{"diameter": 10.0, "depth": 37.1, "made": "reamed"}],
        },
        {"centre_holes": "none"},
    ),
    "plug with a soft washer": (
        {
            "diameter": 22.1,
            "internal": {"thread": "M16.6xPh6P1.5", "depth": 17.2, "tap_lead": 2.25},
            "bore": [{"diameter": 15.1, "depth": 17.4, "made": "reamed"}],
        },
        {"centre_holes": "both", "soft_washer": 0.5},
    ),
    "plug, four starts, left hand": (
        {
            "diameter": 27.1,
            "internal": {"thread": "M24.4xPh6P1.5-LH", "depth": 22.4, "tap_lead": 2.25},
            "bore": [{"diameter": 22.9, "depth": 34.8, "made": "reamed"}],
        },
        {"centre_holes": "none"},
    ),
    "cup with a soft washer": (
        {
            "diameter": 19.2,
            "external": {
                "thread": "M16.6xPh6P1.5", "length": 16.7, "unformed": 0.75, "chamfer": 0.9,
            },
        },
        {
            "fit": "free", "flats": True, "thread_order": "my-tool", "centre_holes": "none",
            "soft_washer": 0.5,
        },
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(ENDS))
def test_no_leader_crosses_another(name: str) -> None:
    end, asked = ENDS[name]
    tree = {
        "schema": 1,
        "pen": {"id": "random", "name": "Random"},
        "parts": {"body": {"length": 70.0, "diameter": end["diameter"], "ends": {"mouth": end}}},
        "mandrels": {
            "defaults": {"fit": "close", **asked},
            "requests": [{"holds": "body.mouth"}],
        },
    }
    (made,) = designs(Pen.model_validate(tree), SHOP)
    assert made.mandrel is not None
    sheet = sheet_of(made.mandrel)
    check_ink(sheet)
    check_space(sheet, made.mandrel)
    # The part is not drawn smaller for notes that may stand wider beside the title block instead.
    assert sheet.scale >= 1.0


def _leader(name: str, *ways: tuple[float, tuple[float, float, float, float]]) -> Annotation:
    """A wish that may take each of ``ways``: what it costs, and its leader."""
    made = [Candidate((), (line,), cost, tuple, leader=1) for cost, line in ways]
    return Annotation(name, Ways.of(made))


def test_who_chose_first_stands_back_where_the_second_cannot() -> None:
    """One's way round costs more than a crossing, so whichever chooses first, they cross; the
    other's way round crosses both of one's places. Only the two together find the way out."""
    one = _leader("one", (0.0, (0.0, 5.0, 10.0, 5.0)), (8.0, (0.0, 20.0, 10.0, 20.0)))
    other = _leader("other", (0.0, (5.0, 0.0, 5.0, 10.0)), (8.0, (5.0, 0.0, 5.0, 30.0)))
    placed = place(Ground(), [one, other])
    assert placed.crossed == 0
    assert {w.name: c.cost for w, c in zip(placed.wishes, placed.chosen, strict=True)} == {
        "one": 8.0,
        "other": 0.0,
    }
