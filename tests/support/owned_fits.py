"""How a mandrel that exists serves for one that is planned: the mandrels of the judged pens, with
sizes and stretches of a test's own."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from mandrelgen.assess.fitting import Fitting, fitting
from mandrelgen.design.designed import Designed
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from tests.support.judged_pens import cup_pen, plug_pen
from tests.support.on_a_mandrel import Limits, bench, designed, made

# Of the plug: its stretch of thread, its shank behind −7.5, its collar.
THREAD_OF_PLUG, FRONT = (2.96, 8.146), -7.5
SPIGOT = {"kind": "spigot", "holds": "body.mouth.bore"}


@cache
def usual(which: str) -> tuple[Pen, Designed]:
    pen = {
        "plug": plug_pen,
        "cup": cup_pen,
        "spigot": lambda: plug_pen(wishes=SPIGOT),
        "grooved": lambda: cup_pen(wishes={"thread_relief": "groove"}),
    }[which]()
    return pen, designed(pen)


def mandrel(which: str) -> Mandrel:
    found = usual(which)[1].mandrel
    assert found is not None
    return found


def fit(which: str, m: Mandrel, shop: Shop | None = None, **change: Any) -> Fitting:
    """How ``m`` would serve for the mandrel planned; ``change``: of its plan or its wishes."""
    pen, d = usual(which)
    pen = change.pop("pen", pen)
    wishes = d.wishes
    assert wishes is not None
    wishes = replace(wishes, soft_washer=change.pop("washer", wishes.soft_washer))
    planned = replace(d.planned, **change)
    return fitting(m, pen, shop or bench(), planned, {}, None, wishes)


def sized(which: str, sizes: dict[str, Limits | None], *more: Stretch, **change: Any) -> Fitting:
    return fit(which, made(mandrel(which), sizes, *more), **change)


def said(found: Fitting, hinders: str | None) -> None:
    """Hindered by this and nothing else, or by nothing."""
    assert found.hinders == (() if hinders is None else (hinders,))
    assert found.fits is (hinders is None)
    assert bool(found.verdicts) is (hinders is None)


def with_stretch(which: str, name: str, z0: float, z1: float) -> Mandrel:
    """The mandrel with another length of one stretch, outside or inside."""
    m = mandrel(which)

    def other(row: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
        return tuple(replace(s, z0=z0, z1=z1) if s.feature == name else s for s in row)

    return replace(m, outer=other(m.outer), inner=other(m.inner))
