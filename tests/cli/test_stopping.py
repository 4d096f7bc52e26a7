"""Signals and a refused output inside a command: told with an exit code, here in this process."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest

from mandrelgen.cli.errors import guarded
from mandrelgen.cli.stopping import Stopped, stoppable
from tests.paths import ROOT

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="POSIX signals")


@pytest.fixture(autouse=True)
def heard() -> Iterator[None]:
    """Ctrl-C as Python hears it and a closed terminal as it is heard usually, also where the tests
    run in the background of a shell or under nohup, which have them ignored (POSIX.1-2017, XCU
    2.11; nohup)."""
    usual = {signal.SIGINT: signal.default_int_handler, signal.SIGHUP: signal.SIG_DFL}
    before = {number: signal.signal(number, how) for number, how in usual.items()}
    yield
    for number, how in before.items():
        signal.signal(number, how)


def raising(error: BaseException) -> Callable[[], int]:
    def command() -> int:
        raise error

    return command


def stopped_twice(number: signal.Signals) -> None:
    try:
        os.kill(os.getpid(), number)
    finally:  # the clearing up is not disturbed by another
        os.kill(os.getpid(), number)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGUSR1])
def test_a_signal_stops_once_and_says_which_it_was(number: signal.Signals) -> None:
    before = signal.getsignal(number)
    with pytest.raises(Stopped) as caught, stoppable():
        stopped_twice(number)
    assert caught.value.number == number
    assert str(caught.value) == number.name
    assert signal.getsignal(number) is before


def test_what_is_ignored_stays_ignored() -> None:
    """As by nohup."""
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with stoppable():
            os.kill(os.getpid(), signal.SIGHUP)
        assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGHUP, before)


def test_in_another_thread_nothing_is_taken() -> None:
    before = signal.getsignal(signal.SIGTERM)
    seen: list[object] = []

    def work() -> None:
        with stoppable():
            seen.append(signal.getsignal(signal.SIGTERM))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert seen == [before]


def test_a_stop_that_python_swallows_in_a_clean_up_is_made_again() -> None:
    """An exception in __del__ is only told to sys.unraisablehook (Python's data model)."""

    class Swallows:
        def __del__(self) -> None:
            raise Stopped(signal.SIGTERM)

    before = signal.getsignal(signal.SIGINT)

    def cleared_up() -> None:
        one = Swallows()
        del one
        threading.Event().wait(60.0)

    with pytest.raises(Stopped) as caught, stoppable():
        cleared_up()
    assert caught.value.number == signal.SIGTERM
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (KeyboardInterrupt(), 130, "stopped; what was published is whole"),
        (click.Abort(), 130, "stopped; what was published is whole"),
        (Stopped(signal.SIGTERM), 143, "stopped by SIGTERM; what was published is whole"),
        (OSError(28, "No space left on device"), 3, "could not be written: No space left"),
        (OSError(13, "Permission denied", "a-file"), 3, "a-file: Permission denied"),
        (BrokenPipeError(), 0, ""),
    ],
)
def test_each_end_has_its_exit_code_and_its_words(
    error: BaseException,
    code: int,
    words: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Who reads the output is gone, so it is closed: another one than the tests' own.
    with open(os.devnull, "w", encoding="utf-8") as output:
        monkeypatch.setattr(sys, "stdout", output)
        assert guarded(raising(error), False) == code
    assert words in capsys.readouterr().err


def test_ctrl_c_while_a_class_is_made_ends_with_the_same_code(tmp_path: Path) -> None:
    """As dataclasses and named tuples are, by executing a text (Python's own way: CPython would end
    by the signal, -2 to who waits for it)."""
    (tmp_path / "stopped.py").write_text(
        "import sys\nfrom mandrelgen.cli.errors import guarded\n"
        "sys.exit(guarded(lambda: exec('raise KeyboardInterrupt'), False))\n",
        "utf-8",
    )
    done = subprocess.run(
        [sys.executable, "-m", "stopped"], cwd=tmp_path, capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False,
    )  # fmt: skip
    assert done.returncode == 130, done.stderr


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (None, None)]
)
def test_a_stop_that_a_library_tells_as_its_own_error_is_one(
    number: int | None, code: int | None, capsys: pytest.CaptureFixture[str]
) -> None:
    """As pydantic's core does while it builds a model; without a signal an error stays one."""

    def command() -> int:
        try:
            if number is not None:
                os.kill(os.getpid(), number)
                threading.Event().wait(60.0)
        except KeyboardInterrupt:
            pass
        raise ValueError("Error building a validator: KeyboardInterrupt")

    before = signal.getsignal(signal.SIGINT)
    if code is None:
        with pytest.raises(ValueError, match="building"):
            guarded(command, False)
    else:
        assert guarded(command, False) == code
        assert "stopped" in capsys.readouterr().err
    assert signal.getsignal(signal.SIGINT) is before


def test_a_misuse_is_told_as_json_where_that_was_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shown = io.StringIO()
    monkeypatch.setattr(sys, "stdout", shown)
    assert guarded(raising(click.UsageError("no such thing")), True) == 2
    assert '"usage"' in shown.getvalue()
