"""What may mend a wish for a groove behind a thread, or for none: changes of the pen file."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.assess.mandrel_remedies import option_path
from mandrelgen.core.errors import Change, Remedy
from mandrelgen.design import stock_taps
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Hold
from mandrelgen.spec.pen import Pen, ThreadOrder, ThreadRelief


def grooved(d: Designed, pen: Pen) -> Iterator[Remedy]:
    """The groove that a thread needs as it is cut; or a stock tap, where one is sold."""
    yield _wish(d, pen, "thread_relief", ThreadRelief.GROOVE.value, "a groove behind the thread")
    w, m = d.wishes, d.mandrel
    if w is None or m is None or w.thread_open or w.thread_order is not ThreadOrder.SINGLE_POINT:
        return
    if not stock_taps.why_none(m.threads[0].limits):
        tap = ThreadOrder.STOCK_TAP.value
        yield _wish(d, pen, "thread_order", tap, "tapped with a stock tap")


def without(hold: Hold, d: Designed, pen: Pen) -> Iterator[Remedy]:
    """No groove behind a cup's thread, where it is the maker who asked for one."""
    w = d.wishes
    if hold.by == "external" and w is not None and w.thread_relief is ThreadRelief.GROOVE:
        none = ThreadRelief.NONE.value
        yield _wish(d, pen, "thread_relief", none, "no groove behind the thread")


def _wish(d: Designed, pen: Pen, key: str, value: str, says: str) -> Remedy:
    return Remedy((Change(option_path(d, pen, key), value),), says)
