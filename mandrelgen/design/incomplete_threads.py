"""A plug's thread without a groove: the incomplete threads that a die leaves at the seat stand in
the part's counterbore. Positions from the seat, diameters, mm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.core.tolerance import Toleranced, ceil_to, text_of
from mandrelgen.design import own_tools, seat, thread_relief
from mandrelgen.design.draft import COMMON, Draft
from mandrelgen.design.ends import DEPTH_BY_HAND, TappedEnd
from mandrelgen.design.options import Wishes
from mandrelgen.model.mandrel import ThreadForm
from mandrelgen.spec.pen import ThreadOrder, ThreadRelief
from mandrelgen.spec.shop import ThreadTool
from mandrelgen.standards import cutting
from mandrelgen.standards.threads import ThreadLimits

# The plain stretch that the die's face leaves in front of the seat, at least (estimate).
LAND = 0.2
# Kept between the mandrel's crest and the part's counterbore, on the diameter (common practice, no
# source): incomplete threads have a burr.
CLEAR = 0.1


class Incomplete(NamedTuple):
    """``full``: where the full thread begins; ``said``: whose incomplete threads lie before it."""

    full: Toleranced
    said: str

    @property
    def worst(self) -> float:
        """The furthest the full thread can begin, mm."""
        return self.full.upper

    @property
    def fade(self) -> float:
        """Over which length the turns come to their full depth, mm."""
        return self.full.nominal - LAND


def choose(
    draft: Draft,
    end: TappedEnd,
    own: ThreadLimits,
    wishes: Wishes,
    dies: Iterable[ThreadTool],
) -> Incomplete | None:
    """What is left at the seat where no groove is asked for; None: a groove, since it is not, or
    cannot be (which is told)."""
    if wishes.thread_relief is not ThreadRelief.NONE:
        return None
    why, found = _needs_groove(end, own, wishes, dies)
    remedy = (
        "have a groove, or the maker's own die (thread_order = 'my-tool') and a counterbore in the "
        "part that takes what it leaves"
    )
    thread_relief.keeps_groove(draft, wishes, why, remedy)
    return None if why else found


def _needs_groove(
    end: TappedEnd, own: ThreadLimits, wishes: Wishes, dies: Iterable[ThreadTool]
) -> tuple[str, Incomplete | None]:
    """Why there is a groove ("": none), else what is left."""
    if wishes.thread_order is ThreadOrder.SINGLE_POINT:
        return "a single point needs it", None
    d = own.designation
    known = {float(t.incomplete) for t in dies if own_tools.cuts(t, d) and t.incomplete}
    if len(known) == 1:
        length, said = known.pop(), "your die"
    elif d.starts > 1:
        return f"nobody says how long the incomplete threads of the {d.starts}-start die are", None
    else:
        length, said = cutting.rule("tool", "die_lead").value * float(d.pitch), "a usual die"
    reach = ceil_to(max(length, 2 * LAND), 0.1)
    hole, deep = end.counterbore, ceil_to(reach + DEPTH_BY_HAND - wishes.soft_washer, 0.1)
    wide = ceil_to((own.major.max or float(d.diameter)) + CLEAR, 0.05)
    asks = f"{text_of(reach)} of incomplete threads ({said}) at the seat ask for a counterbore "
    if hole is None or hole.size.lower < wide - 1e-9 or hole.end < deep - 1e-9:
        has = "none" if hole is None else f"⌀{text_of(hole.size.lower)} × {text_of(hole.end)}"
        return f"{asks}⌀{text_of(wide)} × {text_of(deep)} in the part ({has})", None
    return "", Incomplete(Toleranced.deviations(reach, LAND - reach, 0.0), said)


def turn(
    draft: Draft, end: TappedEnd, form: ThreadForm, left: Incomplete, full: float, blank: bool
) -> None:
    """The thread from the seat to its last full turn at ``full``, and what is said of it."""
    crest, first = form.crest_diameter, left.full.nominal
    d = draft.decide(
        "thread.incomplete",
        "behind the thread",
        f"no groove: full thread from {text_of(first)} on",
        f"asked for; {left.said} leaves incomplete threads as far as that, and the part's "
        "counterbore takes them",
        COMMON,
    )
    if blank:
        draft.turn("thread", 0.0, full, crest)
        seat.decide_corner(draft, end.ring.inner, crest, "the thread")
        draft.station("thread.start", 0.0)
        draft.station("thread.first", first)
        draft.notes.append("No groove behind the blank: the customer's die runs up to the seat.")
        return
    draft.turn("land", 0.0, LAND, crest)
    seat.decide_corner(draft, end.ring.inner, crest, "the thread")
    draft.turn("thread", LAND, full, crest, thread=replace(form, fade=left.fade))
    draft.station("thread.start", LAND)
    draft.station("thread.first", first)
    ends = ("seat", "thread.first")
    draft.length("thread.incomplete", "thread", ends, left.full, d, COMMON, functional=True)
    draft.notes.append(
        "No groove behind the thread: incomplete threads up to "
        f"{text_of(left.full.upper)} from the seat allowed; they stand in the part's counterbore."
    )
