"""A cup's relief and countersink are as loose as a plug's, and what engages is reckoned so."""

from __future__ import annotations

import math

import pytest

from mandrelgen.model.mandrel import Mandrel, MandrelKind
from tests.support.proving import mandrels

CUPS = [n for n, m in mandrels().items() if m.kind is MandrelKind.CUP]


def width(m: Mandrel, id: str) -> float:
    c = m.characteristic(id)
    assert c.upper is not None
    assert c.lower is not None
    return round(c.upper - c.lower, 6)


def limit(m: Mandrel, id: str, upper: bool) -> float:
    c = m.characteristic(id)
    value = c.upper if upper else c.lower
    assert value is not None
    return value


@pytest.mark.parametrize("name", CUPS)
def test_same_use_same_tolerance_unless_the_wall_asks_for_less(name: str) -> None:
    cup, plug = mandrels()[name], mandrels()["heron/barrel-mouth-plug"]
    same = {i: width(cup, i) == width(plug, i) for i in ("relief.width", "relief.flank.angle")}
    same["mouth"] = width(cup, "countersink.angle") == width(plug, "chamfer.angle")
    same["diameter"] = width(cup, "relief.diameter") == width(plug, "relief.diameter")
    # The small pen's cup has a wall of half a millimetre round its relief.
    assert set(same.values()) == {name != "bittern/section-rear-cup"}


@pytest.mark.parametrize("name", CUPS)
def test_what_engages_is_no_more_than_the_drawing_s_limits_leave(name: str) -> None:
    """By plain trigonometry from the limits: the latest begin and the earliest end of the crest."""
    m = mandrels()[name]
    crest = limit(m, "thread.minor_diameter", upper=False)

    def cone(id: str, angle: str) -> float:
        across = (limit(m, id, upper=True) - crest) / 2
        return across / math.tan(math.radians(limit(m, angle, upper=False)))

    begin = limit(m, "counterbore.depth", upper=True)
    begin += cone("counterbore.diameter", "countersink.angle")
    end = limit(m, "floor.depth", upper=False) - limit(m, "relief.width", upper=True)
    end -= cone("relief.diameter", "relief.flank.angle")
    data = m.threads[0]
    assert data.full_pitches * data.form.pitch <= end - begin + 1e-9
    assert data.full_pitches >= 3.0
