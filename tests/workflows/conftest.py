"""What several files of this folder ask for and takes long to make: archives, the catalogue in a
browser."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.support.archived import publish_pen
from tests.support.cataloguing import browser, filled, page
from tests.support.once import _designed_once as _designed_once
from tests.support.once import drawn_anew as drawn_anew

STILL = [{"name": "prefers-reduced-motion", "value": "reduce"}]


@pytest.fixture(scope="session")
def heron(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive of the heron's mandrels, to be read only."""
    folder = tmp_path_factory.mktemp("home") / "a"
    publish_pen(folder, "heron")
    return folder


@pytest.fixture(scope="session")
def bittern(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its plug is of brass, cut with the maker's own die. To be read only."""
    folder = tmp_path_factory.mktemp("brass") / "a"
    publish_pen(folder, "bittern")
    return folder


@pytest.fixture
def archive(heron: Path, tmp_path: Path) -> Path:
    """The heron's, a copy of one's own."""
    shutil.copytree(heron, tmp_path / "a")
    return tmp_path / "a"


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    yield from browser(models=True)  # a card's dialog shows one


@pytest.fixture(scope="session")
def path(chromium: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of the archive that `filled` makes."""
    folder = filled(tmp_path_factory.mktemp("browser") / "a")
    # No starter needs a second sheet: the first stands in for one.
    sheet = folder / "MG-0001/A/MG-0001_A.svg"
    shutil.copy(sheet, sheet.with_name("MG-0001_A_2.svg"))
    return page(folder)


@pytest.fixture
def tab(chromium: Any, path: Path) -> Iterator[Any]:
    """The page as it opens, without motion; afterwards the console must be empty."""
    from tests.support.catalogue_hands import window

    window(chromium, 1280, 900)
    chromium.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": STILL})
    chromium.get(path.as_uri())
    yield chromium
    assert [e for e in chromium.get_log("browser") if e["level"] != "DEBUG"] == []
    assert chromium.execute_script("return window.broken") is None
