"""The table tells right from missed, misjudged, misplaced and said for nothing."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from mandrelgen.core.errors import Finding, Level
from tests.judging.cases import Case
from tests.judging.codes import CODES
from tests.judging.every import faulty, kinds
from tests.judging.sane import sane
from tests.judging.table import Sanity, calm, judge, names, outcome, printed
from tests.paths import ROOT

CASES = {(c.kind, c.level): c for c in faulty()}


def crown(level: str) -> Case:
    return CASES["wall.crown", level]


def said(level: Level, where: str = "cap.mouth", code: str = "") -> Finding:
    mine = CODES["wall.crown"]
    assert mine is not None
    return Finding(level, code or mine[0], where, "a thin crown")


@pytest.mark.parametrize(
    ("expected", "found", "result"),
    [
        ("error", [said(Level.ERROR)], "right"),
        ("error", [said(Level.ERROR), said(Level.WARNING)], "right"),
        ("error", [said(Level.WARNING)], "level"),
        ("warning", [said(Level.ERROR)], "level"),
        ("warning", [said(Level.NOTE)], "missed"),
        ("error", [], "missed"),
        ("error", [said(Level.ERROR, code="some.other")], "missed"),
        ("error", [said(Level.ERROR, "barrel.tail")], "place"),
        ("", [said(Level.WARNING)], "false"),
        ("", [said(Level.NOTE)], "right"),
        ("", [], "right"),
    ],
)
def test_what_came_of_a_case(expected: str, found: list[Finding], result: str) -> None:
    assert outcome(crown(expected), found)[0] == result


def test_only_what_weighs_as_much_counts_as_beside_it() -> None:
    other = [said(level, code="some.other") for level in Level]
    _, beside = outcome(crown("error"), [said(Level.ERROR), *other])
    assert [f.level for f in beside] == [Level.ERROR]
    _, beside = outcome(crown("warning"), [said(Level.WARNING), *other])
    assert {f.level for f in beside} == {Level.ERROR, Level.WARNING}


@pytest.mark.parametrize(
    ("where", "place", "same"),
    [
        ("cap.mouth", "cap.mouth", True),
        ("barrel.mouth-cap.mouth", "cap.mouth", True),
        ("cap-mouth-plug", "cap.mouth", True),
        ("cap-mouth-plug", "cap", True),
        ("pen.toml:3 parts.cap.ends.mouth.internal.thread", "cap.mouth", True),
        ("cap.crown", "cap.mouth", False),
        ("section-rear-cup", "cap", False),
        ("barrel-mouth-plug", "section", False),
    ],
)
def test_places_in_every_form_a_finding_gives_them(where: str, place: str, same: bool) -> None:
    assert names(where, place) is same


def test_a_few_pens_through_the_program() -> None:
    """Every case lands in exactly one column, and what is sure today is found."""
    few = [c for c in faulty() if c.kind in ("mate.hand", "collet.none", "nothing-asked")]
    rows = judge(few)
    for row in rows.values():
        columns = row.right.total() + row.missed + row.level + row.place + row.false
        assert columns == row.wanted.total() > 0
        assert row.clean, row.bad
    pens = calm(sane()[:2])
    assert pens.pens == 2
    assert pens.mandrels >= 6
    assert f"sane: 2 pens, {pens.mandrels} mandrels" in printed(judge(faulty()[:1]), pens, True)


def test_the_bar_of_the_sane_pens() -> None:
    calm = Sanity(pens=1, mandrels=4)
    calm.warnings["x"], calm.notes["y"] = 2, 8
    assert calm.clean
    calm.warnings["x"] = 3
    assert not calm.clean
    calm.warnings["x"], calm.errors["z"] = 0, 1
    assert not calm.clean


def test_every_kind_has_its_line_among_the_codes() -> None:
    assert set(CODES) == {k.name for k in kinds()}


def test_generators_and_arithmetic_import_nothing_of_the_program() -> None:
    here = Path(__file__).parent
    for path in here.glob("*.py"):
        # The tests, and what holds both sides together.
        if path.stem.startswith("test_") or path.stem in ("table", "receipt_study"):
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            modules = [n.name for n in node.names] if isinstance(node, ast.Import) else []
            modules += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            for module in modules:
                assert not module.startswith("mandrelgen"), path.name


def test_sane_pens_are_of_every_sort() -> None:
    made = [s.sizes for s in sane()]
    assert {m.made for m in made} == {"freehand", "guided", "single-point"}
    assert {m.cap.starts for m in made} == {1, 2, 3, 4}
    assert {m.shop for m in made} == {"bench", "own", "wide"}
    assert {m.tailstock for m in made} == {True, False}
    assert {m.finial for m in made} == {m.nib_thread for m in made} == {True, False}
    assert len({m.material for m in made}) == 4
    assert any(" UN" in m.cap_thread for m in made)
    assert len(set(made)) == len(made)


def test_the_readme_quotes_the_tables_counts() -> None:
    """The counts of the suite stand in the README as they are here; what was found is quoted in
    the table's own words."""
    said = (ROOT / "README.md").read_text("utf-8")
    cases = faulty()
    wrong, right = sum(c.faulty for c in cases), sum(not c.faulty for c in cases)
    assert f"{wrong} faulty pens of {len(kinds())} kinds" in said
    assert f"{len(sane())} sane ones" in said
    assert f"faulty: {wrong} found at their level and place, 0 missed" in said
    assert f"just outside the limit: {right} pens, 0 of them found all the same" in said
