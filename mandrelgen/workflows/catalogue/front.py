"""The front page of an archive and its catalogue, ``START-HERE.html``: orders and how they stand,
every mandrel with its picture, sizes, state and papers, a search. Made anew whenever the archive
changes: all of it for a small archive, the blocks of numbers that changed for a larger one.
"""

from __future__ import annotations

from collections.abc import Container
from pathlib import Path

from mandrelgen.archive import front, root
from mandrelgen.archive.disk.files import exists, list_folder
from mandrelgen.archive.index import Index
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.index_schema import BLOCK, COLUMNS, in_block
from mandrelgen.archive.naming import FRONT, MARKER
from mandrelgen.archive.orders import orders
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.workflows.booking import states_of
from mandrelgen.workflows.catalogue import standing
from mandrelgen.workflows.catalogue.cards import Card, card
from mandrelgen.workflows.catalogue.page import Shown, Templates

MODELS = "catalogue/models"
FOREIGN = "a file of that name is not this program's"


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """The page, sealed; the blocks of cards it names, of which ``new`` are to be written; the
    orders that another took the place of; how many mandrels, and what could not be read."""

    page: bytes
    blocks: tuple[str, ...]
    new: dict[str, bytes]
    gone: dict[str, str]
    count: int
    findings: tuple[Finding, ...]


def refresh(folder: Path) -> tuple[Finding, ...]:
    """Make page and notes anew, if there is an archive; what kept them from it is said and raises
    nothing: the archive itself is as it should be."""
    if not exists(folder / MARKER):
        return ()
    try:
        archive = root.open_root(folder)
        with root.held(archive):
            if written(archive, anew=False) is not None:
                return ()
    except (DiskError, InputError) as e:
        return (_told(str(e), "everything else is done; the next run makes it"),)
    return (_told(FOREIGN, "move it away; nothing was lost"),)


def _told(message: str, remedy: str) -> Finding:
    return Finding(
        level=Level.WARNING, code="front.unwritten", where=FRONT, message=message, remedy=remedy
    )


def written(archive: root.Archive, anew: bool) -> Made | None:
    """Page and notes in their place; None if somebody else's file has the page's name, which then
    stays. ``anew``: every block again. Raises DiskError. The archive's lock is held."""
    if not front.place_is_ours(archive.root):
        return None
    index = Index(archive, locked=True)
    try:
        made = _made(archive, index, anew)
        front.note_superseded(archive.root, made.gone)
        front.write_blocks(archive.root, made.new)
        front.write_page(archive.root, made.page)
        front.sweep_blocks(archive.root, made.blocks)
        return made
    finally:
        index.close()


def _made(archive: root.Archive, index: Index, anew: bool) -> Made:
    templates = Templates()
    blocks = index.blocks()
    count = sum(n for _, n, _ in blocks)
    models = {n.removesuffix(".js") for n in list_folder(archive.root / MODELS)}
    every = list(orders(archive))
    gone = {old: o.id for o in every for old in o.replaces}
    cards: list[Card] = []
    findings: list[Finding] = []
    new: dict[str, bytes] = {}
    names: list[str] = []
    for block, _, kept in blocks:
        if count > BLOCK and not anew and (name := _still_good(archive.root, templates, kept)):
            names.append(name)
            continue
        found, said = _cards(archive.root, index, block, models)
        findings += said
        if count <= BLOCK:
            cards += found
            continue
        data = templates.block(found)
        names.append(front.block_name(data))
        new[names[-1]] = data
        index.remember(block, f"{templates.edition} {names[-1]}")
    ends = [str(n) for (n,) in index.ask(
        "SELECT number FROM fixture WHERE id IN "
        "(SELECT min(id) FROM fixture UNION SELECT max(id) FROM fixture) ORDER BY id")]  # fmt: skip
    shown = Shown(
        count=count, first=ends[0] if ends else "", last=ends[-1] if ends else "",
        cards=cards, blocks=names,
        orders=standing.ordered(archive, every, gone, states_of(index)),
        own=standing.own_cards(archive.root),
        unread=[f.split(":", 1)[0] for f in index.faults()],
        models=bool(models),
    )  # fmt: skip
    page = front.sealed(templates.page(shown))
    return Made(
        page=page, blocks=tuple(names), new=new, gone=gone, count=count, findings=tuple(findings)
    )


def _still_good(base: Path, templates: Templates, kept: str) -> str:
    """The name of a block made before, if it is there and would be made like that again."""
    edition, _, name = kept.partition(" ")
    return name if edition == templates.edition and front.block_there(base, name) else ""


def _cards(
    base: Path, index: Index, block: int, models: Container[str]
) -> tuple[list[Card], list[Finding]]:
    """A card for the newest revision of each number of a block; the others are named on it."""
    condition, values = in_block(block)
    rows = index.rows(f"SELECT {COLUMNS} FROM fixture f WHERE {condition} ORDER BY f.id", values)
    found: list[Card] = []
    findings: list[Finding] = []
    earlier: list[IndexRow] = []
    for row in rows:
        if not row.newest:
            earlier.append(row)
            continue
        older = tuple(r for r in earlier if r.number == row.number)
        made, said = card(base, row, older, models)
        found.append(made)
        findings += said
        earlier = []
    return found, findings
