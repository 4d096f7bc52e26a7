"""A cup's body beside its shank: one bar, or a step that shows and lengths can be measured from."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.core.tolerance import Toleranced, ceil_to, floor_to, text_of
from mandrelgen.design import seat, shank
from mandrelgen.design.draft import COMMON, BodyRoom, Draft
from mandrelgen.design.ends import Ring
from mandrelgen.design.options import TURNERS, Body, Wishes
from mandrelgen.design.own_tools import cuts
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.spec.shop import ThreadTool
from mandrelgen.standards import iso_286

# A cup's wall below this moves while its inside is screwcut, mm: its outside is finished afterwards
# (estimate).
THIN = 1.0
# Steps tried, mm on diameter: the usual one, and what can still be seen and measured from (common
# practice, no source).
STEPS = (seat.LEAST_STEP, 0.2, 0.1)
_NOISE = 1e-9


def allowed(ring: Ring, inner: float, inside: float) -> BodyRoom:
    """What a body has room for, mm: seat and wall as wide as they must be, and the part's edge
    clear of it; ``inside``: the largest diameter cut into it."""
    least = max(inner + 2 * seat.MIN_SEAT, inside + 2 * seat.MIN_WALL)
    clear = 0.0 if ring.threaded else seat.LEAST_CLEARANCE
    return BodyRoom(least, ring.outer - 2 * clear, inside)


def beside(
    draft: Draft, grip: shank.Grip, wishes: Wishes, single: bool, taps: Sequence[ThreadTool]
) -> Body | None:
    """The body to build instead of the draft's, where no step would show between it and the shank:
    the bar itself where a turner buys it at that size, else a body that leaves a step. A maker
    whose own tap (of ``taps``) cuts the thread gets the step: he may turn it himself, from whatever
    rod he has. None: it stays as it is."""
    if draft.body is None or wishes.body is not None:
        return None
    there = abs(draft.outer[0].d0 - grip.shank)
    if there >= seat.LEAST_STEP - _NOISE:
        return None
    own = any(cuts(tap, t.limits.designation) for tap in taps for t in draft.threads)
    if single and not own and _stays_bar(draft, draft.body, grip, wishes):
        return Body(grip.shank, bar=True)
    for step in (s for s in STEPS if s > there + _NOISE):
        smaller, larger = floor_to(grip.shank - step, 0.05), ceil_to(grip.shank + step, 0.05)
        if smaller - seat.COLLAR_WIDTHS[-1] >= draft.body.least - _NOISE:
            return Body(smaller, bar=False)
        if single and larger <= draft.body.greatest + _NOISE:
            return Body(larger, bar=False)
    return None


def _stays_bar(draft: Draft, room: BodyRoom, grip: shank.Grip, wishes: Wishes) -> bool:
    """Whether bar of the shank's size serves as body as it is bought."""
    true, rough = shank.form(grip, wishes), draft.settled.roughness
    size = iso_286.tolerance(grip.shank, shank.SHANK_CLASS)
    screwcut = wishes.thread_order is not ThreadOrder.STOCK_TAP
    return (
        wishes.thread_order in TURNERS
        and shank.is_bar(grip.shank, grip.shank, wishes.material, true, rough)
        and room.least - _NOISE <= size.lower
        and grip.shank <= room.greatest + _NOISE
        and not (screwcut and (size.lower - room.inside) / 2 < THIN)
    )


def choose(draft: Draft, body: Body, ring: Ring, inner: float, inside: float) -> seat.Seat:
    """The seat on a body that was settled by the shank."""
    least = draft.body.least if draft.body else 0.0
    if body.bar:
        collar = iso_286.tolerance(body.diameter, shank.SHANK_CLASS)
        value = f"the shank's own bar, ⌀{text_of(body.diameter)} {shank.SHANK_CLASS}"
        why = "it stays inside the part's edge, seat and wall are wide enough: nothing is turned"
    else:
        wide = next((w for w in seat.COLLAR_WIDTHS if body.diameter - w >= least - _NOISE),
                    seat.COLLAR_WIDTHS[-1])  # fmt: skip
        collar = Toleranced.deviations(body.diameter, -wide, 0.0)
        value = f"⌀{text_of(body.diameter)} (0/−{text_of(wide)})"
        why = "a step beside the shank that shows, to measure from"
    found = seat.Seat(
        collar,
        (ring.outer - body.diameter) / 2,
        (collar.lower - inner) / 2,
        (collar.lower - inside) / 2,
    )
    seat.told_clearance(draft, found.clearance, ring)
    said = f"; seat {text_of(found.width, 2)}, wall {text_of(found.wall or 0.0, 2)} at worst limits"
    draft.decide("collar.diameter", "seat collar", value, why + said, COMMON)
    return found
