"""What may mend a finding about a mandrel, as changes of the pen file; tried by the workflow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import islice

from mandrelgen.assess.pen_joints import Passage
from mandrelgen.assess.pen_places import Place, set_outside
from mandrelgen.core.errors import Change, Finding, Level, Path, Remedy, Value
from mandrelgen.core.tolerance import ceil_to, floor_to, text_of
from mandrelgen.design import thread_relief
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Hold, possible_holds
from mandrelgen.design.seat import LEAST_CLEARANCE, PLUG_CLEARANCES
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.budget import NEIGHBOUR
from mandrelgen.mechanics.practice import assumed
from mandrelgen.mechanics.remedy import DEPTH_STEP
from mandrelgen.mechanics.tailstock import Allowed
from mandrelgen.spec.pen import Bottom, End, FarEnd, Fit, Manner, Pen, ThreadOrder
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.materials import material

STEEL, BRASS = "11SMn30", "CW614N"
# Metals this stiff are steels, MPa.
STEEL_FROM = 150_000.0
SEVERAL = 2
WIDTH_STEP = 0.05
MOST = 3


def proposed(f: Finding, v: Assessment, d: Designed, pen: Pen, shop: Shop) -> tuple[Remedy, ...]:
    """At most three changes, the likeliest first; none twice, whatever number of causes asks it."""
    if f.level is Level.NOTE:
        return ()
    hold = d.planned.other if f.where.endswith(", end B") and d.planned.other else d.planned.hold
    kind = f.code.removeprefix("use.")
    rows = _ROWS.get(kind)
    return () if rows is None else tuple(islice(dict.fromkeys(rows(v, d, hold, pen, shop)), MOST))


def of_design(f: Finding, d: Designed, pen: Pen, passages: Iterable[Passage]) -> tuple[Remedy, ...]:
    """What may mend what the designer found: a wish that cannot be met is taken back, a ring that
    leaves the seat, a cup's wall or the tool no room gets it, a groove asked for is left out where
    it takes the room."""
    from mandrelgen.assess import relief_remedies

    hold = d.planned.other if f.where.endswith(", end B") and d.planned.other else d.planned.hold
    if f.code == "button.closed":
        return (_one(option_path(d, pen, "tailstock_button"), False, f"no button: {f.remedy}"),)
    if f.code == "spigot.not_possible":
        return (_one(option_path(d, pen, "spigot_length"), 0.0, "no spigot"),)
    if f.code == "seat.clearance":
        lacks = LEAST_CLEARANCE - min(PLUG_CLEARANCES)
        return (
            *relief_remedies.without(hold, d, pen),
            *_wider(hold, pen, lacks),
            *_sharper(hold, pen, lacks),
        )
    if f.code == thread_relief.NOT_MET:
        return tuple(relief_remedies.grooved(d, pen))
    if f.code in ("seat.none", "wall.thin") and f.value is not None:
        from mandrelgen.assess.smaller_thread import smaller_thread

        # As wide as leaves the tool its usual room, so that no warning follows; then what would do.
        roomy = f.value + LEAST_CLEARANCE - min(PLUG_CLEARANCES)
        return (
            *relief_remedies.without(hold, d, pen),
            *_other_end(d, pen),
            *_wider(hold, pen, roomy),
            *smaller_thread(hold, pen, f.value, passages),
            *_sharper(hold, pen, f.value),
            *(replace(r, lesser=True) for r in _wider(hold, pen, f.value)),
        )
    return ()


def _other_end(d: Designed, pen: Pen) -> Iterator[Remedy]:
    """Another end to hold the part by, where nobody said which: it changes nothing of the pen."""
    p = d.planned
    if p.request is not None or p.other is not None or p.hold.part in pen.mandrels.hold:
        return
    ends = pen.parts[p.hold.part].ends
    for h in possible_holds(pen, p.hold.part):
        if h.end != p.hold.end and ends[h.end].visible_face <= ends[p.hold.end].visible_face:
            yield _one(("mandrels", "hold", h.part), h.end, f"hold {h.part} by its {h.end}")


def _sharper(hold: Hold, pen: Pen, lacks: float) -> Iterator[Remedy]:
    """Less of the edge broken, where that alone gives the ring what it lacks a side."""
    left = floor_to(float(pen.parts[hold.part].ends[hold.end].edge_break) - lacks, 0.05)
    if left > 0:
        path = ("parts", hold.part, "ends", hold.end, "edge_break")
        yield Remedy(
            (Change(path, left),), f"break the edge of {hold.text} by {text_of(left)} at most"
        )


def _wider(hold: Hold, pen: Pen, lacks: float) -> Iterator[Remedy]:
    """The outside at the seat larger by what is lacking a side, mm; the next step too, since a
    collar's size is rounded down."""
    part = pen.parts[hold.part]
    now = float(part.ends[hold.end].diameter)
    place = Place(hold.part, hold.end)
    first = ceil_to(now + 2 * lacks, WIDTH_STEP)
    for size in (first, ceil_to(first + WIDTH_STEP, WIDTH_STEP)):
        yield set_outside(place, place.key("diameter"), size, float(part.diameter))


def own_tool(d: Designed, pen: Pen) -> Iterator[Finding]:
    """A die or tap made for resin does not cut several starts in steel."""
    w, m = d.wishes, d.mandrel
    if w is None or m is None or w.thread_order is not ThreadOrder.MY_TOOL or not m.threads:
        return
    own = material(m.ordering.material)
    thread = m.threads[0].limits.designation
    if own.kind != "metal" or own.youngs_modulus < STEEL_FROM or thread.starts < SEVERAL:
        return
    yield Finding(
        level=Level.WARNING,
        code="thread.own_tool",
        where=d.planned.id,
        message=f"cut with your own tool in {own.name}: a tool for {thread.starts} starts made "
        "for resin "
        "tears, chips or breaks in steel",
        remedy="brass, or have it screwcut",
        remedies=(
            Remedy((Change(option_path(d, pen, "material"), BRASS),), "of brass"),
            Remedy(
                (Change(option_path(d, pen, "thread_order"), ThreadOrder.SINGLE_POINT.value),),
                "screwcut",
            ),
        ),
        parts=(d.planned.id,),
    )


# -- where a wish stands in the pen file -----------------------------------------------------------
def _request(d: Designed, pen: Pen) -> Path | None:
    for i, r in enumerate(pen.mandrels.requests):
        if r is d.planned.request:
            return ("mandrels", "requests", i)
    return None


def option_path(d: Designed, pen: Pen, key: str) -> Path:
    """Where an option of a mandrel stands in the pen file: its own request, else the defaults."""
    own = _request(d, pen)
    return (*own, key) if own else ("mandrels", "defaults", key)


def _use(d: Designed, pen: Pen, key: str) -> Path:
    own = _request(d, pen)
    return (*own, "use", key) if own else ("mandrels", "use", key)


def _one(path: Path, value: Value | None, says: str) -> Remedy:
    return Remedy((Change(path, value),), says)


# -- by what was found -----------------------------------------------------------------------------
def _bears(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    c = v.capacity
    if c is None:
        return
    up = _one(_use(d, pen, "tailstock"), True, "the tailstock up for finishing too")
    if c.judged.spot.of_mandrel:
        own = material(v.material)
        if own.kind != "metal" or own.yield_strength < material(STEEL).yield_strength:
            yield _one(option_path(d, pen, "material"), STEEL, f"of {material(STEEL).name}")
        if d.wishes is not None and d.wishes.stand_off > 2:
            shorter = floor_to(d.wishes.stand_off / 2, 1.0)
            says = f"a stick-out of {text_of(shorter)} from the collet nut"
            yield _one(option_path(d, pen, "stand_off"), shorter, says)
    takes = c.far_end is not Allowed.NO
    if shop.lathe.tailstock and not v.tailstock and takes:
        yield up
    if shop.lathe.tailstock and not v.tailstock and not takes:
        button = Change(_use(d, pen, "far_end"), FarEnd.BUTTON.value)
        yield Remedy((button,), "a button for the far end, the tailstock up for roughing")
        yield Remedy((button, *up.changes), "a button for the far end, the tailstock up")
    if not v.finish_only:
        yield _one(_use(d, pen, "finish_only"), True,
                   "rough it before, on the rod: only finishing cuts on the mandrel")  # fmt: skip
    yield from _thicker(v, hold, pen)


def _thicker(v: Assessment, hold: Hold, pen: Pen) -> Iterator[Remedy]:
    """A larger outside at the end that is held, by the share that is lacking (strength grows with
    the cube, so a third of it would do; the thread stays)."""
    c = v.capacity
    if c is None or c.judged.spot.of_mandrel:
        return
    end = pen.parts[hold.part].ends[hold.end]
    if end.external is not None or c.judged.force <= 0:
        return
    lack = c.asked / c.judged.force
    outer = ceil_to(float(end.diameter) + (float(end.diameter) - c.judged.spot.section.inner)
                    * (lack - 1), 0.05)  # fmt: skip
    path = ("parts", hold.part, "ends", hold.end, "diameter")
    yield _one(path, outer, f"⌀{text_of(outer)} outside there")


def _step(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    """The largest causes first; a joint's own play is changed by no mandrel."""
    for share in v.truth.step.budget.shares:
        cause = share.cause.id
        if cause.startswith("joint."):
            continue
        theirs = cause.startswith(NEIGHBOUR)
        at = hold if not theirs else _neighbour(v, hold, pen)
        if at is None:
            continue
        yield from _truer(cause.removeprefix(NEIGHBOUR), d, at, pen)


def _neighbour(v: Assessment, hold: Hold, pen: Pen) -> Hold | None:
    from mandrelgen.spec.joints import joints

    for j in joints(pen):
        if str(j.id) == v.truth.step.joint:
            other = j.internal if j.external.part == hold.part else j.external
            # A part with both threads at one end is held by the inner one.
            held = pen.parts[other.part].ends[other.end].internal is not None
            return Hold(other.part, other.end, "internal" if held else "external")
    return None


def _truer(cause: str, d: Designed, at: Hold, pen: Pen) -> Iterator[Remedy]:
    end = pen.parts[at.part].ends.get(at.end)
    if end is None:
        return
    way: Path = ("parts", at.part, "ends", at.end)
    if cause == "part.face" and end.face_made is not Manner.SINGLE_POINT:
        says = f"face {at.part} in the setting that cuts its thread"
        yield _one((*way, "face_made"), Manner.SINGLE_POINT.value, says)
    elif cause == "part.thread":
        side, spec = _held_thread(end, at.by)
        if spec is Manner.FREEHAND:
            says = f"guide the tap or die of {at.part} from the tailstock"
            yield _one((*way, side, "made"), Manner.GUIDED.value, says)
        elif spec is Manner.GUIDED:
            says = f"screwcut the thread of {at.part}"
            yield _one((*way, side, "made"), Manner.SINGLE_POINT.value, says)
    elif cause == "thread.pitch_diameter":
        yield _one(option_path(d, pen, "fit"), Fit.CLOSE.value, "fit 'close'")
    elif cause == "part.bore" and end.bore:
        last = len(end.bore) - 1
        says = f"ream the bore of {at.part}"
        yield _one((*way, "bore", last, "made"), Manner.REAMED.value, says)


def _held_thread(end: End, by: str) -> tuple[str, Manner | None]:
    if by == "internal" and end.internal is not None:
        return "internal", end.internal.made
    if by == "external" and end.external is not None:
        return "external", end.external.made
    return by, None


def _free(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    yield _one(option_path(d, pen, "fit"), Fit.FREE.value, "fit 'free'")
    if d.wishes is not None and d.wishes.spigot_length:
        yield _one(option_path(d, pen, "spigot_length"), 0, "no spigot")


def _waxed(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    value = assumed("friction", "waxed").value
    yield _one(_use(d, pen, "seat_friction"), value, f"wax the seat (friction {value:g})")


def _flats(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    yield _one(option_path(d, pen, "flats"), True, "spanner flats")


def _far(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    for end in (FarEnd.BUTTON, FarEnd.PIP):
        yield _one(_use(d, pen, "far_end"), end.value, f"a {end} for the far end")


def _up(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    if shop.lathe.tailstock:
        yield _one(_use(d, pen, "tailstock"), True, "the tailstock up all the time")


def _away(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    yield _one(_use(d, pen, "tailstock"), False, "without the tailstock")


def _metal(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    s = v.speed
    if s is not None and v.wanted_speed is not None and v.wanted_speed > s.governing.speed:
        slower = int(floor_to(s.governing.speed, 10.0))
        yield _one(_use(d, pen, "speed"), slower, f"{slower:,} rpm")
    if material(v.material).kind != "metal":
        yield _one(option_path(d, pen, "material"), BRASS, "of brass")


def _engaged(v: Assessment, d: Designed, hold: Hold, pen: Pen, shop: Shop) -> Iterator[Remedy]:
    """A longer thread by the share that is lacking; a stronger mandrel."""
    weak = min((c for c in v.checks if not c.passes), key=lambda c: c.factor / c.asked)
    end = pen.parts[hold.part].ends[hold.end]
    thread = d.mandrel.threads[0] if d.mandrel is not None and d.mandrel.threads else None
    if thread is not None and 0 < weak.factor < weak.asked:
        pitch = float(thread.limits.designation.pitch)
        more = ceil_to(
            thread.full_pitches * pitch * (weak.asked / weak.factor - 1) + pitch / 2, 0.5
        )
        way: Path = ("parts", hold.part, "ends", hold.end, hold.by)
        key, now = "", None
        if hold.by == "internal" and end.internal is not None:
            key, now = "depth", end.internal.depth
        elif hold.by == "external" and end.external is not None:
            key, now = "length", end.external.length
        if now is not None:
            longer = ceil_to(float(now) + more, DEPTH_STEP)
            at = f"{hold.part}.{hold.end}"
            says = (
                f"tap {at} {text_of(longer)} deep (now {text_of(float(now))})"
                if key == "depth"
                else f"make the tenon of {at} {text_of(longer)} long (now {text_of(float(now))})"
            )
            yield _one((*way, key), longer, says)
            if hold.by == "external":
                yield from _tenon_and_hole(hold, pen, longer, more)
    if material(v.material).kind != "metal":
        yield _one(option_path(d, pen, "material"), BRASS, "of brass")
    yield _one(option_path(d, pen, "fit"), Fit.CLOSE.value, "fit 'close'")


def _tenon_and_hole(hold: Hold, pen: Pen, longer: float, more: float) -> Iterator[Remedy]:
    """A tenon ``longer`` by ``more`` mm, its part too so that as much stands out as before, and the
    hole that it screws into as much deeper."""
    from mandrelgen.spec.joints import EndRef, joints

    mates = [j.internal for j in joints(pen) if j.external == EndRef(hold.part, hold.end)]
    changes = [
        Change(("parts", hold.part, "ends", hold.end, "external", "length"), longer),
        Change(("parts", hold.part, "length"), float(pen.parts[hold.part].length) + more),
    ]
    for m in mates:
        end = pen.parts[m.part].ends[m.end]
        spec, way = end.internal, ("parts", m.part, "ends", m.end)
        if spec is None:
            return
        key = "depth" if spec.depth is not None else "full_thread"
        tapped = float(getattr(spec, key))
        changes.append(Change((*way, "internal", key), tapped + more))
        changes += [
            Change((*way, "bore", i, "depth"), float(b.depth) + more)
            for i, b in enumerate(end.bore)
            if float(b.depth) < tapped + more and end.bottom is not Bottom.THROUGH
        ]
    if mates:
        where = " and ".join(str(m) for m in mates)
        says = (
            f"make the tenon of {hold.part}.{hold.end} {text_of(longer)} long, and {where} "
            f"{text_of(more)} deeper for it"
        )
        yield Remedy(tuple(changes), says)


_ROWS = {
    "mandrel_weak": _bears,
    "part_weak": _bears,
    "step": _step,
    "locators": _free,
    "binds": _free,
    "spacing": _free,
    "no_centring": _waxed,
    "flats": _flats,
    "far_end": _far,
    "taper": _up,
    "locking": _up,
    "tailstock": _away,
    "speed": _metal,
    "strip": _engaged,
    "lip": _engaged,
    "seat": _engaged,
    "tension": _engaged,
    "tenon": _engaged,
}
