"""Five hundred random pens' mandrels: laid out without a clash, dimensioned as a tree, rebuilt from
paper; in shares, so that every core has work. Takes minutes; not in the normal run."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, seed, settings

from mandrelgen.assess.settled import designs
from mandrelgen.spec.pen import Pen
from tests.paper.test_dimensions import check_tree, compare
from tests.paper.test_sheet_ink import check_ink, check_scale, check_space, sheet_of
from tests.support.randompens import SHOP, pens

SHARES = 10


@pytest.mark.parametrize("share", range(SHARES))
def test_five_hundred_sheets(
    request: pytest.FixtureRequest,
    record_property: Callable[[str, object], None],
    share: int,
) -> None:
    mix: Counter[str] = Counter()
    number = int(request.config.getoption("--seed-of-pens")) + share

    @seed(number)
    @settings(
        max_examples=500 // SHARES,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(pens())
    def each(pen: Pen) -> None:
        for made in designs(pen, SHOP):
            mix["asked"] += 1
            if made.mandrel is None:
                continue
            sheet = sheet_of(made.mandrel)
            mix["drawn"] += 1
            mix[made.mandrel.kind.value] += 1
            mix[" and ".join(f"{s.paper} {s.scale_text}" for s in sheet.sheets)] += 1
            mix[f"{len(sheet.sheets)} sheets"] += 1
            check_ink(sheet)
            check_space(sheet, made.mandrel)
            if mix["drawn"] % 10 == 0:
                check_scale(sheet, made.mandrel)
            check_tree(made.mandrel)
            if mix["drawn"] % 5 == 0:
                compare(made.mandrel)

    each()
    told = f"sheets, seed {number}: {dict(mix)}"
    print(f"\n{told}")
    record_property("mix", told)
    assert mix["drawn"] >= 0.6 * mix["asked"]
