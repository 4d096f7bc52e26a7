"""Remedies are tried before they are offered: each on a copy of the pen, as the pen is judged.

A remedy holds if the finding goes and nothing of its level or above comes in its place. What a
rule of the pen alone found is tried on the pen's own rules first, which take a fiftieth of the
whole; a note needs no remedy, unless it is one that reveals: then no error may come of it at the
end it changes. Two changes need none where one of them holds alone.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from pydantic import ValidationError

from mandrelgen.assess.settled import pen_level, settled
from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.spec import cross
from mandrelgen.spec.expand import Origins, expand
from mandrelgen.spec.patch import NoPlaceError, patched
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.threads import ThreadLimitError

MOST = 3
"""Candidates that are tried for one finding."""

NOTHING = 0.005
"""What is no change of an amount, mm (or of another unit: less still)."""

NONE_HELD = "no single change was found that mends it"

WEIGHT = {Level.NOTE: 0, Level.WARNING: 1, Level.ERROR: 2}
Judge = Callable[[Pen, Shop], tuple[Finding, ...]]
Key = tuple[str, str]


@dataclass(frozen=True)
class Bench:
    """A pen as it was read, to try changes on. ``shop``: as its own file says."""

    data: bytes
    shop: Shop

    @cached_property
    def tree(self) -> dict[str, Any]:
        """The file's values."""
        return tomllib.loads(self.data.decode("utf-8-sig"))

    @cached_property
    def origins(self) -> Origins:
        """Where the file's values stand."""
        return expand(self.tree)[1]

    def placed(self, remedy: Remedy) -> Remedy:
        """A remedy whose changes name the keys where the values stand in the file."""
        said = {c.path: c.value for c in remedy.changes}
        changes = dict.fromkeys(
            self.origins.change(c)
            for c in remedy.changes
            # A size that is left out follows the one that stands for it.
            if (source := self.origins.lines.get(c.path)) is None or said.get(source) != c.value
        )
        return replace(remedy, changes=tuple(changes))

    def changed(self, changes: Iterable[Change]) -> tuple[Pen, Shop] | None:
        """The pen and its shop after the changes; None if they make no pen that can be read."""
        try:
            pen = Pen.model_validate(patched(self.tree, changes))
            if any(r.level is Level.ERROR for r in cross.check_pen(pen)):
                return None
            shop = effective_shop(self.shop, pen)
        except (ValidationError, NoPlaceError):
            return None
        return pen, shop


def tried(findings: tuple[Finding, ...], bench: Bench) -> tuple[Finding, ...]:
    """The findings with the remedies that hold, of those their rules propose."""
    before: dict[Key, Finding] = {}
    for f in findings:
        if f.key not in before or WEIGHT[f.level] > WEIGHT[before[f.key].level]:
            before[f.key] = f
    seen: dict[tuple[Change, ...], tuple[Finding, ...] | None] = {}
    return tuple(_with_those_that_hold(f, bench, before, seen) for f in findings)


def _with_those_that_hold(
    f: Finding,
    bench: Bench,
    before: dict[Key, Finding],
    seen: dict[tuple[Change, ...], tuple[Finding, ...] | None],
) -> Finding:
    offered = [r for r in f.remedies if r.reveals or f.level is not Level.NOTE]
    if not offered:
        return replace(f, remedies=())
    held: list[Remedy] = []
    for r in (bench.placed(r) for r in offered[:MOST]):
        if not any(_within(h, r) for h in held) and _holds(f, r, bench, before, seen):
            held.append(r)
    if held:
        return replace(f, remedies=tuple(held))
    return replace(f, remedies=(), remedy=f.remedy or NONE_HELD)


def _within(one: Remedy, more: Remedy) -> bool:
    """Whether ``more`` changes all that ``one`` does, and something besides."""
    return {c.path for c in one.changes} < {c.path for c in more.changes}


def _holds(
    f: Finding,
    remedy: Remedy,
    bench: Bench,
    before: dict[Key, Finding],
    seen: dict[tuple[Change, ...], tuple[Finding, ...] | None],
) -> bool:
    if remedy.changes not in seen:
        seen[remedy.changes] = _after(f, remedy, bench, before)
    after = seen[remedy.changes]
    if after is not None and remedy.reveals:
        at = {f"{c.path[1]}.{c.path[3]}" for c in remedy.changes if len(c.path) > 3}
        came = f.level is Level.NOTE and any(
            g.level is Level.ERROR and g.where in at and g.key not in before for g in after
        )
        return not came and all(g.key != f.key for g in after)
    return after is not None and not spoiled(f, after, before)


def _after(
    f: Finding, remedy: Remedy, bench: Bench, before: dict[Key, Finding]
) -> tuple[Finding, ...] | None:
    new = bench.changed(remedy.changes)
    if new is None:
        return None
    try:
        quick = pen_level(*new)
        if remedy.reveals:
            return quick
        if f.code.startswith("pen.") and spoiled(f, quick, before):
            return None
        return settled(*new).findings
    except (ThreadLimitError, ThreadTextError, NotHeldError):
        return None


def spoiled(f: Finding, after: tuple[Finding, ...], before: dict[Key, Finding]) -> bool:
    """Whether ``f`` is still there, or something of its level or above is that was not, or that has
    become worse: what mends one thing at the cost of another leads in a circle.

    A note in place of what was worse is no reason against a remedy.
    """
    for g in after:
        if g.level is Level.NOTE:
            continue
        if g.key == f.key:
            return True
        was = before.get(g.key)
        if WEIGHT[g.level] >= WEIGHT[f.level] and (
            was is None or WEIGHT[was.level] < WEIGHT[g.level] or _worse(g, was)
        ):
            return True
    return False


def _worse(now: Finding, was: Finding) -> bool:
    """Whether the amount at fault has grown, by more than what is nothing in a shop."""
    if now.value is None or was.value is None or now.level is not was.level:
        return False
    grown = now.value - was.value
    return (-grown if now.less_is_worse else grown) > NOTHING
