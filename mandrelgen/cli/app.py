"""The command line: its commands in one group."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Any

import click

from mandrelgen import __version__
from mandrelgen.cli.commands import archive, make, pen, print, receive, turner
from mandrelgen.cli.errors import guarded, hear_ctrl_c


class Commands(click.Group):
    """The group of commands; what click would say by itself is said as everything else is."""

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


for command in (
    pen.new,
    pen.check,
    pen.what_if,
    pen.draw,
    pen.open_,
    pen.thread,
    make.make,
    turner.lathe,
    turner.papers,
    receive.receive,
    print.print_,
    print.gauge,
    print.coupon,
    print.calibrate,
    archive.find,
    archive.compare_two,
    archive.reuse,
    archive.holds,
    archive.adopt,
    archive.labels,
    archive.release,
    archive.withdraw,
    archive.export,
    archive.take,
    archive.reindex,
    archive.verify,
    archive.catalogue,
):
    main.add_command(command)
