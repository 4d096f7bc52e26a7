"""The command of the catalogue."""

from __future__ import annotations

from pathlib import Path

import click

from mandrelgen.cli import FILE, main, printable, say, told


@main.command()
@click.argument("folder", type=FILE, default=Path("output"))
@click.option("--date", help="Date on the page, 2026-05-31; default: today.")
@told
def catalogue(folder: Path, date: str | None) -> int:
    """Write the archive FOLDER as a page of HTML that turns its parts and needs no network."""
    from mandrelgen.catalogue.publish import catalogue as write
    from mandrelgen.clock import date_of

    done = write(folder, date_of(date))
    click.echo(printable(f"wrote {done.path}: {done.fixtures} fixtures, {done.models} models"))
    say(done.findings)
    return 0
