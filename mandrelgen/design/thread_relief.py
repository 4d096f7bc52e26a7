"""The maker's wish for a groove behind the thread, or for none (``thread_relief``)."""

from __future__ import annotations

from mandrelgen.design.draft import Draft
from mandrelgen.design.options import Wishes
from mandrelgen.spec.pen import ThreadRelief

NOT_MET = "thread.needs_groove"
CUP = (
    "have a groove, or a tap whose lead is known: a stock tap, or send your own along "
    "(thread_order = 'my-tool')"
)


def keeps_groove(draft: Draft, wishes: Wishes, why: str, remedy: str = CUP) -> None:
    """Tell a maker who wants no groove why there is one all the same ("": there is none)."""
    if not why or wishes.thread_relief is not ThreadRelief.NONE:
        return
    draft.warn(
        NOT_MET,
        f"no groove is asked for behind the thread, but {why}: it has one",
        remedy,
    )


def why_groove(wishes: Wishes, grooved: float, drilled: float) -> str:
    """Why a cup that a tap cuts has a groove ("" if it has none): asked for, else what it costs to
    make with one and without, minutes."""
    if wishes.thread_relief is ThreadRelief.GROOVE:
        return "a groove is asked for"
    if wishes.thread_relief is None and drilled >= grooved:
        return "it costs less"
    return ""


def why_none(wishes: Wishes, prices: str) -> str:
    """The reason for no groove: whether it was asked for, and both prices."""
    asked = "asked for; " if wishes.thread_relief is ThreadRelief.NONE else ""
    return f"{asked}{prices}; the inside alone, minutes of a jobbing turner (estimate)"
