"""Random pens through the whole road, as files through the command line: each in a process of its
own that is measured, so that nothing a pen does (memory, a crash) hides or spreads.

They are forked from a process that has loaded what every pen needs and nothing else: from the one
that runs the tests, a pen would inherit, and be blamed for, the memory of all the tests before it.
"""

from __future__ import annotations

import contextlib
import functools
import json
import os
import re
import resource
import subprocess
import sys
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from tests.paths import ROOT
from tests.support.randompens import SHOP_TREE, trees, varied_starters

SECONDS, MEGABYTES = 10.0, 1024.0
# The small starter's own caliper too: a pen varied from that starter is measured with it.
SHOP = SHOP_TREE | {"instruments": {"small-caliper": {"kind": "caliper", "uncertainty": 0.04}}}


@dataclass(frozen=True)
class Outcome:
    """How a pen fared: exit code, what was said, CPU seconds, peak memory (MB)."""

    code: int
    said: str
    seconds: float
    megabytes: float


def random_trees(count: int, number: int) -> list[dict[str, Any]]:
    """``count`` pen files: three of five built to be valid, two a starter with sizes changed."""
    found: list[str] = []

    @seed(number)
    @settings(
        max_examples=2 * count, deadline=None, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(st.integers(0, 4), trees(), varied_starters())
    def collect(which: int, tree: dict[str, Any], varied: dict[str, Any]) -> None:
        found.append(json.dumps(tree if which < 3 else varied, default=str))

    collect()
    return [json.loads(text) for text in dict.fromkeys(found)][:count]


def lay_out(tree: dict[str, Any], folder: Path) -> Path:
    """Pen file and shop file on the disk."""
    folder.mkdir(parents=True)
    (folder / "shop.toml").write_text(tomlkit.dumps(SHOP), encoding="utf-8")
    file = folder / "pen.toml"
    file.write_text(tomlkit.dumps(tree), encoding="utf-8")
    return file


@functools.cache
def _road() -> subprocess.Popen[str]:
    """The process that runs the commands; it ends with this one, when its input does."""
    return subprocess.Popen(
        [sys.executable, "-m", "tests.support.penroad"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, encoding="utf-8",
        cwd=ROOT,
    )  # fmt: skip


def run_command(args: Sequence[str], log: Path) -> Outcome:
    """One command in a child of its own; code 70 and a traceback in what was said: it crashed."""
    road = _road()
    assert road.stdin is not None
    assert road.stdout is not None
    road.stdin.write(json.dumps([list(args), str(log)]) + "\n")
    road.stdin.flush()
    code, seconds, megabytes = json.loads(road.stdout.readline())
    return Outcome(code, log.read_text(encoding="utf-8", errors="replace"), seconds, megabytes)


def _serve() -> None:
    """Commands from the input, a line each; exit code, CPU seconds and MB to the output."""
    _preload()
    for line in sys.stdin:
        args, log = json.loads(line)
        print(json.dumps(_forked(args, Path(log))), flush=True)


def _forked(args: Sequence[str], log: Path) -> tuple[int, float, float]:
    pid = os.fork()
    if pid == 0:
        code = 70
        try:
            fd = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(fd, 1)
            os.dup2(fd, 2)
            resource.setrlimit(resource.RLIMIT_CPU, (90, 90))  # a hang ends too
            sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
            sys.stderr = os.fdopen(2, "w", encoding="utf-8", closefd=False)
            code = _command(args)
            sys.stdout.flush()
            sys.stderr.flush()
        finally:
            os._exit(code)
    _, status, usage = os.wait4(pid, 0)
    return (
        os.waitstatus_to_exitcode(status),
        usage.ru_utime + usage.ru_stime,
        usage.ru_maxrss / 1024,
    )


def _command(args: Sequence[str]) -> int:
    from mandrelgen.cli.app import main

    try:
        main(list(args), prog_name="mandrelgen")
    except SystemExit as e:
        return e.code if isinstance(e.code, int) else 1
    except BaseException:
        with contextlib.suppress(Exception):
            traceback.print_exc()
        return 70
    return 0


def _preload() -> None:
    """Import once, before forking, what every pen needs."""
    import ezdxf
    import manifold3d
    import pypdfium2

    from mandrelgen.files.proof import kernel
    from mandrelgen.files.writers.pdf import document
    from mandrelgen.geometry.kernel import exchange, measure
    from mandrelgen.workflows import check, make, reuse

    assert all([ezdxf, manifold3d, pypdfium2, make, check, reuse, kernel, exchange, measure])
    assert document


def judge(tree: dict[str, Any], folder: Path) -> str:
    """One pen through ``make --prove`` and ``verify``; a word for the mix. AssertionError with the
    pen file and what was said if anything else than a finding or a proved package came of it."""
    return judge_file(lay_out(tree, folder), folder)


def judge_file(file: Path, folder: Path) -> str:
    """The same for a pen file that is there, valid or not, beside its ``shop.toml``."""
    archive = folder / "archive"
    args = ["make", str(file), "--prove", "--date", "2026-05-31", "--to", str(archive)]
    out = run_command(args, folder / "log")
    about = f"{out.seconds:.1f} s, {out.megabytes:.0f} MB, code {out.code}\n{out.said}\n"
    about += file.read_bytes().decode("utf-8", "backslashreplace")
    assert "Traceback" not in out.said, about
    assert out.code in (0, 1, 2), about
    assert out.seconds <= SECONDS, about
    assert out.megabytes <= MEGABYTES, about
    records = sorted(archive.glob("*/*/record.json"))
    if out.code != 0:
        assert "error" in out.said.lower(), about
        assert "proof.failed" not in out.said, about
    else:  # a straight pen of one part, turned between centres, needs no mandrel
        assert records or _none_needed(out.said), about
    for path in records:
        proof = json.loads(path.read_bytes())["proof"]
        ours = {p.name for p in path.parent.iterdir()}
        steps = {n for n in ours if n.endswith(".step")}
        assert steps <= proof.keys() & proof["deep"].keys(), about
    if records:
        checked = run_command(["verify", str(archive)], folder / "log")
        assert checked.said.strip() == "sound", checked.said + about
    return _word(out, len(records))


def _word(out: Outcome, records: int) -> str:
    first = next((line for line in out.said.splitlines() if line.startswith("error")), "")
    if records:
        return "packages" if out.code == 0 else "packages, and a mandrel refused"
    return "none needed" if out.code == 0 else f"refused: {first.split(':')[0]}"


def _none_needed(said: str) -> bool:
    """Whether every mandrel is told as not needed, and that nothing is left to make."""
    first, *_ = said.splitlines()
    return re.fullmatch(r"[0-9]+ not needed", first) is not None and "nothing to make" in said


if __name__ == "__main__":
    _serve()
