"""A mating dummy of a part's end: a short slice with its threads and bore, at mid-limits."""

from __future__ import annotations

from mandrelgen.design.ends import TappedEnd, plain_holes, tapped_end, tenon_end
from mandrelgen.design.mandrel_thread import form_of
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Stretch
from mandrelgen.spec.pen import End, Part
from mandrelgen.spec.shop import Shop
from mandrelgen.workshop.printing.coupon import PASS
from mandrelgen.workshop.printing.shape import PrintedShape

# Least length of the slice behind a tenon or a bore, and how much bore is kept, mm.
BASE, BORE = 4.0, 12.0
_GROOVE = 0.3


def dummies(part: Part, end: End) -> dict[str, End]:
    """The end's slices by name: the whole end, and, if it carries two threads, one for each (the
    wall between two printed threads is thin)."""
    found = {"dummy": end}
    if end.external is not None and end.internal is not None:
        found["dummy-tenon"] = end.model_copy(update={"internal": None, "bore": ()})
        found["dummy-mouth"] = end.model_copy(update={"external": None})
    return found


def dummy(part: Part, end: End, shop: Shop) -> PrintedShape:
    """The end's slice, its mouth or tenon upwards, bed at the cut. Raises ThreadLimitError or
    NotHeldError as the standards do."""
    top = float(end.external.length) if end.external is not None else 0.0
    inner = _inside(part, end, shop)
    depth = -inner[0].z0 if inner else 0.0
    body = -max(BASE, depth - top)
    through = tuple(_moved(s, top) for s in inner)
    if inner and through[0].z0 > body + 1e-9:
        through = (
            Stretch(
                feature=Feature("bore"), z0=body, z1=through[0].z0, d0=inner[0].d0, d1=inner[0].d0
            ),
            *through,
        )
    outer = (
        Stretch(
            feature=Feature("body"), z0=body, z1=0.0, d0=float(end.diameter), d1=float(end.diameter)
        ),
    )
    if end.external is None:
        return PrintedShape(outer, through)
    return PrintedShape((*outer, *_tenon(end, shop)), through)


def _moved(s: Stretch, by: float) -> Stretch:
    return Stretch(feature=s.feature, z0=s.z0 + by, z1=s.z1 + by, d0=s.d0, d1=s.d1, thread=s.thread)


def _tenon(end: End, shop: Shop) -> tuple[Stretch, ...]:
    """Shoulder at z = 0: what the die leaves unformed, a narrow groove, the thread, its chamfer."""
    tenon = tenon_end(end, shop)
    form, length = form_of(tenon.thread), tenon.length.nominal
    crest, groove = form.crest_diameter, form.root_diameter - 2 * PASS
    rise = (crest - groove) / 2
    start = max(tenon.unformed_max, rise + _GROOVE)
    foot = start - rise - _GROOVE
    out = (
        [Stretch(feature=Feature("tenon.shoulder"), z0=0.0, z1=foot, d0=crest, d1=crest)]
        if foot > 0.05
        else []
    )
    z = foot if out else 0.0
    return (
        *out,
        Stretch(feature=Feature("tenon.groove"), z0=z, z1=start - rise, d0=groove, d1=groove),
        Stretch(feature=Feature("tenon.flank"), z0=start - rise, z1=start, d0=groove, d1=crest),
        Stretch(
            feature=Feature("tenon.thread"),
            z0=start,
            z1=length - rise,
            d0=crest,
            d1=crest,
            thread=form,
        ),
        Stretch(feature=Feature("tenon.chamfer"), z0=length - rise, z1=length, d0=crest, d1=groove),
    )


def _inside(part: Part, end: End, shop: Shop) -> tuple[Stretch, ...]:
    """From the deepest point up to the mouth at z = 0; through the slice."""
    if end.internal is None:
        holes, _, _ = plain_holes(part, end, shop)
        if not holes:
            return ()
        first = holes[0]
        depth = min(first.end, BORE)
        return (
            Stretch(
                feature=Feature("bore"), z0=-depth, z1=0.0, d0=first.size.mid, d1=first.size.mid
            ),
        )
    tapped = tapped_end(part, end, shop)
    return _tapped(tapped)


def _tapped(t: TappedEnd) -> tuple[Stretch, ...]:
    form = form_of(t.thread)
    crest, wide = form.crest_diameter, form.root_diameter + 2 * PASS
    rise = (wide - crest) / 2
    counter = t.counterbore
    mouth = counter.end if counter is not None else 0.0
    first, last = -(mouth + rise), -max(t.full_min, mouth + rise + 3 * form.pitch)
    behind = [h for h in t.holes if h.end > -last + rise + _GROOVE]
    out: list[Stretch] = []
    low = last - rise
    if behind:
        d = behind[0].size.mid
        groove = low - _GROOVE
        out.append(
            Stretch(
                feature=Feature("bore"),
                z0=max(groove - BORE, -behind[0].end - _GROOVE),
                z1=groove,
                d0=d,
                d1=d,
            )
        )
        out.append(Stretch(feature=Feature("relief"), z0=groove, z1=low, d0=wide, d1=wide))
    out.append(Stretch(feature=Feature("relief.flank"), z0=low, z1=last, d0=wide, d1=crest))
    out.append(
        Stretch(feature=Feature("thread"), z0=last, z1=first, d0=crest, d1=crest, thread=form)
    )
    out.append(Stretch(feature=Feature("countersink"), z0=first, z1=-mouth, d0=crest, d1=wide))
    if counter is not None:
        d = max(counter.size.mid, wide)
        out.append(Stretch(feature=Feature("counterbore"), z0=-mouth, z1=0.0, d0=d, d1=d))
    return tuple(out)
