"""The faulty pen whose ``check`` takes longest, cold, beside pydantic with one model.

    python -m tests.benchmarks.faulty [--rounds 5] [--again 12]

Which pen it is, is found in one process, by processor time over the whole faulty suite.
"""

from __future__ import annotations

import argparse
import contextlib
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.judging.cases import Case
from tests.judging.every import faulty
from tests.judging.table import answer
from tests.judging.trees import toml


def cost(case: Case, times: int) -> float:
    """Least processor time of judging it in this process, s."""
    return min(_once(case) for _ in range(times))


def _once(case: Case) -> float:
    start = time.process_time()
    answer(case.pen, case.shop)
    return time.process_time() - start


def dearest(seed: str = "first", again: int = 12) -> list[tuple[float, Case]]:
    """The dearest pens of the suite, the worst first: each judged once, then ``again`` of them
    thrice more, since a busy machine lengthens single runs."""
    cases = faulty(seed)
    answer(cases[0].pen, cases[0].shop)  # imports and tables are no pen's own cost
    once = sorted(((cost(c, 1), n) for n, c in enumerate(cases)), reverse=True)
    best = [(cost(cases[n], 3), n) for _, n in once[:again]]
    return [(seconds, cases[n]) for seconds, n in sorted(best, reverse=True)]


@contextlib.contextmanager
def files(case: Case) -> Iterator[tuple[str, str]]:
    """Pen and shop as files in a temporary folder."""
    with tempfile.TemporaryDirectory() as folder:
        pen, shop = Path(folder) / "pen.toml", Path(folder) / "shop.toml"
        pen.write_text(toml(case.pen))
        shop.write_text(toml(case.shop))
        yield str(pen), str(shop)


@contextlib.contextmanager
def worst() -> Iterator[tuple[str, Callable[[], None]]]:
    """The worst pen's kind, and its cold ``check``."""
    from tests.benchmarks.table import process

    case = dearest()[0][1]
    with files(case) as (pen, shop):
        # A pen with an error ends with 1.
        yield case.kind, process("-m", "mandrelgen", "check", pen, "--shop", shop, fine=(0, 1))


def main() -> int:
    """Print the dearest pens and the row."""
    from tests.benchmarks.table import faulty_row

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--again", type=int, default=12)
    given = parser.parse_args()
    for seconds, case in dearest(again=given.again):
        print(f"{seconds * 1000:8.1f} ms  {case.kind} ({case.level or 'silent'}) {case.value:g}")
    row = faulty_row(given.rounds)
    print(row.line())
    return 0 if row.met else 1


if __name__ == "__main__":
    raise SystemExit(main())
