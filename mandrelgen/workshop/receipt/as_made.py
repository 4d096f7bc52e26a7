"""The mandrel as it was made: limits replaced by readings, so that verdicts can be run again.

A reading y with uncertainty U says that the size lies in y − U to y + U. Inside the limits it can
only narrow them: a coarse instrument that proves nothing takes back nothing of what was drawn. A
reading outside the limits counts in full. So a reading at nominal never makes a verdict worse, and
a larger uncertainty never makes one better.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from mandrelgen.design.chosen_tolerances import RUN_OUT
from mandrelgen.mechanics.play import ThreadPlay, thread_play
from mandrelgen.model.characteristic import MEASURED, Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Mandrel, Stretch, ThreadData, ThreadForm
from mandrelgen.standards.threads import Band, ThreadLimits
from mandrelgen.workshop.receipt.readings import Reading

_ELEMENT = {
    Kind.THREAD_MAJOR: "major",
    Kind.THREAD_PITCH_DIAMETER: "pitch",
    Kind.THREAD_MINOR: "minor",
}


def as_made(
    characteristics: Sequence[Characteristic], readings: Iterable[Reading]
) -> tuple[Characteristic, ...]:
    """The characteristics with limits y − U to y + U where they were read (over all readings of
    the finest instrument), within the old limits if the readings are; the others keep their
    limits, those a gauge judged too. A need keeps its lower limit of None."""
    by_id: dict[str, list[Reading]] = {}
    for r in readings:
        if r.value is not None:
            by_id.setdefault(r.id, []).append(r)
    return tuple(_measured(c, by_id[c.id]) if c.id in by_id else c for c in characteristics)


def _measured(c: Characteristic, readings: list[Reading]) -> Characteristic:
    finest = min(r.uncertainty for r in readings)
    used = [r for r in readings if r.uncertainty <= finest + 1e-12]
    values = [r.value for r in used if r.value is not None]
    least, most = min(values), max(values)
    low, high = least - finest, most + finest
    if (c.lower is None or least >= c.lower) and (c.upper is None or most <= c.upper):
        low = low if c.lower is None else max(low, c.lower)
        high = high if c.upper is None else min(high, c.upper)
    names = ", ".join(sorted({r.instrument for r in used}))
    need = c.lower is None and c.nominal == 0
    return replace(
        c,
        nominal=0.0 if need else (least + most) / 2,
        lower=None if need else low,
        upper=high,
        source=f"measured with {names}, U {finest:g}",
        written=MEASURED,
        general=False,
    )


def thread_as_made(thread: ThreadData, made: Sequence[Characteristic]) -> ThreadLimits:
    """The thread's limits with every element that was measured replaced."""
    limits = thread.limits
    found: dict[str, Band] = {}
    for c in made:
        if c.feature == thread.feature and c.written == MEASURED and c.kind in _ELEMENT:
            found[_ELEMENT[c.kind]] = Band(c.lower, _root_limit(c, limits))
    return replace(
        limits,
        major=found.get("major", limits.major),
        pitch=found.get("pitch", limits.pitch),
        minor=found.get("minor", limits.minor),
        measured=tuple(sorted({*limits.measured, *found})),
    )


def _root_limit(c: Characteristic, limits: ThreadLimits) -> float | None:
    """The upper limit. A nut's root has none by the standard, its form is reckoned with: a coarse
    reading of it shall not make that worse."""
    open_ = c.kind is Kind.THREAD_MAJOR and limits.major.max is None and c.upper is not None
    if open_ and c.nominal <= limits.major_max_worst < (c.upper or 0.0):
        return None
    return c.upper


def play_as_made(thread: ThreadData, made: Sequence[Characteristic]) -> ThreadPlay:
    """The play of the mandrel's thread, as made, in the part's, mm."""
    own = thread_as_made(thread, made)
    screw, nut = (own, thread.partner) if own.external else (thread.partner, own)
    return thread_play(screw, nut)


def mandrel_as_made(mandrel: Mandrel, readings: Iterable[Reading]) -> Mandrel:
    """The mandrel with every size that was read at its reading: limits, threads, and the turned
    diameters that carry load. Lengths stay where they were drawn: they change what touches first,
    not where a stretch stands."""
    found = tuple(readings)
    made = as_made((*mandrel.characteristics, *_asked_in_words(mandrel, found)), found)
    sizes = {
        c.feature: c.nominal
        for c in made
        if c.written == MEASURED and c.kind is Kind.DIAMETER and c.id == f"{c.feature}.diameter"
    }
    forms = {t.feature: _form(t, made) for t in mandrel.threads}
    return replace(
        mandrel,
        outer=tuple(_stretch(s, sizes, forms) for s in mandrel.outer),
        inner=tuple(_stretch(s, sizes, forms) for s in mandrel.inner),
        characteristics=made,
        threads=tuple(
            replace(t, limits=thread_as_made(t, made), form=forms[t.feature])
            for t in mandrel.threads
        ),
    )


def _asked_in_words(mandrel: Mandrel, readings: Sequence[Reading]) -> tuple[Characteristic, ...]:
    """A thread's run-out that was read although the drawing does not show it: with the maker's own
    tap or die it is asked in words, for a test piece screwed home."""
    read = {r.id for r in readings if r.value is not None}
    drawn = {c.id for c in mandrel.characteristics}
    return tuple(
        Characteristic(
            id=id, feature=t.feature, kind=Kind.RUNOUT, nominal=0.0, lower=None, upper=RUN_OUT
        )
        for t in mandrel.threads
        if (id := t.feature.size("runout")) in read and id not in drawn
    )


def _form(thread: ThreadData, made: Sequence[Characteristic]) -> ThreadForm:
    """The form with the diameters that were read."""
    read = {
        _ELEMENT[c.kind]: c.nominal
        for c in made
        if c.feature == thread.feature and c.written == MEASURED and c.kind in _ELEMENT
    }
    form = thread.form
    crest, root = ("major", "minor") if form.external else ("minor", "major")
    return replace(
        form,
        crest_diameter=read.get(crest, form.crest_diameter),
        pitch_diameter=read.get("pitch", form.pitch_diameter),
        root_diameter=read.get(root, form.root_diameter),
    )


def _stretch(
    s: Stretch, sizes: Mapping[Feature, float], forms: Mapping[Feature, ThreadForm]
) -> Stretch:
    """A cylinder at the diameter that was read; cones and what was not read as drawn."""
    if s.thread is not None and s.feature in forms:
        form = replace(forms[s.feature], fade=s.thread.fade)
        return replace(s, d0=form.crest_diameter, d1=form.crest_diameter, thread=form)
    if s.feature in sizes and s.d0 == s.d1:
        return replace(s, d0=sizes[s.feature], d1=sizes[s.feature])
    return s
