"""The bench page, long: the first pen in Firefox too, and thousands of random actions that lose no
keystroke (``--page-actions N --page-seed S``)."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any

import pytest

from tests.page.conftest import chromium as chromium
from tests.page.conftest import one_chromium as one_chromium
from tests.page.conftest import page as page
from tests.page.conftest import tab as tab
from tests.page.test_browser import AXED, no_fault
from tests.support.bench_hands import first_pen
from tests.support.bench_page import Served, folder_with, served
from tests.support.bidi import firefox
from tests.support.cataloguing import browser
from tests.support.random_hands import played


@pytest.mark.parametrize("step", AXED)
def test_axe_finds_no_fault_on_any_narrow_step_in_the_dark(
    tab: Any, page: Served, step: str
) -> None:
    no_fault(tab, page, step, {390: (True,)})


def test_the_first_pen_in_firefox(tmp_path: Path) -> None:
    """From an empty folder to a zip that a second program opens, in Firefox (WebDriver BiDi)."""
    with served(str(tmp_path)) as found, firefox() as fox:
        fox.window(1400)
        fox.get(found.address)
        picture = first_pen(fox)
        fox.quiet()
        print(f"\nFirefox: {picture} interactions to a picture, {fox.count} to an order")
        assert picture <= 12
        assert fox.count <= 60
        for width in (390, 820, 1400):
            fox.window(width)
            for step in ("pen", "joints", "mandrels", "order", "arrived"):
                fox.get(f"{found.base}/pens/reed/{step}")
                fox.settled()
                assert fox.run("return document.documentElement.scrollWidth") <= width, step
        fox.quiet()
    (order,) = (tmp_path / "output" / "orders").iterdir()
    with zipfile.ZipFile(order / f"{order.name}.zip") as z:
        assert z.testzip() is None


def test_random_actions_lose_no_keystroke(tmp_path: Path, pytestconfig: pytest.Config) -> None:
    actions = int(pytestconfig.getoption("page_actions"))
    seed = int(pytestconfig.getoption("page_seed"))
    with served(str(folder_with(tmp_path, "heron"))) as found:
        for tab in browser():
            tab.get(found.address)
            done: dict[str, Any] = played(tab, found, tmp_path / "heron.toml", actions, seed)
    print(f"\n{done}")
    assert done["lost"] == []
    assert done["actions"] == actions
