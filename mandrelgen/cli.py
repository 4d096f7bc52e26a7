"""The commands: read, call, print; they decide nothing."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial, wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from mandrelgen import __version__
from mandrelgen.errors import DesignError, DiskError, Finding, InputError, Level

if TYPE_CHECKING:
    from mandrelgen.batch import Outcome

EXIT_FINDINGS, EXIT_INPUT, EXIT_DISK, EXIT_STOPPED = 1, 2, 3, 130
FILE = click.Path(path_type=Path)


def say(findings: tuple[Finding, ...] | list[Finding]) -> None:
    """Print findings on standard error, errors first."""
    order = [Level.ERROR, Level.WARNING, Level.NOTE]
    for f in sorted(findings, key=lambda f: order.index(f.level)):
        click.echo(printable(f.line()), err=True)


def printable(text: str) -> str:
    """Text without control characters, so that a file's words cannot drive the terminal."""
    return "".join(
        c if c.isprintable() or c in "\n\t" else "\N{REPLACEMENT CHARACTER}" for c in text
    )


def emit(view: dict[str, Any] | list[dict[str, Any]]) -> None:
    """Print one JSON document on standard output."""
    click.echo(json.dumps(view, ensure_ascii=True, indent=1, allow_nan=False))


def told(command: Callable[..., int]) -> Callable[..., None]:
    """Turn the errors a person can mend into words and exit codes; none becomes a traceback."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> None:
        try:
            code = command(*args, **kwargs)
        except (InputError, DesignError) as e:
            if kwargs.get("as_json"):
                from mandrelgen import jsonview

                emit(jsonview.failure(e.findings))
            say(e.findings)
            code = e.exit_code
        except DiskError as e:
            if kwargs.get("as_json"):
                from mandrelgen import jsonview

                emit(jsonview.failure([e.finding]))
            say([e.finding])
            code = e.exit_code
        except BrokenPipeError:
            code = 0
        except KeyboardInterrupt:
            click.echo("stopped; what was published is whole, run it again to go on", err=True)
            code = EXIT_STOPPED
        sys.exit(code)

    return run


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="mandrelgen", message="%(prog)s %(version)s")
def main() -> None:
    """From a pen's threads and bores to mandrels a metal turner can make.

    Exit codes: 0 fine; 1 a finding of level error; 2 the file or the command could not be read;
    3 the disk refused; 130 stopped by Ctrl-C.
    """


@main.command()
@click.argument("name")
@click.option("--starter", help="Which starter to copy; default: the one of that name, or heron.")
@click.option("--to", "folder", type=FILE, default=Path(), help="Folder to write into.")
@told
def new(name: str, starter: str | None, folder: Path) -> int:
    """Copy a starter pen file to NAME.toml, and a shop file beside it if there is none."""
    from mandrelgen.starting import start

    for path in start(name, starter, folder):
        click.echo(f"wrote {printable(str(path))}")
    return 0


@main.command()
@click.argument("file", type=FILE)
@click.option("--shop", type=FILE, help="Shop file; default: shop.toml beside FILE.")
@click.option(
    "--to",
    "folder",
    type=FILE,
    default=Path("output"),
    help="Archive to look in for fixtures that would do; default: output.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
@told
def check(file: Path, shop: Path | None, folder: Path, as_json: bool) -> int:
    """Design every mandrel of the pen FILE and say what is wrong; nothing is written."""
    from mandrelgen import pipeline, reusing
    from mandrelgen.reading import read_inputs

    result = pipeline.check(read_inputs(file, shop))
    looked = reusing.look(result, folder)
    result = replace(result, findings=(*result.findings, *looked.findings))
    # Only the view that is asked for: a check has to start fast.
    if as_json:
        from mandrelgen import jsonview

        emit(jsonview.check(result))
    else:
        from mandrelgen import textview

        click.echo(printable(textview.check(result)))
        say(result.findings)
    return EXIT_FINDINGS if result.failed else 0


@main.command("what-if")
@click.argument("file", type=FILE)
@click.argument("mandrel", required=False)
@click.option("--shop", type=FILE, help="Shop file; default: shop.toml beside FILE.")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
@told
def what_if(file: Path, mandrel: str | None, shop: Path | None, as_json: bool) -> int:
    """Compare materials, fits, spigots, shanks and ways to thread for one MANDREL of the pen."""
    from mandrelgen import comparing
    from mandrelgen.design.whatif import compare
    from mandrelgen.reading import read_inputs

    inputs = read_inputs(file, shop)
    planned, variants = compare(inputs.pen, inputs.shop, mandrel)
    if as_json:
        emit(comparing.view(planned, variants))
    else:
        click.echo(printable(comparing.table(planned, variants)))
    return 0


@main.command()
@click.argument("text")
@click.option("--internal", is_flag=True, help="The nut's limits (default: by the class, else 6g).")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
@told
def thread(text: str, internal: bool, as_json: bool) -> int:
    """Limits of the thread TEXT, for example "M12xPh2.4P0.8-6H" or "3/8-32 UNEF-2A"."""
    from mandrelgen import jsonview, textview
    from mandrelgen.asking import ask_thread

    found = ask_thread(text, internal)
    if as_json:
        emit(jsonview.thread(found))
    else:
        click.echo(printable(textview.thread(found)))
    return 0


@main.command()
@click.argument("files", metavar="FILE...", type=FILE, nargs=-1, required=True)
@click.option("--shop", type=FILE, help="Shop file; default: shop.toml beside each FILE.")
@click.option("--to", "folder", type=FILE, default=Path("output"), help="Archive; default: output.")
@click.option("--only", help="Formats, for example dxf,pdf. Gives no number: NOT ISSUED.")
@click.option(
    "--date", "date", help="Date on the paper, 2026-05-31; default: the pen's, else today."
)
@click.option("--reason", help="Why a released fixture changes; stands in the revision table.")
@click.option("--wanted-by", help="Day the set is wanted by, 2026-07-01; stands in the request.")
@click.option("--prove", is_flag=True, help="Let the CAD kernel prove the models too.")
@click.option("--again", is_flag=True, help="Make and order also what is there or was ordered.")
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
    workers: int | None,
    progress: bool,
    as_json: bool,
) -> int:
    """Design every mandrel of each pen FILE and publish models, drawings and papers."""
    from mandrelgen.workers import cpus, crew

    # First of all: they load what draws while this process reads and designs.
    with crew(workers or cpus(), partial(_load_writers, only, prove)) as hands:
        from mandrelgen import batch, making

        wish = batch.Wish(
            shop, folder, making.chosen_formats(only), date, reason, prove, again, wanted_by
        )
        tell = say_progress if progress or sys.stderr.isatty() else silent
        return _report(batch.make_all(files, wish, tell, hands), len(files), as_json)


def _load_writers(only: str | None, prove: bool) -> None:
    from mandrelgen import building

    building.load(only, prove)


def _report(outcomes: Iterable[Outcome], pens: int, as_json: bool) -> int:
    """Say of each pen what was made, as soon as it is; the exit code."""
    from mandrelgen import jsonview, textview

    code, views = 0, []
    for o in outcomes:
        code = max(code, o.code)
        if as_json:
            named = {"file": str(o.file)} if pens > 1 else {}
            views.append({**named, **jsonview.outcome(o.result, o.findings)})
        elif o.result is not None:
            click.echo(printable(textview.made(o.result)))
        if pens > 1 and o.findings:
            click.echo(printable(f"{o.file}:"), err=True)
        say(o.findings)
    if as_json:
        emit(views[0] if pens == 1 else views)
    return code


def say_progress(text: str) -> None:
    """One line a step on standard error."""
    click.echo(printable(text), err=True)


def silent(text: str) -> None:
    """Nobody watches."""


@main.command()
@click.argument("number")
@click.option("--to", "folder", type=FILE, default=Path("output"), help="Archive; default: output.")
@click.option("--date", "date", help="Date of the release, 2026-05-31; default: today.")
@told
def release(number: str, folder: Path, date: str | None) -> int:
    """Release the newest revision of a fixture: from then on a change needs a reason."""
    from mandrelgen.releasing import release_fixture

    click.echo(printable(release_fixture(folder, number, date)))
    return 0


@main.command()
@click.argument("folder", type=FILE, default=Path("output"))
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
@told
def verify(folder: Path, as_json: bool) -> int:
    """Check every file of the archive FOLDER against its hash."""
    from mandrelgen import jsonview
    from mandrelgen.releasing import archive_faults

    faults = archive_faults(folder)
    if as_json:
        emit(jsonview.verified(faults))
    else:
        for fault in faults:
            click.echo(printable(fault.line()), err=True)
        click.echo(f"{len(faults)} faults" if faults else "sound")
    return EXIT_FINDINGS if faults else 0


# They add their commands to `main`, and need the names above.
from mandrelgen import benchcli as benchcli  # noqa: E402
from mandrelgen import cataloguecli as cataloguecli  # noqa: E402
from mandrelgen import findcli as findcli  # noqa: E402
from mandrelgen import printcli as printcli  # noqa: E402
