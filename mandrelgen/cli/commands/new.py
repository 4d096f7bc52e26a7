"""The command ``new``: asks in the maker's order on a terminal, takes options from scripts."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mandrelgen.cli.errors import printable, told
from mandrelgen.cli.options import FILE
from mandrelgen.core.errors import InputError

if TYPE_CHECKING:
    from mandrelgen.spec.new_file import SaidJoint, SaidPart, SaidPen

UNKNOWN = "?"


@click.command()
@click.argument("name")
@click.option("--starter", help="Copy a starter instead: heron, avocet, old-fixture …")
@click.option("--parts", help="The parts, with commas: cap,barrel,section.")
@click.option(
    "--thread",
    "threads",
    multiple=True,
    metavar="JOINT=THREAD",
    help="A joint's thread, named by the part that screws in: cap=M12xPh2.4P0.8.",
)
@click.option("--tenon", "tenons", multiple=True, metavar="JOINT=MM", help="Length of its tenon.")
@click.option("--depth", "depths", multiple=True, metavar="JOINT=MM", help="How deep it is tapped.")
@click.option(
    "--hole",
    "holes",
    multiple=True,
    metavar="PART=MMxMM",
    help="A part's hole, diameter x depth: barrel=7.5x72.",
)
@click.option(
    "--size",
    "sizes",
    multiple=True,
    metavar="PART=MMxMM",
    help="A part's length x diameter: barrel=84x13.6.",
)
@click.option("--to", "folder", type=FILE, default=Path(), help="Folder to write into.")
@told
def new(
    name: str, starter: str | None, parts: str | None, threads: tuple[str, ...],
    tenons: tuple[str, ...], depths: tuple[str, ...], holes: tuple[str, ...],
    sizes: tuple[str, ...], folder: Path,
) -> int:  # fmt: skip
    """Begin the pen file NAME.toml: asks on a terminal, or takes --parts, --thread …; without
    either it copies a starter. A shop file and the schemas for editors go beside it."""
    from mandrelgen.spec.starters import starter_names
    from mandrelgen.workflows import new_pen

    if parts or threads:
        stem = new_pen.free(name, folder)
        done = new_pen.write_said(
            new_pen.said(stem, parts, threads, tenons, depths, holes, sizes), folder
        )
    elif starter is None and name not in starter_names("pen") and sys.stdin.isatty():
        stem = new_pen.free(name, folder)
        done = new_pen.write_said(_asked(stem, folder), folder)
    else:
        done = new_pen.start(name, starter, folder)
    for path in done:
        click.echo(f"wrote {printable(str(path))}")
    if starter != "old-fixture":
        click.echo(printable(f"next: mandrelgen check {done[0]}"))
    return 0


def _asked(stem: str, folder: Path) -> SaidPen:
    """The maker's answers, in the maker's order."""
    from mandrelgen.spec import new_file
    from mandrelgen.spec.new_file import SaidPart, SaidPen
    from mandrelgen.workflows import new_pen

    click.echo(f"{UNKNOWN} means: I don't know. Enter takes what stands in brackets. Sizes in mm.")
    pen = SaidPen(stem, _ask("Name of the pen", stem.replace("-", " ").capitalize()) or stem)
    ids = _ask("Which parts", "cap, barrel, section", _part_ids) or ""
    pen.parts = [SaidPart(i) for i in ids.split(",")]
    known = [p.id for p in pen.parts]
    into = {
        p: _ask(f"What does the {p} screw into ({', '.join(k for k in known if k != p)})", "?")
        for p in known if p not in (*new_file.USUAL, "barrel") and len(known) > 1
    }  # fmt: skip
    pen.joints = new_file.usual_joints(known, {k: v for k, v in into.items() if v in known})
    owned = new_pen.owned_threads(folder)
    for joint in pen.joints:
        _ask_joint(joint, owned)
    for part in pen.parts:
        _ask_part(part)
    return pen


def _ask_joint(joint: SaidJoint, owned: tuple[str, ...]) -> None:
    from mandrelgen.workflows import new_pen

    both = bool(joint.external and joint.internal)
    other = joint.internal.split(".")[0] if joint.external.startswith(joint.id) else "barrel"
    where = f"{joint.id} into {other}" if both and other != joint.id else joint.id
    if both and joint.internal.startswith(f"{joint.id}."):
        where = f"{joint.id} on the {joint.external.split('.')[0]}"
    if owned:
        click.echo(printable(f"  yours: {', '.join(owned)}"))
    joint.thread = _ask(f"Thread, {where}", UNKNOWN, new_pen.thread_text)
    if joint.thread is not None:
        click.echo(printable(f"  read as: {new_pen.thread_said(joint.thread)}"))
    if not both:
        inside = _ask(f"Is the {joint.id}'s thread inside or outside", "inside", _side)
        if inside == "outside":
            joint.external, joint.internal = joint.internal, ""
    if joint.internal:
        joint.depth = _length(f"How deep is it tapped, {where}", new_pen.LONGEST)
    if joint.external:
        joint.tenon = _length(f"How long is its tenon, {where}", new_pen.LONGEST)


def _ask_part(part: SaidPart) -> None:
    from mandrelgen.workflows import new_pen

    part.length = _length(f"Length of the {part.id} over all", new_pen.LONGEST)
    part.diameter = _length(f"Diameter of the {part.id} at the fattest place", new_pen.WIDEST)
    wide = _length(
        f"Which hole does the {part.id} have (diameter; none: {UNKNOWN})", new_pen.WIDEST
    )
    if wide is None:
        return
    if part.id == "section":
        part.hole = (wide, None)
        return
    deep = _length(f"How deep is the {part.id}'s hole", new_pen.LONGEST)
    part.hole = (wide, deep) if deep is not None else None


def _length(question: str, most: float) -> str | None:
    """A size; one that is larger than such a part ever is, is asked again."""
    from mandrelgen.workflows import new_pen

    while True:
        text = _ask(question, UNKNOWN, new_pen.size_text)
        less = new_pen.doubted(text, most) if text is not None else ""
        if not less or click.confirm(f"  {text} mm? Not {less}", default=False):
            return text


def _ask(question: str, default: str, read: Callable[[str], str] | None = None) -> str | None:
    """An answer as ``read`` accepts it, asked until it does; None: not known."""
    while True:
        text = str(click.prompt(printable(question), default=default)).strip()
        if text == UNKNOWN:
            return None
        try:
            return read(text) if read else text
        except InputError as e:
            for f in e.findings:
                click.echo(printable(f"  {f.message} → {f.remedy}"))


def _part_ids(text: str) -> str:
    from mandrelgen.workflows import new_pen

    ids = dict.fromkeys(p.strip().lower().replace(" ", "-") for p in text.split(",") if p.strip())
    for part in ids:
        new_pen.checked_part(part)
    return ",".join(ids)


def _side(text: str) -> str:
    return "outside" if text.lower().startswith(("out", "ext")) else "inside"
