"""The page as a person meets it, in a real Chromium: from an empty folder to an order, counted; no
fault of the axe engine (axe-core 4, Deque), no console error, no request leaves the machine."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from tests.support.bench_hands import (
    Hands,
    drawn,
    first_pen,
    quiet,
    settled,
    typed_when_gone,
    window,
)
from tests.support.bench_page import Served, folder_with, served
from tests.support.page_client import client_of
from tests.support.reed_pen import begun
from tests.support.waiting import waiting

AXE = Path(__file__).parents[1] / "support" / "axe.min.js"
STEPS = ("", "shop", "archive", "pens/heron/pen", "pens/heron/pen?state=capped",
         "pens/heron/joints", "pens/heron/mandrels", "pens/heron/sheets/cap-mouth-plug",
         "pens/heron/order", "pens/heron/arrived")  # fmt: skip
AXED = (*STEPS, "pens/wren/pen", "pens/wren/mandrels")


def unfold(tab: Any) -> None:
    for fold in tab.find_elements(By.CSS_SELECTOR, "details:not([open])"):
        tab.execute_script("arguments[0].open = true", fold)


@pytest.mark.parametrize("step", AXED)
def test_axe_finds_no_fault_on_any_step(tab: Any, page: Served, step: str) -> None:
    """Wide and narrow, light and dark; ``tests/long/test_bench_page.py``: narrow in the dark."""
    no_fault(tab, page, step, {1400: (False, True), 390: (False,)})


def no_fault(tab: Any, page: Served, step: str, schemes: dict[int, tuple[bool, ...]]) -> None:
    """``schemes``: light (False) and dark ones, by width."""
    for width, ways in schemes.items():
        window(tab, width)
        tab.get(f"{page.base}/{step}")
        settled(tab)
        unfold(tab)
        # By the driver, not as a script of the page, whose policy would refuse it.
        tab.execute_cdp_cmd("Runtime.evaluate", {"expression": AXE.read_text("utf-8")})
        for dark in ways:
            window(tab, width, dark)
            scheme = f"return matchMedia('(prefers-color-scheme: {'dark' if dark else 'light'})')"
            assert tab.execute_script(f"{scheme}.matches")
            found = tab.execute_async_script(
                "const done = arguments[0]; axe.run(document, {resultTypes: ['violations']}).then("
                "r => done(r.violations.map(v => [v.id, v.nodes.map(n => n.html).slice(0, 3)])))"
            )
            assert found == [], (width, dark)


@pytest.mark.parametrize("step", STEPS)
def test_no_step_scrolls_sideways_and_every_input_has_a_visible_label(
    tab: Any, page: Served, step: str
) -> None:
    """On a wide window, a small one, a telephone; and zoomed to 200 %: that leaves half the CSS px,
    1400 become 700, 820 become 410, and 320 is the least that WCAG 2.2, 1.4.10, asks for."""
    tab.get(f"{page.base}/{step}")
    settled(tab)
    unfold(tab)
    bad = tab.execute_script(
        "return [...document.querySelectorAll('input:not([type=hidden]), select, textarea')]"
        ".filter(e => !e.labels.length || ![...e.labels].some(l => l.checkVisibility() && "
        "l.textContent.trim() && l.getBoundingClientRect().width > 2)).map(e => e.outerHTML)"
    )
    assert bad == []
    for width in (1400, 820, 700, 410, 390, 320):
        window(tab, width)
        assert tab.execute_script("return innerWidth") == width
        assert tab.execute_script("return document.documentElement.scrollWidth") <= width, width
    # Opened as narrow as that it is no wider either.
    tab.get(f"{page.base}/{step}")
    settled(tab)
    unfold(tab)
    assert tab.execute_script("return document.documentElement.scrollWidth") <= 320


@pytest.mark.parametrize(("width", "share"), [(390, 0.85), (820, 0.85), (1400, 0.4)])
def test_what_is_said_of_a_mandrel_has_the_width_beside_its_sheet(
    tab: Any, page: Served, width: int, share: float
) -> None:
    window(tab, width)
    tab.get(f"{page.base}/pens/wren/mandrels")
    settled(tab)
    wide = tab.execute_script(
        "return [...document.querySelectorAll('.mandrel .words, .mandrel .found')]"
        ".map(e => e.getBoundingClientRect().width)"
    )
    assert len(wide) > 3
    assert min(wide) >= share * width


def test_on_paper_stand_the_drawing_and_what_it_shows_alone(tab: Any, page: Served) -> None:
    tab.get(f"{page.base}/pens/wren/pen")
    settled(tab)
    tab.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    seen = tab.execute_script(
        "const seen = s => [...document.querySelectorAll(s)].filter(e => e.checkVisibility());"
        "return [seen('.pen-drawing, .facts, .found').length, seen('input, select, button').length]"
    )
    tab.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert seen == [3, 0]


def test_a_wall_of_the_drawing_leads_to_the_box_that_mends_it(tab: Any, page: Served) -> None:
    tab.get(f"{page.base}/pens/wren/joints")
    settled(tab)
    tab.execute_script(
        "document.querySelector('.wall-error[data-key$=\"bore.0.diameter\"]')"
        ".dispatchEvent(new MouseEvent('click', {bubbles: true}))"
    )
    key = tab.execute_script("return document.activeElement.dataset.key")
    assert key == "parts.barrel.ends.mouth.bore.0.diameter"


def test_typing_redraws_at_once_and_keeps_the_focus_and_every_stroke(
    tab: Any, page: Served
) -> None:
    tab.get(f"{page.base}/pens/heron/pen")
    box = tab.find_element(By.ID, "f-parts-finial-length")
    box.send_keys(Keys.CONTROL, "a")
    box.send_keys("9.5")
    waiting(tab).until(lambda t: "9.5" in drawn(t))
    active = tab.execute_script("return document.activeElement.id")
    assert active == "f-parts-finial-length"
    box.send_keys("5")
    waiting(tab).until(lambda t: "9.55" in drawn(t))
    assert box.get_attribute("value") == "9.55"
    tab.find_element(By.ID, "undo").click()
    waiting(tab).until(lambda t: "9.55" not in drawn(t))


def test_from_an_empty_folder_to_a_picture_and_to_an_order(
    chromium: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One part, one thread, two sizes to a picture and a word in 12 interactions, shop questions
    included; a cap and a barrel mandrel to an order in 60."""
    with served(str(tmp_path)) as found:
        chromium.get_log("browser")
        chromium.get_log("performance")
        window(chromium, 1400)
        chromium.get(found.address)
        me = Hands(chromium)
        picture = first_pen(me)
        quiet(chromium)
        order = me.count
    with capsys.disabled():
        print(f"\ninteractions: {picture} to a picture and its word, {order} to an order")
    assert picture <= 12
    assert order <= 60
    letter = chromium.find_element(By.CSS_SELECTOR, "textarea").get_attribute("value")
    assert "M12x0.8" in letter
    assert "M9x0.75" in letter
    tree = tomllib.loads((tmp_path / "reed.toml").read_text("utf-8"))
    assert set(tree["parts"]) == {"cap", "barrel"}
    assert len(list((tmp_path / "output" / "orders").iterdir())) == 1


def test_a_server_that_is_gone_is_told_and_what_was_typed_stays(
    chromium: Any, tmp_path: Path
) -> None:
    with served(str(folder_with(tmp_path, "heron"))) as found:
        window(chromium, 1400)
        chromium.get(found.address)
        chromium.get(f"{found.base}/pens/heron/pen")
        box = typed_when_gone(chromium, found, "66.6")
        assert box.get_attribute("value") == "66.6"
        chromium.get_log("browser")
    assert (
        tomllib.loads((tmp_path / "heron.toml").read_text("utf-8"))["parts"]["cap"]["length"] == 65
    )


def test_a_reload_right_behind_a_keystroke_loses_nothing(chromium: Any, tmp_path: Path) -> None:
    path = folder_with(tmp_path, "heron") / "heron.toml"
    with served(str(tmp_path)) as found:
        window(chromium, 1400)
        chromium.get(found.address)
        for way in ("link", "reload"):
            chromium.get(f"{found.base}/pens/heron/pen")
            settled(chromium)
            box = chromium.find_element(By.ID, "f-parts-cap-length")
            box.send_keys(Keys.CONTROL, "a")
            value = 66.1 if way == "link" else 66.2
            box.send_keys(f"{value}")
            if way == "link":
                chromium.find_element(By.CSS_SELECTOR, ".steps a[href$=joints]").click()
                waiting(chromium).until(lambda t: t.current_url.endswith("joints"))
            else:
                chromium.refresh()
            waiting(chromium).until(
                lambda t, v=value: tomllib.loads(path.read_text())["parts"]["cap"]["length"] == v
            )
        chromium.get_log("browser")


def test_a_pressed_button_has_the_words_of_what_it_does_next(chromium: Any, tmp_path: Path) -> None:
    """The button that was pressed has the focus while the page changes under it."""
    with client_of(tmp_path) as client:
        begun(client)
    with served(str(tmp_path)) as found:
        chromium.get(found.address)
        chromium.get(f"{found.base}/pens/reed/joints")
        hands = Hands(chromium)
        pressed = []
        while (buttons := chromium.find_elements(By.CSS_SELECTOR, ".remedy")) and len(pressed) < 3:
            for b in buttons:
                assert b.text == b.get_attribute("value")
            pressed.append(buttons[0].text)
            hands.click(".remedy")
            done = pressed[-1].replace("(now ", "(was ")
            assert f"Done: {done}." in chromium.find_element(By.ID, "said").text
    assert len(pressed) > 1
