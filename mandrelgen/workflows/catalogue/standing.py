"""How the orders of an archive stand, and the cards for the maker's own lathe: what the page says
above the mandrels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from urllib.parse import quote

from mandrelgen.archive import rounds
from mandrelgen.archive.disk.files import exists, is_folder, list_folder
from mandrelgen.archive.disk.messages import name_fault
from mandrelgen.archive.naming import CARDS, ORDERS
from mandrelgen.archive.records import Order
from mandrelgen.archive.root import Archive
from mandrelgen.archive.states import State
from mandrelgen.core.frozen import dataclass
from mandrelgen.workflows.booking import Known, OrderLine, Shared, lines_of
from mandrelgen.workflows.catalogue.cards import Link


@dataclass(frozen=True, slots=True, kw_only=True)
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


def ordered(
    archive: Archive, every: Sequence[Order], gone: Mapping[str, str], states: Known
) -> list[Ordered]:
    """The orders, newest first. ``gone``: those that another took the place of, and which.
    Raises DiskError."""
    shared = rounds.shared(every, gone)
    newest = sorted(every, key=lambda o: (o.date, o.id), reverse=True)
    return [_ordered(archive, o, gone.get(o.id, ""), states, shared) for o in newest]


def _ordered(
    archive: Archive, order: Order, superseded_by: str, states: Known, shared: Shared
) -> Ordered:
    parcel = f"{ORDERS}/{order.id}/{order.id}.zip"
    there = exists(archive.root / parcel)
    lines = lines_of(archive, order, not superseded_by, states, shared)
    return Ordered(
        id=order.id, pen=order.pen, lines=lines, superseded_by=superseded_by,
        parcel=quote(parcel) if there else "",
    )  # fmt: skip


def own_cards(base: Path) -> tuple[tuple[str, tuple[Link, ...]], ...]:
    """The cards for the maker's own lathe, by pen. Raises DiskError."""
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
