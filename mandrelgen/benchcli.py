"""The commands of the bench: the turner's pages, the order's papers, receipt."""

from __future__ import annotations

from pathlib import Path

import click

from mandrelgen.cli import EXIT_FINDINGS, FILE, emit, main, printable, say, told
from mandrelgen.errors import Finding, InputError, Level


@main.command()
@click.argument("file", type=FILE)
@click.option("--shop", type=FILE, help="Shop file; default: shop.toml beside FILE.")
@click.option("--mandrel", "only", help="Only the mandrel of that id.")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
@told
def lathe(file: Path, shop: Path | None, only: str | None, as_json: bool) -> int:
    """The turner's pages: stock, order of work, threading, gears, indexing, measuring."""
    from mandrelgen import benchview, pipeline
    from mandrelgen.reading import read_inputs

    result = pipeline.check(read_inputs(file, shop))
    ids = [d.mandrel.id for d in result.designed if d.mandrel is not None]
    if only is not None and only not in ids:
        message = f"there is no mandrel '{only[:40]}'"
        fault = Finding(Level.ERROR, "lathe", "--mandrel", message, f"use {', '.join(ids)}")
        raise InputError([fault])
    if as_json:
        emit(benchview.lathe_view(result, only))
    else:
        click.echo(printable(benchview.lathe_text(result, only)))
        say(result.findings)
    return EXIT_FINDINGS if result.failed else 0


@main.command()
@click.argument("file", type=FILE)
@click.option("--shop", type=FILE, help="Shop file; default: shop.toml beside FILE.")
@click.option("--date", "date", help="Date on the paper, 2026-05-31; default: the pen's, or today.")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
@told
def papers(file: Path, shop: Path | None, date: str | None, as_json: bool) -> int:
    """The e-mail that asks for a quotation, and the bench card for the pen's own parts."""
    from mandrelgen import benchview, pipeline
    from mandrelgen.clock import date_of
    from mandrelgen.reading import read_inputs

    result = pipeline.check(read_inputs(file, shop))
    day = date_of(date, result.inputs.pen.pen.date)
    if as_json:
        emit(benchview.papers_view(result, day))
    else:
        click.echo(printable(benchview.papers_text(result, day)))
        say(result.findings)
    return EXIT_FINDINGS if result.failed else 0


@main.command()
@click.argument("number")
@click.option(
    "--reading", "typed", multiple=True, help="id=value[±U][@instrument[:wire]]; balloon too."
)
@click.option("--file", "path", type=FILE, help="Readings as CSV, TOML or JSON.")
@click.option("--to", "folder", type=FILE, default=Path("output"), help="Archive; default: output.")
@click.option("--revision", help="Revision that arrived; default: the newest.")
@click.option("--shop", type=FILE, help="Shop file with the instruments; default: the stored one.")
@click.option("--date", "date", help="Day of the readings, 2026-05-31; default: today.")
@click.option("--by", default="", help="Who measured.")
@click.option("--try", "trial", is_flag=True, help="Judge only; store nothing.")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
@told
def receive(
    number: str,
    typed: tuple[str, ...],
    path: Path | None,
    folder: Path,
    revision: str | None,
    shop: Path | None,
    date: str | None,
    by: str,
    trial: bool,
    as_json: bool,
) -> int:
    """Judge readings of what arrived (ISO 14253-1) and keep them beside its record."""
    from mandrelgen import receiveview, receiving
    from mandrelgen.clock import date_of

    result = receiving.receive(
        folder, number, receiving.gather(typed, path), date_of(date),
        revision=revision, shop_path=shop, by=by, keep=not trial,
    )  # fmt: skip
    if as_json:
        emit(receiveview.received_view(result))
    else:
        click.echo(printable(receiveview.received_text(result)))
        say(result.findings)
    failed = any(f.level is Level.ERROR for f in result.findings)
    return EXIT_FINDINGS if failed else 0
