"""Nothing of a step ever lies under its drawing, wherever one has scrolled to: what is focused,
what an address leads to, and what is read can be seen (WCAG 2.2, 2.4.11 asks it of the focus)."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.bench_hands import settled, window
from tests.support.bench_page import Served

# What is hit at the middle of an element's first line, and whether that is the element itself.
SEEN = """
const seen = e => {
  const r = e.getClientRects()[0], x = r.left + r.width / 2, y = r.top + r.height / 2;
  const hit = document.elementFromPoint(x, y);
  if (!hit || hit.closest('.drawing')) return false;
  return e.contains(hit) || hit.contains(e);
};
"""
FOCUSED = (
    SEEN
    + """
const bad = [];
const all = [...document.querySelectorAll('main :is(a, button, input, select, summary)')];
for (const e of all.filter(e => e.checkVisibility() && !e.disabled && !e.closest('.drawing'))) {
  for (const from of [0, document.documentElement.scrollHeight]) {
    scrollTo(0, from);
    e.focus();
    const r = e.getClientRects()[0];
    if (r.top < -1 || r.bottom > innerHeight + 1 || !seen(e))
      bad.push([from, e.outerHTML.slice(0, 90)]);
    e.blur();
  }
}
return [all.length, bad];
"""
)
READ = (
    SEEN
    + """
const bad = [];
let count = 0;
const pane = document.querySelector('.shown');
for (let at = 0; at < document.documentElement.scrollHeight; at += 150) {
  scrollTo(0, at);
  const all = [...document.querySelectorAll('.found li p, .facts li, .field label, .field input')];
  for (const e of all.filter(e => e.checkVisibility())) {
    const r = e.getClientRects()[0], y = r.top + r.height / 2;
    const room = pane.contains(e) ? pane.getBoundingClientRect() : {top: 0, bottom: innerHeight};
    if (y < Math.max(0, room.top) + 2 || y > Math.min(innerHeight, room.bottom) - 2) continue;
    count++;
    if (!seen(e)) bad.push([at, e.outerHTML.slice(0, 90)]);
  }
}
return [count, bad];
"""
)


def at(tab: Any, page: Served, step: str, width: int, height: int) -> None:
    window(tab, width)
    size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    tab.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    tab.get(f"{page.base}/pens/wren/{step}")
    settled(tab)
    tab.execute_script("for (const d of document.querySelectorAll('details')) d.open = true")


@pytest.mark.parametrize(("width", "height"), [(390, 844), (820, 1100), (1400, 900), (1400, 650)])
@pytest.mark.parametrize("step", ["pen", "joints"])
def test_nothing_that_is_focused_or_read_lies_under_the_drawing(
    tab: Any, page: Served, step: str, width: int, height: int
) -> None:
    at(tab, page, step, width, height)
    assert tab.find_elements("css selector", ".found .error")
    for script in (FOCUSED, READ):
        count, bad = tab.execute_script(script)
        assert count > 20
        assert bad == []


@pytest.mark.parametrize("width", [390, 820, 1400])
def test_what_an_address_leads_to_can_be_seen(tab: Any, page: Served, width: int) -> None:
    at(tab, page, "pen", width, 900)
    tab.get(f"{page.base}/pens/wren/joints#f-parts-section-ends-front-bore-1-diameter")
    settled(tab)
    assert tab.execute_script(
        SEEN
        + "const e = document.activeElement; return e.id.endsWith('bore-1-diameter') && seen(e)"
    )
