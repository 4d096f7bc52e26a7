"""One mandrel, designed and judged in several ways, side by side: which of them changes the word
(order, make yourself, not needed, change the pen first), and which one to take."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from typing import Any

from mandrelgen.assess.mandrel_findings import of_verdict
from mandrelgen.assess.settled import settled
from mandrelgen.assess.words import Answer, Word, answers
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.lengths import Length
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Planned, plan
from mandrelgen.design.shank import grips
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.spec.pen import Fit, MandrelRequest, MandrelType, Pen, Use
from mandrelgen.spec.shop import Shop

# Tried in this order, no more than MOST of them.
MATERIALS = ("11SMn30", "1.4305", "CW614N")
STAND_OFFS = (2.0, 5.0)
MOST = 12
# A change is named from this share of the value on (below, it is noise to a maker).
WORTH_NAMING = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """One way to make it. ``group`` what is varied, ``value`` to what; ``answer``: the word for it
    and why; ``verdict`` None and ``refused`` filled if it cannot be made; ``changes``: in words,
    against the mandrel as it is; ``found``: the codes of its warnings and errors; ``settles``:
    those that come or go."""

    group: str
    value: str
    answer: Answer
    verdict: Assessment | None
    refused: str
    changes: tuple[str, ...]
    found: tuple[str, ...] = ()
    settles: tuple[str, ...] = ()

    @property
    def least(self) -> tuple[float, str] | None:
        """The least factor over the required one, and where."""
        return None if self.verdict is None else least(self.verdict)

    @property
    def word(self) -> Word:
        """What to do about the mandrel if it is made so."""
        return self.answer.word

    @property
    def name(self) -> str:
        """What is varied, and to what."""
        return f"{self.group} {self.value}".strip()

    @property
    def mends(self) -> bool:
        """Whether findings go by it and none comes."""
        return bool(self.settles) and all(s.startswith("−") for s in self.settles)

    @property
    def failing(self) -> tuple[str, ...]:
        """Ids of the strength checks that fail."""
        return () if self.verdict is None else tuple(c.id for c in self.verdict.checks
                                                     if not c.passes)  # fmt: skip


def compare(pen: Pen, shop: Shop, name: str | None) -> tuple[Planned, tuple[Variant, ...]]:
    """The mandrel ``name`` as it is (first) and every variant of it.

    Raises InputError if the pen plans no such mandrel, or several and none is named.
    """
    p = _named(pen, name)
    as_is, answer = _judged(pen, pen, shop, p)
    found = [_variant("as it is", "", as_is, as_is, answer)]
    for group, value, options in islice(_options(shop, p), MOST):
        d, answer = _judged(_with(pen, p, options), pen, shop, p)
        found.append(_variant(group, value, as_is, d, answer))
    return p, tuple(found)


def _variant(group: str, value: str, was: Designed, now: Designed, answer: Answer) -> Variant:
    refused = "" if now.verdict else next((f.message for f in now.findings), "cannot be made")
    before, after = was.verdict, now.verdict
    return Variant(
        group=group,
        value=value,
        answer=answer,
        verdict=now.verdict,
        refused=refused,
        changes=_changes(before, after) if before and after else (),
        found=_found(after) if after else (),
        settles=_settles(before, after) if before and after else (),
    )


def _named(pen: Pen, name: str | None) -> Planned:
    planned = [p for p in plan(pen) if p.kind is not MandrelType.BUTTON]
    if name is None and len(planned) == 1:
        return planned[0]
    for p in planned:
        if p.id == name:
            return p
    ids = ", ".join(p.id for p in planned)
    said = f"there is no mandrel '{name}'" if name else "which mandrel?"
    raise InputError(
        [
            Finding(
                level=Level.ERROR,
                code="what_if.unknown",
                where="what-if",
                message=said,
                remedy=f"one of: {ids}",
            )
        ]
    )


def _options(shop: Shop, p: Planned) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """What can help, the tailstock first."""
    if shop.lathe.tailstock:
        for up in (True, False):
            yield "tailstock", "up" if up else "away", {"use": Use(tailstock=up)}
    for m in MATERIALS:
        yield "material", m, {"material": m}
    for off in STAND_OFFS:
        yield "stick-out", text_of(off), {"stand_off": Length.parse(off)}
    if p.hold.by != "bore":
        for fit in (Fit.CLOSE, Fit.FREE):
            yield "fit", fit.value, {"fit": fit, "thread_class": None, "deviation": None}
    for size in sorted({g.size for g in grips(shop)}, reverse=True)[:2]:
        yield "shank", text_of(size), {"shank_diameter": Length(size)}


def _with(pen: Pen, p: Planned, options: dict[str, Any]) -> Pen:
    """The pen with this one mandrel asked for otherwise."""
    wanted = pen.mandrels
    if p.request is not None:
        requests = tuple(
            r.model_copy(update=options) if r is p.request else r for r in wanted.requests
        )
        return pen.model_copy(update={"mandrels": wanted.model_copy(update={"requests": requests})})
    asked = MandrelRequest(id=p.id, holds=f"{p.hold.text}.{p.hold.by}", kind=p.kind).model_copy(
        update=options
    )
    change = {"requests": (*wanted.requests, asked), "all_needed": True}
    return pen.model_copy(update={"mandrels": wanted.model_copy(update=change)})


def _judged(pen: Pen, said: Pen, shop: Shop, p: Planned) -> tuple[Designed, Answer]:
    """The mandrel as ``pen`` has it, and the word for it. That a variant is asked for by name is
    no wish of the maker's: the word is given as if it were planned as in the pen that was
    ``said``."""
    whole = settled(pen, shop)
    designed = tuple(replace(d, planned=p) if d.planned.id == p.id else d for d in whole.designed)
    words = answers(said, shop, designed, whole.findings, {})
    return next((d, a) for d, a in zip(designed, words, strict=True) if d.planned.id == p.id)


def _changes(was: Assessment, now: Assessment) -> tuple[str, ...]:
    """What the change does to the verdict, each with its numbers."""
    step, end = "mismatch", "run-out at the far end"
    before, after = was.truth, now.truth
    found = _number(
        step, before.step.states.tight.statistical, after.step.states.tight.statistical, 3
    ) + _number(end, before.runout_end.tight.statistical, after.runout_end.tight.statistical, 3)
    if was.truth.step.outcome != now.truth.step.outcome:
        found.append(f"target {now.truth.step.outcome or 'not judged'}")
    if was.stiffness and now.stiffness:
        found += _number("deflection", was.stiffness.used.tool, now.stiffness.used.tool, 3)
    a, b = least(was), least(now)
    if a is not None and b is not None:
        found += _number("least factor / required", a[0], b[0], 2)
        if a[1] != b[1]:
            found.append(f"weakest: {b[1]}")
    if was.speed and now.speed and was.speed.allowed != now.speed.allowed:
        found.append(f"speed {was.speed.allowed} → {now.speed.allowed}")
    return tuple(found)


def least(v: Assessment) -> tuple[float, str] | None:
    """The least factor over the required one, of capacity, thread and seat, and where."""
    rows = [(c.factor / c.asked, c.label) for c in v.checks]
    if v.capacity is not None:
        rows.append((v.capacity.judged.force / v.capacity.asked, v.capacity.judged.spot.name))
    return min(rows, default=None)


def _settles(was: Assessment, now: Assessment) -> tuple[str, ...]:
    """Warnings and errors that go (-) or come (+)."""
    before, after = _found(was), _found(now)
    gone = [f"−{code}" for code in before if code not in after]
    return (*gone, *(f"+{code}" for code in after if code not in before))


def _found(v: Assessment) -> tuple[str, ...]:
    """Codes of its warnings and errors."""
    return tuple(sorted({f.code for f in of_verdict(v, v.mandrel) if f.level is not Level.NOTE}))


# From the word that asks most of a maker to the one that asks least.
_BURDEN = (Word.CHANGE, Word.ORDER, Word.MAKE, Word.HAVE, Word.SKIP)


def best(variants: tuple[Variant, ...]) -> Variant | None:
    """The one to take: the first (the tailstock comes first) of those that change the word for the
    better the furthest; where none does, the first by which findings only go."""
    base, *others = variants
    better = [v for v in others if _burden(v) > _burden(base)]
    if better:
        return max(better, key=_burden)
    return next((v for v in others if v.word is base.word and v.mends), None)


def _burden(v: Variant) -> int:
    return _BURDEN.index(v.word)


def _number(label: str, was: float, now: float, places: int) -> list[str]:
    if abs(now - was) <= WORTH_NAMING * max(abs(was), 1e-9):
        return []
    return [f"{label} {text_of(was, places)} → {text_of(now, places)}"]
