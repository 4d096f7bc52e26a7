"""A pen whose cap shuts flush on its barrel, for the tests of what is settled for a joint."""

from __future__ import annotations

from typing import Any

from mandrelgen.assess.setup import Situated
from mandrelgen.spec.pen import Pen
from tests.support.held import rows_of


def tapped(thread: str, **more: Any) -> dict[str, Any]:
    return {
        "diameter": 13.0,
        "face_made": "single-point",
        "internal": {"thread": thread, "depth": 10.0, "tap_lead": 1.0, "made": "single-point"},
        "bore": [{"diameter": 9.2, "depth": 20.0, "made": "reamed"}],
        **more,
    }


def trio(cap: float = 13.0, holds: tuple[str, ...] = ("cap.mouth", "barrel.front.external"),
         **use: Any) -> Pen:  # fmt: skip
    """A cap of that ⌀ on a barrel of ⌀13, and a tail in the barrel's rear."""
    mouth = tapped("M10x0.75-6H", diameter=cap)
    mouth["internal"]["countersink"] = 10.2
    tenon = {"thread": "M10x0.75-6g", "length": 8.0, "unformed": 0.75, "chamfer": 0.5,
             "made": "single-point", "mates": "cap.mouth"}  # fmt: skip
    root = {"thread": "M8x0.75-6g", "length": 7.0, "unformed": 0.75, "made": "single-point",
            "mates": "barrel.rear"}  # fmt: skip
    rear = tapped("M8x0.75-6H", diameter=12.0)
    rear["bore"] = [{"diameter": 7.2, "depth": 20.0, "made": "reamed"}]
    parts = {
        "cap": {"length": 40.0, "diameter": cap, "ends": {"mouth": mouth}},
        "barrel": {
            "length": 60.0,
            "diameter": 13.0,
            "ends": {
                "front": {"diameter": 13.0, "face_made": "single-point", "external": tenon},
                "rear": rear,
            },
        },
        "tail": {"length": 20.0, "diameter": 12.4, "ends": {
            "root": {"diameter": 12.4, "face_made": "single-point", "external": root}}},
    }  # fmt: skip
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "reed", "name": "Reed"},
            "parts": parts,
            "mandrels": {"use": use, "requests": [{"holds": h} for h in holds]},
        }
    )


def ends_of(pen: Pen) -> dict[str, Situated]:
    """By what they hold."""
    return {s.hold.text: s for row in rows_of(pen) for s in row}
