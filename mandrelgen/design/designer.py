"""One planned mandrel: every choice in the order a turner makes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial

from mandrelgen.core.tolerance import ceil_to, text_of
from mandrelgen.design import (
    cup,
    cup_body,
    ends,
    held,
    plug,
    process,
    seat,
    shank,
    spigot,
    stock_taps,
    threadless,
)
from mandrelgen.design.cautions import cautions
from mandrelgen.design.chosen_tolerances import ToleranceChoice, asked, settle
from mandrelgen.design.designed import Designed
from mandrelgen.design.draft import COMMON, Draft
from mandrelgen.design.options import TURNERS, Wishes, merge
from mandrelgen.design.plan import Hold, Planned, far_end
from mandrelgen.model.balloon_numbers import reading_order
from mandrelgen.model.callouts import called_out
from mandrelgen.model.mandrel import Flats, Mandrel, MandrelKind, Ordering
from mandrelgen.spec.pen import MandrelType, Pen, ThreadOrder
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.standards.material_names import spoken
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.threads import ThreadLimitError

Made = Callable[[Planned, ToleranceChoice], Designed]
"""A mandrel of one pen in one shop, with these tolerances."""


def designer(pen: Pen, shop: Shop) -> Made:
    """:func:`design_one` of a pen in a shop: what was designed with these tolerances before is not
    designed again, so that ends can be compared and choices tried without counting the cost."""
    return cache(partial(design_one, pen, shop))


def design_one(pen: Pen, shop: Shop, p: Planned, settled: ToleranceChoice) -> Designed:
    """One mandrel with the tolerances of ``settled``, not judged."""
    wishes = settle(merge(p.request, pen.mandrels.defaults, shop), settled)
    if p.kind is MandrelType.BUTTON:
        # The wishes are its mandrel's; a button has no shank, flats or bore of its own.
        wishes = replace(wishes, through_bore=0.0, flats=False, soft_washer=0.0)
    draft = _begun(pen, p, wishes, settled)
    grip: shank.Grip | None = None
    try:
        ok = _end(draft, pen, shop, p.kind, p.hold, wishes)
        if ok and p.kind is not MandrelType.BUTTON:
            grip = shank.choose(draft, shop, wishes, draft.outer[0].d0)
            if grip is not None:
                single = p.other is None
                body = cup_body.beside(draft, grip, wishes, single=single, taps=shop.taps)
                if body is not None:
                    draft = _begun(pen, p, wishes, settled)
                    again = replace(wishes, body=body, shank_diameter=grip.shank)
                    ok = _end(draft, pen, shop, p.kind, p.hold, again)
                    grip = shank.choose(draft, shop, again, grip.shank)
            if grip is not None:
                seat.meet_shank(draft, grip.shank, wishes)
            ok = ok and grip is not None and _shank(draft, pen, shop, p, grip, wishes)
        elif ok:
            _nose(draft, p.hold, wishes, draft.outer[0].d0)
        ok = ok and _through(draft, wishes)
        if ok:
            value, why = process.said([*process.demands(draft.characteristics, draft.threads)])
            draft.decide("process", "what it takes to make", value, why, COMMON)
    except (NotHeldError, ThreadLimitError, ThreadTextError) as e:
        draft.error("standard.not_held", e.message, e.remedy)
        ok = False
    findings = tuple(draft.findings)
    if not ok or draft.failed:
        return Designed(
            planned=p, mandrel=None, findings=findings, grip=grip, wishes=wishes, settled=settled
        )
    return Designed(
        planned=p,
        mandrel=_assemble(draft, pen, p, wishes, grip),
        findings=findings,
        grip=grip,
        wishes=wishes,
        settled=settled,
    )


def _begun(pen: Pen, p: Planned, wishes: Wishes, settled: ToleranceChoice) -> Draft:
    """A draft that says what is held and what it is made of."""
    draft = Draft(p.id, settled=asked(wishes, settled))
    draft.decide("holding", "what is held", f"{p.hold.text}, by {p.hold.by}", p.why)
    _material(draft, wishes)
    if p.kind is not MandrelType.BUTTON and wishes.tailstock_button and far_end(pen, p) is None:
        draft.warn(
            "button.closed",
            f"a tailstock button is asked for, but no other end of {p.hold.part} is open",
            "leave a pip on the closed end, centre it, and take it off last without the tailstock",
        )
    return draft


def _material(draft: Draft, wishes: Wishes) -> None:
    """What it is made of, and why."""
    why = "asked for"
    if not wishes.material_asked and wishes.thread_order in TURNERS:
        why = (
            "the turner's own tools cut it: free-machining stainless does not rust after wet "
            "sanding and leaves no grey on pale resin"
        )
    elif not wishes.material_asked:
        why = "the maker's own die or tap cuts brass, and tears or chips in steel"
    draft.decide("material", "material", spoken(wishes.material), why, COMMON)


def _end(draft: Draft, pen: Pen, shop: Shop, kind: MandrelType, hold: Hold, wishes: Wishes) -> bool:
    """Build one working end for ``hold``."""
    part = pen.parts[hold.part]
    end = part.ends[hold.end]
    ok = False
    if hold.by != "external":
        wishes = stock_taps.screwcut(wishes)
    if hold.by == "internal" and end.internal is not None:
        ok = plug.build(draft, ends.tapped_end(part, end, shop), wishes, shop.dies)
    elif hold.by == "external" and end.external is not None:
        ok = cup.build(draft, ends.tenon_end(end, shop), wishes, shop.taps)
    elif hold.by == "bore":
        holes, bottom, _ = ends.plain_holes(part, end, shop)
        cap, inner = ends.passage(end, holes, shop)
        build: Callable[..., bool] = (
            threadless.build_button if kind is MandrelType.BUTTON else threadless.build
        )
        ok = build(draft, holes, bottom, ends.face_ring(end, inner, shop), cap, wishes)
    else:
        draft.error(
            "hold.no_thread",
            f"{hold.text} has no {hold.by} thread",
            "name another end in 'holds', or give that end its thread",
        )
    if ok:
        if kind is not MandrelType.BUTTON:
            seat.give_corner(draft)
        draft.held.append(held.outline(hold.part, part, end, hold.by, wishes.soft_washer))
    return ok


def _shank(
    draft: Draft, pen: Pen, shop: Shop, p: Planned, grip: shank.Grip, wishes: Wishes
) -> bool:
    _nose(draft, p.hold, wishes, grip.shank)
    if p.other is None:
        shank.build(draft, grip, wishes)
        return not draft.failed
    second = Draft(draft.where, findings=draft.findings, settled=draft.settled)
    # Flats stand at the first end only.
    if not _end(second, pen, shop, p.kind, p.other, replace(wishes, flats=False)):
        return False
    _nose(second, p.other, wishes, grip.shank)
    widest = max(s.d0 for d in (draft, second) for s in d.outer)
    if widest > grip.shank - 0.1 + 1e-9:
        draft.error(
            "double.wide",
            f"the end that is not in use passes through the collet, but it is "
            f"⌀{text_of(widest)} and the shank ⌀{text_of(grip.shank)}",
            f"a shank of ⌀{text_of(ceil_to(widest + 0.1, 0.5))} or more, or two mandrels",
        )
        return False
    shank.build(draft, grip, wishes, rear_centre=False)
    _join(draft, second)
    return not draft.failed


def _nose(draft: Draft, hold: Hold, wishes: Wishes, shank: float) -> None:
    """A cup's free end is its seat; any other may be slender."""
    if hold.by != "external":
        spigot.nose_centre(draft, wishes, shank)


def _join(draft: Draft, second: Draft) -> None:
    """Put the second end behind the shank, mirrored."""
    rear = draft.outer[0].z0
    draft.outer[:] = [s for s in draft.outer if s.feature != "rear"]
    shank_stretch = draft.outer[0]
    draft.outer[0] = replace(shank_stretch, z0=rear, thread=None)
    draft.stations.pop("rear.chamfer")
    draft.characteristics[:] = [c for c in draft.characteristics if c.feature != "rear"]
    b = second.mirrored(rear + second.outer[0].z0)
    draft.outer[:0] = b.outer
    draft.inner[:0] = b.inner
    draft.stations |= b.stations
    draft.characteristics += b.characteristics
    draft.decisions += b.decisions
    draft.threads += b.threads
    draft.centre_holes += b.centre_holes
    draft.held += b.held
    draft.notes += b.notes


def _through(draft: Draft, wishes: Wishes) -> bool:
    """A through bore, if wanted and if the walls stand it."""
    if not wishes.through_bore:
        return True
    d = wishes.through_bore
    z0, z1 = draft.outer[0].z0, draft.outer[-1].z1
    inner = sorted(draft.inner, key=lambda s: s.z0)
    front = inner[0].z0 if inner else z1
    thinnest = min((min(s.d0, s.d1) for s in draft.outer if s.z0 < front), default=0.0)
    wall = (thinnest - 0.4 - d) / 2
    if wall < 1.0:
        draft.error(
            "bore.wall",
            f"a through bore of ⌀{text_of(d)} leaves a wall of {text_of(wall)}; 1 is needed",
            f"through_bore = {text_of(max(thinnest - 2.4, 0))} or less",
        )
        return False
    why = draft.decide(
        "bore.diameter",
        "through bore",
        f"⌀{text_of(d)}",
        "asked for (knock-out rod); use the rod with the spindle stopped and never let it project",
    )
    draft.bore("bore", z0, front, d)
    draft.general_diameter("bore", d, why)
    return True


def _assemble(
    draft: Draft, pen: Pen, p: Planned, wishes: Wishes, grip: shank.Grip | None
) -> Mandrel:
    part = pen.parts[p.hold.part]
    name = part.name or p.hold.part
    what = {"internal": "internal thread", "external": "tenon", "bore": "bore"}[p.hold.by]
    mandrel = Mandrel(
        id=p.id,
        kind=MandrelKind(p.kind.value),
        pen=pen.pen.id,
        part=p.hold.part,
        end=p.hold.end,
        title=f"{KIND_TITLE[p.kind]} for {name.lower()}",
        purpose=f"Holds the {name.lower()} of pen '{pen.pen.name}' by its {what} at the "
        f"{p.hold.end} for turning and polishing its outside.",
        outer=tuple(draft.outer),
        inner=tuple(sorted(draft.inner, key=lambda s: s.z0)),
        characteristics=tuple(draft.characteristics),
        decisions=tuple(draft.decisions),
        ordering=Ordering(
            material=wishes.material,
            quantity=wishes.quantity,
            thread_order=_ordered(draft, wishes).value,
            marking=wishes.marking,
            soft_washer=wishes.soft_washer,
            collet=grip.collet if grip else "",
        ),
        stations=dict(draft.stations),
        threads=tuple(draft.threads),
        centre_holes=tuple(draft.centre_holes),
        flats=Flats(*draft.flats) if draft.flats else None,
        held=tuple(draft.held),
        notes=(*_setting(p.kind, draft), *draft.notes),
        cautions=cautions(wishes.material, draft),
    )
    mandrel = replace(mandrel, characteristics=reading_order(mandrel))
    return replace(mandrel, characteristics=called_out(mandrel))


def _ordered(draft: Draft, wishes: Wishes) -> ThreadOrder:
    """How the threads are ordered as they stand; where a double's two differ, as the first."""
    if wishes.thread_order not in TURNERS:
        return wishes.thread_order
    found = [ThreadOrder(t.order) for t in draft.threads]
    return found[0] if found else ThreadOrder.SINGLE_POINT


KIND_TITLE = {
    MandrelType.PLUG: "Plug mandrel",
    MandrelType.CUP: "Cup mandrel",
    MandrelType.SPIGOT: "Spigot mandrel",
    MandrelType.DOUBLE_ENDED: "Double mandrel",
    MandrelType.BUTTON: "Tailstock button",
}


def _setting(kind: MandrelType, draft: Draft) -> tuple[str, ...]:
    """Which of the features it has a mandrel gets in one setting."""
    if kind is MandrelType.BUTTON:
        return ()
    have = {s.feature.word for s in (*draft.outer, *draft.inner)}
    named = [n for n in ("thread", "counterbore", "register", "spigot") if n in have] + ["seat"]
    if named[0] == "thread" and all(t.order == ThreadOrder.BLANK for t in draft.threads):
        named[0] = "thread's blank"
    text = f"{', '.join(named[:-1])} and {named[-1]} finished in one setting."
    setting = f"Each end: {text}" if kind is MandrelType.DOUBLE_ENDED else text.capitalize()
    return (setting, f"Seat: {seat.edges(draft)}, so that it bears in full.")
