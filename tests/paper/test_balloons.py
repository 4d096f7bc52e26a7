"""Few balloons, few of them inspected, on the sheets of every pen that the program is shipped with.

The bounds are the customer's own wish: 24 balloons on an ordinary plug, six inspected sizes.
"""

from __future__ import annotations

from functools import cache

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.inspected import inspected
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.paper.drawing.model import Arc, Mark, Sheet
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter, starter_names
from tests.paper.test_sheet_ink import sheet_of
from tests.support.randompens import SHOP
from tests.support.sheet_clearances import tips_too_near, too_near


def made(name: str) -> list[Mandrel]:
    pen = read_pen(starter("pen", name), f"{name}.toml")
    which = "small" if name == "bittern" else "bench"
    shop = read_shop(starter("shop", which), f"{which}.toml")
    return [d.mandrel for d in designs(pen, shop) if d.mandrel is not None]


MADE = {m.id + " of " + name: m for name in starter_names("pen") for m in made(name)}


@cache
def drawn(name: str) -> Sheet:
    return sheet_of(MADE[name])


def balloons(sheet: Sheet) -> list[Mark]:
    return list(sheet.marks("balloon"))


@pytest.mark.parametrize("name", sorted(MADE))
def test_few_balloons_and_one_for_each_callout(name: str) -> None:
    m, sheet = MADE[name], drawn(name)
    ids = [b.id for b in balloons(sheet)]
    assert sorted(ids) == sorted(c.id for c in m.characteristics if not c.said_by)
    spigotted = any(s.feature.startswith("spigot") for s in m.outer)
    if m.kind is MandrelKind.PLUG and not spigotted:
        assert len(ids) <= 24
    chamfers = [c for c in m.characteristics if c.kind is Kind.CHAMFER]
    assert all(any(a.said_by == c.id for a in m.characteristics) for c in chamfers)


@pytest.mark.parametrize("name", sorted(MADE))
def test_at_most_six_sizes_are_inspected_and_their_circles_are_heavy(name: str) -> None:
    m, sheet = MADE[name], drawn(name)
    heavy = {
        b.id for b in balloons(sheet) for i in b.items if isinstance(i, Arc) and i.pen.width >= 0.7
    }
    assert heavy == inspected(m)
    assert 4 <= len(heavy) <= 6
    runouts = {c.id for c in m.characteristics if c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT)}
    assert runouts <= heavy
    said = " ".join(t.text for t in sheet.texts())
    assert "Heavy circles: inspected on every piece." in said


@pytest.mark.parametrize("name", sorted(MADE))
def test_nothing_stands_too_near_and_no_head_in_hatching(name: str) -> None:
    for one in drawn(name).sheets:
        assert not +too_near(one)


def test_no_two_heads_point_at_one_place() -> None:
    """Not the run-out of a short thread beside its diameter either: its leader may touch the
    crest's extension line (ISO 1101)."""
    pairs = [p for name in MADE for one in drawn(name).sheets for p in tips_too_near(one)]
    assert not pairs


def test_a_short_threads_run_out_stands_clearly_apart_from_its_diameter() -> None:
    """7 mm on paper, a detail's circle at either end and a centre's callout in front."""
    end = {
        "diameter": 6.4,
        "internal": {"thread": "M4x0.35", "depth": 6.1, "tap_lead": 0.52},
        "bore": [{"diameter": 3.65, "depth": 10.1, "made": "drilled"}],
    }
    wishes = {
        "thread_order": "single-point",
        "fit": "close",
        "soft_washer": 0.5,
        "centre_holes": "both",
    }
    pen = Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "random", "name": "Random"},
            "parts": {"body": {"length": 51.1, "diameter": 6.4, "ends": {"mouth": end}}},
            "mandrels": {"defaults": wishes, "requests": [{"holds": "body.mouth"}]},
        }
    )
    (found,) = designs(pen, SHOP)
    assert found.mandrel is not None
    sheet = sheet_of(found.mandrel)
    assert any(b.id == "thread.runout" for b in balloons(sheet))
    for one in sheet.sheets:
        assert not tips_too_near(one)
        assert not +too_near(one)
