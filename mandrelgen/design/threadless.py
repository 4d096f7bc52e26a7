"""Ends without a thread: the plain-spigot mandrel and the tailstock button."""

from __future__ import annotations

from mandrelgen.core.tolerance import Toleranced, floor_to, text_of
from mandrelgen.design import centres, seat, spigot
from mandrelgen.design.draft import COMMON, Draft
from mandrelgen.design.ends import Hole, Ring
from mandrelgen.design.options import Wishes
from mandrelgen.model.characteristic import Kind

UNDERCUT_WIDTH = 1.0
# A side: a usual grooving tool, 0.2 at its corners, stays clear of the bore's edge.
UNDERCUT_DEPTH = 0.3
BUTTON_COLLAR = 8.0


def build(
    draft: Draft, holes: tuple[Hole, ...], bottom: float, ring: Ring, cap: float, wishes: Wishes
) -> bool:
    """A shoulder and a spigot in the part's bore; the part is driven by friction."""
    draft.station("seat", 0.0)
    if not _collar_and_spigot(draft, holes, bottom, ring, cap, wishes, seat.COLLAR_LENGTH):
        return False
    seat.add_neck(
        draft, -seat.COLLAR_LENGTH, floor_to(_collar(draft) - 2 * seat.NECK_STEP, 0.1), wishes.flats
    )
    if not any(c.kind is Kind.RUNOUT for c in draft.characteristics):
        draft.warn(
            "spigot.loose",
            "nothing centres the part: its bore is neither reamed, bored nor measured",
            "ream or bore the first 15 mm, or measure it",
        )
    draft.notes.append(
        "The part is driven by friction only: use it with the tailstock up and light cuts."
    )
    seat.seat_needs(draft)
    return not draft.failed


def build_button(
    draft: Draft, holes: tuple[Hole, ...], bottom: float, ring: Ring, cap: float, wishes: Wishes
) -> bool:
    """A spigot in the far end of a part, a collar, and a 60° centre for the revolving centre."""
    draft.station("seat", 0.0)
    if not _collar_and_spigot(draft, holes, bottom, ring, cap, wishes, BUTTON_COLLAR):
        return False
    centres.add(draft, "rear", -BUTTON_COLLAR, _collar(draft), keep="required")
    if not any(h.at == "rear" for h in draft.centre_holes):
        draft.error(
            "button.small",
            f"a collar of ⌀{text_of(_collar(draft))} has no room for a centre hole",
            "hold the far end otherwise",
        )
    draft.notes.append("Tailstock button: centre hole and spigot in one setting.")
    return not draft.failed


def _collar(draft: Draft) -> float:
    return next(s.d0 for s in draft.outer if s.feature == "collar")


def _collar_and_spigot(
    draft: Draft,
    holes: tuple[Hole, ...],
    bottom: float,
    ring: Ring,
    cap: float,
    wishes: Wishes,
    collar_length: float,
) -> bool:
    chosen = seat.choose(draft, ring, ring.inner, seat.PLUG_CLEARANCES)
    steps = spigot.plan(draft, holes, cap, UNDERCUT_WIDTH, bottom - spigot.BOTTOM_MARGIN, wishes)
    if not steps:
        draft.error(
            "spigot.none",
            "the bore at this end is too short, too small or not known for a spigot",
            "give the bore's steps (diameter, depth, how made)",
        )
    if chosen is None or not steps or draft.failed:
        return False
    draft.station("collar.start", -collar_length)
    draft.turn("collar", -collar_length, 0.0, chosen.collar.nominal)
    draft.diameter("collar", chosen.collar, "collar.diameter", COMMON)
    draft.length(
        "collar.length",
        "collar",
        ("collar.start", "seat"),
        Toleranced.symmetric(collar_length, 0.1),
        "collar.diameter",
    )
    _undercut(draft, steps[0].size.nominal, ring.inner)
    spigot.turn(draft, steps)
    spigot.nose(draft, wishes, steps[-1].size.nominal, steps[-1].z1, bottom)
    return True


def _undercut(draft: Draft, spigot_d: float, inner: float) -> None:
    groove = floor_to(spigot_d - 2 * UNDERCUT_DEPTH, 0.1)
    d = draft.decide(
        "undercut.diameter",
        "undercut at the seat",
        f"⌀{text_of(groove)} × {UNDERCUT_WIDTH:g}",
        "lets the seat bear clean to the corner",
    )
    draft.station("undercut.end", UNDERCUT_WIDTH)
    draft.turn("undercut", 0.0, UNDERCUT_WIDTH, groove)
    seat.decide_corner(draft, inner, groove)
    draft.diameter("undercut", Toleranced.deviations(groove, -0.2, 0.0), d)
    draft.length(
        "undercut.width",
        "undercut",
        ("seat", "undercut.end"),
        Toleranced.deviations(UNDERCUT_WIDTH, 0.0, 0.2),
        d,
    )
