"""Prints how the sheets of random pens look: one sheet or two, how much of sheet 1 is used, and
what stands too near to what. ``python -m tests.long.sheets_table --pens N --seed-of-pens S``."""

from __future__ import annotations

import argparse
from collections import Counter

from hypothesis import HealthCheck, Phase, given, seed, settings

from mandrelgen.assess.settled import designs
from mandrelgen.spec.pen import Pen
from tests.paper.test_sheet_ink import sheet_of
from tests.support.randompens import SHOP, pens
from tests.support.sheet_clearances import tips_too_near, too_near, used


def main() -> None:
    """Lay out, count, print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--pens", type=int, default=60)
    parser.add_argument("--seed-of-pens", type=int, default=0)
    given_ = parser.parse_args()
    near: Counter[str] = Counter()
    sheets_near: Counter[str] = Counter()
    mix: Counter[str] = Counter()
    shares: list[float] = []
    balloons: list[int] = []

    @seed(given_.seed_of_pens)
    @settings(
        max_examples=given_.pens,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(pens())
    def each(pen: Pen) -> None:
        for made in designs(pen, SHOP):
            if made.mandrel is None:
                continue
            sheet = sheet_of(made.mandrel)
            mix[f"{len(sheet.sheets)} sheet(s)"] += 1
            mix[f"{sheet.paper}"] += 1
            shares.append(used(sheet))
            balloons.append(len(made.mandrel.characteristics))
            here: Counter[str] = Counter()
            for one in sheet.sheets:
                here += too_near(one)
                here["heads at nearly one point"] += len(tips_too_near(one))
            near.update(here)
            sheets_near.update(k for k, n in here.items() if n)

    each()
    shares.sort()
    n = len(shares)
    print(f"{n} drawings, {dict(mix)}: one sheet {100 * mix['1 sheet(s)'] / n:.1f} %")
    print(
        f"squares used on sheet 1: mean {100 * sum(shares) / n:.1f} %, least "
        f"{100 * shares[0]:.1f} %, a tenth under {100 * shares[n // 10]:.1f} %, "
        f"{100 * sum(s >= 0.55 for s in shares) / n:.1f} % of the sheets have 55 % or more"
    )
    print(f"sizes a drawing: mean {sum(balloons) / n:.1f}, most {max(balloons)}")
    for name in sorted(n for n in near if near[n]):
        print(f"{name}: {near[name]} on {sheets_near[name]} drawings")


if __name__ == "__main__":
    main()
