"""The page: orders, cards of mandrels, and a search, as HTML; styles and scripts stand inside it.

The cards of a small archive stand in the page itself, those of a larger one in scripts, a block of
numbers each, so that a change rewrites one of them and no more.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mandrelgen import __version__
from mandrelgen.archive import front
from mandrelgen.archive.states import State
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.resources import template_path
from mandrelgen.core.tolerance import text_of
from mandrelgen.workflows.catalogue.cards import Card, Link, thread_name
from mandrelgen.workflows.catalogue.standing import Ordered

if TYPE_CHECKING:
    from jinja2 import Environment

FOLDER = "catalogue"
# Orders that are done, or superseded, are listed down to this many; `orders --all` has them all.
LISTED = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What the page shows. ``count`` mandrels, ``first`` to ``last`` number; their ``cards``, or
    the ``blocks`` (names of scripts) they stand in; ``own``: by pen, the cards for the maker's own
    lathe; ``unread``: the numbers that could not be read; ``models``: whether any part turns."""

    count: int
    first: str
    last: str
    cards: Sequence[Card] = ()
    blocks: Sequence[str] = ()
    orders: Sequence[Ordered] = ()
    own: Sequence[tuple[str, Sequence[Link]]] = ()
    unread: Sequence[str] = ()
    models: bool = False


class Templates:
    """The page's templates, made ready once. Every text from the archive is escaped by autoescape,
    JSON by ``tojson``. Raises DiskError if a shipped file is missing."""

    def __init__(self) -> None:
        self.folder: Path = template_path(FOLDER)

    @cached_property
    def _environment(self) -> Environment:
        from jinja2 import Environment, FileSystemLoader, StrictUndefined

        return Environment(
            loader=FileSystemLoader(self.folder), autoescape=True, undefined=StrictUndefined,
            trim_blocks=True, lstrip_blocks=True,
        )  # fmt: skip

    @cached_property
    def edition(self) -> str:
        """What a block looks like depends on: other text, other blocks."""
        text = (self.folder / "card.html").read_bytes() + __version__.encode()
        return hashlib.sha256(text).hexdigest()[:8]

    def block(self, cards: Sequence[Card]) -> bytes:
        """A classic script with these cards, for a page that may not fetch."""
        module: Any = self._environment.get_template("card.html").module
        html = "".join(str(module.card(c, text_of)) for c in cards)
        text = json.dumps({"html": html, "data": [_data(c) for c in cards]}, separators=(",", ":"))
        return f"mandrelgenBlock({text});\n".encode()

    def page(self, shown: Shown) -> bytes:
        """The page with an empty seal."""
        from markupsafe import Markup

        def own(*names: str) -> Markup:
            """Files that come with the program stand in the page as they are."""
            text = "\n".join((self.folder / name).read_text(encoding="utf-8") for name in names)
            assert "</script" not in text.lower()
            return Markup(text)

        orders = shown.orders
        text = self._environment.get_template("page.html").render(
            shown=shown, mm=text_of, states=State, blank=front.BLANK, listed=LISTED,
            place=front.BLOCKS,
            live=[o for o in orders if not o.superseded_by and not o.done],
            done=[o for o in orders if not o.superseded_by and o.done],
            superseded=[o for o in orders if o.superseded_by],
            widest=max((c.width for c in shown.cards if c.width is not None), default=1.0),
            data=[_data(c) for c in shown.cards],
            style=own("style.css"), script=own("model.js", "view.js", "page.js"),
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
        "thread": [[thread_name(t), t.diameter, t.pitch, t.starts, int(t.left_hand)]
                   for t in card.threads],
        "part": card.part,
        "pen": card.pen,
        "state": card.state.said,
        "model": card.model,
        "drawing": card.drawing,
        "sheets": card.sheets,
        "headline": card.headline,
        "length": card.length,
        "width": card.width,
        "date": card.date,
    }  # fmt: skip
