"""Receipt at home on simulated mandrels, printed as tables.

python -m tests.long.receipt_study [COUNT]   (667 of each of three mandrels by default)
"""

from __future__ import annotations

import sys

from tests.judging.receipt_study import SEED, run, settings, summary, table

COUNT = 667


def main(count: int) -> None:
    """Run and print."""
    print(f"{count} as made of each, seed {SEED}\n")
    found = []
    for s in settings():
        found.append(run(s, count))
        print("\n".join(table(s.name, found[-1])), flush=True)
    print("\n".join(summary(found)))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else COUNT)
