"""Which of the shop's own taps and dies cut a thread, and what is known of it from there."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.spec.pen import Manner, ThreadBase
from mandrelgen.spec.shop import Shop, ThreadTool, ToolCondition
from mandrelgen.standards.designation import Designation, ThreadTextError
from mandrelgen.standards.thread_spelling import read_thread


def tool_of(spec: ThreadBase, external: bool, shop: Shop) -> ThreadTool | None:
    """The die (external) or tap that cut a thread: named, else the only one of that thread; None
    for a thread that was screwcut."""
    tools = shop.dies if external else shop.taps
    if spec.tool is not None:
        return next((t for t in tools if t.id == spec.tool), None)
    if spec.made is Manner.SINGLE_POINT or not tools:
        return None
    thread = read_thread(spec.thread)
    fit = [t for t in tools if _same(t, thread)]
    return fit[0] if len(fit) == 1 else None


def _same(tool: ThreadTool, thread: Designation) -> bool:
    try:
        other = read_thread(tool.thread)
    except ThreadTextError:
        return False
    return all(
        getattr(other, k) == getattr(thread, k)
        for k in ("system", "diameter", "pitch", "starts", "left_hand")
    )


def cuts(tool: ThreadTool, wanted: Designation) -> bool:
    """Whether a tap or die cuts a thread: size, pitch, starts and hand; classes are its own."""
    try:
        own = read_thread(tool.thread)
    except ThreadTextError:
        return False
    return (
        abs(own.diameter - wanted.diameter) < 0.002
        and abs(own.pitch - wanted.pitch) < 0.0005
        and (own.starts, own.left_hand) == (wanted.starts, wanted.left_hand)
    )


def with_class(thread: Designation, tool: ThreadTool | None) -> Designation:
    """The thread with the class its tool cuts, where the pen names none."""
    if thread.tolerance_class or tool is None or tool.tolerance_class is None:
        return thread
    return replace(thread, tolerance_class=tool.tolerance_class)


def tool_said(tool: ThreadTool | None, external: bool) -> list[str]:
    """What was taken from the tool, for the assumptions."""
    if tool is None:
        return []
    name = f"{'die' if external else 'tap'} {tool.id or tool.thread}"
    said = []
    if tool.tolerance_class is not None:
        said.append(f"{name} of the shop file cuts class {tool.tolerance_class}")
    if tool.condition is ToolCondition.WORN:
        said.append(
            f"{name} is worn: measure the thread (a worn die leaves a tenon 0.05 to 0.2 under; "
            "common practice, no source)"
        )
    return said
