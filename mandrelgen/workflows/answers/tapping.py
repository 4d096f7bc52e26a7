"""Which hole is a thread's tapping hole, and how much thread it leaves: in words, for each end."""

from __future__ import annotations

from collections.abc import Mapping

from mandrelgen.assess.joint_findings import TIGHT_HOLE
from mandrelgen.assess.pen_joints import TapHole
from mandrelgen.assess.resolved import ResolvedPen
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics import engagement
from mandrelgen.mechanics.remedy import sold_drill
from mandrelgen.spec.pen import Pen
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.standards.threads import limits
from mandrelgen.workflows.answers.texts import text


def tapping(pen: Pen, resolved: ResolvedPen) -> Mapping[tuple[str, str], str]:
    """By part and end: the sentence for its internal thread. Raises ThreadTextError,
    NotHeldError."""
    said: dict[tuple[str, str], str] = {}
    for h in resolved.tap_holes:  # the narrowest under the thread stands last
        said[h.place] = _said(h)
    for name, part in pen.parts.items():
        for end_name, end in part.ends.items():
            if end.internal is not None and not end.bore and end.internal.measured is None:
                said[name, end_name] = text("tapping.none", drill=_drill(end.internal.thread))
    return said


def _drill(thread: str) -> str:
    d = read_thread(thread)
    band, wanted = limits(d, False).minor, float(d.diameter - d.pitch)
    return text_of(sold_drill(wanted, band.min or wanted, band.max or wanted))


def _hole(h: TapHole) -> str:
    """The size that counts; where that is the middle of limits that were said, with the size in
    the box."""
    counts, written = text_of(h.bored.given), text_of(h.bored.hole.size.nominal)
    return counts if counts == written else text("tapping.middle", hole=counts, written=written)


def _said(h: TapHole) -> str:
    if h.found.given <= 0:
        key = "gone"
    elif h.bored.hole.size.upper < h.minor - TIGHT_HOLE:
        key = "tight"
    else:
        key = "right" if engagement.level(h.found) is None else "wide"
    return text(
        f"tapping.{key}", n=int(h.bored.path[-1]) + 1, hole=_hole(h),
        share=text_of(h.found.percent_given, 0), drill=text_of(h.drill),
    )  # fmt: skip
