"""`make` of several pens in one run: how far it is, faults of one pen, Ctrl-C."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from mandrelgen.archive.disk.files import TEMP_PREFIX
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.batch import Meter
from tests.support.commands import here, program
from tests.support.killing import hear_ctrl_c


@pytest.fixture
def pens(tmp_path: Path) -> list[str]:
    """Two starters with one shop beside them."""
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    for name in ("wren", "heron"):
        (tmp_path / f"{name}.toml").write_bytes(starter("pen", name))
    return [str(tmp_path / f"{name}.toml") for name in ("wren", "heron")]


def packages(folder: Path) -> list[Path]:
    """The published revisions."""
    return sorted(folder.glob("MG-*/*"))


def test_time_left_is_judged_from_what_is_done() -> None:
    said: list[str] = []
    now = iter([0.0, 10.0, 30.0])
    meter = Meter(2, said.append, lambda: next(now))
    meter(0, 2, "a")
    meter(1, 2, "b")  # a quarter of the run took 10 s: three times that is left
    meter.pen = 1
    meter(1, 2, "c")  # three quarters took 30 s
    meter(2, 2, "published")
    assert said == [
        "[pen 1 of 2, 0/2] a",
        "[pen 1 of 2, 1/2] b, about 30 s left",
        "[pen 2 of 2, 1/2] c, about 10 s left",
        "[pen 2 of 2, 2/2] published",
    ]


def test_one_pen_with_a_fault_does_not_stop_the_others(tmp_path: Path, pens: list[str]) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("schema = 1\n", encoding="utf-8")
    done = program(
        "make", str(bad), *pens, "--only", "dxf", "--to", str(tmp_path / "out"), "--json"
    )
    assert done.returncode == 2
    first, *others = json.loads(done.stdout)
    assert not first["mandrels"]
    assert first["findings"]
    assert all(o["mandrels"] for o in others)
    assert len(others) == 2
    assert "[0/" not in done.stderr
    assert ", 0/" not in done.stderr
    assert "Traceback" not in done.stderr


def test_progress_is_said_on_request(tmp_path: Path, pens: list[str]) -> None:
    out = str(tmp_path / "out")
    done = program("make", *pens, "--only", "dxf", "--to", out, "--progress")
    assert done.returncode == 0
    assert "[pen 1 of 2, 0/" in done.stderr
    assert "s left" in done.stderr
    assert "[pen" not in done.stdout


def test_ctrl_c_leaves_whole_packages_only(tmp_path: Path, pens: list[str]) -> None:
    """Behind the first pen; ``tests/long/test_larger_samples.py``: in it, and in the next."""
    stopped_behind(5, tmp_path, pens)


def stopped_behind(line: int, tmp_path: Path, pens: list[str]) -> None:
    """SIGINT behind the n-th line of progress, to the command alone (as a terminal sends it, see
    test_workers_make.py): what is there verifies, and a second run ends with what a run
    never stopped would have made."""
    out = tmp_path / "out"
    command = [sys.executable, "-m", "mandrelgen", "make", *pens, "--to", str(out), "--progress"]
    with subprocess.Popen(
        command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True,
        preexec_fn=hear_ctrl_c,
    ) as process:  # fmt: skip
        assert process.stderr is not None
        seen = 0
        while seen < line:
            seen += process.stderr.readline().startswith("[pen ")
        time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        rest = process.stderr.read()
        code = process.wait(600)
    assert code == 130, rest
    assert "stopped" in rest
    assert "Traceback" not in rest
    whole = packages(out)
    # wren's three come together or not at all, and heron's were never reached
    assert len(whole) == (0 if line < 5 else 3)
    assert all((p / "manifest.json").exists() for p in whole)
    assert not list(out.glob(f"{TEMP_PREFIX}*"))
    if whole:
        assert here("verify", str(out)).returncode == 0
    then = pens if whole else pens[:1]
    again = here("make", *then, "--to", str(out))
    assert again.returncode == 0, again.stderr
    count = 3 * len(then)
    assert [p.parent.name for p in packages(out)] == [f"MG-{n + 1:04d}" for n in range(count)]
    assert here("verify", str(out)).returncode == 0
