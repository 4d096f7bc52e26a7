"""Whether a turner's stock tap cuts a cup's thread, and which order is made of it."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.design.draft import Draft
from mandrelgen.design.options import Wishes
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.standards.nearest_thread import in_series
from mandrelgen.standards.threads import ThreadLimits

# The class that taps on the shelf cut: ISO 2857's class 2 (from memory).
CLASS = "6H"
SOURCE = "ISO 261, its table from memory; a stock tap for each: common practice, no source"
ID, WHAT = "thread.order", "how the thread is cut"


def why_none(own: ThreadLimits) -> str:
    """Why no stock tap cuts a thread ("" if one does): ISO metric of the standard's table, one
    start, right hand, class 6H, not moved to fit a part."""
    d = own.designation
    if d.system != "M":
        return f"{d.name} is no metric thread"
    if d.starts > 1:
        return f"{d.name} has {d.starts} starts"
    if d.left_hand:
        return f"{d.name} is left-hand"
    if not in_series(d):
        return f"{d.name} is not in ISO 261"
    if own.tolerance_class != CLASS:
        return f"stock taps cut {CLASS}, not {own.tolerance_class}"
    return ""


def tried(draft: Draft, own: ThreadLimits, wishes: Wishes) -> Wishes:
    """The wishes with the stock tap where it is asked for, or the maker left it open and one is
    sold; screwcut where it cannot be."""
    if wishes.thread_order is ThreadOrder.STOCK_TAP:
        why = why_none(own)
        if not why:
            return wishes
        draft.warn(
            "thread.no_stock_tap",
            f"a stock tap is asked for, but {why}: it is screwcut",
            "leave open how the thread is cut, or send your own tap along "
            "(thread_order = 'my-tool')",
        )
        return replace(wishes, thread_order=ThreadOrder.SINGLE_POINT)
    if not wishes.thread_open or draft.settled.screwcut or why_none(own):
        return wishes
    return replace(wishes, thread_order=ThreadOrder.STOCK_TAP)


def decide(draft: Draft, own: ThreadLimits, wishes: Wishes, groove: str) -> Wishes:
    """The order as it stands once both ways are priced; ``groove``: why there is one all the same
    ("" if there is none): what the maker left open is screwcut then."""
    kept = draft.settled.screwcut if wishes.thread_open and not why_none(own) else ""
    if wishes.thread_order is not ThreadOrder.STOCK_TAP and not kept:
        return wishes
    if kept or (groove and wishes.thread_open):
        draft.decide(ID, WHAT, "screwcut", kept or groove, SOURCE)
        return replace(wishes, thread_order=ThreadOrder.SINGLE_POINT)
    why = "asked for"
    if wishes.thread_open:
        why = (
            f"{own.designation.name} is in ISO 261, one start, right hand: the turner has its tap, "
            "or buys it from stock"
        )
    draft.decide(ID, WHAT, f"tapped with the turner's stock tap, {CLASS}", why, SOURCE)
    return wishes


def screwcut(wishes: Wishes) -> Wishes:
    """The wishes for an external thread or none: a tap cuts neither."""
    if wishes.thread_order is not ThreadOrder.STOCK_TAP:
        return wishes
    return replace(wishes, thread_order=ThreadOrder.SINGLE_POINT)
