"""What a change did is seen where one stands, until the next press, and covers nothing that one
types in; a size on the drawing leads to its box on the other step too."""

from __future__ import annotations

from typing import Any

from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from tests.support.bench_hands import Hands, settled
from tests.support.bench_page import Served

SHOWN = """
const r = document.getElementById('said').getBoundingClientRect();
return [r.height > 0 && r.top >= 0 && r.bottom <= innerHeight + 1,
        document.getElementById('said').textContent, scrollY];
"""
CLEAR = """
const r = document.activeElement.getBoundingClientRect();
const x = r.left + r.width / 2, y = r.top + r.height / 2;
return document.activeElement.contains(document.elementFromPoint(x, y));
"""


def test_what_a_change_did_is_seen_far_down_until_the_next_press(tab: Any, page: Served) -> None:
    tab.get(f"{page.base}/pens/heron/mandrels")
    settled(tab)
    leave = tab.find_elements(By.CSS_SELECTOR, "form[action$='/leave'] button")[-1]
    tab.execute_script("for (const d of document.querySelectorAll('details')) d.open = true")
    # A picture asked for before its mandrel goes, answered after, would be told as missing.
    tab.execute_script("for (const i of document.images) i.loading = 'eager'")
    Hands(tab).wait("return [...document.images].every(i => i.complete)")
    tab.execute_script("arguments[0].scrollIntoView({block: 'center'})", leave)
    leave.click()
    settled(tab)
    seen, said, down = tab.execute_script(SHOWN)
    assert down > 500
    assert seen
    assert "now no mandrel; before: " in said
    tab.find_element(By.TAG_NAME, "body").send_keys(Keys.SHIFT)
    assert tab.execute_script(SHOWN)[0] is False
    tab.find_element(By.CSS_SELECTOR, ".undo button").click()
    settled(tab)


def test_the_notice_covers_no_box_that_one_types_in(tab: Any, page: Served) -> None:
    """The bore goes along with the section's length, and that is told."""
    tab.get(f"{page.base}/pens/heron/pen")
    settled(tab)
    box = tab.find_element(By.CSS_SELECTOR, "input[data-key='parts.section.length']")
    was = box.get_attribute("value")
    for length in (f"{float(was) + 1:g}", was):
        tab.execute_script("arguments[0].scrollIntoView({block: 'end'})", box)
        box.send_keys(Keys.CONTROL, "a")
        box.send_keys(length)  # sent by itself, a moment after the last key
        Hands(tab).wait(f"return document.getElementById('said').textContent.includes('{length}')")
        settled(tab)
        seen, _, down = tab.execute_script(SHOWN)
        assert down > 500
        assert seen
        assert tab.execute_script(CLEAR)


def test_a_size_of_the_drawing_leads_to_its_box_from_the_joints_too(tab: Any, page: Served) -> None:
    tab.get(f"{page.base}/pens/heron/joints")
    settled(tab)
    boxes = {
        e.get_attribute("data-key") for e in tab.find_elements(By.CSS_SELECTOR, "input[data-key]")
    }
    key = next(
        k for e in tab.find_elements(By.CSS_SELECTOR, ".dimension[data-key$='.diameter']")
        if (k := e.get_attribute("data-key")) not in boxes
    )  # fmt: skip
    tab.find_element(By.CSS_SELECTOR, f".dimension[data-key='{key}'] text").click()
    Hands(tab).wait("return location.pathname.endsWith('/pen')")
    settled(tab)
    assert tab.switch_to.active_element.get_attribute("data-key") == key
