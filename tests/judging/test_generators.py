"""The generators of the proof: repeatable, readable, one fault each by arithmetic of their own."""

from __future__ import annotations

import tomllib
from collections import Counter
from pathlib import Path

import pytest
from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

from mandrelgen.core.errors import InputError
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from tests.judging.arithmetic import LEVELS, faults
from tests.judging.cases import KINDS, Case, bases
from tests.judging.codes import REFUSED_BY_READER
from tests.judging.every import faulty
from tests.judging.expected import text
from tests.judging.figures import JUDGED, figure
from tests.judging.iso import read
from tests.judging.sane import sane
from tests.judging.trees import pen, toml

SEED = "first"
CASES = faulty(SEED)
SANE = sane(SEED)


def label(c: Case) -> str:
    return f"{c.kind} {c.level or 'silent'} {c.value:g} {c.sizes.cap_thread}"


def refused(c: Case) -> bool:
    try:
        read_pen(toml(c.pen).encode(), "pen.toml")
    except InputError:
        return True
    return False


def test_there_are_enough_of_them() -> None:
    bad = [c for c in CASES if c.faulty]
    assert len(SANE) >= 60
    assert len(bad) >= 120
    assert len({c.kind for c in bad}) >= 25
    assert {c.kind for c in bad} == set(KINDS)


def test_the_same_seed_gives_the_same_pens_and_another_gives_others() -> None:
    assert faulty(SEED) == CASES
    assert sane(SEED) == SANE
    assert set(bases(SEED)).isdisjoint(bases("second"))


def test_toml_gives_the_tree_back() -> None:
    for tree in [s.pen for s in SANE] + [c.pen for c in CASES]:
        assert tomllib.loads(toml(tree)) == tree


def test_every_sane_pen_is_read_and_has_no_fault_by_arithmetic() -> None:
    for s in SANE:
        read_pen(toml(s.pen).encode(), "pen.toml")
        read_shop(toml(s.shop).encode(), "shop.toml")
        assert faults(s.pen) == [], s.sizes


def test_every_faulty_pen_is_a_readable_pen() -> None:
    """All fit the form; only what contradicts itself may be refused by the reader, in its place."""
    for c in CASES:
        read_shop(toml(c.shop).encode(), "shop.toml")
        Pen.model_validate(c.pen)
        if refused(c):
            assert (c.level, c.kind in REFUSED_BY_READER) == ("error", True), label(c)


def test_arithmetic_shows_the_one_fault_and_none_in_the_sibling() -> None:
    """Of the expected level and above nothing else; lower levels only as its consequence."""
    wrong = []
    for c in CASES:
        expected = KINDS[c.kind].family
        found = [
            f for f in faults(c.pen) if LEVELS.index(f.level) >= LEVELS.index(c.level or "note")
        ]
        seen = {f.family for f in found}
        if c.kind in JUDGED:
            if JUDGED[c.kind](figure(c)) != c.level:
                wrong.append((label(c), figure(c)))
            if seen:
                wrong.append((label(c), found))
            continue
        if c.kind == "nothing-asked":
            if c.pen["mandrels"]["requests"] or found:
                wrong.append((label(c), found))
            continue
        levels = {f.level for f in found}
        placed = all(set(f.places) & set(c.places) for f in found)
        if seen != ({expected} if c.faulty else set()) or levels - {c.level} or not placed:
            wrong.append((label(c), found))
    assert wrong == []


def test_the_bases_themselves_have_no_fault() -> None:
    for seed in (SEED, "second"):
        for s in bases(seed):
            assert faults(pen(s)) == []


def test_the_written_table_is_the_one_that_is_made() -> None:
    assert Path(__file__).with_name("expected.md").read_text("utf-8") == text()


def test_most_kinds_lie_on_both_sides_of_their_limit() -> None:
    sides = {k: {c.level for c in CASES if c.kind == k} for k in KINDS}
    one_sided = {k for k, levels in sides.items() if len(levels) == 1}
    # Errors by definition have no other side in a pen that is otherwise the same.
    assert one_sided == {
        "wall.counterbore-through", "hole.at-crest", "nothing-asked", "thread.none-internal",
        "thread.none-external", "mate.pitch", "mate.starts", "mate.hand",
    }  # fmt: skip
    assert Counter(c.faulty for c in CASES)[True] > Counter(c.faulty for c in CASES)[False]


@pytest.mark.parametrize("size", sorted(ASME_M_6g6H_dict))
def test_metric_rows_agree_with_an_independent_library(size: str) -> None:
    """screw-thread-lib has coarse pitches only, so the formulae are compared: D2, D1 and es."""
    theirs = ASME_M_6g6H_dict[size]
    d, p = (float(x) for x in size[1:].split("-"))
    assert d - 0.649519 * p == pytest.approx(theirs["D2min"] * 25.4, abs=0.002)
    assert d - 1.082532 * p == pytest.approx(theirs["D1min"] * 25.4, abs=0.002)


@pytest.mark.parametrize("size", ["1/4-28 UNF", "1/2-20 UNF"])
def test_inch_formulae_agree_with_an_independent_library(size: str) -> None:
    """Class 2A and 2B limits against screw-thread-lib's ASME B1.1 rows; ours take an engagement of
    9 P, the series UNF one of D, so the pitch diameters may lie a hundredth apart; the library
    rounds the minor diameters to 0.001 inch."""
    theirs, ours = ASME_UN_2A2B_dict[size.split()[0]], read(size)
    for key, value, near in (
        ("dmin", ours.major_ext[0], 0.006), ("d2min", ours.pitch_ext[0], 0.012),
        ("D2max", ours.pitch_int[1], 0.012), ("D1min", ours.minor_int[0], 0.013),
        ("D1max", ours.minor_int[1], 0.02),
    ):  # fmt: skip
        assert value == pytest.approx(theirs[key] * 25.4, abs=near), key


@pytest.mark.parametrize(
    ("size", "d2min", "d3min", "d2max_nut", "dmax_nut"),
    [
        # Published limits of ISO 965-1 threads 6g and 6H: pitch and root diameters.
        ("M10x0.75", 9.391, 8.929, 9.645, 10.240),
        ("M8x0.75", 7.391, 6.929, 7.645, 8.240),
        ("M12x1", 11.206, 10.590, 11.510, 12.304),
        ("M14x1", 13.206, 12.590, 13.510, 14.304),
        ("M6x0.5", 5.570, 5.262, 5.787, 6.184),
    ],
)
def test_metric_limits_are_the_published_ones(
    size: str, d2min: float, d3min: float, d2max_nut: float, dmax_nut: float
) -> None:
    t = read(size)
    assert t.pitch_ext[0] == pytest.approx(d2min, abs=0.001)
    assert t.root_ext == pytest.approx(d3min, abs=0.001)
    assert t.pitch_int[1] == pytest.approx(d2max_nut, abs=0.001)
    assert t.root_int == pytest.approx(dmax_nut, abs=0.001)
