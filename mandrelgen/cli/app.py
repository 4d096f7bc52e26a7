"""The command line: its commands in one group."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Any

import click

from mandrelgen import __version__
from mandrelgen.cli.commands import archive, make, new, order, pen, print, receive, turner
from mandrelgen.cli.errors import guarded, hear_ctrl_c


class Commands(click.Group):
    """The group of commands; what click would say by itself is said as everything else is."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands under what a person is about to do, each with its first sentence."""
        for title, commands in BY_PURPOSE:
            with formatter.section(title):
                formatter.write_dl([(c.name or "", c.get_short_help_str(62)) for c in commands])

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
    3 the disk refused; 130 stopped by Ctrl-C, 128 and its number by another signal.
    """


BY_PURPOSE: tuple[tuple[str, tuple[click.Command, ...]], ...] = (
    (
        "Describe a pen",
        (new.new, pen.open_, pen.check, pen.draw, pen.what_if, pen.thread, pen.keys),
    ),
    ("Make drawings, models and the order", (make.make, turner.papers, turner.lathe)),
    ("Try the fit with a printer", (print.print_, print.gauge, print.coupon, print.calibrate)),
    ("From the order to the drawer", (order.book, order.orders, archive.release)),
    ("When it arrives", (receive.receive, archive.withdraw, archive.labels)),
    (
        "Find and use what is there",
        (archive.find, archive.reuse, archive.holds, archive.compare_two, archive.adopt),
    ),
    (
        "Look after the archive",
        (archive.verify, archive.export, archive.take, archive.catalogue, archive.reindex),
    ),
)
"""The commands by what a person is about to do."""

for _, commands in BY_PURPOSE:
    for command in commands:
        main.add_command(command)
