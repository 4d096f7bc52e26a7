"""A cup end: counterbore, internal thread, room for the tenon's nose, and what lies behind."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from typing import NamedTuple

from mandrelgen.core.tolerance import Toleranced, ceil_to, text_of
from mandrelgen.design import (
    cup_body,
    cup_bottom,
    making_price,
    mandrel_thread,
    seat,
    stock_taps,
    thread_relief,
)
from mandrelgen.design.chosen_tolerances import ONE_RULE
from mandrelgen.design.cup_bottom import CLOSE, LOOSE, Groove, Loose, Tapped
from mandrelgen.design.draft import COMMON, Draft
from mandrelgen.design.ends import TenonEnd
from mandrelgen.design.options import Wishes
from mandrelgen.design.plug import ROOT_PASS
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import ThreadForm
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.spec.shop import ThreadTool
from mandrelgen.standards.threads import ThreadLimits

# Room beyond the incomplete threads, mm.
SHOULDER_MARGIN = 0.3
# Tolerances of the counterbore, tried from the widest, mm: it clears, it is no fit.
MOUTH_WIDTHS = (0.2, 0.1, 0.05)
# Half the included angle of the mouth's countersink, degrees.
COUNTERSINK = 45.0
FLATS_LENGTH = 6.0
SMALL_BORE = 6.0


class Inside(NamedTuple):
    """The inside of the cup; depths from the rim, diameters, mm."""

    mouth: Toleranced
    mouth_depth: Toleranced
    start: float
    start_worst: float
    bottom: Groove | Tapped
    loose: Loose


def build(draft: Draft, end: TenonEnd, wishes: Wishes, taps: Iterable[ThreadTool] = ()) -> bool:
    """Build the cup that takes ``end``; False if an error makes going on pointless. ``taps``: the
    maker's own."""
    own = mandrel_thread.choose(draft, end.thread, wishes)
    if own is None:
        return False
    form = mandrel_thread.form_of(own)
    wishes = stock_taps.tried(draft, own, wishes)
    inside, widest, groove = _chosen(draft, end, own, form, wishes, taps)
    wishes = stock_taps.decide(draft, own, wishes, groove)
    inner = max(inside.mouth.upper, end.ring.inner)
    draft.body = cup_body.allowed(end.ring, inner, widest)
    chosen: seat.Seat | None
    if wishes.body is not None:
        chosen = cup_body.choose(draft, wishes.body, end.ring, inner, widest)
    else:
        chosen = seat.choose(draft, end.ring, inner, seat.CUP_CLEARANCES, widest)
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
    tapped = wishes.thread_order is ThreadOrder.STOCK_TAP
    if own.minor.min is not None and own.minor.min < SMALL_BORE and not tapped:
        draft.warn(
            "cup.small",
            f"a bore of ⌀{text_of(own.minor.min)} needs a tap or a very small bar",
            "send your tap along (thread_order = 'my-tool'), or hold the part by another end",
        )
    _turn_inside(draft, inside, form, own, wishes)
    mandrel_thread.record(draft, own, end.thread, engaged, wishes.thread_order)
    _outside(draft, chosen, inside, wishes)
    return not draft.failed


def _engaged(inside: Inside, end: TenonEnd, washer: float) -> float:
    """Least engagement of full threads at worst limits, mm."""
    begin = max(inside.start_worst, end.unformed_max - washer)
    return min(end.full_end - washer, inside.bottom.full_least) - begin


def _chosen(
    draft: Draft,
    end: TenonEnd,
    own: ThreadLimits,
    form: ThreadForm,
    wishes: Wishes,
    taps: Iterable[ThreadTool],
) -> tuple[Inside, float, str]:
    """The inside with a groove or without as it is asked for, else the one that costs less to
    make; its largest diameter, mm, and why it has a groove behind the thread ("": drilled deeper,
    where a tap cuts it)."""
    grooved = _widest_mouth(end, own, form, wishes.soft_washer, None)
    why_not = cup_bottom.needs_groove(own, wishes, taps)
    if why_not:
        thread_relief.keeps_groove(draft, wishes, why_not)
        return *grooved, why_not
    deeper = cup_bottom.tapped(end, own, form, wishes, taps)
    drilled = _widest_mouth(end, own, form, wishes.soft_washer, deeper)
    assert isinstance(grooved[0].bottom, Groove)
    why_not = cup_bottom.too_deep(deeper, grooved[0].bottom, own, wishes)
    prices = [_price(i, form, own, wishes) for i in (grooved[0], drilled[0])]
    thread_relief.keeps_groove(draft, wishes, why_not)
    why_not = why_not or thread_relief.why_groove(wishes, *(p.minutes for p in prices))
    tapped = "for your tap" if deeper.blank else "and tapped"
    said = f"with a groove {prices[0].said}, drilled deeper {tapped} {prices[1].said}"
    value = "a groove" if why_not else f"no groove: drilled deeper {tapped}"
    why = thread_relief.why_none(wishes, said)
    if why_not:
        why = f"{why_not}: {said}"
    draft.decide("thread.bottom", "behind the thread", value, why)
    return (*grooved, why_not) if why_not else (*drilled, "")


def _price(
    inside: Inside, form: ThreadForm, own: ThreadLimits, wishes: Wishes
) -> making_price.Price:
    """What the inside costs to make, from its own stretches and sizes."""
    trial = Draft("")
    _turn_inside(trial, inside, form, own, wishes)
    if not wishes.through_bore:
        cup_bottom.drill(trial, inside.bottom)
    return making_price.of_inside(trial.inner, trial.characteristics)


def _widest_mouth(
    end: TenonEnd, own: ThreadLimits, form: ThreadForm, washer: float, deeper: Tapped | None
) -> tuple[Inside, float]:
    """The inside with the widest tolerances of counterbore and relief, which only clear, that leave
    seat, wall and three pitches, closer before the collar comes too near to the part's edge; and
    its largest diameter, mm."""
    least = mandrel_thread.MIN_PITCHES * float(own.designation.pitch)
    usual = tuple(c for c in seat.CUP_CLEARANCES if c >= seat.LEAST_CLEARANCE)
    for clearances in (usual, seat.CUP_CLEARANCES):
        for width, loose in product(MOUTH_WIDTHS, (LOOSE, CLOSE)):
            inside = _inside(end, own, form, washer, (width, loose), deeper)
            widest = max(inside.mouth.upper, inside.bottom.widest, own.major_max_worst)
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
    deeper: Tapped | None,
) -> Inside:
    """With the counterbore's tolerance and those of relief and countersink in ``widths``."""
    width, loose = widths
    part_major = end.thread.major_max_worst
    widest = max(part_major + 0.1, own.major_max_worst, form.root_diameter + ROOT_PASS)
    mouth = Toleranced.deviations(ceil_to(widest, 0.05), 0.0, width)
    depth = max(ceil_to(end.unformed_max + SHOULDER_MARGIN - washer, 0.1), 0.5)
    mouth_depth = Toleranced.deviations(depth, 0.0, 0.2)
    start = depth + (mouth.nominal - form.crest_diameter) / 2
    least = own.minor.min or form.crest_diameter
    begun = cup_bottom.cone(mouth.upper, least, COUNTERSINK - loose.countersink)
    return Inside(
        mouth=mouth,
        mouth_depth=mouth_depth,
        start=start,
        start_worst=mouth_depth.upper + begun,
        bottom=deeper or cup_bottom.groove(end, own, form, washer, start, loose),
        loose=loose,
    )


def _turn_inside(
    draft: Draft, i: Inside, form: ThreadForm, own: ThreadLimits, wishes: Wishes
) -> None:
    """The inside's contour, then what is said of it from the mouth to the floor."""
    draft.station("seat", 0.0)
    draft.station("counterbore.end", -i.mouth_depth.nominal)
    draft.station("thread.start", -i.start)
    cup_bottom.draw(draft, i.bottom, form, i.start, wishes.thread_order is ThreadOrder.BLANK)
    draft.bore(
        "countersink", -i.start, -i.mouth_depth.nominal, form.crest_diameter, i.mouth.nominal
    )
    draft.bore("counterbore", -i.mouth_depth.nominal, 0.0, i.mouth.nominal)
    _mouth(draft, i)
    cup_bottom.tell(draft, i.bottom, own)


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
    # Written even where the general tolerance says the same: the note on chamfers allows more.
    draft.angle("countersink.angle", "countersink", COUNTERSINK, m, i.loose.countersink)


def _outside(draft: Draft, chosen: seat.Seat, i: Inside, wishes: Wishes) -> None:
    """Body, pilot hole with its drill point (or nothing: a through bore), flats."""
    through = bool(wishes.through_bore)
    if not through:
        cup_bottom.drill(draft, i.bottom)
    back, hollow = cup_bottom.back(i.bottom, through), i.bottom.hollow(through)[1]
    if wishes.flats:
        # A millimetre behind the drill point: over the pilot hole they would break through.
        back = max(back, hollow + 1.0 + FLATS_LENGTH + seat.FLATS_OFF)
    back = ceil_to(back, 1.0)
    draft.station("collar.start", -back)
    whole = wishes.body is not None and wishes.body.bar
    draft.turn("shank" if whole else "collar", -back, 0.0, chosen.collar.nominal)
    if not whole:
        draft.diameter("collar", chosen.collar, "collar.diameter", COMMON)
        draft.length("collar.length", "collar", ("collar.start", "seat"), None, "collar.diameter")
    seat.seat_needs(draft)
    if wishes.flats:
        start = -back + seat.FLATS_OFF
        seat.flats(draft, start, start + FLATS_LENGTH, chosen.collar.nominal)
        if draft.flats is not None:
            # No step of the body holds their place: neither end lies at one.
            ends = ("flats.start", "seat") if whole else ("collar.start", "flats.start")
            draft.length("flats.start", "flats", ends, None, "flats.across")
    if wishes.thread_order in (ThreadOrder.MY_TOOL, ThreadOrder.STOCK_TAP):
        # A tap follows its own start: the counterbore would tell nothing of the thread.
        seat.test_piece(draft, "tap")
        return
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
