"""What the turner reads is said once, rounded once, and is how the trade does it."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest

from mandrelgen.core.tolerance import lower_limit_text, upper_limit_text
from mandrelgen.design import gauge_text
from mandrelgen.model.mandrel import Flats, Mandrel
from mandrelgen.paper.reports import turning_pages
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits
from mandrelgen.workflows.build import Build
from mandrelgen.workshop.turning import bar_stock, change_gears
from mandrelgen.workshop.turning.marking import marked
from mandrelgen.workshop.turning.operations import order_of_work
from mandrelgen.workshop.turning.turner_card import turner_card
from tests.support.bench_pens import ALL, HERON, MANDRELS, made, texts
from tests.support.samples_sheet import ISSUE


def read(m: Mandrel) -> str:
    return "\n".join(texts(p) for p in turning_pages.tables(turner_card(m, ALL["heron"][1])))


def test_cylindricity_is_half_the_spread_and_lobes_want_a_v_block() -> None:
    """ISO 1101: cylindricity is a radial distance, diameters spread by twice that; diameters of a
    shape with an odd number of lobes are all alike (a shape of constant width)."""
    text = read(HERON["barrel-mouth-plug"])
    assert "half the spread is its cylindricity" in text
    assert "V-block" in text
    assert not re.search(r"(?<!half )the spread is its", text)


def test_a_countersink_is_said_by_its_included_angle() -> None:
    """Countersinks are sold and asked for by the angle between their sides."""
    (bored,) = [s.what for s in order_of_work(HERON["section-rear-cup"]) if "countersink" in s.what]
    assert "countersink 90° included" in bored


def test_an_inside_thread_is_not_deburred_with_a_file() -> None:
    for m in HERON.values():
        inside = not m.threads[0].limits.external
        text = " ".join(s.what for s in order_of_work(m))
        assert ("with a file" in text) == (not inside)
        assert ("with a scraper" in text) == inside


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_depths_begin_at_the_limits_as_they_are_printed(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    """One rounding: a table of depths starts at the very figure that the crest's limit has."""
    for t, pages in zip(m.threads, turner_card(m, shop).threads, strict=True):
        (crest,) = [c for c in m.characteristics if c.id.endswith(
            "major_diameter" if t.limits.external else "minor_diameter")] or [None]  # fmt: skip
        if crest is None or t.order != "single-point":
            continue
        text = "\n".join(
            " ".join(row) for page in turning_pages.tables(turner_card(m, shop))
            for grid in page.grids if grid.title.startswith("Depth") for row in grid.rows
        )  # fmt: skip
        assert pages.card is not None
        assert f"⌀{lower_limit_text(crest.lower)}" in text
        assert f"⌀{upper_limit_text(crest.upper)}" in text


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_the_mass_is_the_sheets(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    assert bar_stock.choose(m).finished_mass == pytest.approx(Build(m, ISSUE).mass, rel=1e-9)


def test_a_mandrel_with_flats_is_marked_on_one() -> None:
    """A slim shank's end face has no room for a number."""
    cup = HERON["section-rear-cup"]
    assert "flat" not in marked(cup)
    assert marked(replace(cup, flats=Flats(z0=-15.0, z1=-9.0, across=9.0))).endswith(
        "on a spanner flat"
    )


def test_a_bar_in_one_chucking_or_a_turned_shank_in_two() -> None:
    """The sequence follows the shank: as it is bought, or turned first."""
    bar = {s.setting for s in order_of_work(HERON["barrel-mouth-plug"])}
    assert bar == {0, 1}
    slim = made("heron", "\n[mandrels.defaults]\nshank_diameter = 10\n")[2]
    turned = next(d.mandrel for d in slim if d.planned.id == "barrel-mouth-plug")
    assert turned is not None
    assert {s.setting for s in order_of_work(turned)} == {0, 1, 2}


def test_gears_say_what_is_missing_and_what_does_without_it() -> None:
    """By hand: 3.175 × 60/127 = 1.5 (8 TPI). 60/80 × 63/100 = 0.4725 gives 1.5001875, 1/8 in a
    thousand: 0.0006 over 5 mm and 1.732 times that of pitch diameter; of a fit of 0.1 that is
    1.1 %, of one of 0.05 it is 2.2 %. Without 127 and 63 nothing comes near."""
    owned = (30, 60, 63, 80, 100, 127)
    found = change_gears.find(Fraction(3, 2), "8 TPI", owned, 5.0, 1, 0.1)
    assert found.exact[0].gears == (60, 127)
    assert found.without_127 is not None
    assert 127 not in found.without_127.gears
    assert float(found.without_127.lead) == pytest.approx(1.5001875, abs=1e-9)
    assert found.without_127.fit == pytest.approx(0.0011, abs=0.0001)
    assert change_gears.find(Fraction(3, 2), "8 TPI", owned, 5.0, 1, 0.05).without_127 is None
    bare = change_gears.find(Fraction(3, 2), "8 TPI", (30, 60, 80, 100), 5.0, 1, 0.1)
    assert (bare.exact, bare.near, bare.missing) == ((), (), 127)
    assert found.missing is None


def test_a_not_go_gauge_of_three_starts_rejects() -> None:
    """Two turns of a lead of 2.4 are 4.8 of a thread of 6: nothing would be rejected. Two pitches
    are 1.6, as two turns of a single start are."""
    work = limits(parse("M12xPh2.4P0.8-6H"), external=False)
    own = replace(work, external=True, tolerance_class=gauge_text.NOT_GO)
    said = gauge_text.purpose(own, "the cap")
    assert "two pitches at most, 1.6 mm" in said
    assert "our own rule for 3 starts" in said
    assert "4.8" not in said
    single = replace(
        limits(parse("M8.5x0.75-6H"), external=False), external=True,
        tolerance_class=gauge_text.NOT_GO,
    )  # fmt: skip
    assert "two turns at most" in gauge_text.purpose(single, "the barrel")
