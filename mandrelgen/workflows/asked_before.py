"""A fixture that was asked for and that the pen, changed since, needs otherwise: which it is, and
what differs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from mandrelgen.archive import events, root, states
from mandrelgen.archive import index as records_index
from mandrelgen.archive.design_hash import design_hash
from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.query import Query, find
from mandrelgen.archive.record_files import Entry
from mandrelgen.assess.choose_tolerances import neighbours_of, situated
from mandrelgen.assess.fitting import fitting
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.designed import Designed
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.workflows.answers.spoken import spoken
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.reuse_judging import as_made
from mandrelgen.workshop.turning.names import what

if TYPE_CHECKING:
    from mandrelgen.workflows.bench_look import Look

MOST = 4
"""Differences that are named."""
_SIZES = (Kind.DIAMETER, Kind.LENGTH, Kind.THREAD_MAJOR)


@dataclass(frozen=True, slots=True)
class Before:
    """What is to be said of a fixture that was asked for, or that is owned, for an end that needs
    another since; ``shank``: the shank that it was asked for with, mm, where the new one has
    another (None: the same)."""

    says: str
    shank: float | None


def asked_before(look: Look, folder: Path) -> dict[str, Before]:
    """By planned id, where the archive holds a fixture for that very end that is owned or on its
    way and is another design than the pen needs now. Raises DiskError."""
    if not exists(folder / MARKER):
        return {}
    inputs, designed = look.checked.inputs, look.checked.designed
    out: dict[str, Before] = {}
    with records_index.opened(root.open_root(folder)) as index:
        found = find(index, Query(pen=inputs.pen.pen.id))
        rows = {(r.part, r.end, r.role): r for r in found if r.owned}
        for d in designed if rows else ():
            p = d.planned
            row = rows.get((p.hold.part, p.hold.end, p.kind.value))
            if row is None:
                continue
            entry = events.revision_of(index.archive, row.number, row.revision)
            if d.mandrel is None or entry.record.design_hash != design_hash(d.mandrel):
                asked = read_mandrel(entry.folder)
                shank = None if d.mandrel is None else _other_shank(asked, d.mandrel)
                out[p.id] = Before(" ".join(_said(index, row, entry, d, look, asked)), shank)
    return out


def _other_shank(old: Mandrel, new: Mandrel) -> float | None:
    """The old one's shank, where the new one has another."""
    sizes = [
        next((c.nominal for c in m.characteristics if c.id == "shank.diameter"), None)
        for m in (old, new)
    ]
    return sizes[0] if sizes[0] != sizes[1] else None


def _said(
    index: records_index.Index, row: IndexRow, entry: Entry, d: Designed, look: Look, asked: Mandrel
) -> Iterator[str]:
    state, last = states.history(events.events_of(index.archive, row.number), entry)[-1]
    day = "" if last is None else last.date
    yield text("before.is", name=row.name, state=state.said, day=day)
    changed = [] if d.mandrel is None else list(differences(asked, d.mandrel))
    if changed:
        more = len(changed) - MOST
        named = "; ".join(changed[:MOST]) + (text("before.more", more) if more > 0 else "")
        yield text("before.needs", what=named)
    pen, shop = look.checked.inputs.pen, look.checked.inputs.shop
    near = neighbours_of({x.planned.id: situated(x, pen, shop) for x in look.checked.designed})
    fit = fitting(as_made(index, row)[0], pen, shop, d.planned, near, d.mandrel, d.wishes)
    if fit.fits:
        yield text("before.fits", name=row.name, step=text_of(fit.step))
    else:
        why = spoken(fit.hinders[0])
        yield (text("before.fits_not", name=row.name, why=why) if state in states.AWAITED
               else text("before.fits_not_here", name=row.name, why=why))  # fmt: skip
    if d.mandrel is not None and (shank := _other_shank(asked, d.mandrel)) is not None:
        yield text("before.shank", size=text_of(shank))


def differences(old: Mandrel, new: Mandrel) -> Iterator[str]:
    """What the new one has instead: threads, material, then sizes by balloon."""
    pairs = zip(new.threads, old.threads, strict=False)
    for a, b in ((x.limits.designation.text, y.limits.designation.text) for x, y in pairs):
        if a != b:
            yield text("before.instead", what=text("before.thread"), new=a, old=b)
    if new.ordering.material != old.ordering.material:
        a, b = new.ordering.material, old.ordering.material
        yield text("before.instead", what=text("before.material"), new=a, old=b)
    before = {c.id: c for c in old.characteristics}
    for c in new.characteristics:
        was = before.get(c.id)
        if was is None or c.kind not in _SIZES or abs(c.nominal - was.nominal) < 1e-4:
            continue
        new_size, old_size = text_of(c.nominal), text_of(was.nominal)
        yield text("before.instead", what=what(c), new=new_size, old=old_size)
