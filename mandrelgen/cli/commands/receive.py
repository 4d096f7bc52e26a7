"""Inspection on receipt, and later for wear."""

from __future__ import annotations

from pathlib import Path

import click

from mandrelgen.cli import options
from mandrelgen.cli.errors import EXIT_FINDINGS, emit, printable, say, told
from mandrelgen.cli.options import FILE
from mandrelgen.core.errors import Finding, Level


@click.command()
@click.argument("number")
@click.option(
    "--reading", "typed", multiple=True, help="id=value[±U][@instrument[:wire]]; balloon too."
)
@click.option("--file", "path", type=FILE, help="Readings as CSV, TOML or JSON.")
@click.option("--home", "home", type=FILE, help="Answers of the home form (TOML, CSV or JSON).")
@click.option("--form", "form", is_flag=True, help="Print the home form to fill in; judge nothing.")
@click.option("--book", "book", is_flag=True, help="With --home: book the state the word leads to.")
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
    home: Path | None,
    form: bool,
    book: bool,
    folder: Path,
    revision: str | None,
    shop: Path | None,
    date: str | None,
    by: str,
    trial: bool,
    as_json: bool,
) -> int:
    """Judge what arrived from readings (ISO 14253-1), or from tests at home (--home), and keep it
    beside its record."""
    from mandrelgen.core.clock import date_of
    from mandrelgen.workflows.catalogue import front

    if home is not None and path is not None:
        raise click.UsageError("--home takes sizes too: name one file, --home or --file")
    if book and (home is None or trial):
        raise click.UsageError("--book goes with --home, and not with --try")
    name = f"{number}:{revision}" if revision else number
    if form:
        return _form(folder, name, shop, as_json)
    day = date_of(date)
    if home is None:
        code = _strict(folder, number, typed, path, revision, shop, day, by, not trial, as_json)
    else:
        code = _home(folder, name, typed, home, shop, day, by, trial, book, as_json)
    if not trial:
        say(front.refresh(folder))
    return code


def _strict(
    folder: Path, number: str, typed: tuple[str, ...], path: Path | None, revision: str | None,
    shop: Path | None, day: str, by: str, keep: bool, as_json: bool,
) -> int:  # fmt: skip
    from mandrelgen.cli.views import receive as views
    from mandrelgen.workflows import receive
    from mandrelgen.workflows.answers import receive as answers

    result = receive.receive(
        folder, number, receive.gather(typed, path), day,
        revision=revision, shop_path=shop, by=by, keep=keep,
    )  # fmt: skip
    if as_json:
        emit(answers.received(result))
    else:
        click.echo(printable(views.received_text(result)))
    return _told(result.findings, as_json)


def _home(
    folder: Path, name: str, typed: tuple[str, ...], path: Path, shop: Path | None, day: str,
    by: str, trial: bool, book: bool, as_json: bool,
) -> int:  # fmt: skip
    from mandrelgen.cli.views import home as views
    from mandrelgen.workflows import receive_home
    from mandrelgen.workflows.answers import receive as answers

    given = receive_home.gather(typed, path)
    if trial:
        result = receive_home.judge_home(folder, name, given, day, shop, book)
    else:
        result = receive_home.book_home(
            folder, name, given, day, shop_path=shop, by=by, book=book
        )  # fmt: skip
    if as_json:
        emit(answers.received_at_home(result))
    else:
        click.echo(printable(views.home_text(result)))
    return _told(result.findings, as_json)


def _form(folder: Path, name: str, shop: Path | None, as_json: bool) -> int:
    from mandrelgen.cli.views import home as views
    from mandrelgen.workflows.answers import receive as answers
    from mandrelgen.workflows.receive_home import home_form

    form = home_form(folder, name, shop)
    if as_json:
        emit(answers.form_to_fill(form))
    else:
        click.echo(printable(views.form_text(form, name)))
    return 0


def _told(findings: tuple[Finding, ...], as_json: bool) -> int:
    """Say the findings (in JSON they stand in the document); the exit code."""
    if not as_json:
        say(findings)
    return EXIT_FINDINGS if any(f.level is Level.ERROR for f in findings) else 0
