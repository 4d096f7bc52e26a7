"""The what-if comparison as a table; nothing is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mandrelgen.assess.what_if import best
from mandrelgen.core.tolerance import text_of

if TYPE_CHECKING:
    from mandrelgen.assess.what_if import Variant
    from mandrelgen.design.plan import Planned

HEAD = ("", "word", "mismatch", "run-out", "factor", "rpm", "where the least factor is; why")
WIDTHS = (22, 22, 10, 9, 8, 7)


def table(p: Planned, variants: tuple[Variant, ...]) -> str:
    """The mandrel as it is and what changes the word: mismatch and run-out (tightened, 95 %, mm),
    the least factor over the required one and where, highest speed; then which one to take."""
    base, *others = variants
    shown = [base, *(v for v in others if v.word is not base.word)]
    lines = [f"{p.id}: mismatch and run-out tightened, 95 %; mm", _line(HEAD)]
    lines += [_line(_row(v, v is not base)) for v in shown]
    lines.append(_take(variants, len(shown) > 1))
    return "\n".join(lines)


def _row(v: Variant, why: bool) -> tuple[str, ...]:
    d, least = v.verdict, v.least
    numbers = ("-", "-", "-", "-")
    if d is not None:
        numbers = (
            text_of(d.truth.step.states.tight.statistical),
            text_of(d.truth.runout_seat.tight.statistical),
            text_of(least[0], 2) if least else "-",
            str(d.speed.allowed) if d.speed else "-",
        )
    where = (least[1],) if least else ()
    return (v.name, v.answer.said, *numbers, "; ".join((*where, *((v.answer.reason,) * why))))


def _take(variants: tuple[Variant, ...], changed: bool) -> str:
    """Which one to take, and what for."""
    base, *others = variants
    take, tried = best(variants), len(others)
    stays = f"the word stays '{base.answer.said}' in all {tried} changes that were tried"
    if take is not None and take.word is not base.word:
        return f"take: {take.name}: '{take.answer.said}' instead of '{base.answer.said}'"
    if take is not None:
        gone = ", ".join(s.removeprefix("−") for s in take.settles)
        return f"take: {take.name}: it mends {gone}" + ("" if changed else f"; {stays}")
    better = "no change makes it better" if changed else stays
    mends = f", and none mends {', '.join(base.found)}" if base.found else ""
    return f"take it as it is: {better}{mends}"


def _line(cells: tuple[str, ...]) -> str:
    first = f"{cells[0]:{WIDTHS[0]}}"
    rest = "".join(f"{c:>{w}}" for c, w in zip(cells[1:-1], WIDTHS[1:], strict=True))
    return f"{first}{rest}  {cells[-1]}".rstrip()
