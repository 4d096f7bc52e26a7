"""The mandrel's own thread: class for a fit, form to model, sizes to print."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.core.tolerance import Toleranced, text_of
from mandrelgen.design.draft import Draft
from mandrelgen.design.options import Wishes
from mandrelgen.mechanics.fit import LEAST_SPACING, spacing_limit
from mandrelgen.mechanics.play import thread_play
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import ThreadData, ThreadForm
from mandrelgen.spec.pen import Fit, ThreadOrder
from mandrelgen.standards.nearest_thread import in_series
from mandrelgen.standards.threads import (
    Band,
    ThreadLimitError,
    ThreadLimits,
    limits,
    limits_with_deviation,
)

MIN_PITCHES = 3.0
# (fit, more than one start) -> class. Single start: common practice, no source.
# Multi-start: one position looser, since a hundredth of indexing error costs 1.7 hundredths of
# pitch diameter (60° geometry: cot 30°).
PLUG_CLASS = {
    (Fit.CLOSE, False): "4h",
    (Fit.NORMAL, False): "6g",
    (Fit.FREE, False): "6e",
    (Fit.CLOSE, True): "4g",
    (Fit.NORMAL, True): "6f",
    (Fit.FREE, True): "6e",
}
CUP_CLASS = {
    (Fit.CLOSE, False): "5H",
    (Fit.NORMAL, False): "6H",
    (Fit.FREE, False): "6G",
    (Fit.CLOSE, True): "5H",
    (Fit.NORMAL, True): "6G",
    (Fit.FREE, True): "6G",
}
# Classes that gauges are on the shelf for (common practice, no source).
STOCK_CLASSES = frozenset({"6g", "6H", "2A", "2B"})
UNIFIED_CLASS = {
    (True, Fit.CLOSE): "3A",
    (True, Fit.NORMAL): "2A",
    (True, Fit.FREE): "2A",
    (False, Fit.CLOSE): "3B",
    (False, Fit.NORMAL): "2B",
    (False, Fit.FREE): "2B",
}


def choose(draft: Draft, part: ThreadLimits, wishes: Wishes) -> ThreadLimits | None:
    """Limits of the mandrel's thread that enters ``part``; None (and an error) if refused."""
    external = not part.external
    d = replace(part.designation, tolerance_class="")
    if wishes.thread_class:
        klass, why = wishes.thread_class, "asked for"
    elif d.system == "UN":
        klass = UNIFIED_CLASS[external, wishes.fit]
        why = f"fit {wishes.fit.value}, unified thread"
    else:
        table = PLUG_CLASS if external else CUP_CLASS
        klass = table[wishes.fit, d.starts > 1]
        why = f"fit {wishes.fit.value}" + (
            "; several starts need room for indexing errors (1.7 × the spacing error)"
            if d.starts > 1
            else ""
        )
    try:
        if wishes.deviation is not None:
            own = limits_with_deviation(d, external, klass, wishes.deviation * 1000)
            why += f"; deviation {wishes.deviation:+g} mm asked for"
        else:
            own = limits(replace(d, tolerance_class=klass), external)
    except ThreadLimitError as e:
        draft.error("thread.class", e.message, e.remedy)
        return None
    draft.decide(
        "thread.class",
        "thread",
        thread_text(own),
        why,
        "ISO 965-1 limits; choice: common practice, no source"
        if d.system == "M"
        else "ASME B1.1 limits; choice: common practice, no source",
    )
    return own if _goes_together(draft, own, part) else None


def form_of(own: ThreadLimits) -> ThreadForm:
    """The thread as modelled: mid-limits, flat root (the internal root between D min and the
    largest that D2 max allows)."""
    major_max = own.major.max if own.external else own.major_max_worst
    major = (_v(own.major.min) + _v(major_max)) / 2
    minor = (_v(own.minor.min) + _v(own.minor.max)) / 2
    pitch = (_v(own.pitch.min) + _v(own.pitch.max)) / 2
    crest, root = (major, minor) if own.external else (minor, major)
    d = own.designation
    return ThreadForm(
        external=own.external,
        starts=d.starts,
        pitch=float(d.pitch),
        left_hand=d.left_hand,
        crest_diameter=crest,
        pitch_diameter=pitch,
        root_diameter=root,
    )


def record(
    draft: Draft, own: ThreadLimits, part: ThreadLimits, engaged: float, order: ThreadOrder
) -> ThreadData:
    """Put the thread's sizes on record. ``engaged``: least full-thread engagement, mm."""
    d = own.designation
    p, src = float(d.pitch), own.source
    add = draft.plain
    c = "thread.class"

    def limit(id: str, kind: Kind, basic: float, band: Band) -> None:
        add(
            id,
            "thread",
            kind,
            basic,
            c,
            src,
            (band.min, band.max),
            own.tolerance_class,
            functional=True,
        )

    if order is ThreadOrder.BLANK:
        return _blank(draft, own, part, engaged)
    limit("thread.major_diameter", Kind.THREAD_MAJOR, own.basic.major, own.major)
    limit("thread.pitch_diameter", Kind.THREAD_PITCH_DIAMETER, own.basic.pitch, own.pitch)
    limit("thread.minor_diameter", Kind.THREAD_MINOR, own.basic.minor, own.minor)
    add("thread.pitch", "thread", Kind.PITCH, p, c, "ISO 68-1" if d.system == "M" else "ASME B1.1")
    if d.starts > 1:  # of one start the pitch says it all
        add("thread.lead", "thread", Kind.LEAD, float(d.lead), c, "Ph = n P")
        add("thread.starts", "thread", Kind.COUNT, d.starts, c, "as the part's thread", unit="")
        if order is ThreadOrder.SINGLE_POINT:
            _spacing(draft, own, part)
    if order is ThreadOrder.SINGLE_POINT:
        _gauge(draft, own)
    return _thread_data(draft, own, part, engaged, order)


def _spacing(draft: Draft, own: ThreadLimits, part: ThreadLimits) -> None:
    """How evenly several starts must stand, from the least play of the pair."""
    screw, nut = (own, part) if own.external else (part, own)
    room = thread_play(screw, nut).pitch_min
    allowed = spacing_limit(room)
    value = f"within {text_of(allowed)} along the axis"
    why = (
        "an error costs 1.732 times itself of the pitch diameter: half of what uses up the least "
        f"play, {text_of(room)}; the other half is left to the part's own starts"
    )
    if allowed < LEAST_SPACING:
        value = "the test piece screws home in every start"
        why = (
            f"the least play on the pitch diameter, {text_of(room)}, leaves nothing that could be "
            "measured, so the test piece decides"
        )
    source = "60° flanks: cot 30°; the halves: common practice, no source"
    draft.decide("thread.spacing", "spacing of the starts", value, why, source)


def _gauge(draft: Draft, own: ThreadLimits) -> None:
    """What a thread costs that no shop has a gauge for, in words."""
    d, name = own.designation, "ring" if own.external else "plug"
    size = replace(d, starts=1, tolerance_class="", left_hand=False).text
    reasons = [
        text
        for text, special in (
            (f"{size} (no size of the standard series)", not in_series(d)),
            (f"{d.starts} starts", d.starts > 1),
            ("a left hand", d.left_hand),
            (f"class {own.tolerance_class}", own.tolerance_class not in STOCK_CLASSES),
        )
        if special
    ]
    if not reasons:
        return
    draft.decide(
        "thread.gauge",
        "thread gauge",
        "special: no shop has it",
        f"no shop has a {name} gauge for {', '.join(reasons)}: made for this order alone it is "
        f"one more thread to cut and to prove. Instruments judge it, or a GO {name} turned to our "
        "drawing, or your part, will do",
        "common practice, no source",
    )


def _blank(draft: Draft, own: ThreadLimits, part: ThreadLimits, engaged: float) -> ThreadData:
    """The thread is left as a plain diameter: the crest's limits of the class."""
    band, size = own.crest, form_of(own).crest_diameter
    d = draft.decide(
        "thread.blank",
        "thread left as a blank",
        f"⌀{text_of(_v(band.min))} to ⌀{text_of(_v(band.max))}",
        f"asked for: the maker cuts {thread_text(own)} himself; the blank has the crest's limits",
        own.source,
    )
    draft.diameter(
        "thread",
        Toleranced(size, _v(band.min), _v(band.max), "blank"),
        d,
        own.source,
        functional=True,
    )
    crest = "blank at the thread's major" if own.external else "bore at the thread's minor"
    # First of the notes: all that is said of the thread behind it is for later.
    draft.notes.insert(
        0,
        f"Thread NOT cut: leave the {crest} diameter for {thread_text(own)}; the customer cuts it.",
    )
    return _thread_data(draft, own, part, engaged, ThreadOrder.BLANK)


def _thread_data(
    draft: Draft, own: ThreadLimits, part: ThreadLimits, engaged: float, order: ThreadOrder
) -> ThreadData:
    p, lead = float(own.designation.pitch), float(own.designation.lead)
    data = ThreadData(
        feature=Feature("thread"),
        limits=own,
        partner=part,
        full_pitches=engaged / p,
        turns_of_lead=engaged / lead,
        order=order.value,
        form=form_of(own),
    )
    draft.threads.append(data)
    draft.decide(
        "thread.engagement",
        "engagement at worst limits",
        f"{data.full_pitches:.1f} full pitches, {data.turns_of_lead:.2f} turns of the lead",
        f"at least {MIN_PITCHES:g} full pitches carry; turns of the lead say how far it screws on",
    )
    return data


def check_engagement(draft: Draft, engaged: float, pitch: float, remedy: str) -> None:
    """Error under three full pitches."""
    if engaged / pitch < MIN_PITCHES:
        draft.error(
            "thread.short",
            f"only {max(engaged, 0) / pitch:.1f} full pitches engage at worst limits "
            f"({max(engaged, 0):.2f} mm), {MIN_PITCHES:g} are needed "
            f"({MIN_PITCHES * pitch - max(engaged, 0):.2f} mm missing)",
            remedy,
        )


def _goes_together(draft: Draft, own: ThreadLimits, part: ThreadLimits) -> bool:
    screw, nut = (own, part) if own.external else (part, own)
    play = thread_play(screw, nut)
    if play.tightest >= -1e-9:
        if play.pitch_min < 0.005 and own.designation.starts > 1:
            draft.warn(
                "thread.indexing",
                f"least play {text_of(play.pitch_min)} mm leaves nothing for indexing errors of "
                f"{own.designation.starts} starts (1.7 × the spacing error)",
                "choose fit 'free' or a class with position f or e",
            )
        return True
    places = {
        "flanks": play.pitch_min,
        "screw's crest": play.outside,
        "nut's crest": play.inside,
    }
    where = min(places, key=lambda k: places[k])
    draft.error(
        "thread.interference",
        f"the mandrel's thread binds in the part at worst limits: {text_of(-play.tightest)} mm "
        f"on diameter at the {where}",
        f"fit 'free', or deviation = {'-' if own.external else ''}{-play.tightest + 0.01:.3f} "
        "more, or measure the part's thread over wires or with a gauge",
    )
    return False


def thread_text(own: ThreadLimits) -> str:
    """Designation with the class that holds, as paper shows it."""
    text = own.designation.text
    return text if own.designation.tolerance_class else f"{text}-{own.tolerance_class}"


def _v(x: float | None) -> float:
    if x is None:
        raise ValueError("no limit")
    return x
