"""Seat collar and neck: as large as possible under the part's finished ring, yet out of the tool's
way."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from mandrelgen.core.tolerance import Toleranced, ceil_to, floor_to, text_of
from mandrelgen.design.chosen_tolerances import ONE_RULE, RUN_OUT
from mandrelgen.design.draft import COMMON, Draft
from mandrelgen.design.ends import Ring
from mandrelgen.design.options import Wishes
from mandrelgen.model import corner
from mandrelgen.model.characteristic import Kind
from mandrelgen.spec.pen import ThreadOrder

MIN_SEAT = 0.5
MIN_WALL = 0.6
COLLAR_LENGTH = 1.5
# How far out a test piece is read a second time, mm (common practice, no source).
TEST_REACH = 25.0
# Tolerance of a collar, mm: it only stays inside the part's edge and is no fit; closer where seat
# or wall need it.
COLLAR_WIDTHS = (0.1, 0.05)
LEAST_CLEARANCE = 0.1
# Edges of the face, and a corner without room, at most, so that it bears in full; a usual tool's
# nose, and what it keeps clear of the part's ring, mm a side (common practice, no source).
EDGE = 0.1
CORNER_MOST, CORNER_CLEAR = 0.4, 0.1
NECK_LENGTH = 6.0
# Flats end this far in front of the neck's shank end, mm: a spanner never marks the shank.
FLATS_OFF = 1.0
# Tried from the largest: clearance a side between the collar and the edge of the part's ring.
PLUG_CLEARANCES = (0.2, 0.15, 0.1, 0.05)
# Under an external thread no tool comes near; the collar only stays out of the thread.
THREADED_CLEARANCES = (0.1, 0.05, 0.0)
CUP_CLEARANCES = (0.5, 0.4, 0.3, 0.2, 0.15, 0.1, 0.05)
# The neck lies deeper by this a side, so that the tool runs off.
NECK_STEP = 0.5
# Neck and shank differ by at least this in diameter, so that the shoulder between them shows.
LEAST_STEP = 0.4
SPANNERS = (5.5, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0)


class Seat(NamedTuple):
    """The chosen collar: its limits and the clearance a side, mm; ``wall``: least wall of a cup."""

    collar: Toleranced
    clearance: float
    width: float
    wall: float | None = None


def fits(
    ring: Ring, inner: float, clearances: tuple[float, ...], inside_max: float | None = None
) -> bool:
    """Whether :func:`choose` finds a seat."""
    tries = _tries(ring, inner, clearances, inside_max)
    return any(_stands(s) for s in tries)


def _stands(seat: Seat) -> bool:
    wide = seat.width >= MIN_SEAT - 1e-9
    return wide and (seat.wall is None or seat.wall >= MIN_WALL - 1e-9)


def _tries(
    ring: Ring, inner: float, clearances: tuple[float, ...], inside_max: float | None
) -> list[Seat]:
    """Seats to try, the best first: a usual clearance with the wider tolerance, with the closer
    one, then the same with the small clearances."""
    own = THREADED_CLEARANCES if ring.threaded else clearances
    usual = [c for c in own if c >= LEAST_CLEARANCE]
    row = [(c, w) for part in (usual, [c for c in own if c < LEAST_CLEARANCE])
           for w in COLLAR_WIDTHS for c in part]  # fmt: skip
    return [_seat(ring, inner, c, inside_max, w) for c, w in row]


def choose(
    draft: Draft,
    ring: Ring,
    inner: float,
    clearances: tuple[float, ...],
    inside_max: float | None = None,
) -> Seat | None:
    """The largest clearance that leaves seat ≥ 0.5 and (cup) wall ≥ 0.6 at worst limits.

    ``inner``: largest diameter at which the bearing ring begins (part's or mandrel's, whichever is
    larger); ``inside_max``: largest inside diameter of a cup. None (and an error) if nothing fits.
    """
    tries = _tries(ring, inner, clearances, inside_max)
    for seat in tries:
        if _stands(seat):
            _report(draft, seat, ring)
            return seat
    _no_room(draft, tries[-1], inner, ring)
    return None


def _no_room(draft: Draft, best: Seat, inner: float, ring: Ring) -> None:
    """The error that says what is lacking of seat and wall; the larger lack is what the diameter
    needs."""
    thin = best.wall is not None and best.wall < MIN_WALL - 1e-9
    narrow = best.width < MIN_SEAT - 1e-9
    lacks = max(MIN_SEAT - best.width, 0.0 if best.wall is None else MIN_WALL - best.wall)
    wall = f"{text_of(best.wall or 0)} of the {MIN_WALL} needed"
    seat = f"{text_of(best.width)} of the {MIN_SEAT} needed"
    more = f"at worst limits; {text_of(2 * lacks)} is lacking in diameter"
    if narrow:
        both = f" and a cup's wall of {wall}" if thin else ""
        draft.error(
            "seat.none",
            f"the flat of the part's face (⌀{text_of(inner)} to ⌀{text_of(ring.outer)}) leaves a "
            f"seat of {seat}{both}, {more}",
            "a smaller countersink, counterbore or edge break, a shorter thread chamfer, or a "
            "larger part diameter at this end",
            lacks,
            f"the mandrel's seat too narrow ({seat})" + f", its wall too thin ({wall})" * thin,
        )
    else:
        draft.error(
            "wall.thin",
            f"the cup's wall is {wall}, {more}",
            "a larger part diameter at the shoulder, or a smaller thread",
            lacks,
            f"the cup's wall too thin ({wall})",
        )


def _seat(
    ring: Ring, inner: float, clearance: float, inside_max: float | None, width: float
) -> Seat:
    collar = Toleranced.deviations(floor_to(ring.outer - 2 * clearance, 0.05), -width, 0.0)
    wall = None if inside_max is None else (collar.lower - inside_max) / 2
    return Seat(collar, clearance, (collar.lower - inner) / 2, wall)


def _report(draft: Draft, seat: Seat, ring: Ring) -> None:
    value = (
        f"⌀{text_of(seat.collar.nominal)} (0/−{text_of(seat.collar.width)}), "
        f"{text_of(seat.clearance)} a side below the ring"
    )
    why = (
        f"the largest clearance that keeps the seat at least {MIN_SEAT} wide"
        + (f" and the wall at least {MIN_WALL}" if seat.wall is not None else "")
        + f" at worst limits (seat {text_of(seat.width, 2)} wide"
        + (f", wall {text_of(seat.wall, 2)}" if seat.wall is not None else "")
        + "); "
        + (
            "the ring ends at the part's external thread, where no tool comes near"
            if ring.threaded
            else "it is for the finishing pass, the rough blank overhangs it"
        )
    )
    draft.decide("collar.diameter", "seat collar", value, why, COMMON)
    told_clearance(draft, seat.clearance, ring)


def told_clearance(draft: Draft, clearance: float, ring: Ring) -> None:
    """Warn where a tool that runs past the part's edge can touch the collar."""
    if clearance < LEAST_CLEARANCE - 1e-9 and not ring.threaded:
        draft.warn(
            "seat.clearance",
            f"only {text_of(clearance)} a side between the mandrel's collar and the part's "
            "finished edge: a tool that runs past the edge can touch the collar",
            "take the last cut at the edge by hand, or give the part a wider ring",
            f"{text_of(clearance)} a side beside the mandrel's collar",
        )


def neck_behind(draft: Draft, collar: Toleranced, with_flats: bool) -> float:
    """Add collar and neck behind a plug's seat; returns the neck's diameter."""
    neck = floor_to(collar.nominal - 2 * NECK_STEP, 0.1)
    draft.station("seat", 0.0)
    draft.station("collar.start", -COLLAR_LENGTH)
    draft.turn("collar", -COLLAR_LENGTH, 0.0, collar.nominal)
    draft.diameter("collar", collar, "collar.diameter", COMMON)
    draft.length(
        "collar.length",
        "collar",
        ("collar.start", "seat"),
        Toleranced.symmetric(COLLAR_LENGTH, 0.2),
        "collar.diameter",
    )
    add_neck(draft, -COLLAR_LENGTH, neck, with_flats)
    seat_needs(draft)
    return neck


def add_neck(draft: Draft, front: float, neck: float, with_flats: bool) -> None:
    """Add the neck that ends at ``front``; spanner flats on it if wanted."""
    draft.station("neck.start", front - NECK_LENGTH)
    draft.turn("neck", front - NECK_LENGTH, front, neck)
    _neck_sizes(
        draft,
        neck,
        f"{text_of(NECK_STEP)} a side below the collar, so that the tool runs off behind the part",
    )
    if with_flats:
        flats(draft, front - NECK_LENGTH + FLATS_OFF, front, neck)


def meet_shank(draft: Draft, shank: float, wishes: Wishes) -> None:
    """Leave the neck out where the shank serves as one; slim it where it would run into the shank
    without a step: the shoulder must show, since lengths are measured from it."""
    neck = draft.outer[0]
    if neck.feature != "neck":
        return
    off = (draft.outer[1].d0 - shank) / 2
    # Flats stand on the neck; close to the nut the shank has no room for the tool.
    if off >= NECK_STEP - 1e-9 and draft.flats is None and wishes.stand_off + neck.z0 >= 0:
        _without_neck(draft)
        del draft.outer[0], draft.stations["neck.start"]
        draft.decide(
            "neck.diameter",
            "neck",
            "none",
            f"the shank is {text_of(off)} a side below the collar, so that the tool runs off "
            "behind the part all the same",
        )
    elif abs(neck.d0 - shank) < LEAST_STEP:
        d = floor_to(shank - LEAST_STEP, 0.1)
        draft.outer[0] = replace(neck, d0=d, d1=d)
        _without_neck(draft)
        why = f"a step of {text_of(LEAST_STEP / 2)} below the shank, to measure from"
        _neck_sizes(draft, d, why)


def _without_neck(draft: Draft) -> None:
    """Take back what was said of the neck."""
    sizes = ("neck.diameter", "neck.end")
    draft.characteristics[:] = [c for c in draft.characteristics if c.id not in sizes]
    draft.decisions[:] = [x for x in draft.decisions if x.id != "neck.diameter"]


def decide_corner(draft: Draft, inner: float, groove: float, beside: str = "the groove") -> None:
    """The radius of the corner at the seat, mm: the largest that stays clear of the part's ring;
    ``groove``: the diameter of what stands ``beside`` the seat."""
    free = floor_to((inner - groove) / 2 - CORNER_CLEAR, 0.1)
    found = corner.up_to(min(CORNER_MOST, max(EDGE, free)))
    draft.decide(
        "seat.corner",
        "corner radius at the seat",
        corner.said(found),
        f"the part's flat begins at ⌀{text_of(inner)}, {beside} has ⌀{text_of(groove)}: a usual "
        "tool nose finishes the face, and a sharp corner would break sooner"
        if found[0]
        else f"the part's flat reaches down to {beside}",
        COMMON,
    )
    give_corner(draft, found)


def give_corner(draft: Draft, found: corner.Corner | None = None) -> None:
    """Give it (None: one as small as the edges) to what stands at the seat and has none yet."""
    found = found or corner.up_to(EDGE)
    draft.outer[:] = [
        replace(s, corner=found) if abs(s.z0) < 1e-6 and s.corner is None else s
        for s in draft.outer
    ]


def edges(draft: Draft) -> str:
    """What is asked of the locating face's edge and inside corner, as the sheet says it."""
    edge = f"{text_of(EDGE)} at most"
    # The first end's face stands at z = 0, a second one's behind the shank.
    found = [s.corner for s in reversed(draft.outer) if s.corner is not None]
    said = list(dict.fromkeys(corner.said(c) for c in found))
    if not said:
        return f"both edges {edge}"
    if said == [edge]:
        return f"outer edge and inside corner {edge}"
    others = f" (end B: R {said[1]})" if len(said) > 1 else ""
    return f"outer edge {edge}, inside corner R {said[0]}{others}"


def _neck_sizes(draft: Draft, neck: float, why: str) -> None:
    draft.decide("neck.diameter", "neck", f"⌀{text_of(neck)} × {text_of(NECK_LENGTH)}", why)
    draft.general_diameter("neck", neck, "neck.diameter")
    draft.length("neck.end", "neck", ("neck.start", "seat"), None, "neck.diameter")


def flats(draft: Draft, z0: float, z1: float, neck: float) -> None:
    """Two spanner flats between ``z0`` and ``z1`` on a diameter of ``neck`` mm."""
    fitting = [s for s in SPANNERS if s <= 0.9 * neck]
    if not fitting:
        draft.warn(
            "flats.none",
            f"a neck of ⌀{text_of(neck)} is too thin for spanner flats",
            "leave flats out, or hold the shank in the collet to free the part",
        )
        return
    across = fitting[-1]
    draft.flats = (z0, z1, across)
    d = draft.decide(
        "flats.across",
        "spanner flats",
        f"{text_of(across)} across, {text_of(z1 - z0)} long",
        (draft.settled.why_flats and f"{draft.settled.why_flats}; ")
        + f"the largest usual spanner size below 0.9 of the step; they end {text_of(FLATS_OFF)} "
        "short of the shank, which a spanner must not mark; flats before a tommy-bar hole, "
        "which snags fingers and throws a bar left in",
    )
    size = Toleranced.deviations(across, -0.2, 0.0)
    draft.plain(
        "flats.across", "flats", Kind.ACROSS_FLATS, across, d, COMMON, (size.lower, size.upper)
    )
    draft.station("flats.start", z0)
    draft.station("flats.end", z1)
    draft.length("flats.length", "flats", ("flats.start", "flats.end"), None, d)


def thread_runout(draft: Draft, wishes: Wishes) -> None:
    """How true an external thread is to the shank: asked on its crest, or of a test piece."""
    if wishes.thread_order is ThreadOrder.MY_TOOL:
        test_piece(draft, "die")
        return
    value = draft.settled.centring
    blank = wishes.thread_order is ThreadOrder.BLANK
    what = "thread's blank" if blank else "thread's crest"
    d = draft.decide(
        "thread.runout",
        f"run-out of the {what} to the shank's axis A",
        text_of(value),
        "the thread carries the part, so it must be true to the shank; "
        + ("" if blank else "crest and flanks are screwcut in one setting, ")
        + "which gives it, and the result is asked for all the same; "
        + draft.settled.why,
        ONE_RULE,
    )
    draft.need("thread.runout", "thread", Kind.RUNOUT, value, "mm", d, "ISO 1101", datum="A")
    draft.notes.append(
        f"The {what} runs true to A within {text_of(value)}: one setting gives it; check it "
        "all the same and tell the reading."
    )


def test_piece(draft: Draft, tool: str) -> None:
    """With die or tap crest and flanks may part: a test piece cut with the same tool, screwed home,
    is read at its seat and further out, where the seat's own run-out adds."""
    value = text_of(RUN_OUT)
    collar = next(s.d0 for s in draft.outer if s.feature in ("collar", "shank"))
    out = RUN_OUT + 2 * TEST_REACH * draft.settled.seat / collar
    far = text_of(ceil_to(out, 0.01))
    draft.decide(
        "thread.runout",
        "run-out of a test piece screwed home, to the shank's axis A",
        f"{value} at its seat, {far} at {text_of(TEST_REACH)} out",
        f"a {tool} follows its own start, so the crest tells nothing of the flanks; further out "
        f"the seat's {text_of(draft.settled.seat)} over ⌀{text_of(collar)} adds",
        COMMON,
    )


def seat_needs(draft: Draft) -> None:
    """Axial run-out and finish of the seat."""
    value = draft.settled.seat
    d = draft.decide(
        "seat.runout",
        "axial run-out of the seat to the shank's axis A",
        text_of(value),
        "the part is pulled square by this face, and an indicator reaches it; "
        + draft.settled.why_seat,
        ONE_RULE,
    )
    draft.need("seat.runout", "seat", Kind.FACE_RUNOUT, value, "mm", d, "ISO 1101", datum="A")
    draft.need(
        "seat.roughness",
        "seat",
        Kind.ROUGHNESS,
        draft.settled.roughness,
        "µm",
        d,
        "ISO 1302:2002 (Ra)",
    )
