"""The designer's rules hold for any pen it accepts: seat first, nothing touches, nothing too thin.

The rules are common practice, no source; the arithmetic below is written again from the
characteristics alone, not from the designer's own numbers.
"""

from __future__ import annotations

import collections

import pytest
from hypothesis import HealthCheck, given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.core.errors import Level
from mandrelgen.design.designed import Designed
from mandrelgen.design.ends import tapped_end, tenon_end
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel, MandrelKind, collar_diameter
from mandrelgen.spec.pen import Pen
from tests.support.randompens import SHOP, pens

MIX: collections.Counter[str] = collections.Counter()
THREADED = (MandrelKind.PLUG, MandrelKind.CUP)


def _limits(m: Mandrel, id: str) -> tuple[float, float]:
    c = m.characteristic(id)
    assert c.lower is not None
    assert c.upper is not None
    return c.lower, c.upper


def _has(m: Mandrel, id: str) -> bool:
    return any(c.id == id for c in m.characteristics)


def _check_chain(m: Mandrel) -> None:
    """Stretches without gap; every feature's diameter characteristic equals its geometry."""
    profile = outline(m)
    assert profile.faces
    for s in (*m.outer, *m.inner):
        if s.d0 == s.d1 and _has(m, f"{s.feature}.diameter") and s.thread is None:
            c = m.characteristic(f"{s.feature}.diameter")
            if c.kind is Kind.DIAMETER:
                assert s.d0 == pytest.approx(c.nominal, abs=1e-9), s.feature
    for c in m.characteristics:
        if c.between is not None:
            a, b = (m.stations[n] for n in c.between)
            assert abs(b - a) == pytest.approx(c.nominal, abs=1e-6), c.id
            assert c.lower is not None
            assert c.lower <= c.nominal <= (c.upper or 0.0)
        if c.decision:
            assert any(d.id == c.decision for d in m.decisions), c.id


def _check_plug(m: Mandrel, pen: Pen) -> None:
    part = pen.parts[m.part]
    end = tapped_end(part, part.ends[m.end], SHOP)
    washer = m.ordering.soft_washer
    # The thread ends before the part's full thread does, at the worst limits of both.
    assert _limits(m, "thread.end")[1] <= end.full_min + washer + 1e-9
    assert m.threads[0].full_pitches >= 3
    d1_min = end.thread.minor.min or 0.0
    for s in m.outer:
        if s.feature.startswith("spigot"):
            upper = _limits(m, f"{s.feature}.diameter")[1]
            assert upper < d1_min
            reached = [h for h in end.holes if h.start + washer < s.z1]
            assert all(upper < h.size.lower for h in reached)
    if _has(m, "nose.end"):
        assert _limits(m, "nose.end")[1] < end.bottom_min + washer
    if _has(m, "runin.diameter"):
        own = m.threads[0].limits
        assert _limits(m, "runin.diameter")[1] <= (own.minor.min or 0.0)
    # Seat: from the part's ring to the collar, at worst limits.
    assert (_limits(m, "collar.diameter")[0] - end.ring.inner) / 2 >= 0.5 - 1e-9
    assert _limits(m, "collar.diameter")[1] <= end.ring.outer + 1e-9


def _check_cup(m: Mandrel, pen: Pen) -> None:
    part = pen.parts[m.part]
    end = tenon_end(part.ends[m.end], SHOP)
    washer = m.ordering.soft_washer
    # The shoulder bears before the tenon's nose or its incomplete threads touch.
    tapped = not _has(m, "floor.depth")
    if not tapped:
        least = most = _limits(m, "floor.depth")[0]
    elif m.threads[0].order == "blank":  # half a millimetre deeper by hand
        least = -m.stations["thread.full"]
        most = least + 0.5
    else:
        least, most = _limits(m, "thread.depth")
    assert least > end.length.upper - washer
    if tapped:
        # Behind the full thread, wherever the turner stops, two pitches of a bottoming tap's lead.
        behind = _limits(m, "pilot.depth")[0] - most
        assert behind >= 2 * m.threads[0].form.pitch
        assert m.threads[0].form.starts == 1
        assert m.threads[0].order != "single-point"
    assert _limits(m, "counterbore.depth")[0] >= end.unformed_max - washer
    assert _limits(m, "counterbore.diameter")[0] > (end.thread.major.max or 0.0)
    if not tapped:
        assert _limits(m, "relief.diameter")[0] > (end.thread.major.max or 0.0)
    assert m.threads[0].full_pitches >= 3
    own = collar_diameter(m)
    assert own is not None
    assert own.lower is not None
    collar = own.lower
    inside = max(
        0.0 if tapped else _limits(m, "relief.diameter")[1],
        _limits(m, "counterbore.diameter")[1],
        m.threads[0].limits.major_max_worst,
    )
    assert (collar - inside) / 2 >= 0.6 - 1e-9
    mouth = max(_limits(m, "counterbore.diameter")[1], end.ring.inner)
    assert (collar - mouth) / 2 >= 0.5 - 1e-9


def _check(pen: Pen, d: Designed) -> None:
    if d.mandrel is None:
        errors = [f for f in d.findings if f.level is Level.ERROR]
        assert errors
        assert all(f.message and f.remedy for f in errors)
        MIX[f"refused: {errors[0].code}"] += 1
        return
    MIX[d.mandrel.kind.value] += 1
    _check_chain(d.mandrel)
    if d.mandrel.kind is MandrelKind.PLUG:
        _check_plug(d.mandrel, pen)
    elif d.mandrel.kind is MandrelKind.CUP:
        _check_cup(d.mandrel, pen)


@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
@given(pens())
def _run(pen: Pen) -> None:
    for d in designs(pen, SHOP):
        _check(pen, d)


def test_every_accepted_pen_obeys_the_rules_and_most_are_accepted(
    capsys: pytest.CaptureFixture[str],
) -> None:
    MIX.clear()
    _run()
    total = sum(MIX.values())
    made = sum(n for k, n in MIX.items() if not k.startswith("refused"))
    with capsys.disabled():
        print("\nrandom pens:", dict(MIX.most_common()))
    assert total >= 300
    assert made / total >= 0.6
    assert {k.value for k in THREADED} <= set(MIX)
