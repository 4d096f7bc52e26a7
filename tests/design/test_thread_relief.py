"""A groove behind the thread, or none, as the maker asks for it."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.assess.stock_tapped import stock_tapped
from mandrelgen.core.errors import Finding, InputError
from mandrelgen.design.designed import Designed
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.shop import Shop, ThreadTool
from mandrelgen.workflows.check import check
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workflows.remedies import tried
from mandrelgen.workflows.trial import Bench
from tests.paths import TEMPLATES
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
