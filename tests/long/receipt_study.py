"""Receipt at home on simulated mandrels, printed as a table.

python -m tests.long.receipt_study [COUNT]   (1,000 of each of two mandrels by default)
"""

from __future__ import annotations

import sys

from tests.judging.receipt_study import SEED, run, settings, table

COUNT = 1000


def main(count: int) -> None:
    """Run and print."""
    print(f"{count} as made of each, seed {SEED}\n")
    for s in settings():
        print("\n".join(table(s.name, run(s, count))))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else COUNT)
