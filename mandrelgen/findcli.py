"""The commands of the archive: find, compare, reuse, holds, adopt, labels, withdraw,
export, import, reindex."""

from __future__ import annotations

from pathlib import Path

import click

from mandrelgen.cli import FILE, emit, main, printable, say, told

TO = click.option(
    "--to", "folder", type=FILE, default=Path("output"), help="Archive; default: output."
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
SHOP = click.option("--shop", type=FILE, help="Shop file; default: shop.toml beside the pen.")


@main.command()
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
@TO
@JSON
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
    """Find fixtures by THREAD (any notation) and by everything else they are or do."""
    from mandrelgen import finding, findview
    from mandrelgen.archive.find import Query
    from mandrelgen.clock import date_of

    query = Query(
        thread=finding.thread_of(thread) if thread else None,
        kind=kind, part=part, pen=pen, bore=bore, shank=shank, material=material, collet=collet,
        spigot=finding.range_of(spigot) if spigot else None,
        since=finding.day_of(since), until=finding.day_of(until), status=status, words=words,
        all_revisions=all_revisions,
    )  # fmt: skip
    found = finding.find(folder, query)
    if path is not None:
        finding.write_list(found.rows, path, date_of(date))
    if as_json:
        emit(findview.found_view(found))
    else:
        click.echo(printable(findview.found_text(found)))
        say(found.findings)
    return 0


@main.command("compare")
@click.argument("first")
@click.argument("second")
@TO
@JSON
@told
def compare_two(first: str, second: str, folder: Path, as_json: bool) -> int:
    """Compare two fixtures or revisions: MG-0001:A MG-0001:B, by characteristic."""
    from mandrelgen import finding, findview

    result = finding.compare(folder, first, second)
    if as_json:
        emit(findview.compare_view(result))
    else:
        click.echo(printable(findview.compare_text(result)))
    return 0


@main.command()
@click.argument("file", type=FILE)
@SHOP
@TO
@JSON
@told
def reuse(file: Path, shop: Path | None, folder: Path, as_json: bool) -> int:
    """Which fixtures of the archive would do for the mandrels of the pen FILE, best first."""
    from mandrelgen import finding, findview, pipeline, reusing
    from mandrelgen.reading import read_inputs

    finding.archive_of(folder)
    looked = reusing.look(pipeline.check(read_inputs(file, shop, folder)), folder)
    if as_json:
        emit(findview.looked_view(looked))
    else:
        click.echo(printable(findview.looked_text(looked)))
        say([f for f in looked.findings if f.code == "archive.unread"])
    return 0


@main.command()
@click.argument("number")
@click.argument("pens", nargs=-1, type=FILE)
@SHOP
@TO
@JSON
@told
def holds(
    number: str, pens: tuple[Path, ...], shop: Path | None, folder: Path, as_json: bool
) -> int:
    """Which parts of the PENS (default: of every pen of the archive) the fixture NUMBER holds."""
    from mandrelgen import finding, findview

    result = finding.holds(folder, number, pens, shop)
    if as_json:
        emit(findview.holds_view(result))
    else:
        click.echo(printable(findview.holds_text(result)))
    return 0


@main.command()
@click.argument("file", type=FILE)
@TO
@click.option("--date", help="Day of the measurements if the file names none; default: today.")
@click.option("--reason", help="Why the measurements changed; makes the next revision.")
@JSON
@told
def adopt(file: Path, folder: Path, date: str | None, reason: str | None, as_json: bool) -> int:
    """Enter a fixture that is older than the archive from the measurements in FILE."""
    from mandrelgen import finding, findview

    result = finding.adopt(folder, file, date, reason)
    if as_json:
        emit(findview.adopted_view(result))
    else:
        click.echo(printable(findview.adopted_text(result)))
    return 0


@main.command()
@click.argument("names", nargs=-1)
@TO
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
    from mandrelgen import finding

    folder, names = finding.folder_or_numbers(folder, names)
    count = finding.labels(folder, names, finding.grid_of(grid, margin, gap, first), path)
    click.echo(printable(f"wrote {path}, {count} label{'s' if count > 1 else ''}"))
    return 0


@main.command()
@click.argument("number")
@TO
@click.option("--date", help="Day of the withdrawal, 2026-05-31; default: today.")
@click.option("--note", default="", help="Why, for example: lost, bent.")
@told
def withdraw(number: str, folder: Path, date: str | None, note: str) -> int:
    """Withdraw the newest revision of a fixture: it is no longer offered nor ordered."""
    from mandrelgen.releasing import withdraw_fixture

    click.echo(printable(withdraw_fixture(folder, number, date, note)))
    return 0


@main.command()
@click.argument("path", type=FILE)
@click.argument("names", nargs=-1)
@TO
@told
def export(path: Path, names: tuple[str, ...], folder: Path) -> int:
    """Write fixtures or orders by NAMES (default: the whole archive) to the zip PATH."""
    from mandrelgen import finding

    size = finding.export(folder, names, path)
    click.echo(printable(f"wrote {path}, {size} bytes"))
    return 0


@main.command("import")
@click.argument("path", type=FILE)
@TO
@JSON
@told
def take(path: Path, folder: Path, as_json: bool) -> int:
    """Take the export PATH into the archive; what is there stays as it is."""
    from mandrelgen import finding, findview

    taken = finding.take(folder, path)
    if as_json:
        emit(findview.taken_view(taken))
    else:
        click.echo(printable(findview.taken_text(taken)))
    return 0


@main.command()
@click.argument("folder", type=FILE, default=Path("output"))
@told
def reindex(folder: Path) -> int:
    """Make the index of the archive FOLDER again; it is only a cache."""
    from mandrelgen import finding

    click.echo(f"{finding.reindex(folder)} revisions")
    return 0
