"""A plug end: collar, register, relief, external thread, undercut, spigot, nose."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from mandrelgen.core.tolerance import Toleranced, ceil_to, floor_to, text_of
from mandrelgen.design import incomplete_threads, mandrel_thread, seat, spigot
from mandrelgen.design.chosen_tolerances import Centring
from mandrelgen.design.draft import CHAMFER_HALF, COMMON, Draft
from mandrelgen.design.ends import TappedEnd
from mandrelgen.design.incomplete_threads import Incomplete
from mandrelgen.design.options import Wishes
from mandrelgen.model.mandrel import ThreadForm
from mandrelgen.spec.pen import Fit, ThreadOrder
from mandrelgen.spec.shop import ThreadTool
from mandrelgen.standards import din_76, iso_286
from mandrelgen.standards.threads import ThreadLimits

FLANK = math.tan(math.radians(30.0))
THREAD_END_TOLERANCE = 0.1
# A thread's end faces must pass its modelled root by more than 0.05 a side to be cut cleanly.
ROOT_PASS = 0.12
# Kept between the end of the mandrel's thread and the end of the part's full thread, mm.
THREAD_END_MARGIN = 0.1
FORM_B = "DIN 76-1 form B"
NARROWER = "narrower than DIN 76-1 form B"
WIDER = "wider than DIN 76-1 form B"
# Tolerance of the relief's width, mm, and of its flank, degrees: nothing bears on either; closer
# only where three pitches need it.
LOOSE, CLOSE = (0.2, 3.0), (0.1, 1.0)
REGISTER_GAP = {Fit.CLOSE: 0.01, Fit.NORMAL: 0.02, Fit.FREE: 0.05}


class Relief(NamedTuple):
    """The groove behind the thread: straight to ``z1``, flank up to the crest at ``z2``;
    ``worst``: the furthest the crest can begin, mm; ``loose``: the width's tolerance, mm, and the
    flank's, degrees."""

    z1: float
    z2: float
    worst: float
    loose: tuple[float, float]


def build(draft: Draft, end: TappedEnd, wishes: Wishes, dies: Iterable[ThreadTool] = ()) -> bool:
    """Build the plug that enters ``end``; False if an error makes going on pointless. ``dies``: the
    maker's own."""
    own = mandrel_thread.choose(draft, end.thread, wishes)
    collar = seat.choose(draft, end.ring, end.ring.inner, seat.PLUG_CLEARANCES)
    if own is None or collar is None:
        return False
    draft.assume(end.assumptions, end.known)
    seat.neck_behind(draft, collar.collar, wishes.flats)
    form = mandrel_thread.form_of(own)
    washer = wishes.soft_washer
    _washer(draft, washer)
    behind: Relief | Incomplete
    left = incomplete_threads.choose(draft, end, own, wishes, dies)
    if left is None:
        front = _register(draft, end, wishes)
        behind, finish = _thread_zone(draft, end, own, form, front, washer)
    else:
        behind, finish = left, _finish(end, own, form, washer, left.worst)
    begins = max(behind.worst, end.start + washer)
    engaged = finish.full_min - begins
    mandrel_thread.check_engagement(
        draft,
        engaged,
        float(own.designation.pitch),
        "tap deeper (or with a bottoming tap), a shallower counterbore or countersink, a thinner "
        "soft washer, or a finer pitch",
    )
    if draft.failed:
        return False
    met = spigot.onto(draft, end, own, wishes, finish.foot, finish.end.nominal, washer)
    if met is not None:
        finish = finish.onto(met)
        engaged = finish.full_min - begins
    blank = wishes.thread_order is ThreadOrder.BLANK
    if isinstance(behind, Relief):
        _turn_thread(draft, form, behind, finish, blank)
    else:
        incomplete_threads.turn(draft, end, form, behind, finish.full, blank)
    _turn_end(draft, form, finish)
    mandrel_thread.record(draft, own, end.thread, engaged, wishes.thread_order)
    seat.thread_runout(draft, wishes)
    spigot.build(draft, end, own, wishes, finish.foot, finish.end.nominal, washer)
    return not draft.failed


class Finish(NamedTuple):
    """The nose side of the thread: ``full`` crest end, ``end`` with the chamfer, ``full_min`` the
    least crest end at worst limits, ``foot`` the chamfer's small diameter, mm."""

    full: float
    end: Toleranced
    full_min: float
    foot: float

    def onto(self, spigot: float) -> Finish:
        """The same end with a 45° chamfer that runs down onto a ``spigot`` of that diameter."""
        less = (spigot - self.foot) / 2
        return Finish(self.full + less, self.end, self.full_min + less, spigot)


def _washer(draft: Draft, washer: float) -> None:
    if washer:
        draft.decide(
            "soft_washer",
            "soft washer",
            f"{text_of(washer)} thick",
            "spares the polished face; its thickness is taken off the thread's engagement",
        )
        draft.notes.append(f"Used with a soft washer {text_of(washer)} thick on the seat.")


def _register(draft: Draft, end: TappedEnd, wishes: Wishes) -> float:
    """A centring stretch in the part's counterbore where the budget shows what it buys; returns
    where it ends (0 without: the relief then begins at the seat)."""
    cb = end.counterbore
    if cb is None or not cb.true or draft.settled.centre is Centring.THREAD:
        return 0.0
    length = floor_to(cb.end - 0.4 + wishes.soft_washer, 0.1)
    if length < 0.8:
        return 0.0
    size = iso_286.tolerance(floor_to(cb.size.lower - REGISTER_GAP[wishes.fit], 0.01), "h7")
    why = "the counterbore is true, so a short register in it centres the part at its mouth"
    if draft.settled.centre is Centring.REGISTER:
        why += f"; {draft.settled.why_centre}"
    d = draft.decide(
        "register.diameter", "register", f"⌀{text_of(size.nominal)} {size.note}", why, COMMON
    )
    draft.station("register.end", length)
    draft.turn("register", 0.0, length, size.nominal)
    draft.diameter("register", size, d, f"ISO 286-2 {size.note}", functional=True)
    draft.length("register.end", "register", ("seat", "register.end"), None, d)
    spigot.runout(draft, "register")
    return length


def _thread_zone(
    draft: Draft, end: TappedEnd, own: ThreadLimits, form: ThreadForm, front: float, washer: float
) -> tuple[Relief, Finish]:
    """Place relief and thread end; a narrower relief is tried if pitches run short."""
    p = float(own.designation.pitch)
    row = din_76.external(p)
    usual, clear = float(own.designation.diameter) + row.dg, form.root_diameter - ROOT_PASS
    groove = floor_to(min(usual, clear), 0.05)
    source = row.source + ("; groove deeper, to clear the thread's root" if clear < usual else "")
    for width, loose, name in _widths(row, p, float(own.designation.lead)):  # noqa: B007
        finish = _finish(end, own, form, washer, front + width)
        relief = _relief(front, width, groove, form, loose)
        start = max(relief.worst, end.start + washer)
        if finish.full_min - start >= mandrel_thread.MIN_PITCHES * p:
            break
    _relief_sizes(draft, front, relief, groove, width, name, source)
    if not front:
        seat.decide_corner(draft, end.ring.inner, groove)
    return relief, finish


def _widths(
    row: din_76.Undercut, p: float, lead: float
) -> list[tuple[float, tuple[float, float], str]]:
    """Straight widths of the relief to try, from the widest that helps a hand retract to the least
    a tool needs, each with the width's tolerance and the flank's, mm and degrees."""
    least, short = 0.5 * p + 0.3, row.g1_short
    widest = ceil_to(max(2.0, row.g1_normal, 1.5 * lead), 0.1)
    found = []
    width = widest
    while width > short + 0.05 - 1e-9:
        found.append((width, LOOSE, WIDER))
        width = round(width - 0.1, 9)
    found += [(ceil_to(short, 0.05), t, FORM_B) for t in (LOOSE, CLOSE)]
    if least < short:
        found.append((ceil_to(least, 0.1), CLOSE, NARROWER))
    return found


def _relief(
    front: float, width: float, groove: float, form: ThreadForm, loose: tuple[float, float]
) -> Relief:
    flank = (form.crest_diameter - groove) / 2 / FLANK
    z1 = front + width
    # Width and flank at their limits, groove −0.2 (flank longer), register end ±0.1 if any.
    deep = (form.crest_diameter - groove) / 2 + 0.1
    longest = deep / math.tan(math.radians(30.0 - loose[1]))
    slack = loose[0] + longest - flank + (0.1 if front else 0.0)
    return Relief(z1, z1 + flank, z1 + flank + slack, loose)


def _relief_sizes(
    draft: Draft, front: float, relief: Relief, groove: float, width: float, name: str, source: str
) -> None:
    d = draft.decide(
        "relief.width",
        "relief behind the thread",
        f"⌀{text_of(groove)} × {text_of(width)}, 30°",
        "lets the threading tool run out and the seat bear clean: as wide as three full pitches at "
        "worst limits allow"
        if name == WIDER
        else "the short form: a wider one would leave under three pitches"
        if name == FORM_B
        else "the short form of DIN 76-1 would leave under three pitches, so the groove is "
        "narrower: thread away from the seat, or by hand",
        f"groove diameter: {source}"
        if name == WIDER
        else f"{name}: groove diameter and straight length ({source})",
    )
    if name == NARROWER:
        draft.warn(
            "relief.narrow",
            f"the relief is only {text_of(width)} wide",
            "cut the thread away from the seat, with the tool reversed and starting in the groove",
        )
    start = "register.end" if front else "seat"
    draft.station("relief.flat_end", relief.z1)
    draft.turn("relief", front, relief.z1, groove)
    draft.diameter("relief", Toleranced.deviations(groove, -0.2, 0.0), d, name)
    draft.length(
        "relief.width",
        "relief",
        (start, "relief.flat_end"),
        Toleranced.deviations(width, 0.0, relief.loose[0]),
        d,
        name,
    )


def _finish(
    end: TappedEnd, own: ThreadLimits, form: ThreadForm, washer: float, z_start: float
) -> Finish:
    """Thread end before the part's full thread ends, at all limits, and no longer than useful."""
    p, lead = float(own.designation.pitch), float(own.designation.lead)
    foot = floor_to((own.minor.min or 0.0) - 0.1, 0.1)
    axial = (form.crest_diameter - foot) / 2
    useful = max(8 * p, 2 * lead, 0.8 * float(own.designation.diameter))
    begin = max(z_start, end.start + washer)
    upper = floor_to(
        min(end.full_min + washer - THREAD_END_MARGIN, begin + useful + axial + 0.3), 0.1
    )
    size = Toleranced.deviations(upper, -THREAD_END_TOLERANCE, 0.0)
    # Foot 0/−0.2 and 40° instead of 45° lengthen the chamfer; crest limits by 0.05 more.
    longest = (axial + 0.1) / math.tan(math.radians(45.0 - CHAMFER_HALF))
    return Finish(upper - axial, size, size.lower - longest - 0.05, foot)


def _turn_thread(
    draft: Draft, form: ThreadForm, relief: Relief, finish: Finish, blank: bool
) -> None:
    """The relief's flank and the thread up to its last full turn."""
    crest = form.crest_diameter
    groove = draft.outer[-1].d1
    draft.turn("relief.flank", relief.z1, relief.z2, groove, crest)
    # Written even where the general tolerance says the same: the note on chamfers allows more.
    draft.angle("relief.flank.angle", "relief.flank", 30.0, "relief.width", relief.loose[1])
    draft.turn("thread", relief.z2, finish.full, crest, thread=None if blank else form)
    draft.station("thread.start", relief.z2)


def _turn_end(draft: Draft, form: ThreadForm, finish: Finish) -> None:
    """The thread's end on the nose side, and its lead-in chamfer."""
    end = finish.end.nominal
    draft.turn("chamfer", finish.full, end, form.crest_diameter, finish.foot)
    draft.station("thread.full", finish.full)
    draft.station("thread.end", end)
    d = draft.decide(
        "thread.end",
        "end of the thread",
        f"{text_of(end)} from the seat (0/−0.1)",
        f"ends at least {text_of(THREAD_END_MARGIN)} before the part's full thread does at worst "
        "limits, so that the seat bears first; its own tolerance, since ISO 2768-m's ±0.2 would "
        "eat half of the margin",
    )
    draft.length("thread.end", "thread", ("seat", "thread.end"), finish.end, d, functional=True)
    c = draft.decide(
        "chamfer.length",
        "lead-in chamfer",
        f"45° down to ⌀{text_of(finish.foot)}",
        "starts below the root, so that no feather edge of a start meets the part first; feather "
        "starts are dressed with a file",
    )
    draft.angle("chamfer.angle", "chamfer", 45.0, c, CHAMFER_HALF)
