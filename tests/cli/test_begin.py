"""Where the command begins: before there is a command library, and how the process ends."""

from __future__ import annotations

import atexit
import gc
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from mandrelgen import __main__ as begin
from mandrelgen import __version__
from mandrelgen.core.resources import template_path


class EndedError(Exception):
    """The process would be gone here."""


@pytest.fixture(autouse=True)
def as_before(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """What a beginning changes of this process is put back."""

    def gone(code: int) -> None:
        raise EndedError(code)

    monkeypatch.setattr(os, "_exit", gone)
    monkeypatch.setattr(atexit, "register", lambda call, *args: call)  # else it ends the tests
    monkeypatch.setenv("PYDANTIC_DISABLE_PLUGINS", "__all__")
    limits, heard = gc.get_threshold(), signal.getsignal(signal.SIGINT)
    yield
    gc.unfreeze()
    gc.set_threshold(*limits)
    signal.signal(signal.SIGINT, heard)


def test_the_version_is_said_alone(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["mandrelgen", "--version"])
    begin.main()
    assert capsys.readouterr().out == f"mandrelgen {__version__}\n"


def test_a_version_that_cannot_be_written_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["mandrelgen", "--version"])

    def full(text: str) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(sys.stdout, "write", full)
    with pytest.raises(EndedError, match="3"):
        begin.main()
    assert "could not be written: No space left" in capsys.readouterr().err


def test_ctrl_c_before_there_is_a_command_ends_it(monkeypatch: pytest.MonkeyPatch) -> None:
    signal.signal(signal.SIGINT, signal.default_int_handler)
    monkeypatch.setattr(sys, "argv", ["mandrelgen", "--version"])
    begin.main()
    assert signal.getsignal(signal.SIGINT) is begin.leave_at_ctrl_c
    with pytest.raises(EndedError, match="130"):
        begin.leave_at_ctrl_c(signal.SIGINT, None)


def test_a_command_runs_with_rare_collections(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["mandrelgen", "thread", "M8x1"])
    with pytest.raises(SystemExit) as ended:
        begin.main()
    assert not ended.value.code
    assert "M8x1" in capsys.readouterr().out
    assert gc.get_threshold()[0] == 200_000


def test_the_process_leaves_with_the_code_of_the_run_when_all_is_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delitem(sys.modules, "coverage", raising=False)
    with pytest.raises(EndedError, match="2"):
        begin.leave_at_once([2])
    begin.leave_at_once([])  # a fault of the program, which Python tells
    monkeypatch.setitem(sys.modules, "coverage", sys)
    begin.leave_at_once([2])


def test_what_a_run_registers_for_its_end_runs_and_all_it_said_arrives() -> None:
    """Through a pipe, which is not written to before the end; the code is the run's."""
    code = (
        "import atexit, sys\n"
        "from mandrelgen.__main__ import run as begin\n"
        "sys.argv[1:] = sys.argv[1].split()\n"
        "import mandrelgen.cli.app as app\n"
        "run = app.main\n"
        "app.main = lambda: (atexit.register(print, 'at the end'), run())\n"
        "begin()"
    )
    for args, ends, said in (("thread M8x1", 0, "M8x1"), ("thread nonsense", 2, "")):
        done = subprocess.run(
            [sys.executable, "-c", code, args], capture_output=True, text=True, check=False
        )
        assert done.returncode == ends
        assert done.stdout.startswith(said)
        assert done.stdout.endswith("at the end\n")
        assert bool(done.stderr) == bool(ends)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a shell that closes streams")
@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&-", "<&- >&- 2>&-"])
def test_a_stream_that_was_closed_before_is_nobody(tmp_path: Path, closed: str) -> None:
    """The result is as without it, and no file is taken for the stream."""
    pen, out = template_path("pens/wren.toml"), tmp_path / "out"
    shop = template_path("shops/bench.toml")
    for args in (
        "--version",
        "thread M8x1",
        f"make '{pen}' --shop '{shop}' --only outline --workers 1 --to '{out}'",
    ):
        done = subprocess.run(
            f"'{sys.executable}' -m mandrelgen {args} {closed}",
            shell=True, capture_output=True, text=True, check=False, cwd=tmp_path,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        assert "Traceback" not in done.stderr
        assert bool(done.stdout) == (">&-" not in closed.replace("2>&-", ""))
    assert len(list(out.rglob("*.dxf"))) == 3
