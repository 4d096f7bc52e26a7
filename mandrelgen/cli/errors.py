"""What every command does with what goes wrong: words, exit codes, never a traceback."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from functools import wraps
from typing import Any

import click

from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError, Level

EXIT_FINDINGS, EXIT_INPUT, EXIT_DISK, EXIT_STOPPED = 1, 2, 3, 130


def say(findings: tuple[Finding, ...] | list[Finding]) -> None:
    """Print findings on standard error, errors first."""
    order = [Level.ERROR, Level.WARNING, Level.NOTE]
    for f in sorted(findings, key=lambda f: order.index(f.level)):
        click.echo(printable(f.line()), err=True)


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
        try:
            code = command(*args, **kwargs)
        except (InputError, DesignError) as e:
            if kwargs.get("as_json"):
                from mandrelgen.cli.views import json

                emit(json.failure(e.findings))
            say(e.findings)
            code = e.exit_code
        except DiskError as e:
            if kwargs.get("as_json"):
                from mandrelgen.cli.views import json

                emit(json.failure([e.finding]))
            say([e.finding])
            code = e.exit_code
        except BrokenPipeError:
            code = 0
        except KeyboardInterrupt:
            click.echo("stopped; what was published is whole, run it again to go on", err=True)
            code = EXIT_STOPPED
        sys.exit(code)

    return run
