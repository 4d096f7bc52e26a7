"""The server killed at any moment leaves whole files."""

from __future__ import annotations

import contextlib
import random
import threading
import time
from pathlib import Path

import httpx
import pytest

from mandrelgen.spec.read import read_pen
from tests.support.bench_page import folder_with, served


@pytest.mark.parametrize("seed", range(4))
def test_a_server_killed_while_it_writes_leaves_a_whole_file(tmp_path: Path, seed: int) -> None:
    """Killed (SIGKILL) at a random moment of a stream of changes; the file can be read and holds
    one of the values that were sent, and its other lines are as they were."""
    folder = folder_with(tmp_path, "heron")
    path = folder / "heron.toml"
    before = path.read_text("utf-8")
    sent = [65.0]
    with served(str(folder)) as found, found.client() as client:

        def type_on() -> None:
            with contextlib.suppress(httpx.HTTPError):
                for n in range(1, 400):
                    sent.append(round(60 + n / 100, 2))
                    data = {"key": "parts.cap.length", "value": f"{sent[-1]}"}
                    client.post("/pens/heron/pen/set", data=data)

        typing = threading.Thread(target=type_on)
        typing.start()
        while len(sent) < 3:
            time.sleep(0.01)
        time.sleep(random.Random(seed).uniform(0.0, 0.8))
        found.process.kill()
        typing.join()
    pen = read_pen(path.read_bytes(), "heron.toml")
    assert float(pen.parts["cap"].length) in sent
    now = path.read_text("utf-8").splitlines()
    changed = [(a, b) for a, b in zip(before.splitlines(), now, strict=True) if a != b]
    assert len(changed) <= 1
