"""A change tried on a copy of the pen, as the pen is judged: what is found after it.

What a rule of the pen alone found is tried on the pen's own rules first, which take a fiftieth of
the whole.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable
from dataclasses import field, replace
from functools import cached_property
from typing import Any

from pydantic import ValidationError

from mandrelgen.assess.settled import pen_level, settled
from mandrelgen.core.errors import Change, Finding, Level, Path, Remedy
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec import cross
from mandrelgen.spec.expand import Origins, expand
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.threads import ThreadLimitError

NOTHING = 0.005
"""What is no change of an amount, mm (or of another unit: less still)."""

WEIGHT = {Level.NOTE: 0, Level.WARNING: 1, Level.ERROR: 2}
Key = tuple[str, str]
Found = tuple[Finding, ...]
Changes = tuple[Change, ...]
Rules = Callable[[Pen, Shop], Found]

WALLS = ("pen.wall", "pen.crown", "seat.", "wall.", "use.wall")
"""Codes that speak of a wall or of the ring beside it: never what merely could not be seen."""
SHOP_ALONE = ("shank.assumed",)
"""Codes of what the shop file leaves out: said at every mandrel there is, whatever is changed in
the pen, so that no change of the pen brings it."""


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
    def pen(self) -> Pen:
        """The pen as it was read."""
        return Pen.model_validate(self.tree)

    def number(self, path: Path) -> float | None:
        """The size that a key of the pen has now, said or not; None where it has none."""
        at: Any = self.pen
        for step in path:
            try:
                named = isinstance(step, str) and not isinstance(at, dict)
                at = getattr(at, str(step)) if named else at[step]
            except (AttributeError, KeyError, IndexError):
                return None
        return None if at is None or isinstance(at, (bool, str)) else float(at)

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
        from mandrelgen.spec.patch import NoPlaceError, patched

        try:
            pen = Pen.model_validate(patched(self.tree, changes))
            if any(r.level is Level.ERROR for r in cross.check_pen(pen)):
                return None
            shop = effective_shop(self.shop, pen)
        except (ValidationError, NoPlaceError):
            return None
        return pen, shop


@dataclass(frozen=True, slots=True)
class Trials:
    """The pen's findings, and what is found after each change that was tried on its bench.

    ``before``: the worst at each code and place; ``undesigned``: the mandrels that an error of
    their own keeps from being designed, so that nothing else of theirs could be found.
    """

    bench: Bench
    before: dict[Key, Finding]
    undesigned: frozenset[str]
    _pen: dict[Changes, Found | None] = field(default_factory=dict)
    _whole: dict[Changes, Found | None] = field(default_factory=dict)

    @classmethod
    def of(cls, findings: Found, bench: Bench) -> Trials:
        """Nothing tried yet."""
        before: dict[Key, Finding] = {}
        for f in findings:
            if f.key not in before or WEIGHT[f.level] > WEIGHT[before[f.key].level]:
                before[f.key] = f
        without = {_mandrel(f) for f in before.values() if _stops_a_design(f)}
        return cls(bench, before, frozenset(without))

    def whole(self, r: Remedy) -> Found | None:
        """Everything that is found after a change; None if it makes no pen that can be read."""
        if r.changes not in self._whole:
            self._whole[r.changes] = self._tried(r, lambda p, s: settled(p, s).findings)
        return self._whole[r.changes]

    def pen_alone(self, r: Remedy) -> Found | None:
        """What the pen's own rules find after it."""
        if r.changes not in self._pen:
            self._pen[r.changes] = self._tried(r, pen_level)
        return self._pen[r.changes]

    def _tried(self, r: Remedy, rules: Rules) -> Found | None:
        new = self.bench.changed(r.changes)
        try:
            return None if new is None else rules(*new)
        except (ThreadLimitError, ThreadTextError, NotHeldError):
            return None

    def holds(self, f: Finding, r: Remedy) -> bool:
        """Whether ``f`` goes, and nothing of its level or above comes or gets worse; of a lesser
        remedy, whether ``f`` is no error any more."""
        if r.reveals:
            return self._reveals(f, r)
        if f.code.startswith("pen."):
            quick = self.pen_alone(r)
            if quick is None or self.spoiled(f, r, quick):
                return False
        after = self.whole(r)
        return after is not None and not self.spoiled(f, r, after)

    def _reveals(self, f: Finding, r: Remedy) -> bool:
        after = self.pen_alone(r)
        if after is None:
            return False
        at = {f"{c.path[1]}.{c.path[3]}" for c in r.changes if len(c.path) > 3}
        came = f.level is Level.NOTE and any(
            g.level is Level.ERROR and g.where in at and g.key not in self.before for g in after
        )
        return not came and all(g.key != f.key for g in after)

    def spoiled(self, f: Finding, r: Remedy, after: Found) -> bool:
        """Whether ``f`` is still there, or something of its level or above is that was not, or that
        has become worse: what mends one thing at the cost of another leads in a circle.

        A note in place of what was worse is no reason against a remedy.
        """
        for g in after:
            if g.level is Level.NOTE:
                continue
            if g.key == f.key:
                if r.lesser and WEIGHT[g.level] < WEIGHT[f.level]:
                    continue
                return True
            if WEIGHT[g.level] >= WEIGHT[f.level] and self.came(g):
                return True
        return False

    def came(self, g: Finding) -> bool:
        """Whether a finding was not there before, or was less: not one of a mandrel that could not
        be designed, unless it speaks of the wall."""
        was = self.before.get(g.key)
        if was is None and g.code in SHOP_ALONE:
            return False
        if was is None:
            unseen = _mandrel(g) in self.undesigned and not g.code.startswith(WALLS)
            return g.level is Level.ERROR or not unseen
        return WEIGHT[was.level] < WEIGHT[g.level] or _worse(g, was)


def _mandrel(f: Finding) -> str:
    return f.where.removesuffix(", end B")


def _stops_a_design(f: Finding) -> bool:
    return f.level is Level.ERROR and _mandrel(f) in f.parts and not f.code.startswith("use.")


def _worse(now: Finding, was: Finding) -> bool:
    """Whether the amount at fault has grown, by more than what is nothing in a shop."""
    if now.value is None or was.value is None or now.level is not was.level:
        return False
    grown = now.value - was.value
    return (-grown if now.less_is_worse else grown) > NOTHING
