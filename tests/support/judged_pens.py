"""Pens for the verdict's tests: the starters, a plug's and a cup's pen that can be made bad in
every way, and what the verdict says of a design.
"""

from __future__ import annotations

from typing import Any

from mandrelgen.assess import mandrel_findings as mandrel_checks
from mandrelgen.assess.choose_tolerances import judged
from mandrelgen.core.errors import Finding, Level
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import plan
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter

STARTERS = {"heron": "bench", "wren": "bench", "bittern": "small"}


def starters(name: str) -> tuple[Pen, Shop]:
    shop = STARTERS[name]
    return read_pen(starter("pen", name), name), read_shop(starter("shop", shop), shop)


def fixed(pen: Pen, shop: Shop, run_out: float = 0.02) -> tuple[Designed, ...]:
    """Designed with given run-outs, so that only what a test varies changes."""
    one = tuple(design_one(pen, shop, p, ToleranceChoice(run_out=run_out)) for p in plan(pen))
    return judged(pen, shop, one)


def verdict_of(d: Designed) -> Assessment:
    assert d.verdict is not None, d.findings
    return d.verdict


def codes(designed: tuple[Designed, ...]) -> dict[str, Level]:
    return {f.code: f.level for f in said(designed)}


def said(designed: tuple[Designed, ...]) -> list[Finding]:
    """What is found of every end, notes left out."""
    found = [f for d in designed for v in (d.verdict, d.verdict_b) if v is not None
             for f in mandrel_checks.of_verdict(v, d.planned.id)]  # fmt: skip
    return [f for f in found if f.level is not Level.NOTE]


def plug_pen(use: dict[str, Any] | None = None, **change: Any) -> Pen:
    """One part with an internal thread; ``change``: thread, made, face, outside, bore, wishes."""
    end: dict[str, Any] = {
        "diameter": change.get("outside", 15.0),
        "face_made": change.get("face", "single-point"),
        "internal": {
            "thread": change.get("thread", "M10x0.75-6H"),
            "depth": 10.0,
            "tap_lead": 1.0,
            "countersink": change.get("countersink", 10.2),
            "made": change.get("made", "single-point"),
        },
        "bore": change.get("bore", [{"diameter": 9.2, "depth": 30.0, "made": "reamed"}]),
    }
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "test", "name": "Test"},
            "parts": {
                "body": {
                    "length": change.get("length", 40.0),
                    "diameter": change.get("outside", 15.0),
                    "material": change.get("stuff", "cast-acrylic"),
                    "ends": {"mouth": end},
                }
            },
            "mandrels": {
                "use": use or {},
                "requests": [{"holds": "body.mouth", **change.get("wishes", {})}],
            },
        }
    )


def cup_pen(use: dict[str, Any] | None = None, **change: Any) -> Pen:
    """One part with a tenon."""
    end = {
        "diameter": 13.0,
        "face_made": "single-point",
        "external": {
            "thread": change.get("thread", "M10x0.75-6g"),
            "length": 8.0,
            "unformed": 0.75,
            "chamfer": 0.5,
            "made": "single-point",
        },
        "bore": [{"diameter": change.get("bore", 6.0), "depth": 25.0}],
    }
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "test", "name": "Test"},
            "parts": {"body": {"length": 40.0, "diameter": 13.0, "ends": {"mouth": end}}},
            "mandrels": {
                "use": use or {},
                "requests": [{"holds": "body.mouth", **change.get("wishes", {})}],
            },
        }
    )
