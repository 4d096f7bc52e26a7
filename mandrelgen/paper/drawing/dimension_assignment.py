"""Which characteristic is shown where: main view, an enlarged detail, a section, or a table."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.paper.drawing.views import TOUCH, bores, centre_bores

# A groove longer than this needs no enlarged view; a window shows this much on both sides.
GROOVE = 6.0
MARGIN = 1.1
# Beside the steps at an open end, where half is free air: a smaller window has a larger scale.
BESIDE = 0.7
SHORT = 2.0
# Lengths shorter than this in the main view go to a window, mm on paper.
CROWDED = 12.0
NARROW = 2.5
# Flats that leave less than the rest of a stretch uncovered hide its diameter.
COVERED = 0.6
# The diameter that carries the datum stays in the main view.
DATUM = "shank.diameter"

THREAD_KINDS = frozenset(
    {
        Kind.THREAD_MAJOR,
        Kind.THREAD_PITCH_DIAMETER,
        Kind.THREAD_MINOR,
        Kind.PITCH,
        Kind.LEAD,
        Kind.COUNT,
    }
)
FRAME_KINDS = frozenset({Kind.RUNOUT, Kind.FACE_RUNOUT, Kind.CYLINDRICITY})


class Window(NamedTuple):
    """A piece of the outline shown enlarged: z range in mm, outside or a bore, its features."""

    z0: float
    z1: float
    external: bool
    features: frozenset[Feature]

    def shows(self, z: float) -> bool:
        """True if an axial position lies in the window."""
        return self.z0 - TOUCH <= z <= self.z1 + TOUCH


class Allotment(NamedTuple):
    """The characteristics by the place they are shown at, in the mandrel's order."""

    lengths: tuple[Characteristic, ...]
    diameters: tuple[tuple[Characteristic, Stretch], ...]
    frames: tuple[Characteristic, ...]
    roughness: tuple[Characteristic, ...]
    angles: tuple[tuple[Characteristic, Stretch], ...]
    details: tuple[tuple[Window, tuple[Characteristic, ...]], ...]
    across: tuple[Characteristic, ...]
    threads: tuple[Characteristic, ...]
    holes: tuple[Characteristic, ...]
    others: tuple[Characteristic, ...]


def windows(mandrel: Mandrel) -> tuple[Window, ...]:
    """Windows round the grooves outside and in the bores; overlapping ones become one."""
    found: list[Window] = []
    # A thread ordered as a blank is a plain stretch, but keeps its name.
    threads = {t.feature for t in mandrel.threads}
    threads |= {s.feature for s in (*mandrel.outer, *mandrel.inner) if s.thread is not None}
    holes = list(centre_bores(mandrel).values())
    rows = [(list(mandrel.outer), True)]
    rows += [(row, False) for row in bores(mandrel) if row not in holes]
    for row, external in rows:
        here: list[Window] = []
        for a, b in _grooves(row, external, threads):
            names = {s.feature for s in row if a - TOUCH <= s.z0 and s.z1 <= b + TOUCH}
            names |= {
                s.feature
                for s in row
                if _cone(s) and (abs(s.z1 - a) < TOUCH or abs(s.z0 - b) < TOUCH)
            }
            lo, hi = a - MARGIN, b + MARGIN
            for s in row:
                if _cone(s) and s.feature in names and s.z1 - s.z0 < 3:
                    lo, hi = min(lo, s.z0 - 0.6), max(hi, s.z1 + 0.6)
            for s in _steps(row, a, b, threads):
                names.add(s.feature)
                lo, hi = min(lo, s.z0 - 0.6), max(hi, s.z1 + 0.6)
            here.append(Window(lo, hi, external, frozenset(names)))
        here += _mouths(row, external, threads)
        if external:
            here += _chamfers(row, threads, here)
        found += _merged(sorted(here, key=lambda w: w.z0))
    return tuple(found)


def _steps(row: list[Stretch], a: float, b: float, threads: set[Feature]) -> list[Stretch]:
    """The short steps beside a groove from ``a`` to ``b`` (a register, a collar), one after the
    other: they are shown with it."""
    found: list[Stretch] = []
    for back, edge in ((True, a), (False, b)):
        for s in row[::-1] if back else row:
            if abs((s.z1 if back else s.z0) - edge) > TOUCH:
                continue
            if _cone(s) or s.feature in threads or s.z1 - s.z0 >= SHORT:
                break
            found.append(s)
            edge = s.z0 if back else s.z1
    return found


def _cone(s: Stretch) -> bool:
    return abs(s.d1 - s.d0) > TOUCH


def _grooves(
    row: list[Stretch], external: bool, threads: set[Feature]
) -> list[tuple[float, float]]:
    """z ranges of short cylinders that are cut deeper than what stands on both sides."""
    sign = 1.0 if external else -1.0
    found = []
    for i, s in enumerate(row):
        if i == 0 or i == len(row) - 1 or _cone(s) or s.feature in threads or s.z1 - s.z0 > GROOVE:
            continue
        before, after = row[i - 1], row[i + 1]
        left = before.d0 if _cone(before) else before.d1
        right = after.d1 if _cone(after) else after.d0
        near = any(t.feature in threads for t in row[max(0, i - 2) : i + 3])
        deeper = sign * (left - s.d0) > TOUCH and sign * (right - s.d0) > TOUCH
        if deeper and (near or s.z1 - s.z0 < NARROW):
            found.append((s.z0, s.z1))
    return found


def _mouths(row: list[Stretch], external: bool, threads: set[Feature]) -> list[Window]:
    """Windows round the short steps and cones in front of a thread at an open end."""
    found = []
    for ordered in (row, row[::-1]):
        front = []
        for s in ordered:
            if s.feature in threads or s.z1 - s.z0 > SHORT:
                break
            front.append(s)
        reached = len(front) < len(ordered) and ordered[len(front)].feature in threads
        if front and reached:
            z0, z1 = min(s.z0 for s in front), max(s.z1 for s in front)
            names = frozenset(s.feature for s in front)
            found.append(Window(z0 - BESIDE, z1 + BESIDE, external, names))
    return found


def _chamfers(row: list[Stretch], threads: set[Feature], shown: list[Window]) -> list[Window]:
    """Windows round the cones at an external thread's ends that are in no other window."""
    return [
        Window(s.z0 - MARGIN, s.z1 + MARGIN, external=True, features=frozenset({s.feature}))
        for i, s in enumerate(row)
        if _cone(s)
        and s.z1 - s.z0 < SHORT
        and any(t.feature in threads for t in row[max(0, i - 1) : i + 2])
        and not any(s.feature in w.features for w in shown)
    ]


def _merged(here: list[Window]) -> list[Window]:
    out: list[Window] = []
    for w in here:
        if out and w.z0 < out[-1].z1 and w.z1 - out[-1].z0 < 10.0:
            last = out.pop()
            w = Window(last.z0, w.z1, w.external, last.features | w.features)
        out.append(w)
    return out


def stretch_of(mandrel: Mandrel, c: Characteristic) -> Stretch | None:
    """The stretch a diameter or angle belongs to: same feature, same size; the longest."""
    every = [*mandrel.outer, *mandrel.inner]

    def fits(s: Stretch) -> bool:
        return (
            c.kind is not Kind.DIAMETER or min(abs(s.d0 - c.nominal), abs(s.d1 - c.nominal)) < 1e-4
        )

    same = [s for s in every if s.feature == c.feature and fits(s)]
    if not same and c.kind is Kind.DIAMETER:
        same = [s for s in every if fits(s) and s.thread is None]
    plain = (
        [s for s in same if not _cone(s)]
        if c.kind is Kind.DIAMETER
        else [s for s in same if _cone(s)]
    )
    pool = plain or (same if c.kind is Kind.DIAMETER else [])
    return max(pool, key=lambda s: s.z1 - s.z0) if pool else None


def allot(mandrel: Mandrel, f: float) -> Allotment:
    """Decide for a main view at ``f`` mm of paper for each mm where every characteristic goes."""
    shown = windows(mandrel)
    piles = _Sorted([[] for _ in shown])
    for c in mandrel.characteristics:
        if c.kind in (Kind.LENGTH, Kind.CHAMFER):
            _length(mandrel, c, f, shown, piles)
        elif c.kind in (Kind.DIAMETER, Kind.ANGLE) and not c.said_by:
            _on_stretch(mandrel, c, shown, piles)
    for c in mandrel.characteristics:
        if c.kind in FRAME_KINDS or c.kind is Kind.ROUGHNESS:
            i = _hidden(mandrel, shown, c)
            here = None if i is None else piles.per_window[i]
            (here if here else piles.framed).append(c)

    def of(kinds: frozenset[Kind]) -> tuple[Characteristic, ...]:
        return tuple(c for c in mandrel.characteristics if c.kind in kinds)

    others, holes = [*piles.others, *of(frozenset({Kind.RADIUS}))], of(frozenset({Kind.CENTRE}))
    mouths = set(centre_bores(mandrel))
    others += [c for c in holes if c.feature.detail not in mouths]
    across = of(frozenset({Kind.ACROSS_FLATS}))
    diameters = piles.diameters
    if mandrel.flats is None:
        others, across = [*others, *across], ()
    elif across:
        held = _under_flats(mandrel, diameters)
        across += tuple(held)
        diameters = [(c, s) for c, s in diameters if c not in held]
    return Allotment(
        lengths=tuple(piles.lengths),
        diameters=tuple(diameters),
        frames=tuple(c for c in piles.framed if c.kind in FRAME_KINDS),
        roughness=tuple(c for c in piles.framed if c.kind is Kind.ROUGHNESS),
        angles=tuple(piles.angles),
        details=tuple((w, tuple(cs)) for w, cs in zip(shown, piles.per_window, strict=True)),
        across=across,
        threads=of(THREAD_KINDS),
        holes=holes,
        others=tuple(others),
    )


@dataclass(slots=True)
class _Sorted:
    """The piles that characteristics are laid on."""

    per_window: list[list[Characteristic]]
    lengths: list[Characteristic] = field(default_factory=list)
    diameters: list[tuple[Characteristic, Stretch]] = field(default_factory=list)
    angles: list[tuple[Characteristic, Stretch]] = field(default_factory=list)
    framed: list[Characteristic] = field(default_factory=list)
    others: list[Characteristic] = field(default_factory=list)


def _length(
    mandrel: Mandrel, c: Characteristic, f: float, shown: tuple[Window, ...], piles: _Sorted
) -> None:
    """A short length is shown in the window that has both its ends."""
    ends = _ends(mandrel, c)
    if ends is None:
        piles.others.append(c)
        return
    if abs(ends[1] - ends[0]) * f < CROWDED:
        for w, pile in zip(shown, piles.per_window, strict=True):
            if w.shows(ends[0]) and w.shows(ends[1]):
                pile.append(c)
                return
    piles.lengths.append(c)


def _on_stretch(
    mandrel: Mandrel, c: Characteristic, shown: tuple[Window, ...], piles: _Sorted
) -> None:
    """A diameter or an angle is shown in the window its stretch belongs to."""
    s = stretch_of(mandrel, c)
    if s is None:
        piles.others.append(c)
        return
    for w, pile in zip(shown, piles.per_window, strict=True):
        outside = (s in mandrel.outer) == w.external
        if s.feature in w.features and outside and w.shows((s.z0 + s.z1) / 2):
            pile.append(c)
            return
    (piles.diameters if c.kind is Kind.DIAMETER else piles.angles).append((c, s))


def _under_flats(
    mandrel: Mandrel, diameters: list[tuple[Characteristic, Stretch]]
) -> list[Characteristic]:
    """The diameters that the flats all but cover: they have room in the section through them."""
    assert mandrel.flats is not None
    z0, z1 = mandrel.flats.z0, mandrel.flats.z1
    return [
        c
        for c, s in diameters
        if s in mandrel.outer
        and s.z0 < (z0 + z1) / 2 < s.z1
        and c.id != DATUM
        and z1 - z0 > COVERED * (s.z1 - s.z0)
    ]


def _hidden(mandrel: Mandrel, shown: tuple[Window, ...], c: Characteristic) -> int | None:
    """The window a need on a cylinder belongs to: in the main view its leader would end inside the
    detail's circle. Faces are touched on an extension line beyond it."""
    mine = [s for s in (*mandrel.outer, *mandrel.inner) if s.feature == c.feature and not _cone(s)]
    if c.kind is Kind.FACE_RUNOUT or not mine:
        return None
    s = max(mine, key=lambda s: s.z1 - s.z0)
    for i, w in enumerate(shown):
        outside = (s in mandrel.outer) == w.external
        if s.feature in w.features and outside and w.shows(s.z0) and w.shows(s.z1):
            return i
    return None


def _ends(mandrel: Mandrel, c: Characteristic) -> tuple[float, float] | None:
    """The two axial positions of a length; None if it has none. Raises ValueError if they are not
    the nominal apart: paper and model would then disagree."""
    if c.between is None or any(n not in mandrel.stations for n in c.between):
        return None
    a, b = (mandrel.stations[n] for n in c.between)
    if abs(abs(b - a) - c.nominal) > 1e-6:
        raise ValueError(
            f"{mandrel.id}: {c.id} is {c.nominal} but its stations {c.between[0]} and "
            f"{c.between[1]} are {abs(b - a)} apart"
        )
    return min(a, b), max(a, b)
