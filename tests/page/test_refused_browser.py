"""In a browser: a refusal is seen where the button was pressed, what is half typed outlives other
changes, the way back leaves the model alone, and nothing hides in a pane that scrolls by itself."""

from __future__ import annotations

from typing import Any

import pytest

pytest.importorskip("selenium")
from selenium.webdriver.common.keys import Keys

from tests.support.bench_hands import Hands, settled, window
from tests.support.bench_page import Served

FORM = "form.row:has(input[name=part][value=barrel]):has(input[name=end][value=tail])"


def boxes(tab: Any) -> list[str]:
    script = f"return [...document.querySelectorAll('{FORM} .size input')].map(e => e.value)"
    return list(tab.execute_script(script))[:2]


@pytest.mark.parametrize("width", [390, 820, 1400])
def test_a_refused_hole_is_told_in_sight_and_what_is_typed_outlives_another_change(
    tab: Any, page: Served, width: int
) -> None:
    window(tab, width)
    tab.get(f"{page.base}/pens/wren/joints")
    settled(tab)
    tab.execute_script("for (const d of document.querySelectorAll('details')) d.open = true")
    me = Hands(tab)
    me.fill(f"{FORM} [name=diameter]", "wide")
    me.fill(f"{FORM} [name=depth]", "12")
    me.click(f"{FORM} button")
    seen = tab.execute_script(
        "const r = document.querySelector('[data-refused]').getBoundingClientRect();"
        "return r.height > 0 && r.top >= 0 && r.bottom <= innerHeight"
    )
    assert seen
    assert boxes(tab) == ["wide", "12"]
    me.fill(f"{FORM} [name=diameter]", "3,5")
    me.fill(f"{FORM} [name=depth]", "4")
    me.fill("#f-parts-cap-ends-mouth-bore-0-depth", "29")
    assert boxes(tab) == ["3,5", "4"]
    me.click(f"{FORM} button")
    assert not tab.find_elements("css selector", "[data-refused]")
    assert boxes(tab) == ["", ""]
    me.click("#undo")
    me.click("#undo")


def test_no_pane_of_its_own_hides_what_is_found(tab: Any, page: Served) -> None:
    window(tab, 1400)
    for step in ("pen", "joints"):
        tab.get(f"{page.base}/pens/wren/{step}")
        settled(tab)
        inner = tab.execute_script(
            "return [...document.querySelectorAll('main, main .beside *')].filter("
            "e => e.scrollHeight > e.clientHeight + 1 && "
            "['auto', 'scroll'].includes(getComputedStyle(e).overflowY) && "
            "e.clientHeight > 0 && !e.matches('textarea, .sheet')).length"
        )
        assert inner == 0
        assert tab.find_elements("css selector", ".found .error")


def test_enter_sends_a_refused_value_again(tab: Any, page: Served) -> None:
    window(tab, 1400)
    tab.get(f"{page.base}/pens/wren/pen")
    settled(tab)
    me = Hands(tab)
    box = "#f-parts-cap-length"
    was = tab.find_element("css selector", box).get_attribute("value")
    me.fill(box, "sixty")
    assert tab.find_element("css selector", box).get_attribute("aria-invalid") == "true"
    tab.execute_script(
        "window.sent = []; document.addEventListener('htmx:configRequest', "
        "e => window.sent.push(e.detail.parameters.value))"
    )
    tab.find_element("css selector", box).send_keys(Keys.ENTER)
    settled(tab)
    assert tab.execute_script("return window.sent") == ["sixty"]
    me.fill(box, was)
    tab.find_element("css selector", box).send_keys(Keys.ENTER)
    settled(tab)
    assert tab.execute_script("return window.sent") == ["sixty", was]


def test_what_a_thread_leaves_behind_is_offered_in_sight(tab: Any, page: Served) -> None:
    window(tab, 1400)
    tab.get(f"{page.base}/pens/wren/joints")
    settled(tab)
    me = Hands(tab)
    me.click("form[action$=drop-thread]:has([value=barrel]):has([value=external]) button")
    seen = tab.execute_script(
        "const r = document.querySelector('form.left').getBoundingClientRect();"
        "return r.height > 0 && r.top >= 0 && r.bottom <= innerHeight"
    )
    assert seen
    me.click("form.left button")
    assert not tab.find_elements("css selector", "form.left")
    me.click("#undo")
    me.click("#undo")


def test_the_sizes_to_tick_follow_the_system(tab: Any, page: Served) -> None:
    window(tab, 1400)
    tab.get(f"{page.base}/shop")
    settled(tab)
    for system, most in (("ISO 15488-16", "10"), ("ISO 15488-40", "26")):
        Hands(tab).choose("#s-system", system)
        sizes = tab.find_elements("css selector", "#s-sizes input")
        assert sizes[-1].get_attribute("value") == most
