"""The turner's pages and the order's papers."""

from __future__ import annotations

from pathlib import Path

import click

from mandrelgen.cli import options
from mandrelgen.cli.errors import EXIT_FINDINGS, emit, printable, say, told
from mandrelgen.cli.options import FILE
from mandrelgen.core.errors import Finding, InputError, Level


@click.command()
@click.argument("file", type=FILE)
@options.shop
@click.option("--mandrel", "only", help="Only the mandrel of that id.")
@options.as_json
@told
def lathe(file: Path, shop: Path | None, only: str | None, as_json: bool) -> int:
    """The turner's pages: stock, sequence of operations, threading, gears, indexing, measuring."""
    from mandrelgen.cli.views import bench
    from mandrelgen.workflows import check
    from mandrelgen.workflows.answers import turner as answers
    from mandrelgen.workflows.read_inputs import read_inputs

    result = check.check(read_inputs(file, shop))
    ids = [d.mandrel.id for d in result.designed if d.mandrel is not None]
    if only is not None and only not in ids:
        message = f"there is no mandrel '{only[:40]}'"
        fault = Finding(
            level=Level.ERROR,
            code="lathe",
            where="--mandrel",
            message=message,
            remedy=f"use {', '.join(ids)}",
        )
        raise InputError([fault])
    if as_json:
        emit(answers.lathe(result, only))
    else:
        click.echo(printable(bench.lathe_text(result, only)))
        say(result.findings)
    return EXIT_FINDINGS if result.failed else 0


@click.command()
@click.argument("file", type=FILE)
@options.shop
@options.paper_date
@click.option("--order", help="Instead, the e-mail that orders what is in this order: its name.")
@options.archive
@options.as_json
@told
def papers(
    file: Path, shop: Path | None, date: str | None, order: str | None, folder: Path, as_json: bool
) -> int:
    """The e-mail that asks for a quotation, and the route card for the pen's own parts; with
    --order, the order in writing, once a price was booked."""
    from mandrelgen.cli.views import bench
    from mandrelgen.core.clock import date_of
    from mandrelgen.workflows import check
    from mandrelgen.workflows.answers import turner as answers
    from mandrelgen.workflows.read_inputs import read_inputs

    inputs = read_inputs(file, shop)
    if order is not None:
        from mandrelgen.workflows.order_letter import order_in_writing

        letter = order_in_writing(folder, order, inputs.pen, inputs.shop)
        if as_json:
            emit({"order": order, "email": letter})
        else:
            click.echo(printable(letter), nl=False)
        return 0
    result = check.check(inputs)
    day = date_of(date, result.inputs.pen.pen.date)
    if as_json:
        emit(answers.papers(result, day))
    else:
        click.echo(printable(bench.papers_text(result, day)))
        say(result.findings)
    return EXIT_FINDINGS if result.failed else 0
