"""What the catalogue's tests share: an archive with everything in it, and a browser."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import html5lib
import pytest
from click.testing import CliRunner

from mandrelgen.archive import events, root
from mandrelgen.cli import app
from mandrelgen.workflows import adopt
from mandrelgen.workflows.catalogue.publish import catalogue
from tests.paths import TEMPLATES
from tests.support.archived import DAY, OLD_CUP, OLD_PLUG, OLD_SPIGOT, SPIGOT, publish_pen

# What a careless page would run or break at.
HOSTILE = "</script><img src=x onerror='window.broken=1'>\u2028&amp;\"{{ 7*7 }}"
TITLE = f"Plug {HOSTILE}"


def filled(folder: Path) -> Path:
    """Wren's three mandrels with every file (MG-0001 to 3), heron's four as records alone (4 to
    7), three old ones (8 to 10), the first of which has a hostile title; MG-0001 released."""
    pen, shop = TEMPLATES / "pens/wren.toml", TEMPLATES / "shops/bench.toml"
    words = ["make", str(pen), "--shop", str(shop), "--to", str(folder), "--date", DAY]
    done = CliRunner().invoke(app.main, words)
    assert done.exit_code == 0, done.output
    publish_pen(folder, "heron", SPIGOT)
    hostile = OLD_PLUG.replace('"Plug from the tea tin"', json.dumps(TITLE))
    for text in (hostile, OLD_CUP, OLD_SPIGOT):
        adopt.adopt(root.open_root(folder), text.encode(), "old.toml", DAY, "test")
    events.release(root.open_root(folder), "MG-0001", DAY)
    return folder


def page(folder: Path) -> Path:
    """The page, with a model of every part."""
    return catalogue(folder).path


def data(html: bytes) -> list[dict[str, Any]]:
    """What the page's script knows of the cards, read by an independent HTML parser."""
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    text = next(s.text for s in tree.iter("script") if s.get("id") == "data")
    found: list[dict[str, Any]] = json.loads(text)
    return found


# A page is painted without a graphics card; a model needs the software one, which every page pays
# for with half as much processor time again.
PLAIN = ("--disable-gpu",)
MODELS = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")


def browser(*more: str, models: bool = False) -> Iterator[Any]:
    """Chromium without a window, able to turn ``models``; skips where there is none."""
    chromium, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if not chromium or not driver:
        pytest.skip("no chromium and chromedriver on this machine")
    from selenium import webdriver

    options = webdriver.ChromeOptions()
    options.binary_location = chromium
    for word in (
        "--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--window-size=1280,900",
        *(MODELS if models else PLAIN), *more,
    ):  # fmt: skip
        options.add_argument(word)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    found = webdriver.Chrome(options=options, service=webdriver.ChromeService(driver))
    found.set_script_timeout(120)
    try:
        yield found
    finally:
        found.quit()
