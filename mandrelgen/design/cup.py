"""A cup end: counterbore, internal thread, relief, room for the tenon's nose, pilot or bore."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

from mandrelgen.core.tolerance import Toleranced, ceil_to, floor_to, text_of
from mandrelgen.design import mandrel_thread, plug, seat
from mandrelgen.design.chosen_tolerances import ONE_RULE
from mandrelgen.design.draft import COMMON, Draft
from mandrelgen.design.ends import TenonEnd
from mandrelgen.design.options import Wishes
from mandrelgen.design.plug import FLANK, ROOT_PASS
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import ThreadForm
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.standards import din_76
from mandrelgen.standards.threads import ThreadLimits

# Room beyond the incomplete threads, and between the tenon's nose and the floor, mm.
SHOULDER_MARGIN = 0.3
NOSE_ROOM = 0.5
# Tolerances of the counterbore, tried from the widest, mm: it clears, it is no fit.
MOUTH_WIDTHS = (0.2, 0.1, 0.05)
FLOOR = 3.0


class Loose(NamedTuple):
    """Tolerances of what nothing bears on: the relief's diameter and width, mm, its flank and the
    mouth's countersink, degrees each way."""

    relief: float
    flank: float
    countersink: float


# As loose as the same features of a plug (CHAMFER_HALF and LOOSE there); closer only where wall,
# seat or three pitches need it.
LOOSE, CLOSE = Loose(plug.LOOSE[0], plug.LOOSE[1], plug.CHAMFER_HALF), Loose(0.1, 1.0, 1.0)
# Half the included angle of the mouth's countersink, degrees.
COUNTERSINK = 45.0
FLATS_LENGTH = 6.0
SMALL_BORE = 6.0
DRILL_TIP = math.tan(math.radians(59.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """The inside of the cup; depths from the rim, diameters, mm."""

    mouth: Toleranced
    mouth_depth: Toleranced
    start: float
    start_worst: float
    thread_end: float
    thread_end_least: float
    relief: Toleranced
    relief_start: float
    relief_width: Toleranced
    floor: Toleranced
    loose: Loose


def build(draft: Draft, end: TenonEnd, wishes: Wishes) -> bool:
    """Build the cup that takes ``end``; False if an error makes going on pointless."""
    own = mandrel_thread.choose(draft, end.thread, wishes)
    if own is None:
        return False
    form = mandrel_thread.form_of(own)
    inside, widest = _widest_mouth(end, own, form, wishes.soft_washer)
    chosen = seat.choose(
        draft, end.ring, max(inside.mouth.upper, end.ring.inner), seat.CUP_CLEARANCES, widest
    )
    draft.assume(end.assumptions, end.known)
    p = float(own.designation.pitch)
    engaged = _engaged(inside, end, wishes.soft_washer)
    mandrel_thread.check_engagement(
        draft,
        engaged,
        p,
        "a longer tenon, fewer incomplete threads at its shoulder (a die turned "
        "round, or screwcut), a thinner soft washer, or a finer pitch",
    )
    if chosen is None or draft.failed:
        return False
    if own.minor.min is not None and own.minor.min < SMALL_BORE:
        draft.warn(
            "cup.small",
            f"a bore of ⌀{text_of(own.minor.min)} needs a tap or a very small bar",
            "send your tap along (thread_order = 'my-tool'), or hold the part by another end",
        )
    _turn_inside(draft, inside, form, own, wishes)
    mandrel_thread.record(draft, own, end.thread, engaged, wishes.thread_order)
    _outside(draft, chosen, inside, own, wishes)
    return not draft.failed


def _engaged(inside: Inside, end: TenonEnd, washer: float) -> float:
    """Least engagement of full threads at worst limits, mm."""
    begin = max(inside.start_worst, end.unformed_max - washer)
    return min(end.full_end - washer, inside.thread_end_least) - begin


def _widest_mouth(
    end: TenonEnd, own: ThreadLimits, form: ThreadForm, washer: float
) -> tuple[Inside, float]:
    """The inside with the widest tolerances of counterbore and relief, which only clear, that leave
    seat, wall and three pitches, closer before the collar comes too near to the part's edge; and
    its largest diameter, mm."""
    least = mandrel_thread.MIN_PITCHES * float(own.designation.pitch)
    usual = tuple(c for c in seat.CUP_CLEARANCES if c >= seat.LEAST_CLEARANCE)
    for clearances in (usual, seat.CUP_CLEARANCES):
        for width, loose in product(MOUTH_WIDTHS, (LOOSE, CLOSE)):
            inside = _inside(end, own, form, washer, (width, loose))
            widest = max(inside.mouth.upper, inside.relief.upper, own.major_max_worst)
            inner = max(inside.mouth.upper, end.ring.inner)
            short = loose is LOOSE and _engaged(inside, end, washer) < least
            if not short and seat.fits(end.ring, inner, clearances, widest):
                return inside, widest
    return inside, widest


def _inside(
    end: TenonEnd,
    own: ThreadLimits,
    form: ThreadForm,
    washer: float,
    widths: tuple[float, Loose],
) -> Inside:
    """With the counterbore's tolerance and those of relief and countersink in ``widths``."""
    width, loose = widths
    part_major = end.thread.major_max_worst
    p = float(own.designation.pitch)
    widest = max(part_major + 0.1, own.major_max_worst, form.root_diameter + ROOT_PASS)
    mouth = Toleranced.deviations(ceil_to(widest, 0.05), 0.0, width)
    depth = max(ceil_to(end.unformed_max + SHOULDER_MARGIN - washer, 0.1), 0.5)
    mouth_depth = Toleranced.deviations(depth, 0.0, 0.2)
    cone = (mouth.nominal - form.crest_diameter) / 2
    start = depth + cone
    row = din_76.internal(p)
    nominal = float(own.designation.diameter)
    groove = max(
        nominal + row.dg,
        own.major_max_worst + 0.05,
        part_major + 0.2,
        form.root_diameter + ROOT_PASS,
    )
    relief = Toleranced.deviations(ceil_to(groove, 0.05), 0.0, loose.relief)
    flank = (relief.nominal - form.crest_diameter) / 2 / FLANK
    tenon = end.length.upper - washer
    useful = max(8 * p, 2 * float(own.designation.lead), 0.8 * nominal)
    thread_end = min(tenon, start + 0.4 + useful)
    groove_width = ceil_to(row.g1_short, 0.1)
    floor = ceil_to(max(thread_end + flank + groove_width, tenon + NOSE_ROOM), 0.1)
    # The relief keeps its width; a tenon longer than the thread passes through it to the floor.
    straight = Toleranced.deviations(
        ceil_to(max(groove_width, floor - thread_end - flank), 0.1), 0.0, loose.relief
    )
    relief_start = floor - straight.nominal
    least = own.minor.min or form.crest_diameter
    return Inside(
        mouth=mouth,
        mouth_depth=mouth_depth,
        start=start,
        start_worst=mouth_depth.upper + _cone(mouth.upper, least, 45.0 - loose.countersink),
        thread_end=relief_start - flank,
        thread_end_least=floor - straight.upper - _cone(relief.upper, least, 30.0 - loose.flank),
        relief=relief,
        relief_start=relief_start,
        relief_width=straight,
        floor=Toleranced.deviations(floor, 0.0, 0.2),
        loose=loose,
    )


def _cone(large: float, small: float, angle: float) -> float:
    """Length of a cone between two diameters at ``angle`` degrees to the axis, mm."""
    return (large - small) / 2 / math.tan(math.radians(angle))


def _turn_inside(
    draft: Draft, i: Inside, form: ThreadForm, own: ThreadLimits, wishes: Wishes
) -> None:
    """The inside's contour, then what is said of it from the mouth to the floor."""
    _contour(draft, i, form, wishes.thread_order is ThreadOrder.BLANK)
    _mouth(draft, i)
    _relief(draft, i, own)
    _floor(draft, i)


def _contour(draft: Draft, i: Inside, form: ThreadForm, blank: bool) -> None:
    """Every stretch from the rim to the floor; a blank has no thread in it."""
    crest = form.crest_diameter
    draft.station("seat", 0.0)
    draft.station("counterbore.end", -i.mouth_depth.nominal)
    draft.station("thread.start", -i.start)
    draft.station("relief.start", -i.relief_start)
    draft.station("floor", -i.floor.nominal)
    draft.bore("relief", -i.floor.nominal, -i.relief_start, i.relief.nominal)
    draft.bore("relief.flank", -i.relief_start, -i.thread_end, i.relief.nominal, crest)
    draft.bore("thread", -i.thread_end, -i.start, crest, thread=None if blank else form)
    draft.bore("countersink", -i.start, -i.mouth_depth.nominal, crest, i.mouth.nominal)
    draft.bore("counterbore", -i.mouth_depth.nominal, 0.0, i.mouth.nominal)


def _mouth(draft: Draft, i: Inside) -> None:
    """The counterbore that takes the part's incomplete threads."""
    m = draft.decide(
        "counterbore.diameter",
        "mouth counterbore",
        f"⌀{text_of(i.mouth.nominal)} × {text_of(i.mouth_depth.nominal)}",
        "as deep as the part's incomplete threads at the shoulder plus a margin: a countersink "
        "alone would not let the shoulder seat",
        COMMON,
    )
    draft.diameter("counterbore", i.mouth, m)
    draft.length(
        "counterbore.depth",
        "counterbore",
        ("counterbore.end", "seat"),
        i.mouth_depth,
        m,
        functional=True,
    )
    draft.angle("countersink.angle", "countersink", COUNTERSINK, m, _half(i.loose.countersink))


def _relief(draft: Draft, i: Inside, own: ThreadLimits) -> None:
    """The groove the thread ends in."""
    r = draft.decide(
        "relief.diameter",
        "relief at the bottom",
        f"⌀{text_of(i.relief.nominal)} (+{text_of(i.loose.relief)}/0) × "
        f"{text_of(i.relief_width.nominal)}, 30°",
        f"clears the thread's root at its largest, ⌀{text_of(own.major_max_worst)}, and the "
        "tenon's nose",
        f"{din_76.internal(float(own.designation.pitch)).source}, form D; "
        "widened where D max asks for it",
    )
    draft.diameter("relief", i.relief, r)
    draft.length("relief.width", "relief", ("floor", "relief.start"), i.relief_width, r)
    draft.angle("relief.flank.angle", "relief.flank", 30.0, r, _half(i.loose.flank))


def _half(tolerance: float) -> float | None:
    """A tolerance of its own; None: the general one says the same."""
    return tolerance if tolerance > 1.0 else None


def _floor(draft: Draft, i: Inside) -> None:
    """How deep the tenon finds room."""
    f = draft.decide(
        "floor.depth",
        "depth to the floor",
        f"{text_of(i.floor.nominal)} (+0.2/0)",
        f"leaves {text_of(NOSE_ROOM)} at least before the tenon's nose touches, so that the "
        "shoulder bears first",
        COMMON,
    )
    draft.length("floor.depth", "relief", ("floor", "seat"), i.floor, f, functional=True)


def _outside(draft: Draft, chosen: seat.Seat, i: Inside, own: ThreadLimits, wishes: Wishes) -> None:
    """Body, pilot hole with its drill point (or nothing: a through bore), flats."""
    pilot = floor_to((own.minor.min or 0.0) - 0.2, 0.1)
    back = i.floor.upper + FLOOR
    hollow = i.floor.upper
    if not wishes.through_bore:
        cylinder = i.floor.nominal + 1.0
        tip = cylinder + pilot / 2 / DRILL_TIP
        draft.bore("pilot", -cylinder, -i.floor.nominal, pilot)
        draft.bore("pilot.point", -tip, -cylinder, 0.0, pilot)
        draft.station("pilot.end", -cylinder)
        d = draft.decide(
            "pilot.diameter",
            "pilot hole",
            f"⌀{text_of(pilot)}, drill point",
            "drilled first; its point may remain below the floor",
        )
        draft.general_diameter("pilot", pilot, d)
        draft.length("pilot.depth", "pilot", ("pilot.end", "seat"), None, d)
        back, hollow = max(back, tip + 2.0), tip
    if wishes.flats:
        # A millimetre behind the drill point: over the pilot hole they would break through.
        back = max(back, hollow + 1.0 + FLATS_LENGTH + seat.FLATS_OFF)
    back = ceil_to(back, 1.0)
    draft.station("collar.start", -back)
    draft.turn("collar", -back, 0.0, chosen.collar.nominal)
    draft.diameter("collar", chosen.collar, "collar.diameter", COMMON)
    draft.length("collar.length", "collar", ("collar.start", "seat"), None, "collar.diameter")
    seat.seat_needs(draft)
    if wishes.flats:
        start = -back + seat.FLATS_OFF
        seat.flats(draft, start, start + FLATS_LENGTH, chosen.collar.nominal)
        if draft.flats is not None:
            # No step of the body holds their place: neither end lies at one.
            ends = ("collar.start", "flats.start")
            draft.length("flats.start", "flats", ends, None, "flats.across")
    value = draft.settled.centring
    r = draft.decide(
        "counterbore.runout",
        "run-out of the counterbore to the shank's axis A",
        text_of(value),
        "an indicator does not reach the thread, but it reaches the counterbore, which is cut in "
        "the same setting: that gives it, and the result is asked for all the same; "
        + draft.settled.why,
        ONE_RULE,
    )
    draft.need("counterbore.runout", "counterbore", Kind.RUNOUT, value, "mm", r, "ISO 1101", "A")
    if wishes.thread_order is ThreadOrder.MY_TOOL:
        seat.test_piece(draft, "tap")
