"""The commands for printed fixtures: read, call, print; they decide nothing."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mandrelgen.cli import options
from mandrelgen.cli.errors import EXIT_FINDINGS, emit, printable, say, told
from mandrelgen.cli.options import FILE

if TYPE_CHECKING:
    from mandrelgen.workflows.print_versions import PrintedSet

PRINTERS = "a printer of the shop file, fdm-04, fdm-025 or resin"
with_folder = click.option(
    "--to", "folder", type=FILE, default=Path("output"), help="Folder; default: output."
)
with_date = click.option(
    "--date", "date", help="Date in the files, 2026-05-31; default: the pen's, else today."
)
with_anyway = click.option(
    "--anyway", is_flag=True, help="Write also what the printer cannot form."
)


@click.command("print")
@click.argument("file", type=FILE)
@click.option("--printer", "name", help=f"{PRINTERS}; or nominal. Left out: asked, or listed.")
@click.option("--only", help="One mandrel, by its id.")
@options.shop
@with_folder
@with_anyway
@with_date
@options.as_json
@told
def print_(
    file: Path, name: str | None, only: str | None, shop: Path | None, folder: Path, anyway: bool,
    date: str | None, as_json: bool,
) -> int:  # fmt: skip
    """Print versions (3MF, STL) of the mandrels of the pen FILE, for trying the fit by hand."""
    from mandrelgen.core.clock import date_of
    from mandrelgen.workflows import check, print_versions
    from mandrelgen.workflows.read_inputs import read_inputs

    inputs = read_inputs(file, shop, folder)
    name = name or _which(print_versions.offered(inputs.shop, nominal=True))
    checked = check.check(inputs)
    day = date_of(date, checked.inputs.pen.pen.date)
    made = print_versions.print_mandrels(checked, name, folder, day, anyway, only)
    return _show(made, as_json)


@click.command()
@click.argument("file", type=FILE)
@click.argument("place")
@click.option(
    "--printer", "name", default="nominal", help=f"nominal (the metal gauges, default); {PRINTERS}."
)
@options.shop
@with_folder
@with_anyway
@with_date
@options.as_json
@told
def gauge(
    file: Path, place: str, name: str, shop: Path | None, folder: Path, anyway: bool,
    date: str | None, as_json: bool,
) -> int:  # fmt: skip
    """Go and not-go gauges of the threads at PLACE (part.end), and a mating dummy of the end."""
    from mandrelgen.core.clock import date_of
    from mandrelgen.workflows import gauges
    from mandrelgen.workflows.read_inputs import read_inputs

    inputs = read_inputs(file, shop, folder)
    day = date_of(date, inputs.pen.pen.date)
    return _show(gauges.print_gauges(inputs, place, name, folder, day, anyway), as_json)


@click.command()
@click.option("--printer", "name", help=f"{PRINTERS}. Left out: asked, or listed.")
@click.option("--shop", type=FILE, help="Shop file; default: shop.toml here, else beside --to.")
@with_folder
@with_date
@options.as_json
@told
def coupon(
    name: str | None, shop: Path | None, folder: Path, date: str | None, as_json: bool
) -> int:
    """A plate that shows how a printer's sizes come out: pin, holes, a ladder of threads."""
    from mandrelgen.core.clock import date_of
    from mandrelgen.workflows import print_versions
    from mandrelgen.workflows.read_inputs import read_shop_file

    found = read_shop_file(shop, folder)
    name = name or _which(print_versions.offered(found))
    return _show(print_versions.print_coupon(found, name, folder, date_of(date)), as_json)


@click.command()
@click.argument("name")
@click.option("--shop", type=FILE, default=Path("shop.toml"), help="Shop file; default: shop.toml.")
@click.option("--pin", "pins", multiple=True, help="A step of the pin, nominal=measured: 10=10.12.")
@click.option("--hole", "holes", multiple=True, help="A hole, nominal=measured: 8=7.85.")
@click.option("--ladder", type=float, help="Least mark whose printed plug goes into its ring.")
@click.option("--plug", type=float, help="Least plug that goes into a real thread.")
@click.option("--ring", type=float, help="Least ring that goes on a real thread.")
@click.option("--date", "date", help="Day of the readings, 2026-05-31; default: today.")
@told
def calibrate(
    name: str, shop: Path, pins: tuple[str, ...], holes: tuple[str, ...], ladder: float | None,
    plug: float | None, ring: float | None, date: str | None,
) -> int:  # fmt: skip
    """Enter the readings of printer NAME's coupon in the shop file; later prints use them."""
    from mandrelgen.workflows import print_versions
    from mandrelgen.workshop.printing.calibrate import Readings, parse_pair

    readings = Readings(
        pins=tuple(parse_pair(t, "--pin") for t in pins),
        holes=tuple(parse_pair(t, "--hole") for t in holes),
        ladder=ladder,
        plug=plug,
        ring=ring,
    )
    click.echo(printable(print_versions.calibrate(shop, name, readings, date)))
    return 0


def _which(names: tuple[str, ...]) -> str:
    """The printer, asked on a terminal; else InputError with those there are."""
    from mandrelgen.workflows import print_versions

    if not sys.stdin.isatty():
        raise print_versions.none_named(names)
    for i, name in enumerate(names, 1):
        click.echo(printable(f"  {i}  {name}"))
    chosen = click.prompt("Which printer", default=1, type=click.IntRange(1, len(names)))
    return names[int(chosen) - 1]


def _show(result: PrintedSet, as_json: bool) -> int:
    from mandrelgen.cli.views.printing import printed_text
    from mandrelgen.workflows.answers.printing import printed

    if as_json:
        emit(printed(result))
    else:
        click.echo(printable(printed_text(result)))
    say(result.findings)
    return EXIT_FINDINGS if result.failed else 0
