"""A sample of the random actions of the long suite; and room for the browser's zoom."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from selenium.webdriver.common.by import By

from tests.page.test_browser import STEPS
from tests.support.bench_hands import settled, window
from tests.support.bench_page import Served, folder_with, served
from tests.support.random_hands import played


def test_a_sample_of_random_actions_loses_no_keystroke(chromium: Any, tmp_path: Path) -> None:
    with served(str(folder_with(tmp_path, "heron"))) as found:
        chromium.get_log("browser")
        chromium.get_log("performance")
        chromium.get(found.address)
        assert played(chromium, found, tmp_path / "heron.toml", 40, 1)["lost"] == []


def test_zoomed_to_200_per_cent_nothing_scrolls_sideways(tab: Any, page: Served) -> None:
    """Zoom leaves half the CSS px: 1400 become 700, 820 become 410; 320 is the least that WCAG 2.2,
    1.4.10, asks for."""
    for width in (700, 410, 320):
        window(tab, width)
        for step in STEPS:
            tab.get(f"{page.base}/{step}")
            settled(tab)
            for fold in tab.find_elements(By.CSS_SELECTOR, "details:not([open])"):
                tab.execute_script("arguments[0].open = true", fold)
            wide = tab.execute_script("return document.documentElement.scrollWidth")
            assert wide <= width, (step, width)
