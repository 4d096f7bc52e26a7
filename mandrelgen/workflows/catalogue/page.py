"""The cards as one page of HTML; styles, scripts and the 3D library stand inside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from mandrelgen.archive.index_rows import ThreadRow
from mandrelgen.core.resources import template_path
from mandrelgen.core.tolerance import text_of
from mandrelgen.workflows.catalogue.cards import Card, thread_name

MARK = b'<meta name="generator" content="mandrelgen catalogue">'
FOLDER = "catalogue"


def render(cards: Sequence[Card], unread: Sequence[str], date: str) -> bytes:
    """The page. ``unread``: the numbers that could not be read; ``date`` ISO 8601.

    Every text from the archive is escaped by the template's autoescape, JSON by ``tojson``.
    Raises DiskError if a shipped file is missing.
    """
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    folder = template_path(FOLDER)
    environment = Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip

    def own(*names: str) -> Markup:
        """Files that come with the program stand in the page as they are."""
        text = "\n".join((folder / name).read_text(encoding="utf-8") for name in names)
        assert "</script" not in text.lower()
        return Markup(text)

    widest = max((c.width for c in cards if c.width is not None), default=1.0)
    text = environment.get_template("page.html").render(
        cards=cards, unread=unread, widest=widest, mm=text_of, date=date,
        data=[_data(c) for c in cards], threads=_threads(cards),
        parts=_choices(c.part for c in cards),
        pens=_choices(c.pen for c in cards), statuses=_choices(c.status for c in cards),
        style=own("style.css"), three=own("three.js"), script=own("model.js", "view.js", "page.js"),
    )  # fmt: skip
    return text.encode("utf-8")


def _data(card: Card) -> dict[str, Any]:
    """What the page's script knows of a card."""
    return {
        "number": card.number,
        "text": card.search,
        "facts": [[f.name, f.text, f.more] if f.more else [f.name, f.text] for f in card.facts],
        "files": [[k.label, k.url] for k in card.files],
        "earlier": [[k.label, k.url] for k in card.earlier],
        "thread": sorted({thread_name(t) for t in card.threads}),
        "part": card.part,
        "pen": card.pen,
        "status": card.status,
        "model": "" if card.model is None else card.model.name,
        "plain": card.model is not None and card.model.plain,
        "drawing": card.drawing,
        "sheets": card.sheets,
        "headline": card.headline,
        "sort": _sort_keys(card),
    }


def _sort_keys(card: Card) -> dict[str, Any]:
    """What the cards can be put in order by, besides their number; nothing goes last."""
    first = min(map(_size, card.threads), default=None)
    return {"thread": first, "length": card.length, "date": card.date}


def _size(t: ThreadRow) -> tuple[float, float, int, bool]:
    return (t.diameter, t.pitch, t.starts, t.left_hand)


def _threads(cards: Sequence[Card]) -> list[str]:
    """The threads to choose from, by size."""
    found = {thread_name(t): _size(t) for c in cards for t in c.threads}
    return sorted(found, key=lambda name: (*found[name], name))


def _choices(texts: Iterable[str]) -> list[str]:
    return sorted({t for t in texts if t})
