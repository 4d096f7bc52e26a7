"""A folder with a pen whose mandrels are made and published, and its page in this process."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.support.archived import publish_pen
from tests.support.bench_page import folder_with
from tests.support.page_client import client_of


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The heron's, with its archive."""
    made = folder_with(tmp_path / "pens", "heron")
    publish_pen(made / "output", "heron")
    return made


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client
