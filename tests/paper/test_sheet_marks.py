"""Small marks of the sheet that a reader stumbles over: what stands in brackets, what has no
limits, who releases the sheet, edges' limits, root lines in details, the picture of the thread."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.design.gauge import Whose, gauge_pair
from mandrelgen.model import corner
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.paper.drawing.details import detail
from mandrelgen.paper.drawing.dimension_assignment import Window
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import Line, LineStyle, Sheet, Text
from mandrelgen.paper.drawing.notes import _sentences
from mandrelgen.paper.drawing.symbols import edge_symbol
from mandrelgen.paper.drawing.thread_view import thread_name
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.standards import materials
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits
from tests.paper.test_dimensions import MANDRELS, WISHES
from tests.support.samples_sheet import ISSUE


def sheet_of(mandrel: Mandrel, **issue: object) -> Sheet:
    return drawing(mandrel, outline(mandrel), replace(ISSUE, **issue), 45.3)  # type: ignore[arg-type]


def words(sheet: Sheet) -> str:
    return " ".join(t.text for t in sheet.texts())


def thread(text: str, order: str = "single-point") -> ThreadData:
    own = limits(parse(text), True)
    bare = replace(own, designation=replace(own.designation, tolerance_class=""))
    data = MANDRELS["heron-cap-mouth-plug"].threads[0]
    return replace(data, limits=bare, order=order)


@pytest.mark.parametrize(
    ("text", "order", "name"),
    [
        ("M9x0.75-6g", "single-point", "M9x0.75-6g"),
        # ISO 965-1: the hand stands last.
        ("M9x0.75-6g-LH", "single-point", "M9x0.75-6g-LH"),
        ("M12xPh2.4P0.8-6g", "my-tool", "M12xPh2.4P0.8 (6g)"),
        ("M9x0.75-6g-LH", "my-tool", "M9x0.75-LH (6g)"),
    ],
)
def test_the_class_stands_in_brackets_where_it_judges_nothing(
    text: str, order: str, name: str
) -> None:
    assert thread_name(thread(text, order)) == name


def test_all_of_a_thread_cut_with_the_customers_tool_is_auxiliary() -> None:
    """ISO 129-1: what is for information alone stands in round brackets."""
    mandrel = MANDRELS["bittern-barrel-plug"]
    assert mandrel.threads[0].order == "my-tool"
    sheet = sheet_of(mandrel)
    names = [t.text for t in sheet.texts() if "UNEF" in t.text]
    assert len(names) == 3
    assert all(n.startswith("3/8-32 UNEF (2A)") for n in names)
    said = " ".join(t.text for t in sheet.texts())
    assert "Crest flat" not in said  # the tool brings its form


def test_sizes_without_limits_have_one_cell_across_both_columns() -> None:
    sheet = sheet_of(MANDRELS["heron-cap-mouth-plug"])
    rows = {m.id: [i for i in m.items if isinstance(i, Text)] for m in sheet.marks("thread row")}
    left = rows["thread.major_diameter"][1].corners()[0][0]
    right = rows["thread.major_diameter"][2].corners()[0][0]
    rules = [
        i for i in sheet.items()
        if isinstance(i, Line) and i.pen is LineStyle.TABLE and i.points[0][0] == i.points[1][0]
    ]  # fmt: skip
    for id in ("thread.pitch", "thread.lead", "thread.starts"):
        (cell,) = rows[id][1:]
        corners = cell.corners()
        assert left < (corners[0][0] + corners[1][0]) / 2 - 1
        y = cell.at[1] + cell.height / 2
        between = [r for r in rules if left < r.points[0][0] < right + 5
                   and min(p[1] for p in r.points) < y < max(p[1] for p in r.points)]  # fmt: skip
        assert not between, id


@pytest.mark.parametrize(
    "name", ["heron-cap-mouth-plug", "bittern-barrel-plug", "wren-section-rear-cup"]
)
@pytest.mark.parametrize("approved", ["", "O. Alder"])
def test_the_sheet_says_who_releases_it_what_binds_and_what_comes_along(
    name: str, approved: str
) -> None:
    said = words(sheet_of(MANDRELS[name], approved_by=approved))
    for sentence in (
        "Released by a written order, signed or not.",
        "This drawing takes precedence; numbers in circles name its sizes, here and on the making",
        "measuring: help, on request)",
        "Files of its shape: STEP at nominal sizes, threads at mid-limits; outline DXF with every "
        "size at mid-limits.",
        "The customer's test piece and die are supplied on loan."
        if name == "bittern-barrel-plug"
        else "The customer's test piece is supplied on loan.",
    ):
        assert sentence in said
    assert ("Approved by by written order" in said) is not approved
    assert ("O. Alder" in said) is bool(approved)


def test_a_mark_of_the_customers_own_is_said_to_be_one() -> None:
    own = words(sheet_of(MANDRELS["bittern-barrel-plug"]))
    mark = MANDRELS["bittern-barrel-plug"].ordering.marking
    assert mark
    assert f"Mark {mark} on" in own
    assert "(the customer's own mark, in place of the number)" in own
    assert "own mark" not in words(sheet_of(MANDRELS["heron-cap-mouth-plug"]))


def test_steps_of_just_half_a_millimetre_are_low_ones() -> None:
    """The collective edge takes up to 0.3 from both corners; the note leaves no step between."""
    mandrel = MANDRELS["heron-cap-mouth-plug"]
    first = mandrel.outer[0]
    # What paper shows as 0.5 is 0.5: a difference of two diameters has a last binary place.
    for step, low in (
        (0.49, True), ((13.6 - 12.6) / 2, True), ((9.6 - 8.6) / 2, True), (0.5, True),
        (0.5000001, True), (0.501, False), (0.51, False),
    ):  # fmt: skip
        assert corner.least(step, None) == 0.1
        assert corner.is_low(step) is low
        outer = (first, replace(first, z0=first.z1, z1=first.z1 + 5, d0=first.d1 - 2 * step,
                                d1=first.d1 - 2 * step))  # fmt: skip
        said = " ".join(_sentences(replace(mandrel, outer=outer, threads=()), ""))
        assert ("at steps nominally 0.5 high or less (on the radius) edges sharp" in said) is low


def test_a_sheet_that_is_not_issued_is_released_by_nothing() -> None:
    said = words(sheet_of(MANDRELS["heron-cap-mouth-plug"], approved_by="", issued=False))
    assert "written order" not in said
    assert "This drawing takes precedence" in said


def test_limits_of_edges_stand_one_above_the_other() -> None:
    """ISO 13715: the upper limit above the lower one."""
    texts = [i for i in edge_symbol(("−0.1", "−0.3"), ("+0.3", "0"), (0.0, 0.0))
             if isinstance(i, Text)]  # fmt: skip
    for high, low in (texts[:2], texts[2:]):
        assert high.at[0] == low.at[0]
        assert high.at[1] >= low.at[1] + low.height
    assert [t.text for t in texts] == ["−0.1", "−0.3", "+0.3", "0"]


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_the_material_names_no_size_of_bar(name: str) -> None:
    """A size of bar belongs to some materials' strengths (here brass and free-cutting steel)."""
    made = MANDRELS[name]
    for id in (made.ordering.material, "CW614N", "11SMn30"):
        held = materials.material(id)
        assert held.strength_holds or id == "1.4305"
        drawn = words(sheet_of(replace(made, ordering=replace(made.ordering, material=id))))
        assert held.standard.split(",")[0] in drawn
        assert not held.strength_holds or held.strength_holds not in drawn
        assert "mm" not in held.standard


def test_a_details_root_line_ends_on_the_outline() -> None:
    """ISO 6410-1: the line of the root runs through a chamfer up to the outline."""
    mandrel = MANDRELS["heron-cap-mouth-plug"]
    at = next(s for s in mandrel.outer if s.thread is not None)
    for z, features in ((at.z0, "relief"), (at.z1, "chamfer")):
        window = Window(z - 1.0, z + 1.0, True, frozenset({features}))
        lines = [d for d in detail(mandrel, window, (), "X", 2.0, {}).drawn if isinstance(d, Line)]
        (root,) = [line for line in lines if line.pen is LineStyle.THREAD]
        outlines = [line.points for line in lines if line.pen is LineStyle.OUTLINE]
        ends = [
            p for p in root.points
            if any(abs(math.dist(a, p) + math.dist(p, b) - math.dist(a, b)) < 1e-9
                   and abs(a[1] - b[1]) > 1e-6 and abs(a[0] - b[0]) > 1e-6 for a, b in outlines)
        ]  # fmt: skip
        assert len(ends) == 1, (z, root, outlines)


@pytest.mark.parametrize("wish", sorted(WISHES))
def test_dimension_lines_of_one_row_share_ends_alone(wish: str) -> None:
    """One on another cannot be told apart: which arrow belongs to which number?"""
    pen = read_pen(starter("pen", "heron") + WISHES[wish].encode(), "pen.toml")
    shop = effective_shop(read_shop(starter("shop", "bench"), "shop.toml"), pen)
    made = [d.mandrel for d in designs(pen, shop) if d.mandrel is not None]
    work = limits(parse("M9x0.75"), False)
    made += gauge_pair(
        work, Whose(pen="heron", part="cap", end="mouth", called="the cap's mouth", depth=8.0)
    )
    for mandrel in made:
        level = [d for d in sheet_of(mandrel).dimensions() if d.kind == "linear" and d.angle == 0]
        for a, b in combinations(level, 2):
            apart = abs(a.at[1] - b.at[1]) > 0.05
            (_, left), (right, _) = sorted(sorted((d.p[0], d.q[0])) for d in (a, b))
            assert apart or right > left - 0.06, (a.id, b.id)


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_every_starters_sheet_shows_the_mandrel_in_its_part(name: str) -> None:
    """Smaller where full size finds no place: it is what tells a turner what the thing is for."""
    shown = [t.text for s in sheet_of(MANDRELS[name]).sheets for t in s.texts()]
    assert sum(t.startswith("In use (") for t in shown) == 1
