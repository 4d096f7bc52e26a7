"""The catalogue as a person meets it: a real Chromium opens it from the disk."""

from __future__ import annotations

import base64
import io
import json
import math
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlparse

import numpy as np
import pdfplumber
import pytest
from PIL import Image

from mandrelgen.archive.mandrel_json import read_mandrel
from tests.support.catalogue_hands import (
    active,
    drawn,
    keys,
    one,
    opened,
    pressed,
    shown,
    window,
)
from tests.support.cataloguing import TITLE
from tests.support.waiting import waiting

pytest.importorskip("selenium")
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys


# Which fixture has it is read off the starters and the old files by eye: see `filled`.
@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("", list(range(1, 11))), ("m7.6x0.75", [2, 3]), ("M7,6 × 0,75", [2, 3]),
        ("HERON finial", [5]), ("cw614n", [9]), ("nick", [8]), ("onerror", [8]),
        ("ordered wren", [1]), ("left hand", [9]), ("no such words", []),
    ],
)  # fmt: skip
def test_words_filter(tab: Any, words: str, expected: list[int]) -> None:
    one(tab, "#words").send_keys(words)
    assert shown(tab) == expected
    assert one(tab, ".nothing").is_displayed() == (not expected)
    if words:
        assert f"{len(expected)} of 10 shown" in one(tab, ".count").text


def test_choices_filter_and_are_cleared(tab: Any) -> None:
    from selenium.webdriver.support.ui import Select

    for name, value, expected in [
        ("thread", "M8.5x0.75", [6, 7, 8]), ("part", "section", [7]), ("pen", "heron", [7]),
        ("state", "ordered", []),
    ]:  # fmt: skip
        Select(one(tab, f"#{name}")).select_by_visible_text(value)
        waiting(tab).until(lambda t, e=expected: shown(t) == e, name)
    one(tab, ".find button[type=reset]").click()
    waiting(tab).until(lambda t: len(shown(t)) == 10)
    options = [o.text for o in Select(one(tab, "#thread")).options][1:]
    assert options == ["M7x0.5", "M7.6x0.75", "M8.5x0.75", "M9x0.75-LH", "M11x0.75",
                       "M12xPh2.4P0.8"]  # fmt: skip


def test_the_keyboard_alone_does_everything(tab: Any) -> None:
    keys(tab, Keys.TAB)
    assert tab.switch_to.active_element.text == "Skip to the mandrels"
    keys(tab, "/")
    assert active(tab) == "words"
    keys(tab, "wren")
    assert shown(tab) == [1, 2, 3]
    for _ in range(10):  # four choices, Clear, Print, Sort by, Cards, List, the first card
        keys(tab, Keys.TAB)
    assert active(tab) == "MG-0001"
    ring = tab.execute_script("return getComputedStyle(document.activeElement).outlineWidth")
    assert ring == "3px"
    keys(tab, Keys.ARROW_RIGHT)
    assert active(tab) == "MG-0002"
    keys(tab, Keys.END)
    assert active(tab) == "MG-0003"
    keys(tab, Keys.HOME)
    keys(tab, Keys.ENTER)
    first = drawn(tab)
    assert one(tab, "#detail").get_property("open")
    pressed(tab, "#after")
    drawn(tab, first)
    assert "MG-0002" in one(tab, "#detail-name").text
    pressed(tab, "#after")
    assert not one(tab, "#after").is_enabled()
    keys(tab, Keys.ESCAPE)
    assert not one(tab, "#detail").get_property("open")
    waiting(tab).until(lambda t: active(t) == "MG-0003")
    keys(tab, "/", Keys.ESCAPE)
    assert len(shown(tab)) == 10


def test_a_phone_needs_no_sideways_scroll(tab: Any) -> None:
    window(tab, 360, 740, phone=True)
    wide = "const e = document.documentElement; return [e.scrollWidth, e.clientWidth]"
    tab.execute_script("dispatchEvent(new Event('beforeprint'))")  # fills every card
    assert tab.execute_script(wide) == [360, 360]
    # With content-visibility a card far away is not measured: each is looked at in turn.
    over = tab.execute_script(
        "return [...document.querySelectorAll('.card')].filter(c => { c.scrollIntoView(); return "
        "[...c.querySelectorAll('*')].some(e => e.getBoundingClientRect().right > 360.5) })"
        ".map(c => c.id)"
    )
    assert over == []
    opened(tab, "MG-0002")
    assert tab.execute_script(
        "const e = document.getElementById('detail'); return e.scrollWidth <= e.clientWidth"
    )


# Every link, button and choice that can be seen, as width × height.
TARGETS = (
    "return [...document.querySelectorAll('a, button, select, input, summary')]"
    ".filter(e => e.checkVisibility({visibilityProperty: true}) && !e.matches('.skip')"
    " && (!document.querySelector('dialog[open]') || e.closest('dialog')))"
    ".map(e => { e.scrollIntoView({block: 'center'}); const r = e.getBoundingClientRect();"
    " return [e.outerHTML.slice(0, 90), r.width, r.height] })"
)


@pytest.mark.parametrize("width", [1280, 390])
def test_what_is_pressed_is_44_dots_wide_and_high(tab: Any, width: int) -> None:
    """WCAG 2.2, success criterion 2.5.5 (target size, enhanced): 44 by 44 CSS pixels."""
    window(tab, width, 844, phone=width < 500)
    if width < 500:
        one(tab, "#fold").click()
    tab.execute_script("dispatchEvent(new Event('beforeprint'))")
    found = tab.execute_script(TARGETS)
    one(tab, "#MG-0001 .more").click()
    found += tab.execute_script(TARGETS)
    keys(tab, Keys.ESCAPE)
    opened(tab, "MG-0001")
    one(tab, "#facts summary").click()
    found += tab.execute_script(TARGETS)
    assert len(found) > 60
    assert [f for f in found if f[1] < 43.99 or f[2] < 43.99] == []


@pytest.mark.parametrize("width", [1280, 390])
def test_no_height_jumps(tab: Any, width: int) -> None:
    """Seen, filled for paper, pictures loaded: the page stays as high, every card too."""
    window(tab, width, 844, phone=width < 500)
    tab.get(tab.current_url)
    high = "return [document.documentElement.scrollHeight, ...new Set([...document" \
        ".querySelectorAll('.card')].map(c => c.getBoundingClientRect().height))]"  # fmt: skip
    before = tab.execute_script(high)
    assert len(before) == 2, "one height for all cards"
    tab.execute_async_script(
        "const done = arguments[0], cards = [...document.querySelectorAll('.card')];"
        "const next = (k) => k < cards.length ? (cards[k].scrollIntoView(),"
        " requestAnimationFrame(() => next(k + 1))) : done(); next(0)"
    )
    tab.execute_script("dispatchEvent(new Event('beforeprint'))")
    assert tab.execute_script(high) == before


def test_a_phone_shows_ten_mandrels_within_three_screens(tab: Any) -> None:
    window(tab, 390, 844, phone=True)
    bottom = tab.execute_script(
        "return document.getElementById('MG-0010').getBoundingClientRect().bottom + scrollY"
    )
    assert bottom <= 3 * 844
    assert not one(tab, "#thread").is_displayed(), "the filters are folded"
    one(tab, "#fold").click()
    assert one(tab, "#thread").is_displayed()
    assert one(tab, "#fold").get_attribute("aria-expanded") == "true"


def test_pictures_are_to_one_scale(tab: Any) -> None:
    """Across the picture a part turned by 28° spans L cos 28° + (r1 + r2) sin 28°: dots for a mm
    are the same for all, and the side views of old fixtures (drawn along the axis) agree."""
    folder = Path(unquote(urlparse(tab.current_url).path)).parent
    scales = []
    for n in range(1, 11):
        m = read_mandrel(folder / f"MG-{n:04d}/A")
        across = m.outer[-1].z1 - m.outer[0].z0
        image = tab.find_elements(By.CSS_SELECTOR, f"#MG-{n:04d} img")
        if image:
            ends = (m.outer[0].d0 + m.outer[-1].d1) / 2
            turn = math.radians(28)
            across = across * math.cos(turn) + ends * math.sin(turn)
            file = unquote(urlparse(image[0].get_property("src")).path)
            columns = np.flatnonzero((np.asarray(Image.open(file).convert("L")) < 250).any(axis=0))
            wide = image[0].get_property("clientWidth") * (np.ptp(columns) + 1) / 1200
        else:
            wide = tab.execute_script(
                "return document.querySelector(arguments[0]).getBoundingClientRect().width",
                f"#MG-{n:04d} svg .body",
            )
        scales.append(wide / across)
    assert max(scales) / min(scales) < 1.03, scales


def test_mandrels_are_sorted_and_the_dialog_follows(tab: Any) -> None:
    from selenium.webdriver.support.ui import Select

    def order() -> list[int]:
        found = tab.execute_script("return [...document.querySelectorAll('.card')].map(c => c.id)")
        return [int(x[3:]) for x in found]

    # By eye from the starters: 7x0.5 heron finial, 7.6 wren barrel and section, 8.5 …, no thread.
    Select(one(tab, "#sort")).select_by_visible_text("thread")
    assert order() == [5, 2, 3, 6, 7, 8, 9, 1, 4, 10]
    opened(tab, "MG-0005")
    assert not one(tab, "#before").is_enabled()
    pressed(tab, "#after")
    assert "MG-0002" in one(tab, "#detail-name").text
    keys(tab, Keys.ESCAPE)
    Select(one(tab, "#sort")).select_by_visible_text("length")
    long = [float(one(tab, f"#MG-{n:04d} .long").text.split(" mm")[0]) for n in order()]
    assert long == sorted(long)
    Select(one(tab, "#sort")).select_by_visible_text("number")
    assert order() == list(range(1, 11))


def test_a_list_shows_more_at_once(tab: Any) -> None:
    tall = "return document.getElementById('MG-0010').getBoundingClientRect().bottom"
    cards = tab.execute_script(tall)
    one(tab, "#as-list").click()
    assert one(tab, "#as-list").get_attribute("aria-pressed") == "true"
    assert tab.execute_script(tall) < cards
    tops = [one(tab, f"#MG-{n:04d}").location["y"] for n in range(1, 11)]
    assert tops == sorted(set(tops)), "one below the other"
    window(tab, 390, 844, phone=True)
    opened(tab, "MG-0003")  # its picture opens the dialog there too
    assert "MG-0003" in one(tab, "#detail-name").text


def test_one_button_opens_the_drawing_and_more_the_rest(tab: Any) -> None:
    card = one(tab, "#MG-0001")
    assert card.find_element(By.LINK_TEXT, "Drawing").get_property("href").endswith("_drawing.pdf")
    assert len([a for a in card.find_elements(By.TAG_NAME, "a") if a.is_displayed()]) == 2
    card.find_element(By.CSS_SELECTOR, ".more").click()
    names = [a.text for a in tab.find_elements(By.CSS_SELECTOR, "#files a")]
    assert {"making pages", "my pages", "DXF", "STEP", "folder"} <= set(names)
    assert "drawing" not in names
    assert one(tab, "#files").is_displayed()
    keys(tab, Keys.ESCAPE)
    assert not one(tab, "#files").is_displayed()
    waiting(tab).until(lambda t: active(t) == "MG-0001")


@pytest.mark.parametrize("width", [1400, 390])
def test_both_sheets_are_readable_in_the_dialog(tab: Any, width: int) -> None:
    """Letters of 2.5 mm on A3 (ISO 3098, ISO 5457: 420 wide) stand 10 dots high or more."""
    window(tab, width, 900, phone=width < 500)
    opened(tab, "MG-0001")
    sheets = tab.find_elements(By.CSS_SELECTOR, "#sheets img")
    assert len(sheets) == 2
    for sheet in sheets:
        waiting(tab).until(lambda t, s=sheet: s.size["width"] > 1000)
        assert 2.5 * sheet.size["width"] / 420 >= 10
        assert tab.execute_script(
            "const p = arguments[0].parentElement; p.scrollLeft = 99999;"
            "return p.scrollLeft > 0 && getComputedStyle(p).overflowX === 'auto'", sheet
        )  # fmt: skip
    tab.execute_script("arguments[0].click()", one(tab, "#whole"))
    inside = one(tab, "#detail").size["width"]
    assert all(s.size["width"] <= inside for s in sheets)


def test_every_control_has_a_name(tab: Any) -> None:
    """As the browser's own accessibility tree has it."""
    roles = {"button", "link", "searchbox", "combobox", "image", "dialog"}

    def named() -> list[tuple[str, str]]:
        nodes = tab.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
        return [
            (n["role"]["value"], n.get("name", {}).get("value", ""))
            for n in nodes
            if not n.get("ignored") and n["role"]["value"] in roles
        ]

    tab.execute_cdp_cmd("Accessibility.enable", {})
    try:
        waiting(tab).until(lambda _: len(named()) > 40)
        assert [n for n in named() if not n[1]] == []
        opened(tab, "MG-0001")
        waiting(tab).until(lambda _: ("button", "Close") in named())
        assert [n for n in named() if not n[1]] == []
    finally:
        tab.execute_cdp_cmd("Accessibility.disable", {})


def test_text_of_a_person_is_shown_and_does_nothing(tab: Any) -> None:
    assert one(tab, "#MG-0008 .title").get_property("textContent") == TITLE
    opened(tab, "MG-0008")
    assert TITLE in one(tab, "#detail-name").get_property("textContent")


def test_links_lead_to_files_and_nothing_asks_a_network(tab: Any) -> None:
    opened(tab, "MG-0001")
    tab.execute_script("dispatchEvent(new Event('beforeprint'))")
    found = tab.execute_script(
        "return [...document.querySelectorAll('a[href], img[src]')].map(e => e.href || e.src)"
    )
    assert len(found) > 50
    for url in found:
        assert url.startswith("file:")
        assert Path(unquote(urlparse(url).path)).exists(), url
    asked = [
        m["params"]["request"]["url"]
        for e in tab.get_log("performance")
        if (m := json.loads(e["message"])["message"])["method"] == "Network.requestWillBeSent"
    ]
    assert any("/models/" in x for x in asked)
    assert {x.split(":", 1)[0] for x in asked} <= {"file", "data"}
    broken = (
        "return [...document.images].filter(i => i.complete && i.src && !i.naturalWidth).length"
    )
    assert tab.execute_script(broken) == 0


def test_print_has_every_fixture_with_its_picture_and_sizes(tab: Any) -> None:
    """After the page's own button, which waits until every picture is there."""
    tab.execute_script("window.print = () => { window.asked = true }")
    one(tab, "#print").click()
    waiting(tab).until(lambda t: t.execute_script("return window.asked"))
    data = tab.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})["data"]
    with pdfplumber.open(io.BytesIO(base64.b64decode(data))) as pdf:
        text = "\n".join(p.extract_text() for p in pdf.pages)
        pictures = sum(len(p.images) for p in pdf.pages)
        sizes = {(round(p.width), round(p.height)) for p in pdf.pages}
    assert sizes == {(595, 842)}, "A4: 210 × 297 mm (ISO 216) in points"
    for n in range(1, 11):
        assert text.count(f"MG-{n:04d}") >= 1, n
    assert text.count("Last measured") == 10
    assert pictures == 3, "the shaded pictures of the three that have files"
    assert "Turn in 3D" not in text
    assert "Search" not in text


def test_print_shows_what_is_filtered_and_says_so(tab: Any) -> None:
    one(tab, "#words").send_keys("finial")
    data = tab.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})["data"]
    with pdfplumber.open(io.BytesIO(base64.b64decode(data))) as pdf:
        text = "\n".join(p.extract_text() for p in pdf.pages)
    assert "1 of 10 shown" in text
    assert "MG-0005" in text
    assert text.count("Last measured") == 1
