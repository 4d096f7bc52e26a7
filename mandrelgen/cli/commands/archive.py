"""The commands of the archive: find, compare, reuse, holds, adopt, labels, release, withdraw,
export, import, reindex, verify, catalogue."""

from __future__ import annotations

from pathlib import Path

import click

from mandrelgen.cli import options
from mandrelgen.cli.errors import EXIT_FINDINGS, emit, printable, say, told
from mandrelgen.cli.options import FILE


@click.command()
@click.argument("thread", required=False)
@click.option("--kind", default="", help="plug, cup, spigot, double-ended, tailstock-button.")
@click.option("--part", default="", help="The part's id, for example cap.")
@click.option("--pen", default="", help="The pen's id; adopted: the old fixtures.")
@click.option("--spigot", help="A spigot of this size: 7.5..7.7, or 7.6, mm.")
@click.option("--bore", type=float, help="A spigot that guides in this bore, mm.")
@click.option("--shank", type=float, help="A shank of this size, mm.")
@click.option("--material", default="", help="A piece of the material's name.")
@click.option("--collet", default="", help="A piece of the collet's name.")
@click.option("--since", help="Not older than this day, 2026-05-31.")
@click.option("--until", help="Not younger than this day.")
@click.option("--status", default="", help="in preparation, released, superseded, withdrawn.")
@click.option("--text", "words", multiple=True, help="A word anywhere in the record; may repeat.")
@click.option("--all", "all_revisions", is_flag=True, help="Older revisions too.")
@click.option("--file", "path", type=FILE, help="Write the list to a .csv or .xlsx file too.")
@click.option("--date", help="Date in the .xlsx file, 2026-05-31; default: today.")
@options.archive
@options.as_json
@told
def find(
    thread: str | None,
    kind: str,
    part: str,
    pen: str,
    spigot: str | None,
    bore: float | None,
    shank: float | None,
    material: str,
    collet: str,
    since: str | None,
    until: str | None,
    status: str,
    words: tuple[str, ...],
    all_revisions: bool,
    path: Path | None,
    date: str | None,
    folder: Path,
    as_json: bool,
) -> int:
    """Find fixtures by THREAD (any notation, with words beside it: "cap M13 three starts") and by
    everything else they are or do."""
    from mandrelgen.archive.query import Query
    from mandrelgen.cli.views import search as views
    from mandrelgen.core.clock import date_of
    from mandrelgen.workflows import search
    from mandrelgen.workflows.answers import fixtures

    asked = search.asked_of(thread) if thread else None
    query = Query(
        threads=asked.threads if asked else (),
        kind=kind, part=part, pen=pen, bore=bore, shank=shank, material=material, collet=collet,
        spigot=search.range_of(spigot) if spigot else None,
        since=search.day_of(since), until=search.day_of(until), status=status,
        words=(*words, *(asked.words if asked else ())),
        all_revisions=all_revisions,
    )  # fmt: skip
    found = search.find(folder, query)
    if path is not None:
        search.write_list(found.rows, path, date_of(date))
    if as_json:
        emit(fixtures.found_fixtures(found))
    else:
        click.echo(printable(views.found_text(found)))
        say(found.findings)
    return 0


@click.command("compare")
@click.argument("first")
@click.argument("second")
@options.archive
@options.as_json
@told
def compare_two(first: str, second: str, folder: Path, as_json: bool) -> int:
    """Compare two fixtures or revisions: MG-0001:A MG-0001:B, by characteristic."""
    from mandrelgen.cli.views import search as views
    from mandrelgen.workflows import compare
    from mandrelgen.workflows.answers import fixtures

    result = compare.compare(folder, first, second)
    if as_json:
        emit(fixtures.compared(result))
    else:
        click.echo(printable(views.compare_text(result)))
    return 0


@click.command()
@click.argument("file", type=FILE)
@options.shop
@options.archive
@options.as_json
@told
def reuse(file: Path, shop: Path | None, folder: Path, as_json: bool) -> int:
    """Which fixtures of the archive would do for the mandrels of the pen FILE, best first."""
    from mandrelgen.cli.views import search as views
    from mandrelgen.workflows import check, reuse
    from mandrelgen.workflows.answers import fixtures
    from mandrelgen.workflows.archives import archive_of
    from mandrelgen.workflows.read_inputs import read_inputs

    archive_of(folder)
    looked = reuse.look(check.check(read_inputs(file, shop, folder)), folder, near=True)
    if as_json:
        emit(fixtures.reusable(looked))
    else:
        click.echo(printable(views.looked_text(looked)))
        say([f for f in looked.findings if f.code == "archive.unread"])
    return 0


@click.command()
@click.argument("number")
@click.argument("pens", nargs=-1, type=FILE)
@options.shop
@options.archive
@options.as_json
@told
def holds(
    number: str, pens: tuple[Path, ...], shop: Path | None, folder: Path, as_json: bool
) -> int:
    """Which parts of the PENS (default: of every pen of the archive) the fixture NUMBER holds."""
    from mandrelgen.cli.views import search as views
    from mandrelgen.workflows import holds
    from mandrelgen.workflows.answers import fixtures

    result = holds.holds(folder, number, pens, shop)
    if as_json:
        emit(fixtures.held_by(result))
    else:
        click.echo(printable(views.holds_text(result)))
    return 0


@click.command()
@click.argument("file", type=FILE)
@options.archive
@click.option("--date", help="Day of the measurements if the file names none; default: today.")
@click.option("--reason", help="Why the measurements changed; makes the next revision.")
@options.as_json
@told
def adopt(file: Path, folder: Path, date: str | None, reason: str | None, as_json: bool) -> int:
    """Enter a fixture that is older than the archive from the measurements in FILE."""
    from mandrelgen.cli.views import search as views
    from mandrelgen.workflows import adopt
    from mandrelgen.workflows.answers import fixtures
    from mandrelgen.workflows.catalogue import front

    result = adopt.adopt_file(folder, file, date, reason)
    if as_json:
        emit(fixtures.adopted(result))
    else:
        click.echo(printable(views.adopted_text(result)))
    say(front.refresh(folder))
    return 0


@click.command()
@click.argument("names", nargs=-1)
@options.archive
@click.option("--file", "path", type=FILE, default=Path("labels.pdf"), help="Default: labels.pdf.")
@click.option("--grid", default="drawer", help="small, drawer, box, or COLUMNSxROWS on A4: 3x8.")
@click.option("--margin", type=float, default=10.0, help="Around the labels, mm.")
@click.option("--gap", type=float, default=2.0, help="Between the labels, mm.")
@click.option("--first", type=int, default=1, help="Place to begin at, on a sheet partly used.")
@told
def labels(
    names: tuple[str, ...], folder: Path, path: Path, grid: str, margin: float, gap: float,
    first: int,
) -> int:  # fmt: skip
    """Labels to stick on drawers, as PDF: of the NUMBERS, or of every fixture of an archive FOLDER
    (default: of the one --to names)."""
    from mandrelgen.workflows import labels, search

    folder, names = labels.folder_or_numbers(folder, names)
    count = labels.labels(folder, names, labels.grid_of(grid, margin, gap, first), path)
    click.echo(printable(f"wrote {path}, {count} label{'s' if count > 1 else ''}"))
    if not names:
        say(search.unread(folder))
    return 0


@click.command()
@click.argument("numbers", nargs=-1, required=True)
@options.archive
@click.option("--date", help="Day of the withdrawal, 2026-05-31; default: today.")
@click.option("--note", default="", help="Why, for example: lost, bent.")
@told
def withdraw(numbers: tuple[str, ...], folder: Path, date: str | None, note: str) -> int:
    """Withdraw the newest revision of fixtures (MG-0001, mg-1 …): no longer offered nor ordered."""
    from mandrelgen.workflows.catalogue import front
    from mandrelgen.workflows.lifecycle import withdraw_fixtures

    for line in withdraw_fixtures(folder, numbers, date, note):
        click.echo(printable(line))
    say(front.refresh(folder))
    return 0


@click.command()
@click.argument("path", type=FILE)
@click.argument("names", nargs=-1)
@options.archive
@told
def export(path: Path, names: tuple[str, ...], folder: Path) -> int:
    """Write fixtures or orders by NAMES (default: the whole archive) to the zip PATH."""
    from mandrelgen.workflows import exchange

    size = exchange.export_to(folder, names, path)
    click.echo(printable(f"wrote {path}, {size} bytes"))
    return 0


@click.command("import")
@click.argument("path", type=FILE)
@options.archive
@options.as_json
@told
def take(path: Path, folder: Path, as_json: bool) -> int:
    """Take the export PATH into the archive; what is there stays as it is."""
    from mandrelgen.cli.views import search as views
    from mandrelgen.workflows import exchange
    from mandrelgen.workflows.answers import fixtures
    from mandrelgen.workflows.catalogue import front

    taken = exchange.take(folder, path)
    if as_json:
        emit(fixtures.taken_in(taken))
    else:
        click.echo(printable(views.taken_text(taken)))
    say(front.refresh(folder))
    return 0


@click.command()
@click.argument("folder", type=FILE, default=Path("output"))
@told
def reindex(folder: Path) -> int:
    """Make the index of the archive FOLDER again; it is only a cache."""
    from mandrelgen.workflows import search
    from mandrelgen.workflows.catalogue import front

    click.echo(f"{search.reindex(folder)} revisions")
    say(search.unread(folder))
    say(front.refresh(folder))
    return 0


@click.command()
@click.argument("numbers", nargs=-1, required=True)
@options.archive
@click.option("--date", "date", help="Day of the order, 2026-05-31; default: today.")
@told
def release(numbers: tuple[str, ...], folder: Path, date: str | None) -> int:
    """An older word for `book NUMBER ordered` (MG-0001, mg-1 …): a change then needs a reason."""
    from mandrelgen.workflows.catalogue import front
    from mandrelgen.workflows.lifecycle import release_fixtures

    for line in release_fixtures(folder, numbers, date):
        click.echo(printable(line))
    say(front.refresh(folder))
    return 0


@click.command()
@click.argument("folder", type=FILE, default=Path("output"))
@options.as_json
@told
def verify(folder: Path, as_json: bool) -> int:
    """Check every file of the archive FOLDER against its hash."""
    from mandrelgen.workflows.answers import results
    from mandrelgen.workflows.lifecycle import archive_faults

    faults = archive_faults(folder)
    if as_json:
        emit(results.verified(faults))
    else:
        for fault in faults:
            click.echo(printable(fault.line()), err=True)
        click.echo(f"{len(faults)} faults" if faults else "sound")
    return EXIT_FINDINGS if faults else 0


@click.command()
@click.argument("folder", type=FILE, default=Path("output"))
@click.option("--date", hidden=True)  # a page of older versions bore it
@told
def catalogue(folder: Path, date: str | None) -> int:
    """Let every part of the archive FOLDER turn in 3D on its page, START-HERE.html, which the other
    commands keep up to date; needs no network."""
    from mandrelgen.core.clock import date_of
    from mandrelgen.workflows.catalogue.publish import catalogue as write

    date_of(date)
    done = write(folder)
    click.echo(printable(f"wrote {done.path}: {done.fixtures} fixtures, {done.models} models"))
    say(done.findings)
    return 0
