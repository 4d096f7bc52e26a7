"""Which test pieces go to the turner, in words: what one is, for which threads."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.workflows.answers.texts import text


class SentPiece(NamedTuple):
    """The counter thread of a thread that a turner cuts. ``ring``: tapped, for a plug; else a
    stud; ``lent``: the maker's own tool goes along too."""

    ring: bool
    thread: str
    lent: bool


def sent_pieces(m: Mandrel | None) -> tuple[SentPiece, ...]:
    """What is tried on a mandrel."""
    return tuple(
        SentPiece(t.limits.external, t.limits.designation.name,
                  t.order == ThreadOrder.MY_TOOL.value)
        for t in (() if m is None else m.threads) if t.order != ThreadOrder.BLANK.value
    )  # fmt: skip


def said(pieces: Iterable[SentPiece]) -> str:
    """What is sent with an order; empty if nothing is."""
    rows = list(dict.fromkeys(pieces))
    if not rows:
        return ""
    what = text("order.or").join(
        text("order.piece_ring" if ring else "order.piece_stud")
        for ring in (True, False) if any(p.ring is ring for p in rows)
    )  # fmt: skip
    which = ", ".join(dict.fromkeys(p.thread for p in rows))
    tools = "" if any(p.lent for p in rows) else " " + text("order.tools_stay")
    return text("order.send", what=what, which=which) + tools
