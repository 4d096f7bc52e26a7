"""Two revisions or fixtures side by side, by characteristic id; never by a size or a place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from enum import StrEnum
from typing import TypeVar

from mandrelgen.archive.events import current, events_of, revision_of
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.naming import parse_revision_folder
from mandrelgen.archive.reading_history import readings
from mandrelgen.archive.record_files import Entry, entries
from mandrelgen.archive.root import Archive
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.characteristic import Characteristic, Decision, size_text
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.workshop.receipt.readings import Reading

_T = TypeVar("_T")


class Change(StrEnum):
    """How the two stand to each other."""

    SAME = "same"
    CHANGED = "changed"
    FIRST = "only in the first"
    SECOND = "only in the second"


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing of both: its id, what each says (empty: nothing), and whether they agree."""

    id: str
    first: str
    second: str
    change: Change


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two revisions; the lines in the order of the first, what only the second has behind."""

    first: Entry
    second: Entry
    facts: tuple[Difference, ...]
    sizes: tuple[Difference, ...]
    decisions: tuple[Difference, ...]
    notes: tuple[Difference, ...]
    read: tuple[Difference, ...]

    @property
    def same_design(self) -> bool:
        """True if both would be the same part."""
        return self.first.record.design_hash == self.second.record.design_hash


def resolve(archive: Archive, text: str) -> Entry:
    """``MG-0007`` (its newest), ``MG-0007:B`` (that revision's newest draft), ``MG-0007:A.2``.

    Raises InputError, DiskError.
    """
    number, _, revision = text.strip().partition(":")
    if not revision:
        return current(archive, number)
    parsed = parse_revision_folder(revision)
    if parsed is None:
        fault = Finding(
            level=Level.ERROR,
            code="revision-unknown",
            where=text,
            message=f"'{revision[:20]}' is no revision",
            remedy="write MG-0007:B, or MG-0007:A.2 for the second draft of A",
        )
        raise InputError([fault])
    if "." not in revision:
        return revision_of(archive, number, revision)
    current(archive, number)
    for entry in entries(archive.root, number):
        if (entry.revision, entry.draft) == parsed:
            return entry
    fault = Finding(
        level=Level.ERROR,
        code="revision-unknown",
        where=number,
        message=f"there is no draft {revision}",
        remedy="leave the draft out to take the newest",
    )
    raise InputError([fault])


def compare(archive: Archive, first: Entry, second: Entry) -> Comparison:
    """Everything in which two published revisions agree or differ. Raises DiskError."""
    a, b = read_mandrel(first.folder), read_mandrel(second.folder)
    read = [readings(events_of(archive, e.number), e.revision, e.draft) for e in (first, second)]
    return Comparison(
        first=first,
        second=second,
        facts=_lines(_facts(a), _facts(b), lambda f: f[0], lambda f: f[1], lambda f: f[1]),
        sizes=_lines(a.characteristics, b.characteristics, lambda c: c.id, size_text, _limits),
        decisions=_lines(
            a.decisions, b.decisions, lambda d: d.id, _decision, lambda d: (d.value, d.why)
        ),
        notes=_lines(_counted(a.notes), _counted(b.notes), lambda n: n, lambda n: n, lambda n: n),
        read=_lines(read[0], read[1], lambda r: r.id, _reading, _reading),
    )


def _counted(notes: Sequence[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(notes))


def _facts(m: Mandrel) -> tuple[tuple[str, str], ...]:
    o = m.ordering
    return (
        ("kind", m.kind.value), ("title", m.title), ("pen", m.pen), ("part", m.part),
        ("end", m.end), ("material", o.material), ("quantity", str(o.quantity)),
        ("thread order", o.thread_order if m.threads else ""), ("marking", o.marking),
        ("soft washer", text_of(o.soft_washer)), ("collet", o.collet),
        ("thread", ", ".join(t.limits.designation.text for t in m.threads)),
        ("hold of thread", ", ".join(t.partner.designation.text for t in m.threads)),
        ("centre holes", ", ".join(f"{c.at} {c.designation} {c.keep}" for c in m.centre_holes)),
    )  # fmt: skip


def _lines(
    first: Iterable[_T],
    second: Iterable[_T],
    key: Callable[[_T], str],
    text: Callable[[_T], str],
    value: Callable[[_T], object],
) -> tuple[Difference, ...]:
    a: dict[str, list[_T]] = {}
    b: dict[str, list[_T]] = {}
    for rows, found in ((first, a), (second, b)):
        for x in rows:
            found.setdefault(key(x), []).append(x)
    out = []
    for id in dict.fromkeys((*a, *b)):
        mine, theirs = a.get(id, []), b.get(id, [])
        texts = ["; ".join(text(x) for x in row) for row in (mine, theirs)]
        change = Change.CHANGED
        if not theirs:
            change = Change.FIRST
        elif not mine:
            change = Change.SECOND
        elif [value(x) for x in mine] == [value(x) for x in theirs]:
            change = Change.SAME
        out.append(Difference(id, texts[0], texts[1], change))
    return tuple(out)


def _limits(c: Characteristic) -> tuple[object, ...]:
    """What makes two characteristics the same; limits to a nanometre, the noise of a float."""
    numbers = (None if x is None else round(x, 6) + 0.0 for x in (c.nominal, c.lower, c.upper))
    return (c.kind, c.unit, c.between, c.datum, *numbers)


def _decision(d: Decision) -> str:
    return f"{d.value}: {d.why}"


def _reading(r: Reading) -> str:
    if r.value is None:
        return f"{r.verdict.value} ({r.instrument})"
    return f"{text_of(r.value)} ± {text_of(r.uncertainty)} ({r.instrument})"
