"""A groove behind the thread, or none, as the maker asks for it."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.assess.fitting import fitting
from mandrelgen.assess.settled import designs
from mandrelgen.assess.stock_tapped import stock_tapped
from mandrelgen.core.errors import Finding, InputError
from mandrelgen.design.designed import Designed
from mandrelgen.geometry.mesh import exact
from mandrelgen.geometry.mesh.build import build
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.shop import Shop, ThreadTool
from mandrelgen.workflows.check import check
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workflows.remedies import tried
from mandrelgen.workflows.trial import Bench
from mandrelgen.workshop.printing import printer, version
from mandrelgen.workshop.turning.operations import order_of_work
from mandrelgen.workshop.turning.over_wires import reach
from mandrelgen.workshop.turning.thread_alternatives import die
from tests.paths import TEMPLATES
from tests.support.own_mandrels import cards_of
from tests.support.printing_parts import EMPTY, assert_sound
from tests.support.randompens import SHOP

SECTION = """schema = 1
pen = {{ id = "reed", name = "Reed" }}

[parts.section]
length = 30.0
diameter = 13.0

[parts.section.ends.rear]
diameter = {diameter}
external = {{ thread = "{thread}", length = {length}, unformed = {unformed} }}

[mandrels.defaults]
{wishes}

[[mandrels.requests]]
holds = "section.rear"
"""


def text(wishes: str, thread: str = "M9x0.75", **sizes: float) -> bytes:
    sizes = {"diameter": 12.5, "length": 7.0, "unformed": 1.0} | sizes
    return SECTION.format(wishes=wishes, thread=thread, **sizes).encode()


def pen(wishes: str, thread: str = "M9x0.75", **sizes: float) -> Pen:
    return read_pen(text(wishes, thread, **sizes), "reed.toml")


def designed(p: Pen, shop: Shop = SHOP) -> Designed:
    (d,) = designs(p, shop)
    return d


def mandrel(d: Designed) -> Mandrel:
    assert d.mandrel is not None, d.findings
    return d.mandrel


def grooved(m: Mandrel) -> bool:
    return any(s.feature.kind is FeatureKind.RELIEF for s in (*m.inner, *m.outer))


def with_tap(thread: str, lead: float) -> Shop:
    tap = ThreadTool.model_validate({"thread": thread, "lead": lead})
    return SHOP.model_copy(update={"taps": (tap,)})


LAND, THREAD = FeatureKind.LAND, FeatureKind.THREAD
GROOVE, NONE = 'thread_relief = "groove"', 'thread_relief = "none"'
TAPPED = 'thread_order = "my-tool"\n'


@pytest.mark.parametrize(
    ("order", "ordered"),
    [
        ("", "single-point"),  # left open: with its groove it may as well be screwcut
        (TAPPED, "my-tool"),
        ('thread_order = "stock-tap"\n', "stock-tap"),
        ('thread_order = "blank"\n', "blank"),
        ('thread_order = "single-point"\n', "single-point"),
    ],
)
def test_a_cup_has_the_groove_that_is_asked_for(order: str, ordered: str) -> None:
    d = designed(pen(order + GROOVE))
    m = mandrel(d)
    assert grooved(m)
    assert m.ordering.thread_order == ordered
    assert d.findings == ()
    said = {x.id: x for x in m.decisions}
    if ordered != "single-point":
        assert said["thread.bottom"].why.startswith("a groove is asked for: with a groove ")
    if not order:
        assert said["thread.order"].why == "a groove is asked for"


@pytest.mark.parametrize("order", ["", TAPPED, 'thread_order = "stock-tap"\n'])
def test_a_tapped_cup_has_none_where_none_is_asked_for(order: str) -> None:
    d = designed(pen(order + NONE))
    assert not grooved(mandrel(d))
    (bottom,) = (x for x in mandrel(d).decisions if x.id == "thread.bottom")
    assert bottom.why.startswith("asked for; with a groove ")
    assert not stock_tapped(d)  # no screwcutting is tried beside it: that would need a groove


def test_who_wants_no_groove_takes_the_longer_body() -> None:
    """A lead of 9 instead of 2.25 (3 P): its body grows by more than the 5 of the estimate."""
    shop = with_tap("M9x0.75", 9.0)
    usual = mandrel(designed(pen(TAPPED), shop))
    asked = mandrel(designed(pen(TAPPED + NONE), shop))
    assert grooved(usual)
    assert not grooved(asked)
    (bottom,) = (x for x in usual.decisions if x.id == "thread.bottom")
    assert "longer, 5 at most" in bottom.why
    longer = asked.characteristic("collar.length").nominal
    assert longer - usual.characteristic("collar.length").nominal > 5.0


def test_of_several_starts_the_taps_lead_must_be_known() -> None:
    """Nobody knows the lead of such a tap but its owner: 3.2, from the shop file."""
    many, shop = "M9xPh1.5P0.75", with_tap("M9xPh1.5P0.75", 3.2)
    assert grooved(mandrel(designed(pen(TAPPED, many), shop)))  # as before, where nobody asks
    m = mandrel(designed(pen(TAPPED + NONE, many), shop))
    assert not grooved(m)
    (thread,) = (s.thread for s in m.inner if s.thread is not None)
    assert thread.fade == pytest.approx(3.2)
    (f,) = designed(pen(TAPPED + NONE, many)).findings
    assert "how long the lead of the 2-start tap is" in f.message


@pytest.mark.parametrize(
    ("thread", "wishes", "ways"),
    [
        ("M9x0.75", 'thread_order = "single-point"\n',
         ["a groove behind the thread", "tapped with a stock tap"]),
        ("M8.5x0.75", "", ["a groove behind the thread"]),  # no stock tap: screwcut
        ("M9xPh1.5P0.75", TAPPED, ["a groove behind the thread"]),
    ],
)  # fmt: skip
def test_a_thread_that_needs_its_groove_keeps_it_and_says_why(
    tmp_path: Path, thread: str, wishes: str, ways: list[str]
) -> None:
    data = text(wishes + NONE, thread)
    assert grooved(mandrel(designed(pen(wishes + NONE, thread))))
    found = remedied(data, tmp_path)
    (f,) = [f for f in found if f.code == "thread.needs_groove"]
    assert [r.says for r in f.remedies] == ways


@pytest.mark.parametrize(
    ("thread", "sizes", "code"),
    [
        ("M8x1", {"diameter": 10.2, "unformed": 0.5}, "wall.thin"),
        ("M9x0.75", {"diameter": 11.2, "unformed": 0.5, "length": 5.0}, "seat.clearance"),
    ],
)
def test_a_groove_without_room_is_told_and_leaving_it_out_mends_it(
    tmp_path: Path, thread: str, sizes: dict[str, float], code: str
) -> None:
    """The groove is wider than the thread's root: what is left beside it is the wall."""
    assert not {f.code for f in remedied(text(TAPPED, thread, **sizes), tmp_path)} & {code}
    found = remedied(text(TAPPED + GROOVE, thread, **sizes), tmp_path)
    (f,) = [f for f in found if f.code == code]
    assert f.remedies[0].says == "no groove behind the thread"
    assert [(c.path, c.value) for c in f.remedies[0].changes] == [
        (("mandrels", "requests", 0, "thread_relief"), "none")
    ]


def remedied(data: bytes, folder: Path) -> tuple[Finding, ...]:
    """What check finds, with the remedies that were tried and hold."""
    file = folder / "pen.toml"
    file.write_bytes(data)
    inputs = read_inputs(file, TEMPLATES / "shops/bench.toml")
    return tuple(tried(check(inputs).findings, Bench(data, inputs.shop)))


def test_another_word_is_refused_at_its_line() -> None:
    with pytest.raises(InputError) as caught:
        pen('thread_relief = "run-out"')
    (f,) = caught.value.findings
    assert "thread_relief" in f.where
    assert "groove" in f.message + f.remedy


# -- plugs: a die that runs out at the seat --------------------------------------------------------
BARREL = """schema = 1
pen = {{ id = "reed", name = "Reed" }}

[parts.barrel]
length = 82.0
diameter = 13.2

[parts.barrel.ends.mouth]
bore = [{{ diameter = 8.3, depth = 66.0 }}]
internal = {{ thread = "{thread}", depth = 13.0{mouth} }}

[[mandrels.requests]]
holds = "barrel.mouth"
{wishes}
"""
MOUTH = ", counterbore = { diameter = 9.3, depth = 2.0 }"


def barrel(wishes: str, mouth: str = MOUTH, thread: str = "M9x0.75") -> bytes:
    return BARREL.format(wishes=wishes, mouth=mouth, thread=thread).encode()


def plug(wishes: str, mouth: str = MOUTH, thread: str = "M9x0.75", shop: Shop = SHOP) -> Mandrel:
    return mandrel(designed(read_pen(barrel(wishes, mouth, thread), "reed.toml"), shop))


def with_die(thread: str, incomplete: float) -> Shop:
    die = ThreadTool.model_validate({"thread": thread, "incomplete": incomplete})
    return SHOP.model_copy(update={"dies": (die,)})


def test_a_plugs_die_runs_out_in_the_parts_counterbore() -> None:
    """A die leaves 2 P incomplete (from memory), 1.5; the counterbore of 2.0 is 1.8 deep where a
    hand stopped 0.2 early (common practice, no source)."""
    m = plug(TAPPED + NONE)
    assert not grooved(m)
    c = m.characteristic("thread.incomplete")
    assert (c.nominal, c.upper) == (1.5, 1.5)
    thread = next(s for s in m.outer if s.thread is not None)
    land = next(s for s in m.outer if s.feature.kind is FeatureKind.LAND)
    assert thread.thread is not None
    assert land.z0 == 0.0
    assert land.d0 == land.d1 == thread.d0  # the crest's cylinder runs on to the seat
    assert thread.z0 + thread.thread.fade == pytest.approx(1.5)
    assert (
        m.characteristic("thread.end").nominal == plug(TAPPED).characteristic("thread.end").nominal
    )
    assert any("incomplete threads up to 1.5 from the seat allowed" in n for n in m.notes)


def test_what_ones_own_die_leaves_counts_and_of_several_starts_must_be_known() -> None:
    known = plug(TAPPED + NONE, shop=with_die("M9x0.75", 1.15))
    assert known.characteristic("thread.incomplete").nominal == 1.2  # in tenths, upwards
    many = "M9xPh1.5P0.75"
    assert grooved(plug(TAPPED + NONE, thread=many))
    assert not grooved(plug(TAPPED + NONE, thread=many, shop=with_die(many, 1.6)))


@pytest.mark.parametrize(
    ("wishes", "mouth", "why"),
    [
        ("", MOUTH, "a single point needs it"),
        (TAPPED, "", "counterbore ⌀9.1 × 1.7 in the part (none)"),
        (TAPPED, ", counterbore = { diameter = 9.3, depth = 1.5 }", "(⌀9.3 × 1.5)"),
        (TAPPED, ", counterbore = { diameter = 9.05, depth = 2.0 }", "(⌀9.05 × 2)"),
    ],
)
def test_a_plug_whose_part_takes_no_incomplete_threads_keeps_its_groove(
    tmp_path: Path, wishes: str, mouth: str, why: str
) -> None:
    """⌀9.1: the crest of 6g is ⌀8.978 at most, and 0.1 for the burr; 1.7: 1.5 and 0.2 by hand."""
    assert grooved(plug(wishes + NONE, mouth))
    (f,) = [
        f for f in remedied(barrel(wishes + NONE, mouth), tmp_path)
        if f.code == "thread.needs_groove"
    ]  # fmt: skip
    assert why in f.message
    assert [r.says for r in f.remedies] == ["a groove behind the thread"]


def test_a_washer_moves_the_part_off_and_so_gives_room() -> None:
    shallow = ", counterbore = { diameter = 9.3, depth = 1.4 }"
    assert grooved(plug(TAPPED + NONE, shallow))
    assert not grooved(plug(TAPPED + NONE + "\nsoft_washer = 0.5", shallow))


def test_a_blank_without_a_groove_is_plain_up_to_the_seat() -> None:
    m = plug('thread_order = "blank"\n' + NONE)
    assert not grooved(m)
    assert next(s for s in m.outer if s.feature == "thread").z0 == 0.0
    assert "thread.incomplete" not in {c.id for c in m.characteristics}


@pytest.mark.parametrize("order", [TAPPED, 'thread_order = "blank"\n'])
def test_no_paper_speaks_of_a_groove_that_is_not_there(order: str) -> None:
    m = plug(order + NONE)
    steps = order_of_work(m)
    finished = [i for s in steps for i in s.finishes]
    assert sorted(finished) == sorted(set(finished))
    assert "relief" not in " ".join(s.what + s.why for s in steps)
    said = die(m, m.threads[0])
    assert said.usable
    assert "incomplete threads up to 1.5 from the seat are allowed" in said.text
    assert "relief" not in said.text + said.reach
    assert "full grooves 2.2 to" in reach(m, m.threads[0]).why or order != TAPPED


def test_the_card_of_a_blank_runs_the_die_up_to_the_seat() -> None:
    p = read_pen(barrel('thread_order = "blank"\n' + NONE), "reed.toml")
    for left, more in ((1.5, "takes 1.5 of it."), (1.75, "takes 1.8 of it.")):
        (card,) = cards_of(p, with_die("M9x0.75", left)).values()
        text = " ".join(s.what for s in card.steps)
        assert "up to the seat; back off" in text
        assert more in text
        assert "groove" not in text


def test_a_printed_trial_runs_out_too() -> None:
    """The crest's cylinder runs on to the seat in plastic as well: the surface closes."""
    m = plug(TAPPED + NONE)
    printed = version.of_mandrel(m, printer.printer(EMPTY, "resin"))
    land, thread = (s for s in printed.shape.outer if s.feature.kind in (LAND, THREAD))
    assert land.d0 == land.d1 == thread.d0 < plug(TAPPED + NONE).outer[-2].d0
    assert_sound(build(printed.profile), exact.volume(printed.profile))


@pytest.mark.parametrize(
    ("mouth", "hindered"),
    [
        (MOUTH, False),
        ("", True),
        (", counterbore = { diameter = 9.3, depth = 1.2 }", True),
        # Narrower than the crest of 8.978, at its least.
        (", counterbore = { diameter = 9.0, depth = 2.0, lower = -0.1, upper = 0.1 }", True),
    ],
)
def test_one_without_a_groove_serves_no_part_that_its_incomplete_threads_hold_off(
    mouth: str, hindered: bool
) -> None:
    """1.5 from the seat on may be incomplete: it needs so much free mouth in any part."""
    there = plug(TAPPED + NONE)
    other = read_pen(barrel("", mouth), "reed.toml")
    found = fitting(there, other, SHOP, designed(other).planned, {})
    assert any("incomplete threads" in h for h in found.hinders) is hindered
