"""The page printed, and the page whose program was killed and started again, in a real Chromium."""

from __future__ import annotations

import base64
import io
import tomllib
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from selenium.webdriver.common.by import By

from tests.support.bench_hands import settled, typed_when_gone, window
from tests.support.bench_page import Served, folder_with, served
from tests.support.waiting import waiting


@pytest.mark.parametrize("step", ["pen", "sheets/cap-mouth-plug"])
def test_half_section_and_sheet_print_without_the_page_around_them(
    tab: Any, page: Served, step: str
) -> None:
    tab.get(f"{page.base}/pens/heron/{step}")
    settled(tab)
    if step != "pen":
        waiting(tab).until(
            lambda t: t.execute_script(
                "return [...document.images].every(i => i.complete && i.naturalWidth)"
            )
        )
    got = tab.execute_cdp_cmd("Page.printToPDF", {"landscape": True, "printBackground": True})
    pages = PdfReader(io.BytesIO(base64.b64decode(got["data"]))).pages
    text = " ".join(p.extract_text() for p in pages)
    for around in ("My shop", "Undo", "Back to the mandrels", "Next: joints"):
        assert around not in text
    assert ("barrel" if step == "pen" else "Plug mandrel for cap") in text
    if step != "pen":
        assert len(pages) == len(tab.find_elements(By.CSS_SELECTOR, ".paper"))


def test_a_program_started_again_gets_what_was_typed_while_it_was_gone(
    chromium: Any, tmp_path: Path
) -> None:
    path = folder_with(tmp_path, "heron") / "heron.toml"
    window(chromium, 1400)
    with served(str(tmp_path)) as found:
        port = found.port
        chromium.get(found.address)
        chromium.get(f"{found.base}/pens/heron/pen")
        settled(chromium)
        box = typed_when_gone(chromium, found, "66.6")
    old = chromium.current_window_handle
    with served(str(tmp_path), "--port", str(port)) as again:
        chromium.switch_to.new_window("tab")
        chromium.get(again.address)
        chromium.close()
        chromium.switch_to.window(old)
        waiting(chromium).until(
            lambda t: tomllib.loads(path.read_text("utf-8"))["parts"]["cap"]["length"] == 66.6
        )
        assert not chromium.find_element(By.ID, "lost").is_displayed()
        assert box.get_attribute("value") == "66.6"
    chromium.get_log("browser")
