"""The turning model in a real Chromium: fetched when it is asked for, kept while sizes change."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from tests.support.bench_hands import settled
from tests.support.bench_page import Served
from tests.support.cataloguing import browser
from tests.support.waiting import waiting

CARD = "#m-cap-mouth-plug"


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    yield from browser(models=True)


def stage(tab: Any) -> Any:
    return tab.find_element(By.CSS_SELECTOR, f"{CARD} .stage")


def shown(tab: Any) -> str:
    waiting(tab).until(lambda t: stage(t).get_dom_attribute("data-shown"))
    return str(stage(tab).get_dom_attribute("data-shown"))


def painted(tab: Any) -> int:
    """How many colours of the part stand on the canvas."""
    return int(tab.execute_async_script(
        "const done = arguments[1], from = document.querySelector(arguments[0] + ' canvas');"
        "requestAnimationFrame(() => requestAnimationFrame(() => {"
        "const c = document.createElement('canvas'); c.width = 80; c.height = 40;"
        "from.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowLeft'}));"
        "requestAnimationFrame(() => {"
        "const x = c.getContext('2d'); x.drawImage(from, 0, 0, 80, 40);"
        "done(new Set(new Uint32Array(x.getImageData(0, 0, 80, 40).data.buffer)).size); }) }))",
        CARD,
    ))  # fmt: skip


def test_a_model_is_turned_by_keys_and_stays_open_while_the_pen_changes(
    tab: Any, page: Served
) -> None:
    tab.get(f"{page.base}/pens/heron/mandrels")
    settled(tab)
    assert not tab.find_elements(By.CSS_SELECTOR, "script[src='/assets/three.js']")
    tab.find_element(By.CSS_SELECTOR, f"{CARD} [data-act=model]").click()
    first = shown(tab)
    assert painted(tab) > 8
    box = tab.find_element(By.ID, "f-mandrels-defaults-quantity")
    box.send_keys("2", Keys.TAB)
    waiting(tab).until(lambda t: shown(t) != first)
    assert stage(tab).is_displayed()
    assert painted(tab) > 8
    tab.find_element(By.CSS_SELECTOR, f"{CARD} [data-act=model]").click()
    assert not stage(tab).is_displayed()
    assert tab.find_element(By.CSS_SELECTOR, f"{CARD} .preview").is_displayed()
    tab.find_element(By.ID, "undo").click()
    settled(tab)
    tab.find_element(By.CSS_SELECTOR, f"{CARD} [data-act=model]").click()
    shown(tab)
    tab.back()
    waiting(tab, 20).until(lambda t: not stage(t).is_displayed())
    assert tab.current_url == f"{page.base}/pens/heron/mandrels"


def test_other_ways_are_tried_when_their_fold_is_opened(tab: Any, page: Served) -> None:
    tab.get(f"{page.base}/pens/heron/mandrels")
    settled(tab)
    assert not tab.find_elements(By.CSS_SELECTOR, ".way")
    fold = tab.find_element(By.CSS_SELECTOR, f"{CARD} .ways summary")
    tab.execute_script("arguments[0].scrollIntoView({block: 'center'})", fold)
    fold.click()
    waiting(tab).until(lambda t: t.find_elements(By.CSS_SELECTOR, f"{CARD} .way"))
    tab.find_element(By.CSS_SELECTOR, f"{CARD} .way:has([value=die]) button").click()
    waiting(tab).until(
        lambda t: t.find_element(By.CSS_SELECTOR, f"{CARD} .word").text == "make yourself"
    )
    tab.get(f"{page.base}/shop")
    tab.find_element(By.ID, "undo").click()
    settled(tab)
