"""The command ``new``: asks in the maker's order on a terminal, takes options from scripts."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mandrelgen.cli.asking import UNKNOWN, ask, length, measured_thread
from mandrelgen.cli.errors import printable, told
from mandrelgen.cli.options import FILE

if TYPE_CHECKING:
    from mandrelgen.spec.new_file import SaidJoint, SaidPart, SaidPen
    from mandrelgen.spec.new_shop import SaidShop


@click.command()
@click.argument("name")
@click.option("--starter", help="Copy a starter instead: heron, avocet, old-fixture …")
@click.option("--parts", help="The parts, with commas: cap,barrel,section.")
@click.option(
    "--thread",
    "threads",
    multiple=True,
    metavar="JOINT=THREAD",
    help="A joint's thread, named by the part that screws in (nib: the nib unit): "
    "cap=M12xPh2.4P0.8; or what the "
    'calipers read on it: "cap=crest=9.32, ten=7.5, starts=1".',
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
@click.option("--collets", help='For a new shop file: "ER25 6 8 10 12", or "ER25 4 to 16".')
@click.option("--tap", "taps", multiple=True, metavar="THREAD", help="And each tap you own.")
@click.option("--die", "dies", multiple=True, metavar="THREAD", help="And each die you own.")
@click.option("--to", "folder", type=FILE, default=Path(), help="Folder to write into.")
@told
def new(
    name: str, starter: str | None, parts: str | None, threads: tuple[str, ...],
    tenons: tuple[str, ...], depths: tuple[str, ...], holes: tuple[str, ...],
    sizes: tuple[str, ...], collets: str | None, taps: tuple[str, ...], dies: tuple[str, ...],
    folder: Path,
) -> int:  # fmt: skip
    """Begin the pen file NAME.toml: asks on a terminal, or takes --parts, --thread …; without
    either it copies a starter. A shop file of what you said and the schemas for editors go beside
    it."""
    from mandrelgen.spec.starters import starter_names
    from mandrelgen.workflows import new_pen, new_shop

    shop = new_shop.said(collets, taps, dies, folder)
    if parts or threads:
        stem = new_pen.free(name, folder)
        pen = new_pen.said(stem, parts, threads, tenons, depths, holes, sizes)
        done = new_pen.write_said(pen, shop, folder)
    elif starter is None and name not in starter_names("pen") and sys.stdin.isatty():
        stem = new_pen.free(name, folder)
        pen, shop = _asked(stem, shop, folder)
        done = new_pen.write_said(pen, shop, folder)
    else:
        done = new_pen.start(name, starter, shop, folder)
    for path in done:
        click.echo(f"wrote {printable(str(path))}")
    if starter != "old-fixture":
        click.echo(printable(f"next: mandrelgen check {done[0]}"))
    return 0


def _asked(stem: str, shop: SaidShop | None, folder: Path) -> tuple[SaidPen, SaidShop | None]:
    """The maker's answers, in the maker's order."""
    from mandrelgen.spec import new_file
    from mandrelgen.spec.new_file import SaidPart, SaidPen
    from mandrelgen.workflows import new_shop

    click.echo(f"{UNKNOWN} means: I don't know. Enter takes what stands in brackets. Sizes in mm.")
    if shop is None and not new_shop.there(folder):
        shop = _ask_shop()
    pen = SaidPen(stem, ask("Name of the pen", stem.replace("-", " ").capitalize()) or stem)
    ids = ask("Which parts", "cap, barrel, section", _part_ids) or "cap,barrel,section"
    pen.parts = [SaidPart(i) for i in ids.split(",")]
    known = [p.id for p in pen.parts]
    into = {
        p: ask(f"What does the {p} screw into ({', '.join(k for k in known if k != p)})", "?")
        for p in known if p not in (*new_file.USUAL, "barrel") and len(known) > 1
    }  # fmt: skip
    pen.joints = new_file.usual_joints(known, {k: v for k, v in into.items() if v in known})
    owned = new_shop.owned_threads(folder) if shop is None else shop.threads
    for joint in pen.joints:
        _ask_joint(joint, owned)
    if "section" in known:
        pen.joints += _ask_nib(owned)
    for part in pen.parts:
        _ask_part(part)
    return pen, shop


def _ask_shop() -> SaidShop:
    """What the shop has, asked once: it is kept in shop.toml for every pen."""
    from mandrelgen.spec.new_shop import SaidShop
    from mandrelgen.workflows import new_shop

    click.echo("Your workshop, once for every pen:")
    collets = ask("Collets, letters and sizes (ER25 6 8 10, ER25 4 to 16)", UNKNOWN,
                  new_shop.collets_text)  # fmt: skip
    tools = [
        new_shop.threads(ask(f"Threads you own {kind} for, with commas", UNKNOWN,
                             new_shop.threads_text))
        for kind in ("taps", "dies")
    ]  # fmt: skip
    system, sizes = new_shop.collets(collets)
    return SaidShop(system, sizes, *tools)


def _ask_nib(owned: tuple[str, ...]) -> list[SaidJoint]:
    """The thread for a bought nib unit; left open in the file where it is not known."""
    from mandrelgen.spec import new_file

    screws = ask(f"Does a nib unit screw into the section's front (yes, no; {UNKNOWN}: I don't "
                 "know)", UNKNOWN, _yes_no)  # fmt: skip
    if screws == "no":
        return []
    joint = new_file.nib_thread()
    if screws == "yes":
        _ask_thread(joint, "nib unit into section", owned)
        joint.depth = _deep("nib unit into section")
    return [joint]


def _ask_joint(joint: SaidJoint, owned: tuple[str, ...]) -> None:
    from mandrelgen.workflows import new_pen

    both = bool(joint.external and joint.internal)
    other = joint.internal.split(".")[0] if joint.external.startswith(joint.id) else "barrel"
    where = f"{joint.id} into {other}" if both and other != joint.id else joint.id
    if both and joint.internal.startswith(f"{joint.id}."):
        where = f"{joint.id} on the {joint.external.split('.')[0]}"
    _ask_thread(joint, where, owned, None if both else f"Is the {joint.id}'s thread")
    if joint.internal:
        joint.depth = _deep(where)
    if joint.external:
        joint.tenon = length(f"How long is its tenon, {where}", new_pen.LONGEST)


def _ask_thread(
    joint: SaidJoint, where: str, owned: tuple[str, ...], side: str | None = None
) -> None:
    """Its thread, by name or by calipers; ``side``: asked too, whether it is inside or outside."""
    from mandrelgen.workflows import new_pen

    if owned:
        click.echo(printable(f"  yours: {', '.join(owned)}"))
    joint.thread = ask(
        f"Thread, {where} ({UNKNOWN}: I only have calipers)", UNKNOWN, new_pen.thread_asked
    )
    if side and ask(f"{side} inside or outside", "inside", _side) == "outside":
        joint.external, joint.internal = joint.internal, ""
    if joint.thread is None:
        sides = bool(joint.external), bool(joint.internal)
        joint.thread, joint.readings = measured_thread(*sides)
    if joint.thread is not None:
        click.echo(printable(f"  read as: {new_pen.thread_said(joint.thread)}"))


def _deep(where: str) -> str | None:
    from mandrelgen.workflows import new_pen

    return length(f"How deep is it tapped, {where}", new_pen.LONGEST)


def _yes_no(text: str) -> str:
    return "yes" if text.lower().startswith("y") else "no" if text.lower().startswith("n") else "?"


def _ask_part(part: SaidPart) -> None:
    from mandrelgen.workflows import new_pen

    part.length = length(f"Length of the {part.id} over all", new_pen.LONGEST)
    part.diameter = length(f"Diameter of the {part.id} at the fattest place", new_pen.WIDEST)
    wide = length(f"Which hole does the {part.id} have (diameter; none: {UNKNOWN})", new_pen.WIDEST)
    if wide is None:
        return
    if part.id == "section":
        part.hole = (wide, None)
        return
    deep = length(f"How deep is the {part.id}'s hole", new_pen.LONGEST)
    part.hole = (wide, deep) if deep is not None else None


def _part_ids(text: str) -> str:
    from mandrelgen.workflows import new_pen

    ids = dict.fromkeys(p.strip().lower().replace(" ", "-") for p in text.split(",") if p.strip())
    for part in ids:
        new_pen.checked_part(part)
    return ",".join(ids)


def _side(text: str) -> str:
    return "outside" if text.lower().startswith(("out", "ext")) else "inside"
