"""Threads of the pen that none of the taps and dies listed in the shop file cuts."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.core.errors import Finding, Level
from mandrelgen.design.own_tools import cuts
from mandrelgen.spec.pen import Manner, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.thread_spelling import read_thread


def check(pen: Pen, shop: Shop) -> Iterator[Finding]:
    """A note for each thread that a tap or die is to cut, where such tools are listed and none of
    them does; nothing where none is listed, for then nobody said what there is."""
    for name, part in pen.parts.items():
        for end_name, end in part.ends.items():
            for thread, tools, word in (
                (end.internal, shop.taps, "tap"), (end.external, shop.dies, "die"),
            ):  # fmt: skip
                if thread is None or not tools or thread.made is Manner.SINGLE_POINT:
                    continue
                wanted = read_thread(thread.thread)
                if thread.tool is None and not any(cuts(t, wanted) for t in tools):
                    yield Finding(
                        level=Level.NOTE,
                        code="thread.no_tool",
                        where=f"{name}.{end_name}",
                        message=f"no {word} for {wanted.name} is among the {word}s listed in the "
                        "shop file",
                        remedy="list it if you own one, get one, or say that the thread is "
                        "screwcut",
                    )
