"""The command line: its commands in one group."""

from __future__ import annotations

import click

from mandrelgen import __version__
from mandrelgen.cli.commands import archive, make, pen, print, receive, turner


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="mandrelgen", message="%(prog)s %(version)s")
def main() -> None:
    """From a pen's threads and bores to mandrels a metal turner can make.

    Exit codes: 0 fine; 1 a finding of level error; 2 the file or the command could not be read;
    3 the disk refused; 130 stopped by Ctrl-C.
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
