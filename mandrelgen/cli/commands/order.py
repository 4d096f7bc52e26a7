"""The commands of an order's way from the request to the drawer: book, orders."""

from __future__ import annotations

from pathlib import Path

import click

from mandrelgen.cli import options
from mandrelgen.cli.errors import emit, printable, say, told
from mandrelgen.cli.options import FILE


@click.command()
@click.argument("name")
@click.argument("state")
@options.archive
@click.option("--whom", default="", help="The shop that was asked, that quoted, that makes it.")
@click.option("--price", default="", help="48.50, or 48.50 EUR.")
@click.option("--lead-days", type=int, help="Lead time after order, days.")
@click.option("--promised", default="", help="Day it is promised for: 2026-07-15, or 3 weeks.")
@click.option("--note", default="", help="Anything else, on one line.")
@click.option("--date", help="Day it happened, 2026-05-31; default: today.")
@click.option("--again", is_flag=True, help="Ask or order once more what is owned already.")
@options.as_json
@told
def book(
    name: str, state: str, folder: Path, whom: str, price: str, lead_days: int | None,
    promised: str, note: str, date: str | None, again: bool, as_json: bool,
) -> int:  # fmt: skip
    """Note that the fixture or order NAME is now in STATE: asked, quoted, declined, ordered,
    arrived, in-use, reworked, sent-back, lost, withdrawn."""
    from mandrelgen.cli.views import orders as views
    from mandrelgen.workflows import booking
    from mandrelgen.workflows.answers import orders as answers
    from mandrelgen.workflows.catalogue import front

    said = booking.Said(whom=whom, price=price, lead=lead_days, promised=promised, note=note,
                        again=again)  # fmt: skip
    done = booking.book(folder, name, state, date, said)
    if as_json:
        emit(answers.booked(done))
    else:
        click.echo(printable(views.booked_text(done)))
    say(front.refresh(folder))
    return 0


@click.command()
@click.argument("folder", type=FILE, default=Path("output"))
@click.option("--all", "every", is_flag=True, help="Also what is done, and superseded orders.")
@options.as_json
@told
def orders(folder: Path, every: bool, as_json: bool) -> int:
    """What is outstanding in the archive FOLDER: with whom, since when, promised for when."""
    from mandrelgen.cli.views import orders as views
    from mandrelgen.workflows import booking
    from mandrelgen.workflows.answers import orders as answers

    found = booking.standing(folder, told=every or as_json)
    if as_json:
        emit(answers.orders(found))
    else:
        click.echo(printable(views.orders_text(found, every=every)))
    return 0
