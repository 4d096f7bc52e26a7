"""Inspection on receipt, and later for wear."""

from __future__ import annotations

from pathlib import Path

import click

from mandrelgen.cli import options
from mandrelgen.cli.errors import EXIT_FINDINGS, emit, printable, say, told
from mandrelgen.cli.options import FILE
from mandrelgen.core.errors import Level


@click.command()
@click.argument("number")
@click.option(
    "--reading", "typed", multiple=True, help="id=value[±U][@instrument[:wire]]; balloon too."
)
@click.option("--file", "path", type=FILE, help="Readings as CSV, TOML or JSON.")
@options.archive
@click.option("--revision", help="Revision that arrived; default: the newest.")
@click.option("--shop", type=FILE, help="Shop file with the instruments; default: the stored one.")
@click.option("--date", "date", help="Day of the readings, 2026-05-31; default: today.")
@click.option("--by", default="", help="Who measured.")
@click.option("--try", "trial", is_flag=True, help="Judge only; store nothing.")
@options.as_json
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
    from mandrelgen.cli.views import receive as views
    from mandrelgen.core.clock import date_of
    from mandrelgen.workflows import receive
    from mandrelgen.workflows.catalogue import front

    result = receive.receive(
        folder, number, receive.gather(typed, path), date_of(date),
        revision=revision, shop_path=shop, by=by, keep=not trial,
    )  # fmt: skip
    if as_json:
        emit(views.received_view(result))
    else:
        click.echo(printable(views.received_text(result)))
        say(result.findings)
    say(() if trial else front.refresh(folder))
    failed = any(f.level is Level.ERROR for f in result.findings)
    return EXIT_FINDINGS if failed else 0
