"""Prints how the sheets of random pens look: one sheet or two, how much of sheet 1 is used, and
what stands too near to what. ``python -m tests.long.sheets_table --pens N --seed-of-pens S``."""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import dataclass

from hypothesis import HealthCheck, Phase, given, seed, settings

from mandrelgen.assess.settled import designs
from mandrelgen.spec.pen import Pen
from tests.paper.test_sheet_ink import sheet_of
from tests.support.randompens import SHOP, pens
from tests.support.sheet_clearances import tips_too_near, too_near, used


@dataclass(frozen=True)
class Counted:
    """Of many drawings: how many of which kind (``mix``), the share of squares used on sheet 1,
    sizes a drawing, what stands too near, and on how many drawings."""

    mix: Counter[str]
    shares: list[float]
    sizes: list[int]
    near: Counter[str]
    sheets_near: Counter[str]

    @property
    def one_sheet(self) -> float:
        """Drawings on one sheet, %."""
        return 100 * self.mix["1 sheet(s)"] / len(self.shares)

    @property
    def used(self) -> float:
        """Squares used on sheet 1, mean, %."""
        return 100 * sum(self.shares) / len(self.shares)


def counted(count: int, seed_of_pens: int) -> Counted:
    """Lay out the mandrels of ``count`` random pens."""
    near: Counter[str] = Counter()
    sheets_near: Counter[str] = Counter()
    mix: Counter[str] = Counter()
    shares: list[float] = []
    balloons: list[int] = []

    @seed(seed_of_pens)
    @settings(
        max_examples=count,
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
    return Counted(mix, sorted(shares), balloons, near, sheets_near)


def main() -> None:
    """Lay out, count, print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--pens", type=int, default=60)
    parser.add_argument("--seed-of-pens", type=int, default=0)
    given_ = parser.parse_args()
    c = counted(given_.pens, given_.seed_of_pens)
    mix, shares, balloons, near, sheets_near = c.mix, c.shares, c.sizes, c.near, c.sheets_near
    n = len(shares)
    print(f"{n} drawings, {dict(mix)}: one sheet {c.one_sheet:.1f} %")
    print(
        f"squares used on sheet 1: mean {c.used:.1f} %, least "
        f"{100 * shares[0]:.1f} %, a tenth under {100 * shares[n // 10]:.1f} %, "
        f"{100 * sum(s >= 0.55 for s in shares) / n:.1f} % of the sheets have 55 % or more"
    )
    print(f"sizes a drawing: mean {sum(balloons) / n:.1f}, most {max(balloons)}")
    for name in sorted(n for n in near if near[n]):
        print(f"{name}: {near[name]} on {sheets_near[name]} drawings")


if __name__ == "__main__":
    main()
