"""The shank: nominal equal to a collet on the shelf, filling the collet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from mandrelgen.core.lengths import Length
from mandrelgen.core.tolerance import Toleranced, ceil_to, text_of
from mandrelgen.design import centres, seat
from mandrelgen.design.chosen_tolerances import ROUGHNESS
from mandrelgen.design.draft import Draft
from mandrelgen.design.options import Wishes
from mandrelgen.design.slender import SLENDER
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Stretch
from mandrelgen.spec.pen import CentreHoles
from mandrelgen.spec.shop import ColletSet, Shop
from mandrelgen.standards import iso_286, iso_15488, stock
from mandrelgen.standards.tables import NotHeldError

# Used only when the shop file lists no collets; printed as an assumption.
ASSUMED_SHANK = 12.0
ASSUMED_LENGTH = 40.0
LEAST_FREE = 3.0
# As drawn or ground bar is bought (EN 10278 has h9 for drawn bar, from memory): a collet asks for
# no more. Form, mm: common practice, no source.
SHANK_CLASS = "h9"
FORM, FINE_FORM = 0.015, 0.008
REAR_CHAMFER = 0.5
# A collet whose run-out nobody measured and no standard limits, mm at its own nose (from memory).
UNKNOWN_RUN_OUT, UNKNOWN_AT = 0.03, 30.0
# Where a measured run-out without a distance was taken, mm in front of the collet (assumed).
MEASURED_AT = 25.0


class Grip(NamedTuple):
    """A shank in a collet: shank and collet size, gripping length, room in front, mm.

    ``collet`` is what paper calls the collet; ``system`` its size by ISO 15488 (None: a system of
    another name, or none listed).
    """

    shank: float
    collet: str
    system: iso_15488.ColletSize | None
    size: float
    length: float
    nut: float
    behind: float | None
    run_out: float | None
    run_out_at: float | None


class Reach(NamedTuple):
    """What a collet clamps, mm: ``low`` to ``size``; ``collet`` as paper names it."""

    collet: str
    low: float
    size: float


def reaches(shop: Shop) -> tuple[Reach, ...]:
    """What each collet on the shelf clamps; collets only close."""
    return tuple(
        Reach(f"{s.system}, {size.written}", low, float(size)) for s, size, low in _shelf(shop)
    )


def _shelf(shop: Shop) -> Iterator[tuple[ColletSet, Length, float]]:
    """Every collet with the smallest shank it clamps, mm."""
    for s in shop.collets:
        _, closes = _system(s)
        for size in s.sizes:
            yield (
                s,
                size,
                float(size) - (closes if closes is not None else _iso_closes(float(size))),
            )


def grips(shop: Shop) -> list[Grip]:
    """Every collet on the shelf, at its own size."""
    return [_grip(s, size, float(size)) for s in shop.collets for size in s.sizes]


def _grip(s: ColletSet, size: Length, d: float) -> Grip:
    """A shank of ``d`` mm in one collet of the set."""
    out, at = _run_out(s, float(size))
    return Grip(
        shank=d,
        collet=f"{s.system}, {size.written}",
        system=iso_15488.of_system(s.system),
        size=float(size),
        length=_system(s)[0],
        nut=float(s.nut_length),
        behind=None if s.depth_behind is None else float(s.depth_behind),
        run_out=out,
        run_out_at=at,
    )


def choose(draft: Draft, shop: Shop, wishes: Wishes, wanted: float) -> Grip | None:
    """The collet for a mandrel whose neck is ``wanted`` mm: the next size up, else the largest."""
    shelf = grips(shop)
    if not shelf:
        size = wishes.shank_diameter or ASSUMED_SHANK
        draft.warn(
            "shank.assumed",
            f"no collets are listed in the shop file; a shank of ⌀{size:g} is assumed",
            "list the collet system and sizes in shop.toml",
        )
        return Grip(
            shank=size,
            collet="not known",
            system=None,
            size=size,
            length=ASSUMED_LENGTH,
            nut=0.0,
            behind=None,
            run_out=None,
            run_out_at=None,
        )
    if wishes.shank_diameter is not None:
        return _wished(draft, shop, wishes.shank_diameter)
    # A shoulder must show between shank and neck: lengths are measured from it.
    shelf = [g for g in shelf if abs(g.shank - wanted) >= seat.LEAST_STEP - 1e-9] or shelf
    larger = [g for g in shelf if g.shank >= wanted - 1e-9]
    return min(larger, key=lambda g: g.shank) if larger else max(shelf, key=lambda g: g.shank)


def _wished(draft: Draft, shop: Shop, d: float) -> Grip | None:
    best: tuple[float, Grip] | None = None
    for s, size, low in _shelf(shop):
        if low - 1e-9 <= d <= size + 1e-9 and (best is None or size - d < best[0]):
            best = (float(size) - d, _grip(s, size, d))
    if best is None:
        shelf = ", ".join(text_of(g.size) for g in grips(shop))
        draft.error(
            "shank.no_collet",
            f"no collet on the shelf takes a shank of ⌀{text_of(d)}",
            f"collets only close; sizes on the shelf are {shelf}: choose one of them",
        )
        return None
    if best[0] > 0.02:
        draft.warn(
            "shank.off_size",
            f"⌀{text_of(d)} closes the {text_of(best[1].size)} collet by {text_of(best[0])}",
            "a shank at the collet's own size runs truest",
        )
    return best[1]


def collet_runout(grip: Grip) -> tuple[float, float]:
    """Run-out (TIR) and where in front of the collet it is reckoned, mm."""
    if grip.run_out is None:
        return UNKNOWN_RUN_OUT, UNKNOWN_AT
    return grip.run_out, grip.run_out_at or MEASURED_AT


def collet_said(grip: Grip) -> list[str]:
    """What that stands on."""
    out, at = collet_runout(grip)
    if grip.run_out is None:
        return [f"collet run-out {out:g} at {at:g} in front of it (from memory: nothing known)"]
    if grip.run_out_at is None:
        return [f"collet run-out {out:g} measured, taken at {at:g} in front of it"]
    return [f"collet run-out {out:g} at {at:g} in front of it (ISO 15488)"]


def free_length(grip: Grip, wishes: Wishes, front: float) -> float:
    """Shank in front of the collet's face, mm; ``front``: z where the shank ends."""
    return max(LEAST_FREE, wishes.stand_off + front) + grip.nut


def build(draft: Draft, grip: Grip, wishes: Wishes, rear_centre: bool = True) -> None:
    """Add the shank behind what is there; its front is the draft's present rear, or, where a cup's
    body is the same bar, its seat."""
    front = draft.outer[0].z0
    whole = draft.outer[0].feature == "shank"
    size = iso_286.tolerance(grip.shank, SHANK_CLASS)
    free = free_length(grip, wishes, front)
    length = wishes.shank_length or ceil_to(free + grip.length, 1.0)
    inside = length - free
    _inserted(draft, grip, free, inside)
    draft.station("rear", front - length)
    start = "neck.start" if "neck.start" in draft.stations else _front_station(draft, front)
    over_all = length
    if whole:
        start, over_all = "seat", length + draft.outer.pop(0).z1 - front
    widest = max((max(s.d0, s.d1) for s in draft.outer), default=grip.shank)
    true = form(grip, wishes)
    bar = is_bar(grip.shank, widest, wishes.material, true, draft.settled.roughness)
    _turn(draft, front - length, over_all, grip.shank)
    d = draft.decide(
        "shank.diameter",
        "shank",
        f"⌀{text_of(grip.shank)} {SHANK_CLASS} × {text_of(over_all)}",
        f"nominal equal to the collet's ({grip.collet}), which runs truest at its own size and "
        f"only closes; {text_of(min(inside, grip.length))} of the collet's {text_of(grip.length)} "
        f"are filled; the seat stands {text_of(free - grip.nut - front)} in front of the nut"
        + (f"; {draft.settled.why_shank}" if draft.settled.shank == grip.shank else "")
        + ("; as the bar is bought, not turned" if bar else ""),
        "ISO 15488 sizes; form before class: common practice, no source",
    )
    draft.diameter("shank", size, d, f"ISO 286-2 {SHANK_CLASS}", functional=True)
    draft.length("shank.length", "shank", ("rear", start), None, d)
    draft.need("shank.cylindricity", "shank", Kind.CYLINDRICITY, true, "mm", d, "ISO 1101")
    draft.need(
        "shank.roughness",
        "shank",
        Kind.ROUGHNESS,
        draft.settled.roughness,
        "µm",
        d,
        "ISO 1302:2002 (Ra)",
    )
    draft.notes.append("Shank: no scores lengthwise.")
    # A stout shank is turned without a tailstock, bar not at all.
    slender = not bar and length > SLENDER * grip.shank
    wanted = slender if wishes.centre_holes is None else wishes.centre_holes is CentreHoles.BOTH
    if rear_centre and wanted and not wishes.through_bore:
        centres.add(draft, "rear", front - length, grip.shank - 2 * REAR_CHAMFER)


def _inserted(draft: Draft, grip: Grip, free: float, inside: float) -> None:
    """Enough of the shank in the collet, and no more than there is room for behind it, mm."""
    least = grip.length * iso_15488.LEAST_INSERTED
    if inside < least - 1e-9:
        draft.error(
            "shank.short",
            f"a shank {text_of(free + inside)} long leaves {text_of(inside)} in the collet; "
            f"{text_of(ceil_to(least, 0.1))} (two thirds) are needed",
            f"shank_length = {text_of(ceil_to(free + least, 1))} or more, or a smaller stand_off",
        )
    if grip.behind is not None and inside > grip.length + grip.behind:
        draft.error(
            "shank.long",
            f"{text_of(inside)} of shank behind the nut do not fit: the collet is "
            f"{text_of(grip.length)} long and {text_of(grip.behind)} are free behind it",
            f"shank_length = {text_of(free + grip.length + grip.behind)} or less",
        )


def form(grip: Grip, wishes: Wishes) -> float:
    """Cylindricity asked of a shank, mm: as the maker has it, else as drawn or ground bar has it,
    closer only where the collet is truer than that itself (common practice, no source)."""
    if wishes.shank_form is not None:
        return wishes.shank_form
    return FINE_FORM if collet_runout(grip)[0] < FORM - 1e-9 else FORM


def is_bar(shank: float, widest: float, material: str, true: float, rough: float) -> bool:
    """Whether bar of the shank's size is sold and wide enough for all the rest, as true (form, mm)
    and as smooth (Ra, µm) as is asked, so that the shank stays as it is bought."""
    if shank < widest - 1e-9 or true < FINE_FORM - 1e-9 or rough < ROUGHNESS - 1e-9:
        return False
    try:
        return any(abs(d - shank) < 1e-9 for d in stock.bars(material))
    except NotHeldError:
        return False


def _turn(draft: Draft, rear: float, length: float, d: float) -> None:
    """The shank of ``d`` mm from ``rear``, chamfered."""
    draft.station("rear.chamfer", rear + REAR_CHAMFER)
    draft.outer[:0] = [
        Stretch(
            feature=Feature("rear"), z0=rear, z1=rear + REAR_CHAMFER, d0=d - 2 * REAR_CHAMFER, d1=d
        ),
        Stretch(feature=Feature("shank"), z0=rear + REAR_CHAMFER, z1=rear + length, d0=d, d1=d),
    ]
    size = Toleranced.symmetric(REAR_CHAMFER, 0.2)
    draft.chamfer("rear.chamfer", "rear", ("rear", "rear.chamfer"), 45.0, size, "shank.diameter")


def _front_station(draft: Draft, front: float) -> str:
    for name, z in draft.stations.items():
        if abs(z - front) < 1e-9:
            return name
    raise ValueError("nothing to put the shank behind")


def _system(s: ColletSet) -> tuple[float, float | None]:
    """Gripping length and how far it closes (None: by ISO 15488's practice)."""
    iso = iso_15488.of_system(s.system)
    if iso is not None:
        return float(s.length or iso.body_length), None if s.closes is None else float(s.closes)
    return float(s.length or 0), float(s.closes or 0)


def _iso_closes(size: float) -> float:
    low, high = iso_15488.clamping_range(size)
    return high - low


def _run_out(s: ColletSet, size: float) -> tuple[float | None, float | None]:
    if s.run_out is not None:
        return float(s.run_out), None
    if not s.system.startswith("ISO 15488-"):
        return None, None
    try:
        value = iso_15488.run_out(size, s.run_out_class)
    except NotHeldError:
        return None, None
    return value.value, value.length
