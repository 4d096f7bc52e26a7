"""A sample of the random actions of the long suite."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.support.bench_page import folder_with, served
from tests.support.random_hands import played


def test_a_sample_of_random_actions_loses_no_keystroke(chromium: Any, tmp_path: Path) -> None:
    with served(str(folder_with(tmp_path, "heron"))) as found:
        chromium.get_log("browser")
        chromium.get_log("performance")
        chromium.get(found.address)
        assert played(chromium, found, tmp_path / "heron.toml", 40, 1)["lost"] == []
