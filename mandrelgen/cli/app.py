"""The command line: its commands in one group."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

import click

from mandrelgen import __version__
from mandrelgen.cli.errors import guarded, hear_ctrl_c


class Commands(click.Group):
    """The group of commands, each loaded when it is called; what click would say by itself is said
    as everything else is."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names of all commands, in order of the alphabet."""
        return sorted(name for _, commands in BY_PURPOSE for name in commands)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name; None if there is none."""
        place = next((c[cmd_name] for _, c in BY_PURPOSE if cmd_name in c), None)
        if place is None:
            return None
        module, name = place.split(".")
        command: click.Command = getattr(import_module(f"{COMMANDS}.{module}"), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands under what a person is about to do, each with its first sentence."""
        for title, commands in BY_PURPOSE:
            found = [(name, self.get_command(ctx, name)) for name in commands]
            with formatter.section(title):
                formatter.write_dl([(name, c.get_short_help_str(62)) for name, c in found if c])

    def main(  # type: ignore[override]  # click's own has overloads
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        standalone_mode: bool = True,
        **extra: Any,
    ) -> Any:
        """Run a command and end with its exit code; a misuse of the command line is told as JSON
        too where ``--json`` was asked for."""

        def command() -> Any:
            return super(Commands, self).main(args, prog_name, standalone_mode=False, **extra)

        if not standalone_mode:
            return command()
        hear_ctrl_c()
        sys.exit(guarded(command, "--json" in (sys.argv[1:] if args is None else args)))


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="mandrelgen", message="%(prog)s %(version)s")
def main() -> None:
    """From a pen's threads and bores to mandrels a metal turner can make.

    Exit codes: 0 fine; 1 a finding of level error; 2 the file or the command could not be read;
    3 could not write; 130 stopped by Ctrl-C, 128 and its number by another signal.
    """


COMMANDS = "mandrelgen.cli.commands"

BY_PURPOSE: tuple[tuple[str, dict[str, str]], ...] = (
    (
        "Describe a pen",
        {
            "new": "new.new",
            "open": "pen.open_",
            "check": "pen.check",
            "draw": "pen.draw",
            "what-if": "pen.what_if",
            "thread": "pen.thread",
            "keys": "pen.keys",
        },
    ),
    (
        "Make drawings, models and the order",
        {"make": "make.make", "papers": "turner.papers", "lathe": "turner.lathe"},
    ),
    (
        "Try the fit with a printer",
        {
            "print": "print.print_",
            "gauge": "print.gauge",
            "coupon": "print.coupon",
            "calibrate": "print.calibrate",
        },
    ),
    (
        "From the order to the drawer",
        {"book": "order.book", "orders": "order.orders", "release": "archive.release"},
    ),
    (
        "When it arrives",
        {"receive": "receive.receive", "withdraw": "archive.withdraw", "labels": "archive.labels"},
    ),
    (
        "Find and use what is there",
        {
            "find": "archive.find",
            "reuse": "archive.reuse",
            "holds": "archive.holds",
            "compare": "archive.compare_two",
            "adopt": "archive.adopt",
        },
    ),
    (
        "Look after the archive",
        {
            "verify": "archive.verify",
            "export": "archive.export",
            "import": "archive.take",
            "catalogue": "archive.catalogue",
            "reindex": "archive.reindex",
        },
    ),
)
"""The commands by what a person is about to do: the name, and its function in `commands/`."""
