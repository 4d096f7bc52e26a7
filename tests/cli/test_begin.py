"""Where the command begins: before there is a command library, and how the process ends."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Iterator

import pytest

from mandrelgen import __main__ as begin
from mandrelgen import __version__


class EndedError(Exception):
    """The process would be gone here."""


@pytest.fixture(autouse=True)
def as_before(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """What a beginning changes of this process is put back."""

    def gone(code: int) -> None:
        raise EndedError(code)

    monkeypatch.setattr(os, "_exit", gone)
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


def test_a_command_runs_with_rare_collections_and_leaves_the_rest_to_the_end(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["mandrelgen", "thread", "M8x1"])
    with pytest.raises(SystemExit) as ended:
        begin.main()
    assert not ended.value.code
    assert "M8x1" in capsys.readouterr().out
    assert gc.get_threshold()[0] == 200_000
    assert gc.get_freeze_count() > 0
