"""Thresholds that turn a figure into a word: judging.toml, least_walls.toml, rod_groups.toml,
speeds_by_work.toml and drill_sizes.toml.

The thresholds have no published source (estimates, common practice); they are retyped here from the
trade notes they were agreed in, and what arithmetic or a published chart can say against them is
said."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from mandrelgen.mechanics.practice import assumed, judged, judged_basis
from mandrelgen.mechanics.remedy import drills
from mandrelgen.mechanics.walls import Place, least_wall
from mandrelgen.standards.materials import material, names
from mandrelgen.standards.rods import RodGroup, rod_group
from mandrelgen.standards.tables import load, records

ESTIMATE, MEMORY = "estimate (common practice, no source)", "from memory"
PRACTICE = "common practice, no source"
NOTCH = (
    "estimate, on the safe side of the point method: acrylic 1.0, polyester 1.2 (toughness: "
    "Dowling, Mechanical Behavior of Materials, table 8.2)"
)

# group, name, value, basis
THRESHOLDS = [
    ("engagement", "error_worst", 0.30, ESTIMATE),
    ("engagement", "error_given", 0.45, ESTIMATE),
    ("engagement", "warning_given", 0.60, ESTIMATE),
    ("engagement", "least_pitches", 3, PRACTICE),
    ("concentricity", "flush_shoulder", 0.1, ESTIMATE),
    ("concentricity", "reveal_shoulder", 0.3, ESTIMATE),
    ("concentricity", "reveal_share", 1 / 3, ESTIMATE),
    ("concentricity", "centred_low", 0.01, ESTIMATE),
    ("concentricity", "centred_high", 0.02, ESTIMATE),
    ("force", "finishing_low", 5, ESTIMATE),
    ("force", "finishing_high", 15, ESTIMATE),
    ("force", "roughing_low", 5, ESTIMATE),
    ("force", "roughing_high", 90, ESTIMATE),
    ("force", "least_supported", 30, ESTIMATE),
    ("force", "least_unsupported", 90, ESTIMATE),
    ("notch", "brittle_thread", 1.5, NOTCH),
    ("thrust", "light_low", 50, ESTIMATE),
    ("thrust", "light_high", 150, ESTIMATE),
    ("thrust", "handwheel", 500, ESTIMATE),
    ("thrust", "band", 1, ESTIMATE),
    ("close_fit", "lean", 0.1, MEMORY),
    ("compare", "tolerance", 0.005, PRACTICE),
    ("compare", "step", 0.05, PRACTICE),
    ("receipt", "paper", 0.03, ESTIMATE),
    ("receipt", "clamping", 0.01, ESTIMATE),
    ("receipt", "shake", 0.03, ESTIMATE),
    ("receipt", "piece", 0.02, ESTIMATE),
    ("receipt", "pin", 0.005, ESTIMATE),
    ("receipt", "angle", 15, ESTIMATE),
    ("receipt", "abrasive", 0.03, ESTIMATE),
    ("receipt", "scraped", 0.3, ESTIMATE),
    ("receipt", "far_end", 2, ESTIMATE),
    ("process", "run_out_turned", 0.02, PRACTICE),
    ("process", "run_out_care", 0.01, PRACTICE),
    ("process", "form_turned", 0.015, PRACTICE),
    ("process", "form_care", 0.01, PRACTICE),
    ("process", "roughness_turned", 1.6, MEMORY),
    ("process", "roughness_care", 0.8, MEMORY),
    ("process", "grade_turned", 8, MEMORY),
    ("process", "grade_care", 7, MEMORY),
    ("process", "thread_turned", 1.0, PRACTICE),
    ("process", "thread_care", 0.8, PRACTICE),
]


@pytest.mark.parametrize(("group", "name", "value", "basis"), THRESHOLDS)
def test_thresholds(group: str, name: str, value: float, basis: str) -> None:
    assert judged(group, name) == pytest.approx(value)
    assert judged_basis(group, name) == basis


def test_no_threshold_is_left_out_here() -> None:
    held = {(g, n) for g, rows in load("judging").items() if isinstance(rows, dict) for n in rows}
    assert held == {(g, n) for g, n, _, _ in THRESHOLDS}


# Fracture toughness, MPa√m: Dowling, Mechanical Behavior of Materials, table 8.2, as quoted there.
TOUGHNESS = {"cast-acrylic": 1.8, "casting-resin": 0.6}


def by_the_point_method(toughness: float, strength: float, pitch: float) -> float:
    """What a thread's root takes off, by the point method (D. Taylor, The Theory of Critical
    Distances, from memory): it breaks where the stress half a critical length L = (Kc/σ)²/π before
    the root reaches the strength; the stress there falls as Creager and Paris have it. The root is
    as round as its flat is wide, P/8, and raises the stress 2.5 times (from memory); never below 1.
    """
    x = (toughness / strength) ** 2 / math.pi * 1000 / 2
    root = pitch / 8
    fallen = 2 * (x + root) / (2 * x + root) ** 1.5 / (2 / math.sqrt(root))
    return max(1.0, 2.5 * fallen)


@pytest.mark.parametrize(("rod", "most"), [("cast-acrylic", 1.0), ("casting-resin", 1.2)])
def test_the_notch_of_a_brittle_part_is_on_the_safe_side_of_the_point_method(
    rod: str, most: float
) -> None:
    """At the strength the program holds, for the pitches that pens have."""
    found = [
        by_the_point_method(TOUGHNESS[rod], material(rod).tensile_strength, p)
        for p in (0.5, 0.75, 0.8)
    ]
    assert max(found) == pytest.approx(most, abs=0.02)
    assert judged("notch", "brittle_thread") > max(found)


def test_a_stronger_resin_sees_more_of_a_notch_and_still_bears_more() -> None:
    """What a thread leaves of 55 MPa, by the point method, against what is counted on."""
    held = material("casting-resin").tensile_strength / judged("notch", "brittle_thread")
    assert 55 / by_the_point_method(TOUGHNESS["casting-resin"], 55.0, 0.8) > held


def test_notch_of_a_pens_thread() -> None:
    """Materials Science and Engineering A, doi 10.1016/j.msea.2004.05.012 (abstract): in acrylic, a
    feature below about 0.5 mm takes no strength off. A pen's threads, 17/24 H deep at the rounded
    root at most, are such up to P 0.8; the factor stays between that 1 and the elastic 2.5."""
    assert 17 / 24 * math.sqrt(3) / 2 * 0.8 < 0.5
    assert 1.0 < judged("notch", "brittle_thread") < assumed("notch", "thread").value


def test_forces_follow_from_the_chip() -> None:
    """Roughing: a chip of 0.05 to 0.3 mm² at 100 to 300 N/mm² is 5 to 90 N. Supported, a free end
    bears at least twice a finishing cut; unsupported, a whole roughing cut."""
    assert judged("force", "roughing_low") == pytest.approx(0.05 * 100)
    assert judged("force", "roughing_high") == pytest.approx(0.3 * 300)
    assert judged("force", "least_supported") == 2 * judged("force", "finishing_high")
    assert judged("force", "least_unsupported") == judged("force", "roughing_high")


@pytest.mark.parametrize(
    ("place", "group", "error", "warning"),
    [
        (Place.TENON, RodGroup.FIRM, 0.4, 0.6),
        (Place.TENON, RodGroup.SOFT, 0.4, 0.6),
        (Place.LIP, RodGroup.FIRM, 0.5, 0.8),
        (Place.LIP, RodGroup.SOFT, 0.6, 1.0),
        (Place.BODY, RodGroup.FIRM, 0.7, 1.0),
        (Place.BODY, RodGroup.SOFT, 0.7, 1.0),
        (Place.CROWN, RodGroup.FIRM, 0.7, 1.0),
        (Place.CROWN, RodGroup.SOFT, 0.7, 1.0),
    ],
)
def test_least_walls(place: Place, group: RodGroup, error: float, warning: float) -> None:
    found = least_wall(place, group)
    assert (found.error, found.warning, found.basis) == (error, warning, ESTIMATE)
    banded = least_wall(place, group, banded=True)
    assert (banded.error, banded.warning) == (error / 2, warning / 2)
    assert load("least_walls")["shows_through"]["below"] == 1.5


def test_groups_of_rod() -> None:
    """Hard rubber and what softens early are soft; every metal held is metal, nothing else is."""
    soft = {m for m in names() if rod_group(m) is RodGroup.SOFT}
    assert {"ebonite", "casting-resin"} <= soft
    for name in names():
        assert (rod_group(name) is RodGroup.METAL) is (material(name).kind == "metal"), name
    for name in soft:
        assert 0 < material(name).max_temperature <= 60, name


def test_sanding_speeds() -> None:
    """400 to 800 at ⌀15 (from memory) is 19 to 38 m/min; softer rod slower; under every published
    turning speed of the same rod, since paper heats where a tool carries the heat off in the
    chip."""
    rows = {r["group"]: r for r in records("speeds_by_work")}
    firm, soft = rows["firm"], rows["soft"]
    assert load("speeds_by_work")["at"]["diameter"] == 15
    assert (firm["work_low"], firm["work_high"]) == (400, 800)
    assert (soft["work_low"], soft["work_high"]) == (200, 400)
    surface = [math.pi * 0.015 * firm[k] for k in ("work_low", "work_high")]
    assert surface == pytest.approx([18.8, 37.7], abs=0.1)
    slowest = min(r["carbide_low"] for r in records("cutting_speeds"))
    assert surface[1] < slowest == 60
    for row in rows.values():
        assert (row["turn_low"], row["turn_high"]) == (60, 120)


# Tapping drills of published metric charts (ISO 2306 sizes, coarse and fine threads).
TAPPING = [2.5, 2.9, 3.3, 4.2, 5.0, 6.0, 6.8, 7.0, 8.5, 8.8, 10.2, 12.0, 14.0, 15.5, 17.5]


def test_drills_that_charts_name_are_held() -> None:
    assert set(TAPPING) <= set(drills())
    assert drills()[0] == 1.0
    assert drills()[-1] == 20.0
    gaps = [round(b - a, 6) for a, b in pairwise(drills())]
    assert set(gaps) == {0.1, 0.5}
