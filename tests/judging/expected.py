"""``python -m tests.judging.expected``: the table of kinds, limits and expected answers, as text.

``expected.md`` beside this file is its output for the first seed; a test holds the two together.
"""

from __future__ import annotations

from tests.judging.cases import Case
from tests.judging.every import faulty, kinds

HEAD = """# Kinds of fault, and what is expected of each

Made by `python -m tests.judging.expected > tests/judging/expected.md`; not edited by hand.

Marks: [E] estimate (common practice, no source), [M] from memory, [A] arithmetic. Figures are mm,
shares of the thread's overlap, pitches or N, as the kind has it; 1 and 0 say yes and no. They are
those of the first base pen; the other bases carry the same faults in other sizes. "Silent" pens lie
just outside the limit (or as near as an answer does not depend on how the program builds the
mandrel) and must bring no warning and no error of that kind.

| kind | error | warning | silent | limit and source | place |
|---|---|---|---|---|---|
"""


def _values(cases: list[Case], level: str) -> str:
    values = dict.fromkeys(f"{c.value:g}" for c in cases if c.level == level)
    return ", ".join(values) or "–"


def text() -> str:
    """The whole file."""
    cases = faulty()
    first = cases[0].sizes
    lines = []
    for kind in kinds():
        mine = [c for c in cases if c.kind == kind.name]
        here = mine[: len(mine) // len({c.sizes for c in cases})] or mine
        sides = [_values(here, level) for level in ("error", "warning", "")]
        places = ", ".join(dict.fromkeys(" or ".join(c.places) for c in here))
        lines.append(f"| {kind.name} | {' | '.join(sides)} | {kind.source} | {places} |")
    base = f"\nFirst base: cap {first.cap_thread}, section {first.section_thread}.\n"
    return HEAD + "\n".join(lines) + "\n" + base


if __name__ == "__main__":
    print(text(), end="")
