"""The front page of an archive, ``START-HERE.html``: orders and how they stand, every mandrel with
its picture and papers, a search. Made anew whenever the archive changes, from the index and the
names of files alone: no mandrel is read for it and no model made, which is the catalogue's work.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from mandrelgen.archive import front, root
from mandrelgen.archive.disk.files import exists, is_folder, list_folder
from mandrelgen.archive.disk.messages import name_fault
from mandrelgen.archive.index import Index
from mandrelgen.archive.index_rows import IndexRow, SizeRow, ThreadRow
from mandrelgen.archive.index_schema import COLUMNS
from mandrelgen.archive.naming import CARDS, FRONT, MARKER, ORDERS
from mandrelgen.archive.orders import orders
from mandrelgen.archive.records import Order, OrderItem
from mandrelgen.archive.states import State
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.core.resources import template_path
from mandrelgen.core.tolerance import text_of
from mandrelgen.workflows.booking import OUTSTANDING, OrderLine, line

CATALOGUE = "catalogue/index.html"
TEMPLATES = "catalogue"
# Ending of a file's name -> how its link reads. A package from before has one PDF.
PAPERS = (
    ("_drawing.pdf", "Drawing"), ("_making.pdf", "Making pages"), ("_mine.pdf", "My pages"),
    ("_make-yourself.pdf", "Make it yourself"),
)  # fmt: skip
PICTURE = "_part.png"


@dataclass(frozen=True, slots=True)
class Link:
    """A file or folder, relative to the page, as a URL."""

    label: str
    url: str


@dataclass(frozen=True, slots=True)
class Fixture:
    """A mandrel on the page; URLs relative to it."""

    number: str
    revision: str
    headline: str
    title: str
    pen: str
    state: State
    picture: str
    papers: tuple[Link, ...]
    search: str


@dataclass(frozen=True, slots=True)
class Ordered:
    """An order on the page; ``superseded_by``: the order in its place; ``parcel``: the zip."""

    id: str
    pen: str
    lines: tuple[OrderLine, ...]
    superseded_by: str
    parcel: str

    @property
    def state(self) -> State:
        """As the fixture that is least far."""
        return min((x.state for x in self.lines), key=tuple(State).index)

    @property
    def done(self) -> bool:
        """True if nothing of it is outstanding, nor still to be sent."""
        return not any(x.outstanding or x.state is State.DESIGNED for x in self.lines)


def refresh(folder: Path) -> tuple[Finding, ...]:
    """Make page and notes anew, if there is an archive; what kept them from it is said and raises
    nothing: the archive itself is as it should be."""
    if not exists(folder / MARKER):
        return ()
    try:
        archive = root.open_root(folder)
        with root.held(archive):
            page, gone = made(archive)
            front.note_superseded(archive.root, gone)
            if front.write_page(archive.root, page):
                return ()
    except (DiskError, InputError) as e:
        return (_told(str(e), "everything else is done; the next run makes it"),)
    return (_told("a file of that name is not this program's", "move it away; nothing was lost"),)


def _told(message: str, remedy: str) -> Finding:
    return Finding(
        level=Level.WARNING, code="front.unwritten", where=FRONT, message=message, remedy=remedy
    )


def made(archive: root.Archive) -> tuple[bytes, dict[str, str]]:
    """The page, sealed, and the orders that another took the place of. Raises DiskError. The
    archive's lock is held."""
    index = Index(archive, locked=True)
    try:
        rows = index.rows(
            f"SELECT {COLUMNS} FROM fixture f ORDER BY length(f.number), f.number, f.id"
        )
        unread = tuple(str(f).split(":", 1)[0] for f in index.faults())
    finally:
        index.close()
    every = sorted(orders(archive), key=lambda o: (o.date, o.id), reverse=True)
    gone = {old: o.id for o in every for old in o.replaces}
    states = {(r.number, r.revision, r.draft): State(r.state) for r in rows}
    page = render(
        [_fixture(archive.root, r) for r in rows if r.newest],
        [_ordered(archive, o, gone.get(o.id, ""), states) for o in every],
        unread, exists(archive.root / CATALOGUE), _cards(archive.root),
    )  # fmt: skip
    return front.sealed(page), gone


def _cards(base: Path) -> tuple[tuple[str, tuple[Link, ...]], ...]:
    """The cards for the maker's own lathe, by pen."""
    found = []
    for pen in list_folder(base / CARDS):
        if name_fault(pen) or not is_folder(base / CARDS / pen):
            continue
        names = [n for n in list_folder(base / CARDS / pen) if n.endswith(".pdf")]
        row = (Link(n.removesuffix(".pdf").replace("-", " "), quote(f"{CARDS}/{pen}/{n}"))
               for n in names if not name_fault(n))  # fmt: skip
        if names:
            found.append((pen, tuple(row)))
    return tuple(found)


def render(
    fixtures: Sequence[Fixture], ordered: Sequence[Ordered], unread: Sequence[str],
    catalogue: bool, cards: Sequence[tuple[str, Sequence[Link]]] = (),
) -> bytes:  # fmt: skip
    """The page with an empty seal. Every text is escaped by the template's autoescape."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    place = template_path(TEMPLATES)
    environment = Environment(
        loader=FileSystemLoader(place), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    text = environment.get_template("front.html").render(
        fixtures=fixtures, cards=cards, unread=unread, blank=front.BLANK,
        live=[o for o in ordered if not o.superseded_by and not o.done],
        done=[o for o in ordered if not o.superseded_by and o.done],
        superseded=[o for o in ordered if o.superseded_by],
        catalogue=CATALOGUE if catalogue else "", states=State,
        style=Markup((place / "front.css").read_text(encoding="utf-8")),
    )  # fmt: skip
    return text.encode("utf-8")


def _ordered(
    archive: root.Archive, order: Order, superseded_by: str,
    states: Mapping[tuple[str, str, int], State],
) -> Ordered:  # fmt: skip
    """Events are read only of what is outstanding."""

    def row(i: OrderItem) -> OrderLine:
        state = states.get((i.number, i.revision, i.draft), State.DESIGNED)
        if state in OUTSTANDING and not superseded_by:
            return line(archive, i)
        return OrderLine(number=i.number, revision=i.revision, draft=i.draft,
                         quantity=i.quantity, state=state)  # fmt: skip

    parcel = f"{ORDERS}/{order.id}/{order.id}.zip"
    there = exists(archive.root / parcel)
    return Ordered(
        id=order.id,
        pen=order.pen,
        lines=tuple(map(row, order.items)),
        superseded_by=superseded_by,
        parcel=quote(parcel) if there else "",
    )


def _fixture(base: Path, row: IndexRow) -> Fixture:
    names = [n for n in list_folder(base / row.folder) if not name_fault(n)]
    by = {end: n for n in names for end in (*(e for e, _ in PAPERS), PICTURE) if n.endswith(end)}
    papers = [(label, by[end]) for end, label in PAPERS if end in by]
    if not papers:
        papers = [("Drawing", n) for n in names if n.endswith(".pdf")][:1]
    at = quote(row.folder)
    return Fixture(
        number=row.number,
        revision=row.revision + (f".{row.draft}" if row.draft > 1 else ""),
        headline=headline(row.threads, row.sizes, row.kind if row.adopted else row.part),
        title=row.title,
        pen="entered from measurements" if row.adopted else row.pen,
        state=State(row.state),
        picture=f"{at}/{quote(by[PICTURE])}" if PICTURE in by else "",
        papers=tuple(Link(k, f"{at}/{quote(n)}") for k, n in (*papers, ("Folder", ""))),
        search=f"{row.text} {row.state}",
    )  # fmt: skip


def headline(threads: Sequence[ThreadRow], sizes: Sequence[SizeRow], what: str) -> str:
    """What a mandrel is reached for by: its thread, or its spigot, and the part it holds."""
    named = " and ".join(
        dict.fromkeys(t.text.replace(f"-{t.tolerance_class}", "", 1) for t in threads)
    )
    spigot = next((s for s in sizes if s.name == "spigot"), None)
    if not named and spigot is not None:
        named = f"spigot ⌀{text_of((spigot.low + spigot.high) / 2)}"
    return ", ".join(x for x in (named, what) if x)
