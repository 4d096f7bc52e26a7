"""Behind a cup's thread: a groove for the threading tool, or, under a tap, a deeper hole.

Depths from the rim, diameters, mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import Toleranced, ceil_to, floor_to, text_of
from mandrelgen.design import own_tools, plug
from mandrelgen.design.draft import CHAMFER_HALF, COMMON, Draft
from mandrelgen.design.ends import TenonEnd
from mandrelgen.design.options import Wishes
from mandrelgen.design.plug import FLANK, ROOT_PASS
from mandrelgen.model.mandrel import ThreadForm
from mandrelgen.spec.pen import ThreadOrder, ThreadRelief
from mandrelgen.spec.shop import ThreadTool
from mandrelgen.standards import cutting, din_76
from mandrelgen.standards.threads import ThreadLimits

# Between the tenon's nose and the floor, or the end of the full thread.
NOSE_ROOM = 0.5
FLOOR = 3.0
DRILL_TIP = math.tan(math.radians(59.0))
# Kept free for chips below a tap, and the steps of a depth set at the tailstock (common practice,
# no source).
CHIPS, STEP = 1.0, 0.5
# How much deeper than its least a full thread is tapped by hand, and the deepest that chips still
# come out of, in diameters (common practice, no source).
TAPPED, DEEPEST = 0.5, 2.5
C_LEAD = "the lead of a second tap (form C, 3 P)"
# By how much the deeper hole may lengthen the body, and so move the seat out (estimate).
LONGER = 5.0


class Loose(NamedTuple):
    """Tolerances of what nothing bears on: the relief's diameter and width, mm, its flank and the
    mouth's countersink, degrees each way."""

    relief: float
    flank: float
    countersink: float


# As loose as the same features of a plug (CHAMFER_HALF and LOOSE there); closer only where wall,
# seat or three pitches need it.
LOOSE, CLOSE = Loose(plug.LOOSE[0], plug.LOOSE[1], CHAMFER_HALF), Loose(0.1, 1.0, 1.0)


class Groove(NamedTuple):
    """A groove at the floor, a pilot hole in front of it; ``thread_end``: where the crest ends."""

    diameter: Toleranced
    start: float
    width: Toleranced
    floor: Toleranced
    thread_end: float
    full_least: float
    pilot: float
    loose: Loose

    @property
    def widest(self) -> float:
        """Largest diameter it may have."""
        return self.diameter.upper

    def hollow(self, through: bool) -> tuple[float, float]:
        """How deep its full diameter and its drill point go."""
        tip = self.floor.nominal + 1.0 + self.pilot / 2 / DRILL_TIP
        return self.floor.upper, self.floor.upper if through else tip


@dataclass(frozen=True, slots=True, kw_only=True)
class Tapped:
    """A hole of the thread's minor diameter, ``deep`` to the end of its cylinder: full thread down
    to ``full``, the tap's ``lead`` behind it (``said``: whose); ``blank``: not tapped yet."""

    full: Toleranced
    lead: float
    said: str
    deep: float
    crest: float
    blank: bool

    widest = 0.0

    @property
    def thread_end(self) -> float:
        """Where the thread has run out."""
        return self.full.nominal + self.lead

    @property
    def full_least(self) -> float:
        """How deep the thread is full at least."""
        return self.full.lower

    def hollow(self, through: bool) -> tuple[float, float]:
        """As a groove's."""
        return self.deep, self.deep if through else self.deep + self.crest / 2 / DRILL_TIP


def back(bottom: Groove | Tapped, through: bool) -> float:
    """The least length of the body behind the seat."""
    full, tip = bottom.hollow(through)
    return full + FLOOR if through else max(full + FLOOR, tip + 2.0)


def groove(
    end: TenonEnd, own: ThreadLimits, form: ThreadForm, washer: float, start: float, loose: Loose
) -> Groove:
    """The groove behind a thread that begins at ``start``."""
    part_major = end.thread.major_max_worst
    p = float(own.designation.pitch)
    row = din_76.internal(p)
    nominal = float(own.designation.diameter)
    wide = max(
        nominal + row.dg,
        own.major_max_worst + 0.05,
        part_major + 0.2,
        form.root_diameter + ROOT_PASS,
    )
    relief = Toleranced.deviations(ceil_to(wide, 0.05), 0.0, loose.relief)
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
    return Groove(
        diameter=relief,
        start=relief_start,
        width=straight,
        floor=Toleranced.deviations(floor, 0.0, 0.2),
        thread_end=relief_start - flank,
        full_least=floor - straight.upper - cone(relief.upper, least, 30.0 - loose.flank),
        pilot=floor_to((own.minor.min or 0.0) - 0.2, 0.1),
        loose=loose,
    )


def cone(large: float, small: float, angle: float) -> float:
    """Length of a cone between two diameters at ``angle`` degrees to the axis, mm."""
    return (large - small) / 2 / math.tan(math.radians(angle))


def needs_groove(own: ThreadLimits, wishes: Wishes, taps: Iterable[ThreadTool]) -> str:
    """Why no deeper hole does instead of the groove ("" if one does): a single point must run out
    somewhere, and a tap of several starts has a lead as long as its maker likes. Who wants no
    groove says that lead."""
    if wishes.thread_order is ThreadOrder.SINGLE_POINT:
        return "a single point needs it"
    starts = own.designation.starts
    known = wishes.thread_relief is ThreadRelief.NONE and len(_leads(own, wishes, taps)) == 1
    return (
        ""
        if starts == 1 or known
        else f"nobody says how long the lead of the {starts}-start tap is"
    )


def _leads(own: ThreadLimits, wishes: Wishes, taps: Iterable[ThreadTool]) -> set[float]:
    """The leads of the maker's taps that cut it, mm; the turner's own has none of them."""
    if wishes.thread_order is ThreadOrder.STOCK_TAP:
        return set()
    return {float(t.lead) for t in taps if own_tools.cuts(t, own.designation) and t.lead}


def tapped(
    end: TenonEnd, own: ThreadLimits, form: ThreadForm, wishes: Wishes, taps: Iterable[ThreadTool]
) -> Tapped:
    """The hole for a tap, the turner's or the maker's, who taps a blank too."""
    leads = _leads(own, wishes, taps)
    said, lead = C_LEAD, cutting.rule("tool", "tap_c_lead").value * form.pitch
    if len(leads) == 1:
        said, lead = "your tap's lead", leads.pop()
    # Into incomplete thread the tenon would jam: the full thread reaches past its nose.
    least = ceil_to(end.length.upper - wishes.soft_washer + NOSE_ROOM, 0.1)
    full = Toleranced.deviations(least, 0.0, TAPPED)
    deep = ceil_to(full.upper + lead + CHIPS, STEP)
    blank = wishes.thread_order is ThreadOrder.BLANK
    return Tapped(
        full=full, lead=lead, said=said, deep=deep, crest=form.crest_diameter, blank=blank
    )


def too_deep(t: Tapped, g: Groove, own: ThreadLimits, wishes: Wishes) -> str:
    """Why the hole cannot be drilled deeper ("" if it can); who wants no groove takes a longer
    body."""
    d = float(own.designation.diameter)
    if t.full.upper > DEEPEST * d:
        return (
            f"it would be tapped {text_of(t.full.upper)} deep, {text_of(DEEPEST)} diameters are "
            f"{text_of(DEEPEST * d)}"
        )
    through = bool(wishes.through_bore)
    more = back(t, through) - back(g, through)
    if more > LONGER and wishes.thread_relief is not ThreadRelief.NONE:
        return f"its body would be {text_of(more)} longer, {text_of(LONGER)} at most"
    return ""


def draw(
    draft: Draft, bottom: Groove | Tapped, form: ThreadForm, start: float, blank: bool
) -> None:
    """The thread's stretch and what lies behind it; a blank has no thread in it."""
    end, crest = bottom.thread_end, form.crest_diameter
    if isinstance(bottom, Tapped):
        draft.station("thread.full", -bottom.full.nominal)
        draft.station("pilot.end", -bottom.deep)
        form = replace(form, fade=bottom.lead)
        if blank:  # one bore: nothing parts what will be thread from what is behind it
            end = bottom.deep
        else:
            draft.bore("pilot", -bottom.deep, -end, crest)
    else:
        draft.station("relief.start", -bottom.start)
        draft.station("floor", -bottom.floor.nominal)
        wide = bottom.diameter.nominal
        draft.bore("relief", -bottom.floor.nominal, -bottom.start, wide)
        draft.bore("relief.flank", -bottom.start, -end, wide, crest)
    draft.bore("thread", -end, -start, crest, thread=None if blank else form)


def tell(draft: Draft, bottom: Groove | Tapped, own: ThreadLimits) -> None:
    """What is said of it."""
    if isinstance(bottom, Tapped):
        _tell_tapped(draft, bottom)
    else:
        _tell_groove(draft, bottom, own)
        _tell_floor(draft, bottom)


def _tell_tapped(draft: Draft, t: Tapped) -> None:
    f = draft.decide(
        "thread.depth",
        "depth of full thread",
        f"{text_of(t.full.nominal)} at least (+{text_of(TAPPED)}/0)",
        f"passes the tenon's nose by {text_of(NOSE_ROOM)} at least: in the tap's incomplete turns "
        "behind it the tenon would jam before its shoulder bears",
        COMMON,
    )
    if not t.blank:
        ends = ("thread.full", "seat")
        draft.length("thread.depth", "thread", ends, t.full, f, COMMON, functional=True)
    d = draft.decide(
        "pilot.depth",
        "hole for the tap",
        f"{text_of(t.deep)} deep at the thread's minor diameter",
        f"behind the full thread {t.said}, {text_of(t.lead)}, and {text_of(CHIPS)} for chips; a "
        f"tap with a lead above {text_of(t.deep - t.full.upper)} is ground off at its point",
        COMMON,
    )
    of = "thread" if t.blank else "pilot"
    draft.length("pilot.depth", of, ("pilot.end", "seat"), None, d)
    if t.blank:
        draft.notes.append(
            f"Bore: for the customer's tap, full thread {text_of(t.full.lower)} deep at least; no "
            "groove behind it."
        )
        return
    draft.notes.append(
        "Hole behind the full thread: at the thread's minor diameter, as drilled for the tap; its "
        "incomplete turns may run out there."
    )


def _tell_groove(draft: Draft, g: Groove, own: ThreadLimits) -> None:
    """The groove the thread ends in."""
    r = draft.decide(
        "relief.diameter",
        "relief at the bottom",
        f"⌀{text_of(g.diameter.nominal)} (+{text_of(g.loose.relief)}/0) × "
        f"{text_of(g.width.nominal)}, 30°",
        f"clears the thread's root at its largest, ⌀{text_of(own.major_max_worst)}, and the "
        "tenon's nose",
        f"{din_76.internal(float(own.designation.pitch)).source}, form D; "
        "widened where D max asks for it",
    )
    draft.diameter("relief", g.diameter, r)
    draft.length("relief.width", "relief", ("floor", "relief.start"), g.width, r)
    # Written even where the general tolerance says the same: the note on chamfers allows more.
    draft.angle("relief.flank.angle", "relief.flank", 30.0, r, g.loose.flank)


def _tell_floor(draft: Draft, g: Groove) -> None:
    """How deep the tenon finds room."""
    f = draft.decide(
        "floor.depth",
        "depth to the floor",
        f"{text_of(g.floor.nominal)} (+0.2/0)",
        f"leaves {text_of(NOSE_ROOM)} at least before the tenon's nose touches, so that the "
        "shoulder bears first",
        COMMON,
    )
    draft.length("floor.depth", "relief", ("floor", "seat"), g.floor, f, functional=True)


def drill(draft: Draft, bottom: Groove | Tapped) -> None:
    """The blind hole's point, and in front of a groove the pilot hole itself."""
    if isinstance(bottom, Tapped):
        cylinder, pilot = bottom.deep, bottom.crest
    else:
        cylinder, pilot = bottom.floor.nominal + 1.0, bottom.pilot
        draft.bore("pilot", -cylinder, -bottom.floor.nominal, pilot)
    draft.bore("pilot.point", -cylinder - pilot / 2 / DRILL_TIP, -cylinder, 0.0, pilot)
    if isinstance(bottom, Groove):
        draft.station("pilot.end", -cylinder)
        d = draft.decide(
            "pilot.diameter",
            "pilot hole",
            f"⌀{text_of(pilot)}, drill point",
            "drilled first; its point may remain below the floor",
        )
        draft.general_diameter("pilot", pilot, d)
        draft.length("pilot.depth", "pilot", ("pilot.end", "seat"), None, d)
