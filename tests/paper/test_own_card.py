"""The card of a mandrel that the maker makes, as it is printed: one page, nothing over anything,
every letter of the picture explained beside it."""

from __future__ import annotations

import tomllib
from collections import Counter

import pytest
from hypothesis import given, reject, settings

from mandrelgen.files.formats import write
from mandrelgen.files.proof import read_back
from mandrelgen.files.proof.report import ProofError
from mandrelgen.paper.reports.own_card import LOW, leaves
from mandrelgen.spec.pen import Pen
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.package import _expected
from mandrelgen.workshop.home.own_mandrel import OwnMandrel
from tests.paper.test_assessment_page import ISSUE
from tests.support.clear_pages import clear
from tests.support.own_mandrels import SHOPS, cards_of, starter_cards, with_tools
from tests.support.randompens import SHOP, pens


def look(card: OwnMandrel) -> None:
    """One page; its letters stand once in the picture and once in the table."""
    (leaf,) = leaves(card)
    clear(leaf, LOW)
    letters = Counter(t.text for t in leaf.texts() if len(t.text) == 1 and t.text.isupper())
    assert letters == {s.mark: 2 for s in card.sizes}
    said = [t.text for t in leaf.texts()]
    words = " ".join(s.what for s in card.steps)
    assert not [x for x in (" .", " ,", "  ", "()", "None", "inf", "nan") if x in words], words
    for s in card.sizes:
        assert s.text in said
        if s.low is not None:
            assert s.limits + (" *" if s.fit else "") in said


@pytest.mark.parametrize("extra", ["", '\n[mandrels.defaults]\nthread_order = "blank"\n'])
@pytest.mark.parametrize("name", sorted(SHOPS))
def test_a_starter_s_card_is_one_clear_page(name: str, extra: str) -> None:
    if extra and name != "heron":
        pytest.skip("they have defaults of their own")
    assert starter_cards(name, extra)
    for card in starter_cards(name, extra).values():
        look(card)


@settings(max_examples=15, deadline=None)
@given(pens())
def test_the_card_of_a_random_pen_is_one_clear_page(pen: Pen) -> None:
    try:
        found = cards_of(pen, with_tools(pen, SHOP))
    except ThreadTextError:  # a file with such a thread is refused when it is read
        reject()
    for card in found.values():
        look(card)


# The most that a card has to say: a wide thread of two starts, a washer, centres in both ends.
FULL = """schema = 1
pen = {{ id = "bulrush", name = "Bulrush" }}
[mandrels]
requests = [{{ holds = "body.mouth" }}]
[mandrels.defaults]
thread_order = "single-point"
centre_holes = "both"
soft_washer = 0.5
[parts.body]
length = 56.5
diameter = {wide}
[parts.body.ends.mouth]
diameter = {wide}
bore = [{{ diameter = {bore}, depth = 11.5, made = "drilled" }}]
[parts.body.ends.mouth.internal]
thread = "{thread}"
depth = 11.5
tap_lead = 1.88
counterbore = {{ diameter = {counterbore}, depth = 1.5, made = "bored" }}
"""


@pytest.mark.parametrize(
    ("wide", "thread", "counterbore", "bore"),
    [(30.9, "M27xPh2.5P1.25", 27.4, 25.75), (25.9, "M22.5xPh2.5P1.25", 22.9, 21.25)],
)
def test_a_card_with_much_to_say_is_one_clear_page(
    wide: float, thread: str, counterbore: float, bore: float
) -> None:
    text = FULL.format(wide=wide, thread=thread, counterbore=counterbore, bore=bore)
    pen = Pen.model_validate(tomllib.loads(text))
    (card,) = cards_of(pen, with_tools(pen, SHOP)).values()
    look(card)


def test_the_card_is_read_back_and_a_wrong_reading_is_found() -> None:
    card = starter_cards("heron")["barrel-mouth-plug"]
    build = Build(card.mandrel, ISSUE, own=card)
    files = write(build, ("card",))
    expected = _expected(build, (0, 1))
    (proved,) = read_back.check(expected, files).values()
    assert proved == {"pages": 1, "sizes": len(card.sizes)}
    # Wider than the drawing's limits, although it stands on the page as it was asked for.
    wide = [s for s in card.sizes if s.id == "collar.diameter"]
    narrow = card.mandrel.characteristic("collar.diameter")
    assert wide[0].low == narrow.lower
    other = tuple(("thread.major_diameter", m, r) if i == "collar.diameter" else (i, m, r)
                  for i, m, r in expected.card)  # fmt: skip
    for wrong in (other, (*expected.card, ("neck.end", "A", "1 to 2"))):
        with pytest.raises(ProofError):
            read_back.check(_with(expected, wrong), files)


def _with(expected, card):  # type: ignore[no-untyped-def]
    from dataclasses import replace

    return replace(expected, card=card)


def test_a_mandrel_that_the_turner_makes_has_no_card() -> None:
    card = starter_cards("heron")["barrel-mouth-plug"]
    assert write(Build(card.mandrel, ISSUE), ("card",)) == {}
