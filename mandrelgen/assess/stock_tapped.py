"""What a stock tap costs a joint against screwcutting: a tap follows its own start."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.core.tolerance import text_of
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.spec.pen import ThreadOrder

# What the mismatch may rise by, mm: a finger feels no less (estimate).
UNFELT = 0.01
TRIED = "tried beside the stock tap"


def stock_tapped(d: Designed) -> bool:
    """Whether a stock tap cuts it that the maker did not ask for; who wants no groove asks for a
    tap."""
    w, m = d.wishes, d.mandrel
    open_ = w is not None and w.screwcutting_open
    return open_ and m is not None and any(t.order == ThreadOrder.STOCK_TAP for t in m.threads)


def tapping_costs(tapped: Sequence[Designed], cut: Sequence[Designed]) -> dict[str, str]:
    """Which mandrels are better screwcut, and why: a flush joint would no longer be met, or the
    mismatch would rise by more than is felt. ``cut``: the same mandrels, screwcut."""
    other = {d.planned.id: d for d in cut}
    found = {}
    for d in tapped:
        why = _costs(d, other[d.planned.id]) if stock_tapped(d) else ""
        if why:
            found[d.planned.id] = why
    return found


def _costs(tapped: Designed, cut: Designed) -> str:
    pairs = zip((tapped.verdict, tapped.verdict_b), (cut.verdict, cut.verdict_b), strict=True)
    for a, b in pairs:
        if a is None or b is None or a.truth.step is None or b.truth.step is None:
            continue
        now, was = a.truth.step, b.truth.step
        lost = was.outcome is Outcome.MET and now.outcome is not Outcome.MET
        more = now.states.tight.statistical - was.states.tight.statistical
        if lost or more > UNFELT:
            return (
                f"tapped, the mismatch at {now.joint or 'its joint'} would be "
                f"{text_of(now.states.tight.statistical, 3)}, screwcut "
                f"{text_of(was.states.tight.statistical, 3)} (tightened, 95 %)"
            )
    return ""
