"""What the page says of one fixture, as plain texts: sizes, links, what can be searched."""

from __future__ import annotations

from collections.abc import Container
from pathlib import Path
from urllib.parse import quote

from mandrelgen.archive.disk.files import list_folder
from mandrelgen.archive.disk.messages import name_fault
from mandrelgen.archive.index_rows import SIZES, IndexRow, SizeRow, ThreadRow
from mandrelgen.archive.mandrel_json import NAME, read_mandrel
from mandrelgen.archive.states import State
from mandrelgen.core.errors import DiskError, Finding, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.model.characteristic import MEASURED, Characteristic
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.workflows.catalogue import side

ENTERED = "entered from measurements"
# Ending of a file -> how its link reads; the longer endings first.
LABELS = (
    ("_outline-mid-limits.dxf", "outline DXF, mid-limits"), ("_outline.dxf", "outline DXF"),
    ("_plain.step", "plain STEP"), ("_part.png", "picture"),
    ("_2.svg", "SVG, sheet 2"), ("_2.png", "PNG, sheet 2"),
    ("_drawing.pdf", "drawing"), ("_making.pdf", "making pages"), ("_mine.pdf", "my pages"),
    ("_make-yourself.pdf", "make it yourself"),
    (".pdf", "PDF"), (".dxf", "DXF"), (".svg", "SVG"), (".png", "PNG"), (".step", "STEP"),
    (".stl", "STL"), (".3mf", "3MF"),
)  # fmt: skip
ORDER = (
    "drawing", "making pages", "my pages", "make it yourself", "PDF", "DXF",
    "outline DXF, mid-limits", "outline DXF",
    "STEP", "plain STEP", "STL", "3MF", "SVG", "SVG, sheet 2", "PNG", "PNG, sheet 2", "picture",
)  # fmt: skip
TITLES = {
    "spigot": "Spigot", "collar": "Locating shoulder", "register": "Register", "shank": "Shank",
    "neck": "Neck",
}  # fmt: skip
# What most people open: the drawing, else whatever shows it.
DRAWINGS = ("drawing", "PDF", "SVG", "PNG")


@dataclass(frozen=True, slots=True)
class Link:
    """A file or folder of the archive, relative to the page, as a URL."""

    label: str
    url: str


@dataclass(frozen=True, slots=True)
class Fact:
    """One line of a card; ``more`` stands smaller behind it."""

    name: str
    text: str
    more: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One mandrel on the page. ``headline``: thread and part; ``length``: overall, mm (None: not
    known); ``width``: how much of the part's world the picture shows, mm (None: no picture);
    ``picture``, ``drawing`` and ``sheets``: URLs or nothing; ``model``: the name of its model, if
    there is one; ``search``: the words it is found by, besides its facts."""

    number: str
    revision: str
    state: State
    headline: str
    title: str
    pen: str
    part: str
    date: str
    threads: tuple[ThreadRow, ...]
    facts: tuple[Fact, ...]
    length: float | None
    width: float | None
    picture: str
    drawing: str
    sheets: tuple[str, ...]
    files: tuple[Link, ...]
    earlier: tuple[Link, ...]
    model: str
    side: side.SideView | None
    search: str


def thread_name(t: ThreadRow) -> str:
    """The thread without its class, so that a part's and a mandrel's read alike."""
    return t.text.replace(f"-{t.tolerance_class}", "", 1)


def card(
    root: Path, row: IndexRow, earlier: tuple[IndexRow, ...], models: Container[str]
) -> tuple[Card, tuple[Finding, ...]]:
    """The card of a revision, and what could not be read for it; ``models``: the names of those
    that are there. Raises DiskError."""
    findings: tuple[Finding, ...] = ()
    mandrel = None
    names = _names(root / row.folder)
    if NAME in names:
        try:
            mandrel = read_mandrel(root / row.folder)
        except DiskError as e:
            findings = (
                Finding(
                    level=Level.WARNING,
                    code="catalogue.unread",
                    where=row.name,
                    message=str(e),
                    remedy="run `mandrelgen verify` on the archive",
                ),
            )
    links = _links(row, names)
    by = {link.label: link.url for link in links}
    model = "" if mandrel is None else side.model_name(mandrel)
    picture = by.get("picture", "")
    view = None if mandrel is None or picture else side.side_view(mandrel)
    found = Card(
        number=row.number,
        revision=row.revision + (f".{row.draft}" if row.draft > 1 else ""),
        state=State(row.state),
        headline=headline(row),
        title=row.title,
        pen=ENTERED if row.adopted else row.pen,
        part=row.part,
        date=row.date,
        threads=row.threads,
        facts=_facts(row, mandrel),
        length=None if mandrel is None else side.length(mandrel),
        width=None if mandrel is None else side.picture_width(mandrel, view),
        picture=picture,
        drawing=next((by[name] for name in DRAWINGS if name in by), ""),
        sheets=_sheets(by),
        files=(*links, Link("folder", _url(row.folder) + "/")),
        earlier=tuple(_earlier(root, r) for r in earlier),
        model=model if model in models else "",
        side=view,
        search=f"{row.text} {row.status} {State(row.state).said}",
    )
    return found, findings


def headline(row: IndexRow) -> str:
    """What a mandrel is reached for by: its thread and the part it holds."""
    threads = " and ".join(dict.fromkeys(thread_name(t) for t in row.threads))
    spigot = row.size("spigot")
    if not threads and spigot is not None:
        return f"Spigot ⌀{text_of((spigot.low + spigot.high) / 2)}"
    # An old fixture's slot names the place it was found in, not a part.
    return ", ".join(x for x in (threads, row.kind if row.adopted else row.part) if x)


def _sheets(by: dict[str, str]) -> tuple[str, ...]:
    """Both sheets as pictures a browser shows: the sharp kind where it is there."""
    kind = "SVG" if "SVG" in by else "PNG"
    return tuple(by[name] for name in (kind, f"{kind}, sheet 2") if name in by)


def _names(folder: Path) -> tuple[str, ...]:
    """The files of a folder whose names are safe as links everywhere: ours all are."""
    return tuple(n for n in list_folder(folder) if not name_fault(n))


def _url(path: str) -> str:
    return quote(path)


def _links(row: IndexRow, names: tuple[str, ...]) -> tuple[Link, ...]:
    found = {}
    for name in names:
        label = next((text for ending, text in LABELS if name.endswith(ending)), "")
        # Two files of one kind: the one that carries the number.
        if label and (label not in found or name.startswith(row.number)):
            found[label] = Link(label, _url(f"{row.folder}/{name}"))
    return tuple(found[label] for label in ORDER if label in found)


def _earlier(root: Path, row: IndexRow) -> Link:
    papers = [k for k in _links(row, _names(root / row.folder)) if k.label in DRAWINGS[:2]]
    url = papers[0].url if papers else _url(row.folder) + "/"
    name = row.revision + (f".{row.draft}" if row.draft > 1 else "")
    return Link(f"{name}, {row.status}", url)


def _facts(row: IndexRow, mandrel: Mandrel | None) -> tuple[Fact, ...]:
    facts = [Fact("Thread", t.text, _starts(t)) for t in row.threads]
    facts.append(Fact("Kind", row.kind))
    facts += _sizes(row, mandrel)
    if row.adopted:
        facts.append(Fact("Origin", ENTERED))
    else:
        facts.append(Fact("For", f"{row.part} of {row.pen}", f"end {row.end}"))
    # An old fixture's material and an ordered one's collet may be unknown: no line then.
    facts += [Fact(n, t) for n, t in (("Material", row.material), ("Collet", row.collet)) if t]
    facts.append(Fact("Date", row.date))
    facts.append(Fact("Last measured", row.checked or "never", row.verdict))
    if row.adopted and mandrel is not None and mandrel.notes:
        facts.append(Fact("Notes", "", "; ".join(mandrel.notes)))
    return tuple(facts)


def _starts(t: ThreadRow) -> str:
    hand = "left hand" if t.left_hand else ""
    side = "external" if t.external else "internal"
    return ", ".join(x for x in (side, f"{t.starts} starts" if t.starts > 1 else "", hand) if x)


def _sizes(row: IndexRow, mandrel: Mandrel | None) -> list[Fact]:
    """Plain diameters by kind: spigots, seat, register, shank, neck; limits as made."""
    drawn = _drawn(row, mandrel)
    known = {} if mandrel is None else {c.id: c.nominal for c in mandrel.characteristics}
    facts = []
    for name, title in TITLES.items():
        for s, c in zip(row.sizes, drawn, strict=True):
            if s.name == name:
                facts.append(_size(title, s, c, known))
    ends = (
        ("nose.end", "Free end from seat"),
        ("floor.depth", "Floor from seat"),
        ("thread.depth", "Full thread from seat"),
    )
    return facts + [Fact(title, text_of(known[id])) for id, title in ends if id in known]


def _size(title: str, s: SizeRow, c: Characteristic | None, known: dict[str, float]) -> Fact:
    """One diameter: as drawn, or the middle of its limits where it was measured."""
    limits = f"{lower_limit_text(s.low)} to {upper_limit_text(s.high)}"
    if c is None:
        return Fact(title, f"⌀{text_of((s.low + s.high) / 2)}", limits)
    length = known.get(f"{c.feature}.length") if s.name == "shank" else None
    by = "" if length is None else f" × {text_of(length)}"
    if (s.low, s.high) == (c.lower, c.upper) and c.written != MEASURED:
        return Fact(title, f"⌀{text_of(c.nominal)}{by}", limits)
    return Fact(title, f"⌀{text_of((s.low + s.high) / 2)}{by}", f"measured, {limits}")


def _drawn(row: IndexRow, mandrel: Mandrel | None) -> list[Characteristic | None]:
    """The characteristic of each of the row's sizes, which keep the characteristics' order."""
    plain = [] if mandrel is None else [c for c in mandrel.characteristics if _plain(c)]
    names = [c.feature.kind.value for c in plain]
    if names != [s.name for s in row.sizes]:
        return [None] * len(row.sizes)
    return [*plain]


def _plain(c: Characteristic) -> bool:
    limited = c.lower is not None and c.upper is not None
    return c.feature.kind in SIZES and limited and c.id == c.feature.size("diameter")
