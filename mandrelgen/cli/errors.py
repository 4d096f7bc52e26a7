"""What every command does with what goes wrong: words, exit codes, never a traceback."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import sys
from collections.abc import Callable
from functools import wraps
from typing import Any

import click

from mandrelgen.cli.stopping import Stopped, asked_to_stop, stoppable
from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError, Level

EXIT_FINDINGS, EXIT_INPUT, EXIT_DISK, EXIT_STOPPED = 1, 2, 3, 130


def say(findings: tuple[Finding, ...] | list[Finding]) -> None:
    """Print findings on standard error, errors first."""
    order = [Level.ERROR, Level.WARNING, Level.NOTE]
    for f in sorted(findings, key=lambda f: order.index(f.level)):
        # One line each, also where a file's name holds a line's end.
        click.echo(printable(f.line()).replace("\n", "\\n"), err=True)


def printable(text: str) -> str:
    """Text without control characters, so that a file's words cannot drive the terminal."""
    return "".join(
        c if c.isprintable() or c in "\n\t" else "\N{REPLACEMENT CHARACTER}" for c in text
    )


def emit(view: dict[str, Any] | list[dict[str, Any]]) -> None:
    """Print one JSON document on standard output."""
    click.echo(json.dumps(view, ensure_ascii=True, indent=1, allow_nan=False))


def told(command: Callable[..., int]) -> Callable[..., None]:
    """Turn the errors a person can mend into words and exit codes; none becomes a traceback."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> None:
        sys.exit(guarded(lambda: command(*args, **kwargs), bool(kwargs.get("as_json"))))

    return run


def guarded(command: Callable[[], int | None], as_json: bool) -> int:
    """The exit code of a command that is stopped, or whose output cannot be written, too."""
    try:
        with stoppable():
            code = _code(command, as_json)
            sys.stdout.flush()
        return code
    except (KeyboardInterrupt, click.Abort) as e:
        return _stopped(e)
    except BrokenPipeError:
        _close_output()
        return 0
    except OSError as e:
        _close_output()
        with contextlib.suppress(OSError):
            say([_output(e)])
        return EXIT_DISK
    except Exception:
        asked = asked_to_stop()
        if asked is None:
            raise
        return _stopped(asked)


def _stopped(e: BaseException) -> int:
    """The exit code of a run that was asked to stop, which is said."""
    # Where Ctrl-C came in a text that was executed (a dataclass in the making), CPython ends
    # `python -m` by SIGINT, whatever the exit code: the next text that is executed resets it.
    exec("")
    code, by = EXIT_STOPPED, ""
    if isinstance(e, Stopped):
        code, by = 128 + e.number, f" by {e}"
    with contextlib.suppress(OSError):  # the terminal may be gone
        click.echo(f"stopped{by}; what was published is whole, run it again to go on", err=True)
    return code


def _code(command: Callable[[], int | None], as_json: bool) -> int:
    """The command's exit code; what a person can mend is said."""
    findings: tuple[Finding, ...]
    try:
        return command() or 0
    except click.ClickException as e:
        if as_json:
            from mandrelgen.workflows.answers import results

            emit(results.failure([_misuse(e)]))
        e.show()
        return e.exit_code
    except (InputError, DesignError) as e:
        findings, code = tuple(e.findings), e.exit_code
    except DiskError as e:
        findings, code = (e.finding,), e.exit_code
    if as_json:
        from mandrelgen.workflows.answers import results

        emit(results.failure(findings))
    say(findings)
    return code


def _misuse(e: click.ClickException) -> Finding:
    """A misuse of the command line, in click's words."""
    context = e.ctx if isinstance(e, click.UsageError) else None
    name = context.command_path if context else "mandrelgen"
    return Finding(
        level=Level.ERROR,
        code="usage",
        where=name,
        message=e.format_message(),
        remedy=f"see {name} --help",
    )


def _output(e: OSError) -> Finding:
    """What is left of the system's errors inside a command: mostly its own output, since files
    are opened by the archive's disk, which tells its errors itself."""
    if e.filename is not None:
        return Finding(
            level=Level.ERROR,
            code="disk",
            where=str(e.filename),
            message=e.strerror or str(e),
            remedy="name another",
        )
    return Finding(
        level=Level.ERROR,
        code="output",
        where="standard output",
        message=f"it could not be written: {e.strerror or e}",
        remedy="free some space where it goes, or send it elsewhere; what was published is whole",
    )


def _close_output() -> None:
    """What is still to be written goes nowhere: the system would only refuse it once more, with a
    traceback as the process ends."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, sys.stdout.fileno())
        os.close(null)


def hear_ctrl_c() -> None:
    """From here on Ctrl-C is told (see `mandrelgen.__main__`, where there is nothing to tell)."""
    found = signal.getsignal(signal.SIGINT)
    if getattr(found, "__name__", "") == "leave_at_ctrl_c":
        signal.signal(signal.SIGINT, signal.default_int_handler)
