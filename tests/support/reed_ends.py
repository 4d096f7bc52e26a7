"""A body and a knob that screws into it, and what is offered against a finding of their mandrels:
the pen file changed by hand beneath mandrels designed once."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from mandrelgen.assess.mandrel_remedies import of_design, proposed
from mandrelgen.core.errors import Finding, Level, Remedy
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.spec.pen import Pen
from tests.support.judged_pens import fixed, verdict_of
from tests.support.randompens import SHOP

Rows = list[tuple[str, dict[str, Any]]]


def reed(body: dict[str, Any] | None = None, knob: dict[str, Any] | None = None,
         hole: dict[str, Any] | None = None, tenon: dict[str, Any] | None = None,
         **mandrels: Any) -> Pen:  # fmt: skip
    """A body with a hole of 10 for the knob's tenon of 6; more of each end, and of its thread."""
    internal: dict[str, Any] = {"thread": "M8x0.5", "depth": 10.0} | (hole or {})
    external = {"thread": "M8x0.5", "length": 6.0, "mates": "body.mouth"} | (tenon or {})
    mouth = {"diameter": 13.0, "internal": {k: v for k, v in internal.items() if v is not None}}
    root = {"diameter": 12.0, "external": external}
    parts = {
        "body": {"length": 60.0, "diameter": 14.0, "ends": {"mouth": mouth | (body or {})}},
        "knob": {"length": 30.0, "diameter": 12.0, "ends": {"root": root | (knob or {})}},
    }
    tree = {"schema": 1, "pen": {"id": "reed", "name": "Reed"}, "parts": parts}
    return Pen.model_validate(tree | {"mandrels": mandrels})


def finding(code: str, **more: Any) -> Finding:
    return Finding(**{"level": Level.WARNING, "code": code, "where": "x", "message": "", **more})


def said(rows: tuple[Remedy, ...]) -> Rows:
    return [(r.says, {".".join(map(str, c.path)): c.value for c in r.changes}) for r in rows]


def offered(d: Designed, pen: Pen, code: str, change: dict[str, Any] | None = None,
            **more: Any) -> Rows:  # fmt: skip
    v = replace(verdict_of(d), **(change or {}))
    return said(proposed(finding(code, **more), v, d, pen, SHOP))


def designed(d: Designed, pen: Pen, code: str, **more: Any) -> Rows:
    return said(of_design(finding(code, **more), d, pen, ()))


def keys(rows: Rows) -> list[dict[str, Any]]:
    return [c for _, c in rows]


MOUTH, ROOT = "parts.body.ends.mouth", "parts.knob.ends.root"


def reed_mandrels() -> dict[str, Designed]:
    """Of each part its mandrel."""
    return {d.planned.hold.part: d for d in fixed(reed(), SHOP)}


def check(factor: float, asked: float) -> StrengthCheck:
    return StrengthCheck(id="a", label="", demand=1.0, capacity=factor, unit="N", asked=asked)


def wished(d: Designed, **wishes: Any) -> Designed:
    """The mandrel as if that had been wished."""
    assert d.wishes is not None
    return replace(d, wishes=replace(d.wishes, **wishes))
