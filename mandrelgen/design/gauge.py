"""Go and not-go thread gauges as turned and ground parts: shape, sizes, what is said on paper.

ISO 1502 gives the limits of the threads. Lengths, handles, steel and finish are choices (common
practice, no source): the standard's own tables of them were not at hand.
"""

from __future__ import annotations

import math
from dataclasses import replace

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import Toleranced, ceil_to, floor_to, text_of
from mandrelgen.design import centres
from mandrelgen.design.draft import COMMON, Draft
from mandrelgen.design.gauge_text import (
    GO,
    MATERIAL,
    NOT_GO,
    cautions,
    marking,
    notes,
    purpose,
    title,
)
from mandrelgen.design.plug import FLANK, ROOT_PASS
from mandrelgen.model.balloon_numbers import reading_order
from mandrelgen.model.callouts import called_out
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import (
    FLANK_HALF_ANGLE,
    Mandrel,
    MandrelKind,
    Ordering,
    ThreadData,
    ThreadForm,
)
from mandrelgen.standards.iso_1502 import Gauge, gauges
from mandrelgen.standards.threads import Band, ThreadLimits

# Thread lengths in pitches: a go gauge covers the thread, a not-go gauge has few turns (choice).
GO_PITCHES, NOT_GO_PITCHES = 8.0, 3.5
# Root flat as a share of the pitch: deeper than the work's crest reaches (choice).
ROOT_FLAT = 1 / 8
HANDLE, HANDLE_LEAST, STEP = 30.0, 8.0, 2.0
RELIEF, CHAMFER = 2.0, 0.5
# A plug goes this far past the end of the work's thread, mm.
BEYOND = 1.0
# A ring's wall round the thread, and the least thickness to hold it by, mm.
WALL, THICK = 8.0, 6.0
ROUGHNESS = 0.4
GROUND = "ground"
# Gauge limits lie on tenths of a micrometre.
PLACES = 4


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose thread a gauge tries: ids of pen, part and end; what paper calls it; how deep an
    internal thread goes (0: not known), mm from the face."""

    pen: str
    part: str
    end: str
    called: str
    depth: float = 0.0


def gauge_pair(work: ThreadLimits, whose: Whose) -> tuple[Mandrel, Mandrel]:
    """The go and the not-go gauge of ``work`` as fixtures of kind ``gauge``: plugs for an internal
    thread, rings for an external one.

    Sizes in mm by ISO 1502. Raises NotHeldError where it holds none (inch threads, pitch-diameter
    tolerances off its table).
    """
    go, no = gauges(work)
    return _gauge(work, go, whose, GO), _gauge(work, no, whose, NOT_GO)


def gauge_form(work: ThreadLimits, sizes: Gauge) -> ThreadForm:
    """The gauge's thread as modelled, at the middle of its limits, root flat of P/8, mm."""
    d = work.designation
    pitch, plug = float(d.pitch), not work.external
    deep = pitch * (0.5 - ROOT_FLAT) / math.tan(math.radians(FLANK_HALF_ANGLE))
    root = sizes.pitch - deep if plug else sizes.pitch + deep
    return ThreadForm(
        external=plug,
        starts=d.starts,
        pitch=pitch,
        left_hand=d.left_hand,
        crest_diameter=sizes.crest,
        pitch_diameter=sizes.pitch,
        root_diameter=root,
    )


def _gauge(work: ThreadLimits, sizes: Gauge, whose: Whose, word: str) -> Mandrel:
    form = gauge_form(work, sizes)
    length = max((GO_PITCHES if word == GO else NOT_GO_PITCHES) * form.pitch, 1.2 * form.lead)
    draft = Draft(f"{word.lower().replace(' ', '-')}-{'plug' if form.external else 'ring'}")
    own = _limits(work, sizes, form, word)
    _decide(draft, work, sizes, form)
    cut = _plug(draft, form, length, whose.depth) if form.external else _ring(draft, form, length)
    draft.decide(
        "thread.length",
        "length of thread",
        f"{text_of(cut / form.pitch, 1)} pitches, {text_of(cut, 2)} mm",
        "a go gauge tries the whole engagement, a not-go gauge few turns, so that errors of pitch "
        "do not hide a worn flank",
    )
    _thread(draft, own, sizes)
    data = ThreadData(
        feature=Feature("thread"),
        limits=own,
        partner=work,
        full_pitches=cut / form.pitch,
        turns_of_lead=cut / form.lead,
        order=GROUND,
        form=form,
    )
    gauge = Mandrel(
        id=draft.where,
        kind=MandrelKind.GAUGE,
        pen=whose.pen,
        part=whose.part,
        end=whose.end,
        title=title(own),
        purpose=purpose(own, whose.called),
        outer=tuple(draft.outer),
        inner=tuple(sorted(draft.inner, key=lambda s: s.z0)),
        characteristics=tuple(draft.characteristics),
        decisions=tuple(draft.decisions),
        ordering=Ordering(MATERIAL, 1, GROUND, marking(own)),
        stations=dict(draft.stations),
        threads=(data,),
        centre_holes=tuple(draft.centre_holes),
        notes=(*notes(data, sizes), *draft.notes),
        cautions=cautions(),
    )
    gauge = replace(gauge, characteristics=tuple(_fine(c) for c in reading_order(gauge)))
    return replace(gauge, characteristics=called_out(gauge))


def _fine(c: Characteristic) -> Characteristic:
    fine = c.kind in (Kind.THREAD_MAJOR, Kind.THREAD_PITCH_DIAMETER, Kind.THREAD_MINOR)
    return replace(c, places=PLACES) if fine else c


def _limits(work: ThreadLimits, sizes: Gauge, form: ThreadForm, word: str) -> ThreadLimits:
    """The gauge's own limits: crest and pitch diameter by ISO 1502; the root only has to clear the
    work's crest."""
    crest = Band(sizes.crest - sizes.crest_half, sizes.crest + sizes.crest_half)
    pitch = Band(sizes.pitch - sizes.pitch_half, sizes.pitch + sizes.pitch_half)
    if form.external:
        major, minor = crest, Band(None, work.minor.min)
    else:
        major, minor = Band(work.major.max, None), crest
    return replace(
        work,
        designation=replace(work.designation, tolerance_class=work.tolerance_class),
        external=form.external,
        tolerance_class=word,
        major=major,
        pitch=pitch,
        minor=minor,
        source=_source(sizes),
        measured=(),
    )


def _source(sizes: Gauge) -> str:
    """Standard and edition, and how well its values are founded here."""
    return f"{sizes.source.partition(',')[0]} ({sizes.basis})"


def _decide(draft: Draft, work: ThreadLimits, sizes: Gauge, form: ThreadForm) -> None:
    worn = "down to" if form.external else "up to"
    draft.decide(
        "thread.limits",
        "gauge limits",
        f"pitch diameter {sizes.pitch:.4f} ± {sizes.pitch_half:.4f}",
        f"for class {work.tolerance_class}: the table's row of a pitch-diameter "
        f"tolerance of {_width(work):g} µm; values {sizes.basis}",
        _source(sizes),
    )
    draft.decide(
        "thread.wear",
        "worn out",
        f"pitch diameter {worn} {sizes.wear:.4f}",
        "a gauge worn past this limit would pass, or refuse, what it should not",
        _source(sizes),
    )
    draft.decide(
        "thread.root",
        "root",
        f"flat of P/8 in the model, ⌀{text_of(form.root_diameter)}",
        "only clears the crest of the work; any form that stays within the limit will do",
    )
    draft.decide("thread.roughness", "flanks", f"Ra {ROUGHNESS:g}", "a ground gauge wears less")


def _width(work: ThreadLimits) -> float:
    assert work.pitch.min is not None
    assert work.pitch.max is not None
    return round((work.pitch.max - work.pitch.min) * 1000, 1)


def _plug(draft: Draft, form: ThreadForm, length: float, depth: float) -> float:
    """Handle, groove, thread, chamfered nose; z = 0 at the handle's front face. Reaches past a
    thread ``depth`` deep. Returns the length of the thread."""
    body = max(ceil_to(form.crest_diameter + STEP, 1.0), HANDLE_LEAST)
    groove = floor_to(form.root_diameter - 2 * ROOT_PASS, 0.1)
    axial = (form.crest_diameter - groove) / 2
    flank = axial / FLANK
    straight = max(RELIEF, ceil_to(depth + BEYOND - length - flank - axial, 0.5))
    start = straight + flank
    # The whole ends on a tenth; what that adds is thread.
    end = ceil_to(start + length + axial, 0.1)
    draft.turn("rear", -HANDLE, -HANDLE + CHAMFER, body - 2 * CHAMFER, body)
    draft.turn("handle", -HANDLE + CHAMFER, 0.0, body)
    draft.turn("relief", 0.0, straight, groove)
    draft.turn("relief.flank", straight, start, groove, form.crest_diameter)
    draft.turn("thread", start, end - axial, form.crest_diameter, thread=form)
    draft.turn("chamfer", end - axial, end, form.crest_diameter, groove)
    for name, z in (("rear", -HANDLE), ("rear.chamfer", -HANDLE + CHAMFER), ("seat", 0.0),
                    ("relief.end", straight), ("thread.end", end)):  # fmt: skip
        draft.station(name, z)
    h = draft.decide("handle.diameter", "handle", f"⌀{text_of(body)} × {text_of(HANDLE)}",
                     "to hold it by, larger than the thread; may be knurled")  # fmt: skip
    draft.chamfer("rear.length", "rear", ("rear", "rear.chamfer"), 45.0,
                  Toleranced.symmetric(CHAMFER, 0.1), h)  # fmt: skip
    draft.general_diameter("handle", body, h)
    draft.length("handle.length", "handle", ("rear", "seat"), None, h)
    r = draft.decide("relief.diameter", "groove behind the thread",
                     f"⌀{text_of(groove)} × {text_of(straight)}, 30°",
                     "lets the wheel or the tool run out below the root"
                     + ("; long enough to reach the end of the work's thread"
                        if straight > RELIEF else ""))  # fmt: skip
    draft.diameter("relief", Toleranced.deviations(groove, -0.2, 0.0), r)
    draft.length("relief.width", "relief", ("seat", "relief.end"), None, r)
    draft.angle("relief.flank.angle", "relief.flank", 30.0, r)
    draft.length("thread.end", "thread", ("seat", "thread.end"), None, "thread.length")
    c = draft.decide("chamfer.diameter", "entry", f"45° down to ⌀{text_of(groove)}",
                     "leads in; the feather edge of the first turn is dressed off")  # fmt: skip
    draft.diameter("chamfer", Toleranced.deviations(groove, -0.2, 0.0), c)
    draft.angle("chamfer.angle", "chamfer", 45.0, c)
    for at, z, face in (("rear", -HANDLE, body - 2 * CHAMFER), ("nose", end, groove)):
        centres.add(draft, at, z, face, "required")
        why = "the thread is ground and measured between centres"
        draft.decisions[-1] = replace(draft.decisions[-1], why=why)
    return end - axial - start


def _ring(draft: Draft, form: ThreadForm, length: float) -> float:
    """A ring threaded through, countersunk at both ends; z = 0 at the rear face, the front is the
    face the work enters. A short thread leaves a counterbore at the rear. Returns the length of
    the thread."""
    mouth = ceil_to(form.root_diameter + 2 * ROOT_PASS, 0.1)
    axial = (mouth - form.crest_diameter) / 2
    body = ceil_to(form.root_diameter + 2 * WALL, 2.0)
    thick = ceil_to(length + 2 * axial, 0.5)
    behind = thick < THICK
    total = THICK if behind else thick
    back = floor_to(total - length - 2 * axial, 0.1) if behind else 0.0
    draft.turn("body", 0.0, total, body)
    if behind:
        draft.bore("counterbore", 0.0, back, mouth)
    draft.bore("countersink.rear", back, back + axial, mouth, form.crest_diameter)
    draft.bore("thread", back + axial, total - axial, form.crest_diameter, thread=form)
    draft.bore("countersink", total - axial, total, form.crest_diameter, mouth)
    draft.station("rear", 0.0)
    draft.station("front", total)
    b = draft.decide("body.diameter", "ring", f"⌀{text_of(body)} × {text_of(total)}",
                     f"a wall of {text_of(WALL)} round the thread stays round when hardened and "
                     "when gripped by hand")  # fmt: skip
    draft.general_diameter("body", body, b)
    draft.length("body.length", "body", ("rear", "front"), None, b)
    s = draft.decide("countersink.diameter", "countersinks", f"⌀{text_of(mouth)}, 45°",
                     "lead in; the feather edges of the first turns are dressed off")  # fmt: skip
    size = Toleranced.deviations(mouth, 0.0, 0.2)
    if behind:
        draft.station("counterbore.end", back)
        draft.diameter("counterbore", size, s)
        draft.length("counterbore.depth", "counterbore", ("rear", "counterbore.end"), None, s)
    else:
        draft.diameter("countersink.rear", size, s)
    draft.angle("countersink.rear.angle", "countersink.rear", 45.0, s)
    draft.diameter("countersink", size, s)
    draft.angle("countersink.angle", "countersink", 45.0, s)
    return total - back - 2 * axial


def _thread(draft: Draft, own: ThreadLimits, sizes: Gauge) -> None:
    d, source = own.designation, own.source
    form_crest = sizes.crest
    root_major = own.basic.major if not own.external else form_crest
    root_minor = own.basic.minor if own.external else form_crest

    def limit(id: str, kind: Kind, nominal: float, band: Band, decision: str, said: str) -> None:
        draft.plain(id, "thread", kind, nominal, decision, said, (band.min, band.max),
                    own.tolerance_class, functional=True)  # fmt: skip

    clear = f"clears the crest of the work; {COMMON}"
    major, minor = (source, clear) if own.external else (clear, source)
    limit("thread.major_diameter", Kind.THREAD_MAJOR, root_major, own.major, "thread.limits", major)
    limit("thread.pitch_diameter", Kind.THREAD_PITCH_DIAMETER, sizes.pitch, own.pitch,
          "thread.limits", source)  # fmt: skip
    limit("thread.minor_diameter", Kind.THREAD_MINOR, root_minor, own.minor, "thread.root"
          if own.external else "thread.limits", minor)  # fmt: skip
    add = draft.plain
    add("thread.pitch", "thread", Kind.PITCH, float(d.pitch), "thread.limits", "ISO 68-1")
    add("thread.lead", "thread", Kind.LEAD, float(d.lead), "thread.limits", "Ph = n P")
    add("thread.starts", "thread", Kind.COUNT, d.starts, "thread.limits", "as the work's thread",
        unit="")  # fmt: skip
    draft.need("thread.roughness", "thread", Kind.ROUGHNESS, ROUGHNESS, "µm", "thread.roughness",
               f"ISO 1302:2002 (Ra); {COMMON}")  # fmt: skip
