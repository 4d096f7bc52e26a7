"""Where the command begins: the version alone must not wait for the command library."""

from __future__ import annotations

import atexit
import os
import signal
import sys

from mandrelgen import __version__


def run() -> None:
    """The command line as a program of its own: the process ends with it, and at once."""
    codes: list[int] = []
    atexit.register(leave_at_once, codes)  # before all others: at the end it comes behind them
    try:
        main()
    except SystemExit as e:
        codes += [e.code] if isinstance(e.code, int) else []
        raise


def main() -> None:
    """Run the command line; another program may do so too."""
    nobody_there()
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, leave_at_ctrl_c)
    if sys.argv[1:] == ["--version"]:
        try:
            sys.stdout.write(f"mandrelgen {__version__}\n")
            sys.stdout.flush()
        except OSError as e:
            sys.stderr.write(f"error: standard output could not be written: {e.strerror}\n")
            sys.stderr.flush()
            os._exit(3)
        return
    collect_rarely()
    without_plugins()
    from mandrelgen.cli.app import main as commands

    commands()


def nobody_there() -> None:
    """What was closed before the run (``>&-``) is a stream that nobody writes or reads: else Python
    has none there, and the first file that is opened becomes the standard output."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115 it stays


def leave_at_ctrl_c(number: int, frame: object) -> None:
    """Ctrl-C before there is a command: nothing was done, nothing is to be told."""
    os._exit(130)


def collect_rarely() -> None:
    """A run makes many small frozen values and next to no cycles: look for these less often.
    Nothing may pile up for it: `tests/benchmarks/growth.py` runs with this setting."""
    import gc

    gc.set_threshold(200_000, 20, 20)


def without_plugins() -> None:
    """No package that happens to be installed beside this one takes part in reading a file; to look
    for such plugins pydantic would look into every installed package at each start."""
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


def leave_at_once(codes: list[int]) -> None:
    """The memory goes with the process: without this Python would take all of it apart before it
    ends, a fifth of a short run. What has to be closed is closed, and what the run registered for
    the end has run. ``codes``: the exit code, if the run came to one."""
    if codes and "coverage" not in sys.modules:  # which writes at the end what it has seen
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(codes[0])


if __name__ == "__main__":
    run()
