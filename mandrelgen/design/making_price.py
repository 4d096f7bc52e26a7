"""What it costs a turner to make something: operations, tools on the bench and sizes to hold.

The minutes are an estimate of a jobbing turner's time (common practice, no source), the same that
the figure is reckoned with by which defaults are compared.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Stretch

MINUTES = {"operations": 3.0, "tools": 3.0, "balloons": 1.0}
# What cuts each feature of a bore; one tool may cut several.
_INSIDE = {
    FeatureKind.PILOT: "drill",
    FeatureKind.BORE: "drill",
    FeatureKind.COUNTERBORE: "boring bar",
    FeatureKind.RELIEF: "internal grooving tool",
    FeatureKind.THREAD: "internal threading tool",
}
# Drilled and bored is one step of the sequence, the thread another.
_OPERATIONS = 2


class Price(NamedTuple):
    """What is counted, and what it comes to in minutes."""

    operations: int
    tools: frozenset[str]
    balloons: int

    @property
    def minutes(self) -> float:
        """The weighted sum."""
        counted = (self.operations, len(self.tools), self.balloons)
        return sum(w * n for w, n in zip(MINUTES.values(), counted, strict=True))

    @property
    def said(self) -> str:
        """In words: ``30 min (2 operations, 4 tools, 12 sizes)``."""
        return (
            f"{text_of(self.minutes)} min ({self.operations} operations, {len(self.tools)} tools, "
            f"{self.balloons} sizes)"
        )


def inside_tools(kinds: Collection[FeatureKind]) -> frozenset[str]:
    """The tools for a bore with features of these kinds."""
    return frozenset(tool for kind, tool in _INSIDE.items() if kind in kinds)


def of_inside(inner: Sequence[Stretch], sizes: Sequence[Characteristic]) -> Price:
    """The inside of a cup with a thread: its stretches, and every size that is said of it."""
    return Price(_OPERATIONS, inside_tools({s.feature.kind for s in inner}), len(sizes))
