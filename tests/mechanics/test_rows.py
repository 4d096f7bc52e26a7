"""From a mandrel's stretches to a beam."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from mandrelgen.mechanics.beam import Load, Segment, bend, shoulder_notch
from mandrelgen.mechanics.beam_rows import BeamMaterial, Carried, beam_row, blank_mass
from mandrelgen.mechanics.whirl import first_frequency
from mandrelgen.model.mandrel import Stretch, ThreadForm

STEEL = BeamMaterial(205_000, 7.85)
FORM = ThreadForm(
    external=True,
    starts=3,
    pitch=0.8,
    left_hand=False,
    crest_diameter=12.4,
    pitch_diameter=11.9,
    root_diameter=11.4,
)


def test_cone_against_closed_form() -> None:
    """Conical cantilever loaded at its tip: δ = 64 F L³ / (3 π E d0³ d1) (integrated by hand)."""
    row = beam_row([Stretch(feature="cone", z0=0, z1=50, d0=12, d1=6)], (), 0, STEEL)
    exact = 64 * 80 * 50**3 / (3 * math.pi * 205_000 * 12**3 * 6)
    assert bend(row, [Load(50, 80)]).end.deflection == pytest.approx(exact, rel=5e-3)
    assert {s.notch for s in row} == {1.0}


def test_mandrel_row() -> None:
    """Clipped at the collet, thread at its root, bore hollow, blank carried, shoulders notched:
    at the least radius the sheet allows, 0.1 where it gives none."""
    outer = (
        Stretch(feature="shank", z0=-50, z1=-8, d0=12, d1=12),
        Stretch(feature="collar", z0=-8, z1=0, d0=14, d1=14),
        Stretch(feature="relief", z0=0, z1=2, d0=10.8, d1=10.8, corner=(0.2, 0.4)),
        Stretch(feature="thread", z0=2, z1=8, d0=12.4, d1=12.4, thread=FORM),
        Stretch(feature="spigot1", z0=8, z1=30, d0=9, d1=9),
    )
    inner = (Stretch(feature="bore", z0=20, z1=30, d0=4, d1=4),)
    row = beam_row(outer, inner, -12, STEEL, [Carried(0, 40, 0.1)])
    assert sum(s.length for s in row) == pytest.approx(42)
    assert [s.feature for s in row] == ["shank", "collar", "relief", "thread", "spigot1", "spigot1"]
    assert [s.outer for s in row] == [12, 14, 10.8, 11.4, 9, 9]
    assert [s.inner for s in row] == [0, 0, 0, 0, 0, 4]
    assert [s.added for s in row] == [0, 0, 0.1, 0.1, 0.1, 0.1]
    assert row[0].notch == shoulder_notch(14, 12, 0.1) > 1.5
    assert row[1].notch == 1
    assert row[2].notch == shoulder_notch(14, 10.8, 0.2)
    assert row[3].notch == 2.5
    stresses = bend(row, [Load(40, 100)]).stresses()
    # Nominal by hand: relief 2800 N·mm on 10.8, spigot 2000 N·mm on 9, each times its shoulder.
    relief = 2800 / (math.pi * 10.8**3 / 32) * shoulder_notch(14, 10.8, 0.2)
    spigot = 2000 / (math.pi * 9**3 / 32) * shoulder_notch(11.4, 9, 0.1)
    assert stresses[2].stress == pytest.approx(relief)
    largest = max(stresses, key=lambda s: s.stress)
    assert largest.feature == "spigot1"
    assert largest.stress == pytest.approx(spigot)
    assert spigot > relief


def test_internal_thread_counts_at_its_root() -> None:
    inside = ThreadForm(
        external=False,
        starts=1,
        pitch=1.0,
        left_hand=False,
        crest_diameter=10.9,
        pitch_diameter=11.35,
        root_diameter=12.0,
    )
    row = beam_row(
        [Stretch(feature="cup", z0=0, z1=20, d0=16, d1=16)],
        [Stretch(feature="thread", z0=10, z1=20, d0=10.9, d1=10.9, thread=inside)],
        0,
        STEEL,
    )
    assert [s.inner for s in row] == [0, 12.0]
    assert row[1].notch == 2.5


def test_a_cone_that_begins_in_front_of_the_seat() -> None:
    """12 at z = 10, 6 at z = 30: in 16 slices the middle of slice k stands (k + 1/2)/16 along, so
    12 − 6 (k + 1/2)/16 thick; the deflection is that of the same cone at z = 0."""
    row = beam_row([Stretch(feature="cone", z0=10, z1=30, d0=12, d1=6)], (), 10, STEEL)
    assert [s.outer for s in row] == pytest.approx([12 - 6 * (k + 0.5) / 16 for k in range(16)])
    exact = 64 * 80 * 20**3 / (3 * math.pi * 205_000 * 12**3 * 6)
    assert bend(row, [Load(20, 80)]).end.deflection == pytest.approx(exact, rel=5e-3)


def test_a_row_weighs_what_its_stock_weighs() -> None:
    """Brass, 8.47 g/cm³: 20 mm of 10 weigh π/4·100·20·8.47e-3 = 13.305 g."""
    (bar,) = beam_row(
        [Stretch(feature="bar", z0=0, z1=20, d0=10, d1=10)], (), 0, BeamMaterial(97_000, 8.47)
    )
    assert bar.mass * bar.length * 1e6 == pytest.approx(13.305, abs=5e-4)
    assert bar.modulus == 97_000


def test_the_shoulder_of_the_first_stretch_counts() -> None:
    """A collar at the collet's face leaves its corner in the spigot beside it."""
    row = beam_row(
        [
            Stretch(feature="collar", z0=0, z1=5, d0=14, d1=14),
            Stretch(feature="spigot1", z0=5, z1=20, d0=9, d1=9),
        ],
        (),
        0,
        STEEL,
    )
    assert [s.notch for s in row] == [1.0, shoulder_notch(14, 9, 0.1)]


def test_places_that_floating_point_parts_are_one() -> None:
    """10.1 + 20.2 is not quite 30.3: what ends at the one and begins at the other leaves no gap,
    no sliver, and what stands beyond is there."""
    outer = (
        Stretch(feature="a", z0=0, z1=10.1 + 20.2, d0=10, d1=10),
        Stretch(feature="b", z0=30.3, z1=40, d0=8, d1=8),
    )
    row = beam_row(outer, (), 0, STEEL, [Carried(0, 30.3, 0.1)])
    assert [s.length for s in row] == pytest.approx([30.3, 9.7])
    assert [(s.outer, s.added) for s in row] == [(10, 0.1), (8, 0)]


def test_refusals() -> None:
    bar = [Stretch(feature="bar", z0=0, z1=10, d0=8, d1=8)]
    with pytest.raises(ValueError, match="nothing stands"):
        beam_row(bar, (), 10, STEEL)
    with pytest.raises(ValueError, match="nothing stands"):
        beam_row(bar, (), 11, STEEL)
    with pytest.raises(ValueError, match="inner < outer"):
        beam_row(bar, [Stretch(feature="bore", z0=0, z1=10, d0=9, d1=9)], 0, STEEL)
    with pytest.raises(ValueError, match="gap"):
        beam_row([*bar, Stretch(feature="tip", z0=12, z1=14, d0=5, d1=5)], (), 0, STEEL)
    assert blank_mass(13, 10, 1.19) == pytest.approx(math.pi / 4 * 69 * 1.19e-3)


def test_a_corner_of_its_own_is_the_one_behind() -> None:
    """A neck's sized corner (0.4 least) stands at the face behind it; against the larger stretch in
    front of it the sheet's collective corner counts, 0.1 least."""
    neck = Stretch(feature="neck", z0=5, z1=10, d0=8, d1=8, corner=(0.4, 0.6))
    behind = Stretch(feature="collar", z0=0, z1=5, d0=12, d1=12)
    front = Stretch(feature="spigot1", z0=10, z1=20, d0=12, d1=12)
    assert beam_row((neck, front), (), 5, STEEL)[0].notch == shoulder_notch(12, 8, 0.1)
    assert beam_row((behind, neck), (), 0, STEEL)[1].notch == shoulder_notch(12, 8, 0.4)
    assert shoulder_notch(12, 8, 0.1) > shoulder_notch(12, 8, 0.4)


BAR = (Segment(10, 5),)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: Segment(1, 5, 5, feature="neck"), "^segment neck: needs 0 <= inner"),
        (lambda: Segment(1, 5, 5), r"^segment \?: needs 0 <= inner"),
        (lambda: Segment(1, 5, notch=0.5, feature="neck"), "^segment neck: modulus > 0"),
        (lambda: Segment(1, 5, notch=0.5), r"^segment \?: modulus > 0"),
        (lambda: Segment(0, 5, feature="neck"), "^segment neck: length"),
        (lambda: bend(BAR, []).at(11), r"11 is outside the beam \(0 to 10"),
        (lambda: bend(BAR, [Load(11, 1)]), r"load at 11 is outside the beam \(0 to 10"),
        (lambda: bend([], []), "at least one segment"),
        (lambda: shoulder_notch(0, 5, 1), "diameters must be above 0"),
        (lambda: first_frequency([]), "needs segments"),
        (lambda: first_frequency(BAR, 11), r"prop at 11 is outside the beam \(0 to 10"),
    ],
)
def test_what_cannot_be_a_beam_is_named(call: Callable[[], object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        call()
