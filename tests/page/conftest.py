"""A folder with a pen, and the page in a real Chromium for the browser tests of this folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.support.archived import publish_pen
from tests.support.bench_hands import quiet, window
from tests.support.bench_page import Served, folder_with, served
from tests.support.cataloguing import browser
from tests.support.once import _designed_once as _designed_once
from tests.support.once import drawn_anew as drawn_anew


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The heron's pen and the shop it needs."""
    return folder_with(tmp_path / "pens", "heron")


@pytest.fixture(scope="session")
def one_chromium() -> Iterator[Any]:
    yield from browser()


@pytest.fixture(scope="module")
def chromium(one_chromium: Any) -> Any:
    """Knows no page of another module: cookies go to every port of this machine."""
    one_chromium.get("about:blank")
    one_chromium.execute_cdp_cmd("Network.clearBrowserCookies", {})
    one_chromium.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})
    one_chromium.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    one_chromium.get_log("performance")
    one_chromium.get_log("browser")
    return one_chromium


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = folder_with(tmp_path_factory.mktemp("pens"), "heron", "wren")
    publish_pen(folder / "output", "heron")
    text = (folder / "wren.toml").read_text("utf-8")
    text = text.replace("bore = [{ diameter = 6.8,", "bore = [{ diameter = 9.6,")
    (folder / "wren.toml").write_text(text, "utf-8")
    with served(str(folder)) as found:
        yield found


@pytest.fixture
def tab(chromium: Any, page: Served) -> Iterator[Any]:
    """The page as it opens; afterwards the console is empty and nothing was asked elsewhere."""
    window(chromium, 1400)
    chromium.get_log("performance")
    chromium.get_log("browser")
    chromium.get(page.address)
    yield chromium
    quiet(chromium)
