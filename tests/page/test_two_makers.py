"""``make`` from the page and from a terminal into one archive at once."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

from mandrelgen.archive import root
from mandrelgen.archive.manifest import Fault
from mandrelgen.archive.record_files import entries, numbers
from mandrelgen.archive.verify import verify
from tests.support.bench_page import folder_with
from tests.support.page_client import client_of


def test_both_end_numbers_are_unique_and_the_archive_is_sound(tmp_path: Path) -> None:
    """Two pens, and one of them by both: what the other made meanwhile is taken as it is."""
    folder = folder_with(tmp_path, "heron", "avocet")
    words = [sys.executable, "-m", "mandrelgen", "make", "avocet.toml", "heron.toml"]
    with client_of(folder) as page:
        terminal = subprocess.Popen(
            [*words, "--to", "output"], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        page.post("/pens/heron/make", data={"take": ["barrel-mouth-plug", "cap-mouth-plug"]})
        for _ in range(600):
            shown = page.get("/pens/heron/order").text
            if 'hx-trigger="load' not in shown:
                break
            time.sleep(0.1)
        out, err = terminal.communicate(timeout=300)
    assert terminal.returncode == 0, err.decode() + out.decode()
    assert "Not made" not in shown, shown
    archive = root.open_root(folder / "output")
    known = numbers(archive.root, archive.prefix)
    found = [e.record for number in known for e in entries(archive.root, number)]
    names = [(r.number, r.revision) for r in found]
    assert len(set(names)) == len(names) >= 3
    hashes = [r.design_hash for r in found]
    assert len(set(hashes)) == len(hashes), "one design, one number"
    faults: tuple[Fault, ...] = verify(archive)
    assert faults == ()
