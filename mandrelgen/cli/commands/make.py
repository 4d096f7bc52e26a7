"""``make``."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mandrelgen.cli import options
from mandrelgen.cli.errors import emit, printable, say, told
from mandrelgen.cli.options import FILE

if TYPE_CHECKING:
    from mandrelgen.workflows.batch import Outcome


@click.command()
@click.argument("files", metavar="FILE...", type=FILE, nargs=-1, required=True)
@options.shop
@options.archive
@click.option("--only", help="Formats, for example dxf,pdf. Gives no number: NOT ISSUED.")
@options.paper_date
@click.option("--reason", help="Why a fixture changes that was asked for; for the revision table.")
@click.option(
    "--wanted-by",
    help="Day the set is required by, 2026-07-01, not before --date; stands in the request.",
)
@click.option("--prove", is_flag=True, help="Let the CAD kernel prove the models too.")
@click.option("--again", is_flag=True, help="Make and order also what is there or was ordered.")
@click.option(
    "--same-as",
    multiple=True,
    help="Number of a fixture that goes on under an id changed in the pen file; may repeat.",
)
@click.option(
    "--workers",
    type=click.IntRange(1, 64),
    help="Processes that draw; default: one a CPU, at most 8. Always 1 on Windows and macOS.",
)
@click.option("--progress", is_flag=True, help="Say how far it is also if no terminal listens.")
@click.option(
    "--json", "as_json", is_flag=True, help="Print the result as JSON; of several, a list."
)
@told
def make(
    files: tuple[Path, ...],
    shop: Path | None,
    folder: Path,
    only: str | None,
    date: str | None,
    reason: str | None,
    wanted_by: str | None,
    prove: bool,
    again: bool,
    same_as: tuple[str, ...],
    workers: int | None,
    progress: bool,
    as_json: bool,
) -> int:
    """Design every mandrel of each pen FILE and publish models, drawings and papers."""
    from mandrelgen.workflows import parallel
    from mandrelgen.workflows.check import check_pen
    from mandrelgen.workflows.kernel_needed import require_kernel

    require_kernel(only, prove)
    # First of all, before anything is read or opened.
    count = workers or parallel.cpus()
    with (
        parallel.ahead(count, partial(check_pen, files[0], shop, folder)) as first,
        parallel.workers(count, partial(_load_writers, only, prove)) as executor,
    ):
        from mandrelgen.workflows.batch import make_all
        from mandrelgen.workflows.make_options import MakeOptions, chosen_formats

        asked = MakeOptions(
            folder=folder, shop=shop, formats=chosen_formats(only), date=date, reason=reason,
            prove=prove, again=again, wanted_by=wanted_by, same_as=same_as,
        )  # fmt: skip
        tell = say_progress if progress or sys.stderr.isatty() else silent
        same = None if as_json or not (sys.stdin.isatty() and sys.stdout.isatty()) else ask_same
        made = make_all(files, asked, tell, executor, same, first)
        return _report(made, len(files), as_json)


def ask_same(question: str) -> bool:
    """Ask whether a fixture goes on under a changed id."""
    return click.confirm(printable(question), default=True)


def _load_writers(only: str | None, prove: bool) -> None:
    from mandrelgen.workflows import package

    package.load(only, prove)


def _report(outcomes: Iterable[Outcome], pens: int, as_json: bool) -> int:
    """Say of each pen what was made, as soon as it is; the exit code."""
    from mandrelgen.cli.views import text as textview
    from mandrelgen.workflows.answers.first_screen import heard, joined

    code, views = 0, []
    for o in outcomes:
        code = max(code, o.code)
        if as_json:
            from mandrelgen.workflows.answers import results

            named = {"file": str(o.file)} if pens > 1 else {}
            views.append({**named, **results.outcome(o.result, o.findings)})
        elif o.result is not None:
            click.echo(printable(textview.made(o.result)))
        said = joined(heard(o.findings, () if o.result is None else o.result.words))
        if pens > 1 and said:
            click.echo(printable(f"{o.file}:"), err=True)
        say(said)
    if as_json:
        emit(views[0] if pens == 1 else views)
    return code


def say_progress(text: str) -> None:
    """One line a step on standard error."""
    click.echo(printable(text), err=True)


def silent(text: str) -> None:
    """Nobody watches."""
