"""Every bar in one table: what, measured, the bar, met or not; exit 1 if one is missed.

    python -m tests.benchmarks.bars [--whole] [PART ...]

A share of each by default (minutes), everything at full size with ``--whole``.
Each row comes of the module that measures it, which prints more when it is run by itself. Parts:
cold, page, judging, sheets, receipt, growth, archive, drawer.
"""

from __future__ import annotations

import argparse
import datetime
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from tests.benchmarks import archive, drawer, growth, page, table
from tests.benchmarks.bar import Bar
from tests.judging import receipt_study
from tests.judging.every import faulty
from tests.judging.sane import sane
from tests.judging.table import NOTES_A_MANDREL, WARNINGS_A_MANDREL, calm, judge
from tests.long import sheets_table

ONE_SHEET, USED = 95.0, 55.0  # %
BAD_USED, GOOD_BACK = 20.0, 12.0  # %, with everything tried at home
SEED_OF_SHEETS = 20260531


@dataclass(frozen=True)
class Size:
    """How much of each is taken."""

    rounds: int
    keys: int
    sane: int
    sheets: int
    receipt: int
    batch: int
    records: int
    fixtures: int
    library: bool


SHARE = Size(rounds=3, keys=20, sane=80, sheets=120, receipt=60, batch=120, records=2_000,
             fixtures=1_000, library=False)  # fmt: skip
WHOLE = Size(rounds=5, keys=40, sane=80, sheets=500, receipt=667, batch=2_400,
             records=10_000, fixtures=10_000, library=True)  # fmt: skip


def cold(size: Size) -> Iterator[Bar]:
    """The benchmark table's ratios."""
    for row in table.rows(size.rounds, size.library, None):
        yield Bar(row.name, row.ratio, row.bar, at_most=row.at_most)


def judging(size: Size) -> Iterator[Bar]:
    """The confusion table."""
    rows = judge(faulty("first")).values()
    calmed = calm(sane("first", size.sane))
    wanted = sum(r.wanted["error"] + r.wanted["warning"] for r in rows)
    right = sum(r.right["error"] + r.right["warning"] for r in rows)
    yield Bar(f"judging: of {wanted} faulty pens not at level and place", wanted - right, 0)
    yield Bar("judging: findings of that level or above beside them",
              sum(r.beside.total() for r in rows), 0)  # fmt: skip
    silent = sum(r.wanted["silent"] for r in rows)
    yield Bar(f"judging: of {silent} pens just outside found all the same",
              sum(r.false for r in rows), 0)  # fmt: skip
    of = f"judging: {calmed.mandrels} sane mandrels"
    yield Bar(f"{of}: errors and refusals", calmed.errors.total() + calmed.safety.total(), 0)
    yield Bar(f"{of}: warnings each", calmed.mean, WARNINGS_A_MANDREL)
    yield Bar(f"{of}: warnings without a tried remedy", calmed.untried.total(), 0)
    yield Bar(f"{of}: notes each", calmed.notes_a_mandrel, NOTES_A_MANDREL)


def sheets(size: Size) -> Iterator[Bar]:
    """Drawings of random pens."""
    c = sheets_table.counted(size.sheets, SEED_OF_SHEETS)
    of = f"sheets: {len(c.shares)} drawings"
    yield Bar(f"{of}, on one sheet", c.one_sheet, ONE_SHEET, "%", at_most=False)
    yield Bar(f"{of}, squares of sheet 1 used", c.used, USED, "%", at_most=False)
    yield Bar(f"{of}, marks too near one another", c.near.total(), 0)


def receipt(size: Size) -> Iterator[Bar]:
    """Receipt at home with everything tried."""
    way = receipt_study.WAYS[3]
    for s in receipt_study.settings():
        t = receipt_study.run(s, size.receipt, ways=(way,))
        bad, good = max(1, t.of(False)), max(1, t.of(True))
        of = f"receipt at home, {s.name}"
        yield Bar(f"{of}: of {bad} bad ones used", 100 * t.bad[way]["use it"] / bad, BAD_USED, "%")
        back = 100 * t.good[way]["send back"] / good
        yield Bar(f"{of}: of {good} good ones sent back", back, GOOD_BACK, "%")


PARTS: Mapping[str, Callable[[Size], Iterator[Bar]]] = {
    "cold": cold,
    "page": lambda s: page.bars(s.keys),
    "judging": judging,
    "sheets": sheets,
    "receipt": receipt,
    "growth": lambda s: iter(growth.measured(s.batch).bars()),
    "archive": lambda s: archive.bars(s.records),
    "drawer": lambda s: drawer.bars(s.fixtures),
}


def main() -> int:
    """Print the table; exit 1 if a bar is missed."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.bars")
    parser.add_argument("parts", nargs="*", metavar="PART", help=", ".join(PARTS))
    parser.add_argument("--whole", action="store_true", help="everything at full size (hours)")
    given = parser.parse_args()
    if unknown := [p for p in given.parts if p not in PARTS]:
        parser.error(f"no part {unknown[0]}: {', '.join(PARTS)}")
    size = WHOLE if given.whole else SHARE
    print(f"{datetime.date.today().isoformat()}, {'whole' if given.whole else 'a share'}")
    missed: list[str] = []
    count = 0
    for name, part in PARTS.items():
        if given.parts and name not in given.parts:
            continue
        for bar in part(size):
            print(bar.line(), flush=True)
            count += 1
            missed += [] if bar.met else [bar.name]
    print(f"{count - len(missed)} of {count} bars met")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
