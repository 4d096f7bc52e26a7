"""In a browser: a refusal is seen where the button was pressed, what is half typed outlives other
changes, the way back leaves the model alone, and nothing hides in a pane that scrolls by itself."""

from __future__ import annotations

from typing import Any

import pytest

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
