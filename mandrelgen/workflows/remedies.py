"""Remedies are tried before they are offered: each on a copy of the pen, as the pen is judged.

A remedy holds if the finding goes and nothing of its level or above comes in its place; what it
leaves or brings besides, its words say. A note needs no remedy, unless it is one that reveals: then
no error may come of it at the end it changes. Two changes need none where one of them holds alone.

Several findings that one size mends get one answer: the least value that mends them all comes
first, a lesser one that mends the fault alone second.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from typing import NamedTuple

from mandrelgen.core.errors import Change, Finding, Level, Path, Remedy
from mandrelgen.core.frozen import dataclass
from mandrelgen.workflows.trial import Bench, Key, Trials

MOST = 3
"""Ways that are tried for one finding; a way is a key and every value proposed for it."""

NONE_HELD = "no single change was found that mends it"
COUNTED = {2: "both", 3: "all three", 4: "all four"}

LEAVES = 3
"""Rank of a remedy that leaves something behind."""

Way = tuple[Change, ...] | Path
"""The key of a size that is set, whatever its value; of any other remedy, its changes."""


class Shared(NamedTuple):
    """A remedy that mends several findings, and which."""

    remedy: Remedy
    mended: tuple[Key, ...]


Held = dict[Way, Remedy]


def tried(findings: tuple[Finding, ...], bench: Bench) -> tuple[Finding, ...]:
    """The findings with the remedies that hold, of those their rules propose."""
    trials = Trials.of(findings, bench)
    held = [_held(f, trials) for f in findings]
    shared = _shared(findings, held, trials)
    return tuple(_offered(f, own, shared, trials) for f, own in zip(findings, held, strict=True))


def _held(f: Finding, trials: Trials) -> Held:
    """Of each way that mends a finding, the least value that leaves nothing else; else the first
    that holds."""
    held: Held = {}
    for way, rows in list(_ways(f, lesser=False).items())[:MOST]:
        good = []
        for r in map(trials.bench.placed, rows):
            if any(_within(h, r) for h in held.values()) or not trials.holds(f, r):
                continue
            good.append(r)
            if not _left(r, (), trials):
                break
        if good:
            held[way] = good[-1] if not _left(good[-1], (), trials) else good[0]
    return held


def _ways(f: Finding, lesser: bool) -> dict[Way, list[Remedy]]:
    """What its rules propose, by way, in their order."""
    ways: dict[Way, list[Remedy]] = {}
    for r in f.remedies:
        if r.lesser is lesser and (r.reveals or f.level is not Level.NOTE):
            ways.setdefault(_way(r), []).append(r)
    return ways


def _way(r: Remedy) -> Way:
    size = _size(r)
    return r.changes if size is None else r.changes[0].path


def _size(r: Remedy) -> float | None:
    """The one value that a remedy sets, mm; None if it sets no size, or several."""
    values = {c.value for c in r.changes if c.value is not None}
    value = values.pop() if len(values) == 1 else None
    return None if value is None or isinstance(value, (bool, str)) else float(value)


def _within(one: Remedy, more: Remedy) -> bool:
    """Whether ``more`` changes all that ``one`` does, and something besides."""
    return {c.path for c in one.changes} < {c.path for c in more.changes}


# -- one answer for several findings ---------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Group:
    """The findings for which a size of one key is proposed, and the values that hold for one of
    them, each with how far it is from what is there, mm."""

    findings: dict[Key, Finding] = field(default_factory=dict)
    values: list[tuple[float, Remedy]] = field(default_factory=list)


def _shared(
    findings: Sequence[Finding], held: Sequence[Held], trials: Trials
) -> dict[tuple[Key, Way], Shared]:
    """Where several findings are mended by another value of one key, the value that mends most of
    them: the largest change any of them needs, since each has its least."""
    found: dict[tuple[Key, Way], Shared] = {}
    for way, group in _groups(findings, held, trials.bench):
        if len(group.findings) < 2:
            continue
        for _, r in sorted(group.values, key=lambda v: -v[0]):
            mended = tuple(f.key for f in group.findings.values() if trials.holds(f, r))
            if len(mended) > 1:
                found.update({(key, way): Shared(r, mended) for key in mended})
                break
    return found


def _groups(
    findings: Sequence[Finding], held: Sequence[Held], bench: Bench
) -> Iterator[tuple[Way, Group]]:
    """By key, and whether the size has to grow."""
    groups: dict[tuple[Way, bool], Group] = {}
    for f, own in zip(findings, held, strict=True):
        for way, rows in _ways(f, lesser=False).items() if f.level is not Level.NOTE else ():
            size, now = _size(rows[0]), _now(way, bench)
            if size is None or now is None:
                continue
            group = groups.setdefault((way, size > now), Group())
            group.findings.setdefault(f.key, f)
            if way in own:
                group.values.append((abs((_size(own[way]) or now) - now), own[way]))
    for (way, _), group in groups.items():
        yield way, group


def _now(way: Way, bench: Bench) -> float | None:
    path = tuple(step for step in way if not isinstance(step, Change))
    return bench.number(path) if path else None


# -- what is offered, and its words ----------------------------------------------------------------
def _offered(
    f: Finding, held: Held, shared: Mapping[tuple[Key, Way], Shared], trials: Trials
) -> Finding:
    """A finding with what holds: what mends several first, then what changes the mandrel and not
    the pen; what leaves something last."""
    if not any(r.reveals or f.level is not Level.NOTE for r in f.remedies):
        return replace(f, remedies=())
    rows: list[tuple[int, Remedy]] = []
    lesser = _ways(f, lesser=True)
    for way in _ways(f, lesser=False):
        own, one = held.get(way), shared.get((f.key, way))
        first = own if one is None else one.remedy
        if first is None:
            continue
        rows.append(_worded(first, trials, mended=() if one is None else one.mended))
        rows += _second(f, first, own, lesser.pop(way, []), one, trials)
    for candidates in lesser.values():
        rows += _second(f, None, None, candidates, None, trials)
    if rows:
        return replace(f, remedies=tuple(r for _, r in sorted(rows, key=lambda row: row[0])))
    return replace(f, remedies=(), remedy=f.remedy or NONE_HELD)


def _second(
    f: Finding,
    first: Remedy | None,
    own: Remedy | None,
    lesser: Sequence[Remedy],
    one: Shared | None,
    trials: Trials,
) -> Iterator[tuple[int, Remedy]]:
    """The lesser change that mends the fault alone, if it leaves something that the first mends."""
    about = (f.key,) if one is None else one.mended
    rows = [*map(trials.bench.placed, lesser), *(() if own is None else (own,))]
    for r in rows:
        if (first is None or r.changes != first.changes) and trials.holds(f, r):
            if _left(r, about, trials):
                yield _worded(r, trials, about=about)
            return


def _worded(
    r: Remedy, trials: Trials, mended: tuple[Key, ...] = (), about: tuple[Key, ...] = ()
) -> tuple[int, Remedy]:
    """A remedy that says what it mends and leaves, of what it is ``about`` and of what it brings;
    and its rank."""
    left = _left(r, about, trials)
    counted = COUNTED.get(len(mended), f"all {len(mended)}")
    says = [f"mends {counted}{_at(mended)}"] if mended else []
    if left:
        says += [] if mended else ["mends this"]
        says.append(f"leaves {_listed([_brief(g) for g in left])}")
    rank = LEAVES if left else 0 if mended else 1 if _spares_the_pen(r) else 2
    return rank, replace(r, says=": ".join((r.says, ", ".join(says))) if says else r.says)


def _at(mended: tuple[Key, ...]) -> str:
    """Where what is mended stands, since a page shows each in its place; nothing for one place."""
    places = list(dict.fromkeys(where for _, where in mended))
    return f", at {_listed(places)}" if len(places) > 1 else ""


def _spares_the_pen(r: Remedy) -> bool:
    return all(c.path[0] == "mandrels" for c in r.changes)


def _left(r: Remedy, about: tuple[Key, ...], trials: Trials) -> list[Finding]:
    """What is found after a remedy, of what it is about or brings; each once."""
    if r.reveals:
        return []
    found = {
        g.key: g
        for g in trials.whole(r) or ()
        if g.level is not Level.NOTE and (g.key in about or trials.came(g))
    }
    return list(found.values())


def _brief(g: Finding) -> str:
    return g.brief or f"{'an error' if g.level is Level.ERROR else 'a warning'} at {g.where}"


def _listed(rows: Sequence[str]) -> str:
    return rows[0] if len(rows) == 1 else f"{', '.join(rows[:-1])} and {rows[-1]}"
