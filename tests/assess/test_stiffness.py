"""How far mandrel and part bend, on a plain bar whose bending is worked by hand: stainless (E
200,000) of ⌀10 from the collet's face 20 behind the seat to the thread's end 10 in front of it,
acrylic (E 2800) of ⌀20 from there to 40.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mandrelgen.assess import stiffness as stiff
from mandrelgen.assess.setup import Situated
from mandrelgen.mechanics.whirl import critical_speed
from mandrelgen.model.mandrel import Flats
from tests.support.held import bar, held, plain
from tests.support.judged_pens import cup_pen, plug_pen


@pytest.fixture(scope="module")
def plug() -> Situated:
    return held(plug_pen())


@pytest.fixture(scope="module")
def on_bar(plug: Situated) -> Situated:
    return plain(plug)


def flexibility(a: float, b: float) -> float:
    """Deflection at ``a`` from the clamp for each N at ``b``, mm: Maxwell and Mohr's integral of
    (a − z)(b − z) / EI, by Simpson's rule, which is exact for it."""
    found = 0.0
    for z0, z1, e, d in ((0.0, 30.0, 200_000.0, 10.0), (30.0, 60.0, 2800.0, 20.0)):
        z1 = min(z1, a, b)
        if z1 <= z0:
            continue
        mid = (z0 + z1) / 2
        mean = sum(n * (a - z) * (b - z) for n, z in ((1, z0), (4, mid), (1, z1))) / 6
        found += mean * (z1 - z0) / (e * math.pi / 64 * d**4)
    return found


def test_free_it_bends_as_the_unit_load_integral_says(on_bar: Situated) -> None:
    """50 N at the far end, 60 from the collet."""
    found = stiff.stiffness(on_bar)
    assert found.away.tool == pytest.approx(50 * flexibility(60, 60), rel=1e-9)
    assert found.away.end == found.away.tool
    assert found.away.seat == pytest.approx(50 * flexibility(20, 60), rel=1e-9)
    assert (found.away.tailstock, found.away.prop, found.away.tool_z) == (False, 0.0, 40.0)
    assert (found.side, found.overhang, found.slimmest) == (50.0, 60.0, 10.0)
    assert found.used is found.away
    assert found.collet_face == -20.0


def test_propped_it_bends_by_what_the_tailstock_leaves(on_bar: Situated) -> None:
    """The tool stands in the middle between seat and far end, 40 from the collet; the prop's force
    takes back what the far end would go."""
    found = stiff.stiffness(on_bar).up
    prop = 50 * flexibility(40, 60) / flexibility(60, 60)
    assert found.prop == pytest.approx(prop, rel=1e-9)
    assert found.tool == pytest.approx(50 * flexibility(40, 40) - prop * flexibility(40, 60))
    assert found.seat == pytest.approx(50 * flexibility(20, 40) - prop * flexibility(20, 60))
    assert (found.tailstock, found.tool_z) == (True, 20.0)
    assert found.end == pytest.approx(0.0, abs=1e-12)


def test_the_maker_s_way_is_the_one_used(on_bar: Situated) -> None:
    held_up = replace(on_bar, loads=on_bar.loads._replace(tailstock=True, side=30.0))
    found = stiff.stiffness(held_up)
    assert found.used is found.up
    assert found.side == 30.0
    assert found.away.tool == pytest.approx(30 * flexibility(60, 60), rel=1e-9)
    prop = 30 * flexibility(40, 60) / flexibility(60, 60)
    # At the clamp the tool's moment less the prop's, over the section's modulus.
    root = (30 * 40 - prop * 60) / (math.pi / 32 * 1000)
    assert found.stresses[0].stress == pytest.approx(root, rel=1e-9)
    free = stiff.stiffness(on_bar)
    assert free.stresses[0].stress == pytest.approx(50 * 60 / (math.pi / 32 * 1000), rel=1e-9)
    row = stiff.beam(on_bar)
    assert free.critical == critical_speed(row)
    assert found.critical == critical_speed(row, 60.0)
    assert found.critical > 2 * free.critical


def test_the_bent_axis_is_drawn_from_the_collet_to_the_far_end(on_bar: Situated) -> None:
    shape = stiff.stiffness(on_bar).away.shape
    assert shape[0] == (-20.0, 0.0)
    assert shape[-1] == (pytest.approx(40.0), pytest.approx(50 * flexibility(60, 60)))
    assert [z for z, _ in shape] == sorted(z for z, _ in shape)
    # Evenly every 61/48 on a part of 41, and every step between: seat, thread's end, part's
    # quarters of 31.
    longer = replace(on_bar, shape=on_bar.shape._replace(far=41.0, from_far=41.0))
    drawn = {round(z, 6) for z, _ in stiff.stiffness(longer).away.shape}
    steps = {0.0, 10.0, 17.75, 25.5, 33.25}
    assert drawn == {round(-20 + 61 / 48 * i, 6) for i in range(49)} | steps
    assert dict(shape)[0.0] == pytest.approx(50 * flexibility(20, 60))


def test_the_row_carries_the_blank_over_the_mandrel_and_the_part_beyond(on_bar: Situated) -> None:
    """A blank of ⌀20 acrylic (1.19 g/cm³): 0.3738 g for each mm."""
    row = stiff.beam(on_bar)
    assert [round(x.length, 3) for x in row] == [20.0, 10.0, 7.5, 7.5, 7.5, 7.5]
    assert [x.feature for x in row] == ["shank", "thread", *["part"] * 4]
    assert [x.outer for x in row] == [10.0, 10.0, *[20.0] * 4]
    assert [x.modulus for x in row] == [200_000, 200_000, *[2800] * 4]
    assert [x.density for x in row] == [7.9, 7.9, *[1.19] * 4]
    assert [round(x.added, 4) for x in row] == [0.0, 0.3738, 0.0, 0.0, 0.0, 0.0]
    bored = replace(on_bar, shape=on_bar.shape._replace(bores=((0.0, 20.0, 12.0),)))
    row = stiff.beam(bored)
    # π/4 (20² − 12²) · 1.19 / 1000, and the bore to 20 in the part's own stretches.
    assert round(row[1].added, 4) == 0.2393
    assert [round(x.length, 3) for x in row[2:]] == [7.5, 2.5, 5.0, 7.5, 7.5]
    assert [x.inner for x in row[2:]] == [12.0, 12.0, 0.0, 0.0, 0.0]


def test_a_thread_s_root_is_what_carries_and_has_its_notch() -> None:
    """M10x0.75 6g: the root at mid-limits, factor 2.5; a cup's too, inside."""
    row = stiff.beam(held(plug_pen()))
    assert [(x.feature, round(x.outer, 3), x.notch) for x in row if x.feature == "thread"] == [
        ("thread", 9.047, 2.5)
    ]
    cup = held(cup_pen())
    inside = [x for x in stiff.beam(cup) if x.notch == 2.5]
    assert [round(x.inner, 3) for x in inside] == [10.12]
    # A cup carries to its seat: all of its blank stands behind.
    assert {x.added for x in stiff.beam(cup)} == {0.0}


def test_what_carries_ends_at_the_thread_the_seat_or_the_spigot_s_nose(plug: Situated) -> None:
    assert stiff.carried_to(plug) == plug.stretch("thread").z1  # type: ignore[union-attr]
    assert stiff.carried_to(held(cup_pen())) == 0.0
    steps = (bar("shank", -50.0, 0.0, 12.0), bar("spigot1", 0.0, 8.0, 10.0),
             bar("spigot2", 8.0, 21.0, 6.0), bar("chamfer", 21.0, 22.0, 6.0, 5.0))  # fmt: skip
    spigot = replace(plug, mandrel=replace(plug.mandrel, outer=steps))
    assert stiff.carried_to(spigot) == 21.0


def test_a_button_is_no_beam(on_bar: Situated) -> None:
    with pytest.raises(ValueError, match="button"):
        stiff.beam(replace(on_bar, collet_face=None))


def with_row(s: Situated, *row: tuple[str, float, float, float, float], **more: object) -> Situated:
    return replace(s, mandrel=replace(s.mandrel, outer=tuple(bar(*x) for x in row), **more))


def test_a_cone_counts_at_its_slim_end_and_a_bore_at_its_wide_one(on_bar: Situated) -> None:
    """A cone from ⌀12 down to ⌀10 in front of the shank; a drill's point from ⌀4 to nothing."""
    cone = with_row(on_bar, ("shank", -50.0, -5.0, 12.0, 12.0), ("neck", -5.0, 0.0, 12.0, 10.0),
                    ("thread", 0.0, 10.0, 10.0, 10.0))  # fmt: skip
    drilled = replace(cone, mandrel=replace(cone.mandrel, inner=(bar("hole", 2.0, 6.0, 0.0, 4.0),)))
    row = stiff.beam(drilled)[:5]
    assert [(round(x.length, 3), x.outer, x.inner) for x in row] == [
        (15.0, 12.0, 0.0), (5.0, 10.0, 0.0), (2.0, 10.0, 0.0), (4.0, 10.0, 4.0), (4.0, 10.0, 0.0)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("flats", "row"),
    [
        ((-15.0, -5.0, 9.0), [(5.0, 12.0), (10.0, 9.0), (5.0, 12.0)]),
        # Wider than the bar they take nothing off; from end to end, all of it.
        ((-15.0, -5.0, 13.0), [(5.0, 12.0), (10.0, 12.0), (5.0, 12.0)]),
        ((-60.0, 0.0, 9.0), [(20.0, 9.0)]),
        ((-10.0, 0.0, 9.0), [(10.0, 12.0), (10.0, 9.0)]),
        # Over the step to the thread, of ⌀8: each side as wide as its own bar allows.
        ((-10.0, 4.0, 9.0), [(10.0, 12.0), (10.0, 9.0), (4.0, 8.0), (6.0, 8.0)]),
        ((-10.0, 4.0, 7.0), [(10.0, 12.0), (10.0, 7.0), (4.0, 7.0), (6.0, 8.0)]),
        # Into the thread, or the shank, by half a millimetre.
        ((-10.0, 0.5, 7.0), [(10.0, 12.0), (10.0, 7.0), (0.5, 7.0), (9.5, 8.0)]),
        ((-0.5, 4.0, 7.0), [(19.5, 12.0), (0.5, 7.0), (4.0, 7.0), (6.0, 8.0)]),
        # Beyond the end of what carries.
        ((12.0, 20.0, 5.0), [(20.0, 12.0), (10.0, 8.0)]),
    ],
)
def test_flats_count_as_a_bar_of_their_width(
    on_bar: Situated, flats: tuple[float, float, float], row: list[tuple[float, float]]
) -> None:
    s = with_row(on_bar, ("shank", -50.0, 0.0, 12.0, 12.0), ("thread", 0.0, 10.0, 8.0, 8.0),
                 flats=Flats(*flats))  # fmt: skip
    got = [(round(x.length, 3), x.outer) for x in stiff.beam(s) if x.feature != "part"]
    assert got[: len(row)] == row
    assert sum(z for z, _ in got) == pytest.approx(30.0)


def test_a_stretch_in_front_of_what_carries_is_not_counted(on_bar: Situated) -> None:
    s = with_row(on_bar, ("shank", -50.0, 0.0, 12.0, 12.0), ("thread", 0.0, 10.0, 8.0, 8.0),
                 ("chamfer", 10.0, 11.0, 8.0, 6.0))  # fmt: skip
    assert [x.feature for x in stiff.beam(s)] == ["shank", "thread", *["part"] * 4]


def test_a_part_of_which_nothing_is_left_bends_nowhere(on_bar: Situated) -> None:
    """Its outside said as nothing behind 25: told as a wall of the pen, not here."""
    points = ((0.0, 20.0), (25.0, 20.0), (25.0, 0.0), (40.0, 0.0))
    s = replace(on_bar, shape=on_bar.shape._replace(points=points))
    assert sum(x.length for x in stiff.beam(s)) == pytest.approx(45.0)
    assert stiff.stiffness(s).overhang == pytest.approx(45.0)
