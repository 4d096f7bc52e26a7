"""Random pens through the whole road: a clear finding, or a package whose every file is proved.

    python -m pytest tests/long/test_random_packages.py -s

The mix is printed; at least 60 of 100 give packages.
"""

from __future__ import annotations

import collections

from hypothesis import HealthCheck, given, seed, settings

from mandrelgen.design.designer import design
from mandrelgen.errors import Level
from mandrelgen.mandrel import Issue
from mandrelgen.proof import deep, read_back
from mandrelgen.spec.pen import Pen
from mandrelgen.writers.formats import FORMATS, Build, write
from mandrelgen.writers.pdf.document import page_count
from tests.randompens import SHOP, pens

COUNT = 200
SEED = 20260531
MIX: collections.Counter[str] = collections.Counter()


@seed(SEED)
@settings(max_examples=COUNT, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(pens())
def _run(pen: Pen) -> None:
    for d in design(pen, SHOP):
        if d.mandrel is None:
            errors = [f for f in d.findings if f.level is Level.ERROR]
            assert errors
            MIX[f"refused: {errors[0].code}"] += 1
            continue
        build = Build(d.mandrel, Issue("MG-0001", "A", "2026-05-31", "in preparation", "", "", ""))
        files = write(build, tuple(FORMATS))
        expected = read_back.Expected(
            d.mandrel, build.profile, "MG-0001", "A", True, page_count(build.sheet), build.mass
        )
        read_back.check(expected, files)
        deep.prove(expected, files)
        MIX["crowded " * bool(build.sheet.crowded) + d.mandrel.kind.value] += 1


def test_random_pens_give_proved_packages_or_clear_findings() -> None:
    _run()
    total = sum(MIX.values())
    made = sum(n for k, n in MIX.items() if not k.startswith("refused"))
    print(f"\nseed {SEED}: {dict(MIX.most_common())}, {made / total:.0%} packages")
    assert made / total >= 0.6
