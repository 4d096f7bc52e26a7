"""What a part's end really offers: thread, ring to bear on, turns, bore; at all limits."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.core.tolerance import Toleranced
from mandrelgen.design.own_tools import tool_of, tool_said, with_class
from mandrelgen.mechanics.practice import manner
from mandrelgen.spec.pen import (
    BoreStep,
    Bottom,
    Counterbore,
    End,
    InternalThread,
    Manner,
    Measured,
    Part,
    ThreadBase,
)
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import iso_286, measuring
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.standards.threads import Band, ThreadLimits, limits

# A depth or tenon length set by hand on a wood lathe, ± mm (common practice, no source).
DEPTH_BY_HAND = 0.2
# A countersink the maker did not give: the mouth is taken as broken to D + 0.2 (common practice).
MOUTH_BREAK = 0.2
# How far incomplete threads reach at a tenon's shoulder, in pitches; a die leaves 1.5–3 P
# (common practice, no source).
UNFORMED_BY_MANNER = {Manner.SINGLE_POINT: 1.0, Manner.GUIDED: 2.0, Manner.FREEHAND: 3.0}
# Turns lost at the bottom of a tapped hole, in pitches (bottoming tap, common practice).
TAP_LEAD_PITCHES = 2.0

TRUE_HOLES = (Manner.REAMED, Manner.BORED, Manner.SINGLE_POINT)


class Hole(NamedTuple):
    """A step of a part's bore, from the seat face inwards, mm. ``true``: made or measured so well
    that a spigot can centre in it."""

    size: Toleranced
    start: float
    end: float
    true: bool
    made: str


class Ring(NamedTuple):
    """The flat ring a part can bear on: largest inner, smallest outer diameter, mm.

    ``threaded``: it ends at an external thread, where no tool comes near.
    """

    inner: float
    outer: float
    threaded: bool = False


class TappedEnd(NamedTuple):
    """An end held by its internal thread; depths from the face, mm. ``tapped``: to where the tap
    stopped, ``full``: to the last full turn, both as given; ``said``: which of the file's two
    keys says so; ``lead_taken``: nobody said what the tap leaves unformed; ``known``: what readings
    or the shop file say of it, ``assumptions``: what nothing says."""

    thread: ThreadLimits
    ring: Ring
    counterbore: Hole | None
    start: float
    full_min: float
    holes: tuple[Hole, ...]
    bottom_min: float
    through: bool
    assumptions: tuple[str, ...]
    known: tuple[str, ...]
    tapped: float
    full: float
    said: tuple[str, ...]
    lead_taken: bool


class TenonEnd(NamedTuple):
    """An end held by its external thread; lengths from the shoulder to the tenon's nose, mm;
    ``known`` and ``assumptions`` as above."""

    thread: ThreadLimits
    ring: Ring
    unformed_max: float
    full_end: float
    length: Toleranced
    assumptions: tuple[str, ...]
    known: tuple[str, ...]


def part_thread(spec: ThreadBase, external: bool, shop: Shop) -> tuple[ThreadLimits, list[str]]:
    """The limits of a part's thread, readings taken into account, and what was taken from them and
    from the tool in the shop file.

    A reading on the crest replaces the crest's limits only; if it lies outside the class, the
    pitch diameter's band is widened by as much, for the same tool cut both.
    """
    tool = tool_of(spec, external, shop)
    thread = with_class(read_thread(spec.thread), tool)
    nominal = limits(thread, external, factor=spec.starts_factor)
    said = tool_said(tool, external)
    if spec.measured is None:
        return nominal, said
    found = _apply_pitch(nominal, spec.measured, shop, said)
    return _apply_crest(found, spec.measured, external, shop, said), said


def uncertainty_of(name: str, given: float | None, shop: Shop) -> float:
    """Expanded uncertainty (k = 2) of a reading, mm: given, else the shop's, else the usual."""
    if given is not None:
        return float(given)
    own = shop.instruments.get(name)
    if own is not None and own.uncertainty is not None:
        return float(own.uncertainty)
    return measuring.uncertainty(own.kind.value if own is not None else name)


def _apply_pitch(t: ThreadLimits, m: Measured, shop: Shop, said: list[str]) -> ThreadLimits:
    if m.pitch_diameter is None:
        return t
    u = uncertainty_of(m.instrument, m.uncertainty, shop)
    shift = float(m.pitch_diameter) - _mid(t.pitch)
    said.append(
        f"pitch diameter measured {m.pitch_diameter.written} ± {u:g}: replaces the class's limits"
    )
    moved = replace(
        t, pitch=Band(m.pitch_diameter - u, m.pitch_diameter + u), measured=(*t.measured, "pitch")
    )
    # The root is cut by the same tool, so it moves with the flanks.
    if t.external:
        return replace(moved, minor=_moved(t.minor, shift))
    return replace(moved, major=_moved(t.major, min(shift, 0.0)))


def _apply_crest(
    t: ThreadLimits, m: Measured, external: bool, shop: Shop, said: list[str]
) -> ThreadLimits:
    if m.crest is None:
        return t
    u = uncertainty_of(m.instrument, m.uncertainty, shop)
    band = Band(m.crest - u, m.crest + u)
    name, old = ("major", t.major) if external else ("minor", t.minor)
    said.append(f"{name} diameter measured {m.crest.written} ± {u:g}: replaces the crest's limits")
    seen = (*t.measured, name)
    out = (
        replace(t, major=band, measured=seen) if external else replace(t, minor=band, measured=seen)
    )
    below = max(0.0, _value(old.min) - (m.crest - u))
    above = max(0.0, (m.crest + u) - _value(old.max))
    if m.pitch_diameter is None and (below or above):
        out = replace(out, pitch=Band(_value(t.pitch.min) - below, _value(t.pitch.max) + above))
        said.append(
            f"the crest lies outside class {t.tolerance_class}, so the pitch diameter's band is "
            f"widened by {below + above:.3f}; wires or a gauge would narrow it"
        )
    return out


def tapped_end(part: Part, end: End, shop: Shop) -> TappedEnd:
    """Resolve an end with an internal thread."""
    spec = end.internal
    if spec is None:
        raise ValueError("no internal thread")
    thread, known = part_thread(spec, external=False, shop=shop)
    said = []
    p, d = float(thread.designation.pitch), float(thread.designation.diameter)
    cb = _counterbore(spec.counterbore, shop)
    sink = float(spec.countersink) if spec.countersink else d + MOUTH_BREAK
    if spec.countersink is None:
        said.append(f"mouth of the thread taken as countersunk to ⌀{sink:.2f}")
    sink_depth = max(0.0, (sink - _value(thread.minor.min)) / 2) / math.tan(
        math.radians(spec.countersink_angle / 2)
    )
    start = (cb.end if cb else 0.0) + sink_depth
    lead_taken = spec.full_thread is None and spec.tap_lead is None
    lead_taken = lead_taken and _own_lead(spec, shop) is None
    if spec.full_thread is not None:
        full = float(spec.full_thread)
    else:
        lead = _tap_lead(spec, p, shop)
        full = float(spec.depth or 0) - lead
        if lead_taken:
            said.append(f"a tap lead of 2 P = {lead:.2f} is taken off the tapped depth")
        elif spec.tap_lead is None:
            known.append(f"a tap lead of {lead:.2f}, of the tap in the shop file, is taken off")
    inner = max(sink, cb.size.upper if cb else 0.0)
    holes = _holes(end, thread, full, shop)
    # Where only the full thread was said, the tap went on by its lead.
    tapped = float(spec.depth) if spec.depth is not None else full + _tap_lead(spec, p, shop)
    bottom, through = _bottom(part, end, holes, spec_depth=tapped)
    return TappedEnd(
        thread=thread,
        ring=face_ring(end, inner, shop),
        counterbore=cb,
        start=start,
        full_min=full - DEPTH_BY_HAND,
        holes=holes,
        bottom_min=bottom,
        through=through,
        assumptions=tuple(said),
        known=tuple(known),
        tapped=tapped,
        full=full,
        said=tuple(k for k in ("depth", "full_thread") if getattr(spec, k) is not None),
        lead_taken=lead_taken,
    )


def _tap_lead(spec: InternalThread, pitch: float, shop: Shop) -> float:
    """The turns the tap leaves unformed at the bottom, mm: said, else of the tap in the shop file,
    else of a bottoming tap."""
    lead = spec.tap_lead if spec.tap_lead is not None else _own_lead(spec, shop)
    return float(lead) if lead is not None else TAP_LEAD_PITCHES * pitch


def _own_lead(spec: InternalThread, shop: Shop) -> float | None:
    tool = tool_of(spec, False, shop)
    return None if tool is None else tool.lead


def tenon_end(end: End, shop: Shop) -> TenonEnd:
    """Resolve an end with an external thread."""
    spec = end.external
    if spec is None:
        raise ValueError("no external thread")
    thread, known = part_thread(spec, external=True, shop=shop)
    said = []
    p = float(thread.designation.pitch)
    if spec.unformed is not None:
        unformed = float(spec.unformed)
    elif (tool := tool_of(spec, True, shop)) is not None and tool.incomplete is not None:
        unformed = float(tool.incomplete)
        known.append(f"{unformed:.2f} left unformed at the shoulder (the die in the shop file)")
    else:
        unformed = UNFORMED_BY_MANNER.get(spec.made, 2.0) * p
        said.append(f"{unformed:.2f} left unformed at the shoulder ({spec.made.value})")
    chamfer = float(spec.chamfer) if spec.chamfer is not None else 0.65 * p
    length = Toleranced.symmetric(float(spec.length), DEPTH_BY_HAND)
    ring = Ring(_value(thread.major.max) + 0.1, float(end.diameter) - 2 * float(end.edge_break))
    return TenonEnd(
        thread=thread,
        ring=ring,
        unformed_max=unformed,
        full_end=length.lower - chamfer,
        length=length,
        assumptions=tuple(said),
        known=tuple(known),
    )


def plain_holes(part: Part, end: End, shop: Shop) -> tuple[tuple[Hole, ...], float, bool]:
    """The bore of an end without a thread: steps, least depth, through or not."""
    holes = tuple(_hole(s, a, shop) for s, a in _stacked(end.bore))
    if not holes and end.internal is not None:
        tapped = tapped_end(part, end, shop)
        return tapped.holes, tapped.bottom_min, tapped.through
    bottom, through = _bottom(part, end, holes, spec_depth=0.0)
    return holes, bottom, through


def passage(end: End, holes: tuple[Hole, ...], shop: Shop) -> tuple[float, float]:
    """What a plain spigot has to pass, and where the face's ring begins: (least, inner), mm."""
    inner = holes[0].size.upper if holes else 0.0
    if end.internal is None:
        return float("inf"), inner
    thread, _ = part_thread(end.internal, external=False, shop=shop)
    cb = _counterbore(end.internal.counterbore, shop)
    sink = float(end.internal.countersink or float(thread.designation.diameter) + MOUTH_BREAK)
    return _value(thread.minor.min), max(inner, sink, cb.size.upper if cb else 0.0)


def face_ring(end: End, inner: float, shop: Shop) -> Ring:
    """The ring of an unthreaded face."""
    return Ring(inner, _ring_outer(end, shop), end.external is not None)


def _ring_outer(end: End, shop: Shop) -> float:
    """Under an external thread the flat ring ends at the chamfer's foot or the root."""
    if end.external is None:
        return float(end.diameter) - 2 * float(end.edge_break)
    thread, _ = part_thread(end.external, external=True, shop=shop)
    if end.external.chamfer is not None:
        return _value(thread.major.min) - 2 * float(end.external.chamfer)
    return _value(thread.minor.min)


def _counterbore(cb: Counterbore | None, shop: Shop) -> Hole | None:
    if cb is None:
        return None
    step = BoreStep(
        diameter=cb.diameter,
        depth=cb.depth,
        made=cb.made,
        tolerance=cb.tolerance,
        upper=cb.upper,
        lower=cb.lower,
        measured=cb.measured,
    )
    return _hole(step, 0.0, shop)


def _holes(end: End, thread: ThreadLimits, full: float, shop: Shop) -> tuple[Hole, ...]:
    """Bore steps; without any, the tap hole to the end of the thread is all that is known."""
    if end.bore:
        return tuple(_hole(s, a, shop) for s, a in _stacked(end.bore))
    lo = _value(thread.minor.min)
    return (
        Hole(
            size=Toleranced(lo, lo, _value(thread.minor.max), "tap hole"),
            start=0.0,
            end=full,
            true=False,
            made="tap",
        ),
    )


def _stacked(steps: tuple[BoreStep, ...]) -> list[tuple[BoreStep, float]]:
    ends = [0.0, *(float(s.depth) for s in steps)]
    return list(zip(steps, ends[:-1], strict=True))


def _hole(s: BoreStep, start: float, shop: Shop) -> Hole:
    d = float(s.diameter)
    true = s.made in TRUE_HOLES
    if s.measured is not None:
        u = uncertainty_of(s.measured.instrument, s.measured.uncertainty, shop)
        size = Toleranced(d, s.measured.value - u, s.measured.value + u, "measured")
        true = s.made is not Manner.DRILLED
    elif s.tolerance is not None:
        size = iso_286.tolerance(d, s.tolerance)
    elif s.upper is not None or s.lower is not None:
        size = Toleranced.deviations(d, float(s.lower or 0), float(s.upper or 0))
    elif s.made is Manner.REAMED:
        size = iso_286.tolerance(d, "H8")
    else:
        oversize = manner(s.made.value).bore_oversize.value
        size = Toleranced.deviations(d, 0.0, oversize, note=s.made.value)
    return Hole(size=size, start=start, end=float(s.depth), true=true, made=s.made.value)


def _bottom(part: Part, end: End, holes: tuple[Hole, ...], spec_depth: float) -> tuple[float, bool]:
    if end.bottom is Bottom.THROUGH:
        return float(part.length), True
    deepest = max([h.end for h in holes] + [spec_depth])
    return deepest - DEPTH_BY_HAND, False


def _moved(band: Band, shift: float) -> Band:
    return Band(
        None if band.min is None else band.min + shift,
        None if band.max is None else band.max + shift,
    )


def _mid(band: Band) -> float:
    return (_value(band.min) + _value(band.max)) / 2


def _value(x: float | None) -> float:
    if x is None:
        raise ValueError("no limit")
    return x
