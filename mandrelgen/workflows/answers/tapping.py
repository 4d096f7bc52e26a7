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
from mandrelgen.standards.threads import ThreadLimits, limits
from mandrelgen.workflows.answers.spoken import spoken
from mandrelgen.workflows.answers.texts import text


def tapping(pen: Pen, resolved: ResolvedPen) -> Mapping[tuple[str, str], str]:
    """By part and end: the sentence for its internal thread. Raises ThreadTextError,
    NotHeldError."""
    said: dict[tuple[str, str], str] = {}
    held = {str(j.joint.internal): j.pitches for j in resolved.joints}
    for h in resolved.tap_holes:  # the narrowest under the thread stands last
        end = pen.parts[h.place.part].ends[h.place.end]
        if end.internal is not None:
            thread = limits(read_thread(end.internal.thread), False)
            said[h.place] = _said(h, thread, held.get(str(h.place)))
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


def _said(h: TapHole, thread: ThreadLimits, pitches: float | None) -> str:
    """``pitches``: that hold in the joint; None where the file names none."""
    if h.found.given <= 0:
        key = "gone"
    elif h.bored.hole.size.upper < h.minor - TIGHT_HOLE:
        key = "tight"
    else:
        key = "right" if engagement.level(h.found) is None else "wide"
    told = text(
        f"tapping.{key}", n=int(h.bored.path[-1]) + 1, hole=_hole(h), share=_share(h.found.given),
        drill=text_of(h.drill),
    )  # fmt: skip
    rows = (_traced(h, thread), _over(h, thread, pitches)) if key in ("right", "wide") else ()
    return " ".join(t for t in (told, *rows) if t)


def _share(engaged: float) -> str:
    return text_of(engagement.percent_thread(engaged), 0)


def _traced(h: TapHole, thread: ThreadLimits) -> str:
    """Where the share comes from, and why a drill chart, which reckons from the nominal diameter,
    has another; empty where it has not."""
    nominal = float(thread.designation.diameter)
    chart = _share(engagement.share(nominal, h.bored.given, h.pitch))
    if chart == _share(h.found.given):
        return ""
    mate = spoken(str(h.mate)) if h.mate else text("tapping.usual")
    return text("tapping.traced", mate=mate, crest=text_of(h.crest, 2), chart=chart,
                nominal=text_of(nominal))  # fmt: skip


def _over(h: TapHole, thread: ThreadLimits, pitches: float | None) -> str:
    """That the hole is over the class's greatest minor diameter; empty where it is not."""
    most = thread.minor.max
    if most is None or h.bored.given <= most:
        return ""
    held = "" if pitches is None else text("tapping.held", pitches=text_of(pitches, 1))
    return text("tapping.over", hole=text_of(h.bored.given), klass=thread.tolerance_class,
                most=text_of(most), held=held)  # fmt: skip
