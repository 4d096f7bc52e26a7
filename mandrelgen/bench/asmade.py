"""The mandrel as it was made: limits replaced by readings, so that verdicts can be run again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from mandrelgen.bench.readings import Reading
from mandrelgen.characteristic import Characteristic, Kind
from mandrelgen.mandrel import ThreadData
from mandrelgen.mechanics.play import ThreadPlay, thread_play
from mandrelgen.standards.threads import Band, ThreadLimits

MEASURED = "measured"
_ELEMENT = {
    Kind.THREAD_MAJOR: "major",
    Kind.THREAD_PITCH_DIAMETER: "pitch",
    Kind.THREAD_MINOR: "minor",
}


def as_made(
    characteristics: Sequence[Characteristic], readings: Iterable[Reading]
) -> tuple[Characteristic, ...]:
    """The characteristics with limits y − U to y + U where they were read (over all readings of
    the finest instrument); the others keep their limits, those a gauge judged too. A need keeps
    its lower limit of None."""
    by_id: dict[str, list[Reading]] = {}
    for r in readings:
        if r.value is not None:
            by_id.setdefault(r.id, []).append(r)
    return tuple(_measured(c, by_id[c.id]) if c.id in by_id else c for c in characteristics)


def _measured(c: Characteristic, readings: list[Reading]) -> Characteristic:
    finest = min(r.uncertainty for r in readings)
    used = [r for r in readings if r.uncertainty <= finest + 1e-12]
    values = [r.value for r in used if r.value is not None]
    low, high = min(values) - finest, max(values) + finest
    names = ", ".join(sorted({r.instrument for r in used}))
    need = c.lower is None and c.nominal == 0
    return replace(
        c,
        nominal=0.0 if need else (low + high) / 2,
        lower=None if need else low,
        upper=high,
        source=f"measured with {names}, U {finest:g}",
        written=MEASURED,
        general=False,
    )


def thread_as_made(thread: ThreadData, made: Sequence[Characteristic]) -> ThreadLimits:
    """The thread's limits with every element that was measured replaced."""
    found: dict[str, Band] = {}
    for c in made:
        if c.feature == thread.feature and c.written == MEASURED and c.kind in _ELEMENT:
            found[_ELEMENT[c.kind]] = Band(c.lower, c.upper)
    limits = thread.limits
    return replace(
        limits,
        major=found.get("major", limits.major),
        pitch=found.get("pitch", limits.pitch),
        minor=found.get("minor", limits.minor),
        measured=tuple(sorted({*limits.measured, *found})),
    )


def play_as_made(thread: ThreadData, made: Sequence[Characteristic]) -> ThreadPlay:
    """The play of the mandrel's thread, as made, in the part's, mm."""
    own = thread_as_made(thread, made)
    screw, nut = (own, thread.partner) if own.external else (thread.partner, own)
    return thread_play(screw, nut)
