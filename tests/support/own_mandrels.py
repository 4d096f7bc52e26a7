"""Mandrels that the maker makes: pens whose every thread has its tap and die in the shop."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from mandrelgen.assess.settled import settled
from mandrelgen.assess.words import Answer, Word, answers
from mandrelgen.design.designed import Designed
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.shop import Shop, ThreadTool
from mandrelgen.spec.starters import starter
from mandrelgen.workshop.home.own_mandrel import OwnMandrel, own_mandrels

# Of the starters: which shop stands beside it.
SHOPS = {"heron": "bench", "bittern": "small", "dunlin": "bench"}


def with_tools(pen: Pen, shop: Shop, **known: object) -> Shop:
    """The shop with a tap and a die for every thread of the pen; ``known``: of each tool."""
    ends = [e for p in pen.parts.values() for e in p.ends.values()]
    threads = sorted({t.thread.partition("-6")[0] for e in ends
                      for t in (e.internal, e.external) if t is not None})  # fmt: skip
    tools = tuple(ThreadTool(thread=t, **known) for t in threads)  # type: ignore[arg-type]
    return shop.model_copy(update={"taps": tools, "dies": tools})


def words_of(pen: Pen, shop: Shop) -> tuple[Sequence[Designed], Sequence[Answer]]:
    """The pen designed, and the word for each of its mandrels."""
    found = settled(pen, shop)
    return found.designed, answers(pen, shop, found.designed, found.findings, {})


def cards_of(pen: Pen, shop: Shop) -> dict[str, OwnMandrel]:
    """The cards of a pen whose maker has ``shop``."""
    designed, words = words_of(pen, shop)
    return own_mandrels(pen, shop, designed, words)


@cache
def starter_pen(name: str, extra: str = "") -> tuple[Pen, Shop]:
    """A starter with its shop."""
    pen = read_pen(starter("pen", name) + extra.encode(), f"{name}.toml")
    shop = read_shop(starter("shop", SHOPS[name]), "shop.toml")
    return pen, effective_shop(shop, pen)


@cache
def starter_cards(name: str, extra: str = "") -> dict[str, OwnMandrel]:
    """The cards of a starter whose maker owns every tap and die."""
    pen, shop = starter_pen(name, extra)
    return cards_of(pen, with_tools(pen, shop))


def made_at_home(words: Sequence[Answer]) -> list[str]:
    """The mandrels whose word is make."""
    return [a.planned for a in words if a.word is Word.MAKE]
