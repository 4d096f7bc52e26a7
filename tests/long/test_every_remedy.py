"""All remedies of the whole faulty suite and the sane pens, applied: each removes its finding."""

from __future__ import annotations

from tests.judging.test_remedies import CASES, remove_their_findings


def test_every_remedy_offered_removes_its_finding() -> None:
    assert sum(remove_their_findings(*c) for c in CASES) > 500
