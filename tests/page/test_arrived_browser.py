"""Booking in at the bench, in a real Chromium: a balloon leads to its box, and dirty thumbs hit."""

from __future__ import annotations

from typing import Any

import pytest
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from tests.support.bench_hands import settled, window
from tests.support.bench_page import Served
from tests.support.waiting import waiting

LEAST = 44
"""CSS px: the least side of what is pressed (WCAG 2.2, 2.5.5)."""


def test_a_balloon_leads_to_its_box_and_the_reading_is_judged_where_one_looks(
    tab: Any, page: Served
) -> None:
    tab.get(f"{page.base}/pens/heron/arrived?piece=MG-0001-A")
    settled(tab)
    tab.execute_script(
        "document.querySelector('[data-balloon=\"shank.diameter\"] circle')"
        ".dispatchEvent(new MouseEvent('click', {bubbles: true}))"
    )
    box = tab.switch_to.active_element
    assert box.get_attribute("data-balloon-box") == "shank.diameter"
    box.send_keys("13.98")
    waiting(tab).until(
        lambda t: t.find_elements(By.CSS_SELECTOR, ".answer.good[data-q='shank.diameter'] b")
    )
    assert tab.switch_to.active_element.get_attribute("value") == "13.98"
    assert tab.find_element(By.CSS_SELECTOR, ".verdict .word").text
    tab.find_element(By.ID, "undo").click()
    settled(tab)


def test_answers_typed_faster_than_they_are_judged_all_arrive(tab: Any, page: Served) -> None:
    tab.get(f"{page.base}/pens/heron/arrived?piece=MG-0003-A")
    settled(tab)
    boxes = tab.find_elements(By.CSS_SELECTOR, ".form > .answer .two .size:first-child input")
    values = [f"9.{n}" for n in range(len(boxes))]
    for box, value in zip(boxes, values, strict=True):
        box.send_keys(value, Keys.TAB)
    settled(tab)
    tab.refresh()
    settled(tab)
    boxes = tab.find_elements(By.CSS_SELECTOR, ".form > .answer .two .size:first-child input")
    assert [b.get_attribute("value") for b in boxes] == values


@pytest.mark.parametrize("width", [1400, 390])
def test_nothing_that_is_typed_in_moves_while_the_word_comes(
    tab: Any, page: Served, width: int
) -> None:
    """The first answer brings the word, which takes some 200 px: box and next box stay where they
    were, whether they are typed in or about to be."""
    window(tab, width)
    tab.get(f"{page.base}/pens/heron/arrived?piece=MG-0002-A")
    settled(tab)
    tops = (
        "return [...document.querySelectorAll('.form > .answer input')].slice(0, 8)"
        ".map(e => Math.round(e.getBoundingClientRect().top))"
    )
    boxes = tab.find_elements(By.CSS_SELECTOR, ".form > .answer .two .size:first-child input")
    tab.execute_script("arguments[0].scrollIntoView({block: 'start'})", boxes[0])
    before = tab.execute_script(tops)
    boxes[0].send_keys("13.98")
    waiting(tab).until(lambda t: t.find_elements(By.CSS_SELECTOR, ".verdict .word"))
    settled(tab)
    assert tab.execute_script(tops) == before
    boxes[1].click()
    boxes[1].send_keys("9.1")
    settled(tab)
    assert tab.switch_to.active_element == boxes[1]
    assert tab.execute_script(tops)[:3] == before[:3]
    assert tab.find_element(By.CSS_SELECTOR, ".now").is_displayed() is (width == 390)
    for _ in range(2):
        tab.find_element(By.ID, "undo").click()
        settled(tab)


def test_a_choice_is_taken_back_by_keys_alone(tab: Any, page: Served) -> None:
    tab.get(f"{page.base}/pens/heron/arrived?piece=MG-0001-A")
    settled(tab)

    def chosen() -> str:
        found = "return document.querySelector('[name=rocks]:checked').value"
        return str(tab.execute_script(found))

    tab.find_element(By.ID, "q-rocks-none").send_keys(Keys.ARROW_LEFT)
    waiting(tab).until(lambda t: t.find_elements(By.CSS_SELECTOR, ".answer.half[data-q='rocks'] b"))
    assert chosen() == "no"
    assert tab.switch_to.active_element.get_attribute("id") == "q-rocks-no"
    tab.switch_to.active_element.send_keys(Keys.ARROW_RIGHT)
    waiting(tab).until(
        lambda t: not t.find_elements(By.CSS_SELECTOR, ".answer[data-q='rocks'] .says b")
    )
    assert chosen() == ""
    assert tab.switch_to.active_element.get_attribute("id") == "q-rocks-none"


def test_at_the_bench_everything_is_large_enough_for_a_thumb(tab: Any, page: Served) -> None:
    window(tab, 390)
    tab.get(f"{page.base}/pens/heron/arrived?piece=MG-0001-A")
    settled(tab)
    small = tab.execute_script(
        "return [...document.querySelectorAll('.answer input[type=text], .picks label, "
        ".verdict button, .pieces a, .undo button')].map(e => [e.getBoundingClientRect(), "
        "e.outerHTML.slice(0, 120)]).filter(([r]) => r.width && "
        "(r.height < arguments[0] || r.width < arguments[0])).map(([r, h]) => [r.height, h])",
        LEAST,
    )
    assert small == []
    modes = tab.execute_script(
        "return [...new Set([...document.querySelectorAll('.answer input[type=text]')]"
        ".map(e => e.inputMode))]"
    )
    assert modes == ["decimal"]
