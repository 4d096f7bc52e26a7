"""Print versions: play by booleans on the meshes, verdicts, compensation."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.cli.app import main
from mandrelgen.core.resources import template_path
from mandrelgen.geometry.mesh import exact
from mandrelgen.geometry.mesh.build import build
from mandrelgen.model.mandrel import Flats, Stretch
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits
from mandrelgen.workflows import check
from mandrelgen.workshop.printing import coupon, judge, printer, version
from mandrelgen.workshop.printing.printer import NOMINAL
from mandrelgen.workshop.printing.shape import PrintedShape, thinnest
from mandrelgen.workshop.printing.thread import basic_form, overlap, printed_thread, radial_play
from tests.support.printing_parts import (
    EMPTY,
    PENS,
    PRINTERS,
    assert_sound,
    inputs_of,
    measured_play,
    pair,
)


@pytest.fixture(scope="module")
def checked():
    return {pen: check.check(inputs_of(pen)) for pen in PENS}


@pytest.mark.parametrize("mark", [0, 4, len(coupon.ALLOWANCES) - 1])
def test_the_play_of_the_ladder_is_twice_the_mark(mark: int) -> None:
    """Of its ends and the middle; ``tests/long/test_larger_samples.py`` takes every mark."""
    plays_twice_the_mark(mark)


def plays_twice_the_mark(mark: int) -> None:
    """Plug and ring of one mark: each gives its allowance a side, so the play a side that comes out
    of the meshes is twice the mark, within 0.02."""
    p = printer.printer(EMPTY, "resin")
    allowance = coupon.ALLOWANCES[mark]
    screw, nut = (
        printed_thread("t", basic_form(e, 10, 1), allowance, p.flat).printed for e in (True, False)
    )
    assert measured_play(*pair(screw, nut), 1.0) == pytest.approx(2 * allowance, abs=0.02)


@pytest.mark.parametrize(("text", "name"), [
    ("M12xPh2.4P0.8", "resin"), ("M9x0.75-LH", "fdm-025"), ("M16x2", "fdm-04")])  # fmt: skip
def test_a_printed_plug_plays_in_the_real_thread_as_computed(text: str, name: str) -> None:
    """The play of a printed 6g plug in a 6H ring at mid-limits, by booleans, against the closed
    form; and the allowance is what it gains over the plug as designed."""
    from mandrelgen.design.mandrel_thread import form_of

    p = printer.printer(EMPTY, name)
    d = parse(text)
    screw, nut = form_of(limits(d, True)), form_of(limits(d, False))
    made = printed_thread("thread", screw, p.external_thread, p.flat)
    expected = radial_play(made.printed, nut)
    assert expected == pytest.approx(radial_play(screw, nut) + p.external_thread, abs=0.03)
    found = measured_play(*pair(made.printed, nut), screw.pitch)
    assert found == pytest.approx(expected, abs=0.02)


@given(
    st.booleans(), st.sampled_from([0.5, 0.75, 1.0, 1.5, 2.0]), st.floats(0, 0.4),
    st.floats(0, 0.2), st.integers(1, 4),
)  # fmt: skip
def test_opening_a_thread_never_takes_its_clearance(
    external: bool, pitch: float, allowance: float, flat: float, starts: int
) -> None:
    """Flank play against the basic mate is the allowance; crest and root never hinder it by more
    than half of it; crests are as wide as asked where the pitch has room."""
    form = basic_form(external, 12.0, pitch, starts)
    mate = basic_form(not external, 12.0, pitch, starts)
    made = printed_thread("t", form, allowance, flat).printed
    pair = (made, mate) if external else (mate, made)
    assert abs(pair[1].pitch_diameter - pair[0].pitch_diameter) / 2 == pytest.approx(allowance)
    assert radial_play(*pair) >= allowance / 2 - 1e-9
    assert made.crest_flat >= min(flat, 0.95 * pitch / 2) - 1e-9
    assert made.crest_flat + made.root_flat < pitch
    assert overlap(*pair) <= 0.541266 * pitch - allowance + 1e-9


def test_basic_profile() -> None:
    """M10x1: d2 9.350, D1 8.917 (ISO 724:1993)."""
    screw, nut = basic_form(True, 10, 1), basic_form(False, 10, 1)
    assert screw.pitch_diameter == pytest.approx(9.350, abs=0.0006)
    assert nut.crest_diameter == pytest.approx(8.917, abs=0.0006)
    assert (screw.crest_flat, screw.root_flat) == pytest.approx((1 / 8, 1 / 4), abs=1e-6)


# ------------------------------------------------------------------ verdict


@pytest.mark.parametrize(("pitch", "name", "level"), [
    (1.0, "fdm-04", "GOOD"), (1.5, "fdm-04", "GOOD"), (0.8, "fdm-04", "MARGINAL"),
    (0.75, "fdm-04", "MARGINAL"), (0.5, "fdm-04", "NO"), (0.35, "fdm-025", "NO"),
    (0.5, "fdm-025", "MARGINAL"), (0.75, "resin", "GOOD"), (0.5, "resin", "GOOD"),
    (0.35, "resin", "MARGINAL"), (0.25, "resin", "NO"),
])  # fmt: skip
def test_pitches_a_printer_forms(pitch: float, name: str, level: str) -> None:
    """From memory (no source with hard numbers): 0.4 nozzle in 0.1 layers P 1 usable, 0.75 to 0.8
    marginal; resin 0.05 P 0.5 good, 0.35 to 0.4 possible."""
    p = printer.printer(EMPTY, name)
    screw, nut = basic_form(True, 10, pitch), basic_form(False, 10, pitch)
    assert judge.thread_level(screw, nut, p) is judge.PrintLevel[level]


@given(st.sampled_from(PRINTERS), st.booleans(), st.floats(0.3, 2.0), st.floats(0.01, 0.5))
def test_a_coarser_pitch_never_prints_worse(
    name: str, external: bool, pitch: float, more: float
) -> None:
    p = printer.printer(EMPTY, name)

    def level(value: float) -> judge.PrintLevel:
        return judge.thread_level(
            basic_form(external, 30, value), basic_form(not external, 30, value), p
        )

    assert level(pitch + more) <= level(pitch)


def test_a_fine_thread_is_refused_with_help(tmp_path: Path) -> None:
    """P 0.5 on a 0.4 nozzle: no file, exit 1, and the ways out."""
    run = CliRunner().invoke(main, [
        "print", str(template_path("pens/heron.toml")), "--shop",
        str(template_path("shops/bench.toml")), "--printer", "fdm-04", "--to", str(tmp_path),
        "--json",
    ])  # fmt: skip
    assert run.exit_code == 1
    view = json.loads(run.stdout)
    assert "finial-root-cup" not in {m["id"] for m in view["printed"]}
    assert not list(tmp_path.rglob("*finial*"))
    (fault,) = view["findings"]
    assert "line widths" in fault["message"]
    for way in ("resin", "trial pitch", "metal"):
        assert way in fault["remedy"]


def test_walls_and_slenderness_are_judged() -> None:
    p = printer.printer(EMPTY, "fdm-04")
    tube = PrintedShape(
        (Stretch(feature="neck", z0=0, z1=90, d0=6, d1=6),),
        (Stretch(feature="bore", z0=0, z1=90, d0=5, d1=5),),
    )
    found = {line.id: line.level for line in judge.judge(
        version.PrintVersion(p, tube, (), ()), {}, EMPTY).lines}  # fmt: skip
    assert found == {"wall": judge.PrintLevel.NO, "slender": judge.PrintLevel.MARGINAL}
    made = version.of_shape(tube, p)
    wall = thinnest(made.shape, p.foot)
    assert wall is not None
    assert wall.value == pytest.approx(p.least_wall)


def test_an_underside_is_carried_or_told() -> None:
    """A collar on a neck gets a cone; on the shank, which the collet grips, it is told."""
    p = printer.printer(EMPTY, "fdm-04")
    collar = Stretch(feature="collar", z0=10, z1=14, d0=14, d1=14)
    carried = version.of_shape(
        PrintedShape((Stretch(feature="neck", z0=0, z1=10, d0=10, d1=10), collar)), p
    )
    told = version.of_shape(
        PrintedShape((Stretch(feature="shank", z0=0, z1=10, d0=10, d1=10), collar)), p
    )
    assert judge.undersides(carried.shape, p) == []
    ((z, width),) = judge.undersides(told.shape, p)
    assert (z, width) == pytest.approx((10, 2))
    assert exact.volume(carried.profile) > exact.volume(told.profile)


# ------------------------------------------------------------------ compensation


def test_plain_sizes_are_compensated_and_the_foot_eased() -> None:
    p = replace(printer.printer(EMPTY, "fdm-04"), outside=0.12, hole=0.2, foot=0.3)
    part = PrintedShape(
        (Stretch(feature="collar", z0=0, z1=20, d0=16, d1=16),),
        (Stretch(feature="bore", z0=0, z1=20, d0=8, d1=8),),
        Flats(5, 10, 14),
    )
    made = version.of_shape(part, p)
    mesh = build(made.profile)
    r = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
    bed = r[mesh.vertices[:, 2] < 1e-9]
    assert 2 * r.max() == pytest.approx(15.88, abs=0.02)
    assert 2 * bed.max() == pytest.approx(15.28, abs=0.02)
    assert 2 * bed.min() == pytest.approx(8.8, abs=0.02)
    assert 2 * r.min() == pytest.approx(8.2, abs=0.02)
    waist = mesh.vertices[np.abs(mesh.vertices[:, 2] - 7) < 3]
    assert 2 * np.abs(waist[:, 0]).min() <= 13.88 + 1e-6


def test_nominal_is_left_alone(checked) -> None:
    for result in checked.values():
        for d in result.designed:
            made = version.of_mandrel(d.mandrel, printer.printer(EMPTY, NOMINAL))
            assert made.shape == PrintedShape(d.mandrel.outer, d.mandrel.inner, d.mandrel.flats)


@pytest.mark.parametrize("pen", PENS)
def test_mandrels_shrink_into_the_part_and_stay_whole(pen: str, checked) -> None:
    """Every starter's mandrel on every printer: enough smaller in front of the seat, or larger
    round the nut, that a designed fit becomes a printed one; mesh against the closed form."""
    for d in checked[pen].designed:
        for name in PRINTERS:
            made = version.of_mandrel(d.mandrel, printer.printer(EMPTY, name))
            for t in made.threads:
                side = -1 if t.designed.external else 1
                for size in ("pitch_diameter", "crest_diameter"):
                    gain = side * (getattr(t.printed, size) - getattr(t.designed, size)) / 2
                    assert gain >= t.allowance - 1e-9
            mesh = build(made.profile)
            assert_sound(mesh, exact.volume(made.profile))
            assert len(mesh.triangles) <= 12_000
