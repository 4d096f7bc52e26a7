"""All remedies of the whole faulty suite and the sane pens, applied: each removes its finding."""

from __future__ import annotations

from tests.judging.sane import sane
from tests.judging.test_remedies import CASES, remove_their_findings

# Seeds that no threshold and no remedy was tuned with.
FRESH = (6101, 6102)


def test_every_remedy_offered_removes_its_finding() -> None:
    # Of about 490 that are offered: enough that none of the kinds stays untried.
    assert sum(remove_their_findings(*c) for c in CASES) > 450


def test_every_remedy_offered_on_other_sane_pens_removes_its_finding() -> None:
    pens = [s for seed in FRESH for s in sane(seed)]
    assert sum(remove_their_findings(s.pen, s.shop) for s in pens) > 20
