"""Words beside the boxes that kept a fresh maker from reading on."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.assess.words import Answer, Word
from mandrelgen.page import step_states
from tests.page.test_moved_words import PEN
from tests.support.page_client import client_of, words

PARTS = ("barrel", "section")
WIDTH = 26
"""Letters that a box for a choice shows."""


@pytest.fixture
def page(tmp_path: Path) -> Iterator[TestClient]:
    (tmp_path / "heron.toml").write_text(PEN, "utf-8")
    (tmp_path / "shop.toml").write_text("schema = 1\n", "utf-8")
    with client_of(tmp_path) as client:
        yield client


def test_the_length_of_a_part_with_a_tenon_says_that_the_tenon_is_in_it(page: TestClient) -> None:
    text = page.get("/pens/heron/pen").text
    label = {p: re.search(rf'for="f-parts-{p}-length">([^<]*)<', text) for p in PARTS}
    said = {p: m[1] for p, m in label.items() if m}
    assert said == {
        "barrel": "Length over all", "section": "Length over all, tenon included"
    }  # fmt: skip
    assert "Length over all, tenon included" in page.get("/").text


def test_what_a_pen_is_made_of_comes_before_steels(page: TestClient) -> None:
    text = page.get("/pens/heron/pen").text
    for box in ("f-parts-section-material", "f-pen-material"):
        rows = re.findall(r'<option value="([^"]+)"', text.partition(f'id="{box}"')[2][:4000])
        assert rows[0] == "ebonite"
        assert rows.index("stabilised-wood") < rows.index("11SMn30")
        assert rows.index("resin") < rows.index("C45")


def test_a_caution_of_a_material_is_no_remedy(page: TestClient) -> None:
    shown = words(page.get("/pens/heron/pen").text)
    assert "they craze and stain it" in shown
    assert "→" not in shown.partition("they craze and stain it")[2][:5]
    assert shown.count("qualified person") == 1  # the caution at every page's foot


def test_what_stands_in_a_choice_of_the_wishes_fits_its_box(page: TestClient) -> None:
    text = page.get("/pens/heron/mandrels").text.partition('id="wishes"')[2]
    first = re.findall(r'<option value="">([^<]*)</option>', text)
    assert len(first) > 3
    assert [said for said in first if len(said) > WIDTH] == []


def test_the_step_bar_says_of_each_mandrel_what_is_to_be_done() -> None:
    rows = [Answer("a", Word.ORDER, ""), Answer("b", Word.HAVE, "", "MG-1"),
            Answer("c", Word.HAVE, "", "MG-2", own=True, state="ordered")]  # fmt: skip
    assert step_states.summary(rows) == "1 to order, 1 you have, 1 ordered"
