"""What it costs to ask, as a table for the maker's paper."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.assess.asking_cost import Asked, Figures
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.feature import MandrelEnd, own_name, subject_name
from mandrelgen.paper.drawing.model import Table
from mandrelgen.spec.remark import dotted

TITLE = "What it costs to ask"
HEADS = ("Tolerance", "Asked", "Takes", "Loosened to", "Mismatch at the joint",
         "Shift when remounted", "Thinnest wall", "How to loosen it")  # fmt: skip
WIDTHS = (12, 8, 8, 8, 9, 9, 8, 14)
LASTS, LASTS_WIDTH = "Lasts, pens", 7
SAME = "as now"
NOTE = (
    "Each judged again with that one limit loosened: 95 % figures in mm, tightened (estimate). "
    "What a turner gives without grinding is common practice, no source. Roughness and the form of "
    "the shank have no share in these figures: what they do is not judged here. "
)
OF_METAL = "How many pens a metal mandrel lasts is not judged: nothing measured was found."
OF_PLASTIC = "How many pens it lasts: an estimate, at the middle of the wider limits."


def asking_tables(rows: Sequence[Asked]) -> tuple[Table, ...]:
    """The table; none where nothing is asked that has a price."""
    if not rows:
        return ()
    body = [_row(a) for a in rows]
    body.append(("now", "", "", "", *_figures(rows[0].now), ""))
    plastic = rows[0].now.pens is not None
    heads: tuple[str, ...] = HEADS
    widths: tuple[int, ...] = WIDTHS
    if plastic:
        heads = (*HEADS[:-1], LASTS, HEADS[-1])
        widths = (*WIDTHS[:-1], LASTS_WIDTH, WIDTHS[-1])
    note = NOTE + (OF_PLASTIC if plastic else OF_METAL)
    return (
        Table(TITLE, heads, widths, tuple(body)),
        Table("How these figures were got", ("", ""), (2, 16), (("basis", note),)),
    )


def _row(a: Asked) -> tuple[str, ...]:
    takes = a.process.said + ("; a gauge would be made for it" if a.gauge else "")
    return (
        _what(a), a.demand.asked, takes, a.demand.looser_text,
        *_against(a.loosened, a.now), _how(a),
    )  # fmt: skip


def _what(a: Asked) -> str:
    """``cylindricity, shank``; ids stand in the other tables."""
    kind = a.demand.characteristic.kind.value
    where = " and ".join(dict.fromkeys(_feature(id) for id in a.ids))
    return kind if kind.startswith(where) else f"{kind}, {where}"


def _feature(id: str) -> str:
    end = " at end B" if MandrelEnd.of(id) is MandrelEnd.SECOND else ""
    return f"{subject_name(own_name(id))}{end}"


def _how(a: Asked) -> str:
    if a.remedies:
        return "; ".join(f"{dotted(c.path)} = {c.value}" for r in a.remedies for c in r.changes)
    if a.process:
        return "tell the turner: no key"
    return "turned anyway" + (f" (key {a.key})" if a.key else "")


def _figures(f: Figures) -> tuple[str, ...]:
    lasts = () if f.pens is None else ("{} to {}".format(*f.pens),)
    return (
        text_of(f.mismatch),
        text_of(f.remounted),
        "–" if f.wall is None else text_of(f.wall, 2),
        *lasts,
    )


def _against(then: Figures, now: Figures) -> tuple[str, ...]:
    """The figures loosened; what stays to the printed place says so."""
    pairs = zip(_figures(then), _figures(now), strict=True)
    return tuple(SAME if a == b and a != "–" else a for a, b in pairs)
