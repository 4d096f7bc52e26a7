"""The outline at mid-limits: one plug worked by hand, others by what each of their sizes says."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.model.mid_limits import at_mid_limits, middle
from mandrelgen.spec.pen import Pen
from tests.paper.test_dimensions import MANDRELS
from tests.support.randompens import SHOP, pens

CREST = (11.812 + 11.962) / 4  # half the middle of the crest's limits, as the sheet prints them


def test_a_plug_worked_by_hand_from_what_its_sheet_says() -> None:
    """⌀14 h9 (0/−0.043) × 46, 0.5 ± 0.2 × 45°; neck ⌀12.6 to 7.5 from the seat; collar
    ⌀13.6 0/−0.1 × 1.5; relief ⌀10.7 0/−0.2 × 2.1 +0.2/0, 30°; thread to 7.1 0/−0.1, ⌀10.7 0/−0.2 ×
    45°; 8.6 over all from the seat: the middle of each by plain arithmetic, z from the seat."""
    shank, relief = 14 - 0.043 / 2, 10.7 - 0.1
    rise = CREST - relief / 2
    wanted = [
        (-53.5, shank / 2 - 0.5), (-53.0, shank / 2), (-7.5, shank / 2), (-7.5, 6.3), (-1.5, 6.3),
        (-1.5, 13.55 / 2), (0.0, 13.55 / 2), (0.0, relief / 2), (2.2, relief / 2),
        (2.2 + rise / math.tan(math.radians(30)), CREST), (7.05 - rise, CREST),
        (7.05, relief / 2), (8.6, relief / 2),
    ]  # fmt: skip
    moved = at_mid_limits(MANDRELS["heron-cap-mouth-plug"])
    found = [(f.z1, f.r1) for f in outline(moved).faces if f.r1 > 1e-9]
    assert len(found) == len(wanted)
    for point, by_hand in zip(found, wanted, strict=True):
        assert point == pytest.approx(by_hand, abs=6e-4)  # the crest's limits are printed to 0.001


def check(m: Mandrel) -> None:
    moved = at_mid_limits(m)
    pairs = list(zip((*m.outer, *m.inner), (*moved.outer, *moved.inner), strict=True))
    for s, new in pairs:
        assert lean(new) == pytest.approx(lean(s), abs=1e-9)
    for c in m.characteristics:
        if c.kind is Kind.DIAMETER:
            ends = [
                d1
                for s, new in pairs
                if s.feature == c.feature
                for d0, d1 in ((s.d0, new.d0), (s.d1, new.d1))
                if abs(d0 - c.nominal) < 1e-6
            ]
            assert all(d == pytest.approx(middle(c), abs=1e-9) for d in ends), c.id
        elif c.kind in (Kind.LENGTH, Kind.CHAMFER) and c.between is not None:
            a, b = (m.stations[n] for n in c.between)
            if c.own_id == "thread.depth":
                continue  # to the end of the full thread, which is no corner of the outline
            at = corners(m, moved)
            found = {round(abs(u - v), 9) for u in places(at, a) for v in places(at, b)}
            assert round(middle(c), 9) in found, c.id
    assert len(outline(moved).faces) == len(outline(m).faces)


def corners(m: Mandrel, moved: Mandrel) -> list[tuple[float, float]]:
    """Where each corner was and went; flats begin and end where the outline has none."""
    rows = zip(
        (*m.outer, *m.inner, *filter(None, [m.flats])),
        (*moved.outer, *moved.inner, *filter(None, [moved.flats])),
        strict=True,
    )
    return [ends for s, new in rows for ends in ((s.z0, new.z0), (s.z1, new.z1))]


def places(at: list[tuple[float, float]], z: float) -> set[float]:
    """Where the corners at ``z`` went; the seat stays."""
    return {new for old, new in at if abs(old - z) < 1e-6}


def lean(s: Stretch) -> float:
    return math.degrees(math.atan2((s.d1 - s.d0) / 2, s.z1 - s.z0))


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_every_size_is_at_the_middle_of_its_limits_and_angles_stay(name: str) -> None:
    check(MANDRELS[name])


# The same examples every time.
@settings(
    max_examples=12, deadline=None, derandomize=True, database=None,
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
@given(pens())
def test_of_random_mandrels_too(pen: Pen) -> None:
    for made in designs(pen, SHOP):
        if made.mandrel is not None:
            check(made.mandrel)


def test_what_no_size_fixes_keeps_its_size() -> None:
    m = MANDRELS["heron-cap-mouth-plug"]
    gone = ("collar.diameter", "shank.length")
    kept = tuple(c for c in m.characteristics if c.id not in gone)
    moved = at_mid_limits(replace(m, characteristics=kept))
    (collar,) = (s for s in moved.outer if s.feature == "collar")
    assert collar.d0 == 13.6
    neck = next(s for s in moved.outer if s.feature == "neck")
    assert neck.z0 - moved.outer[0].z0 == pytest.approx(46.0)
