"""Every remedy that is offered, applied to the pen, removes its finding; a lesser one the error,
and says what it leaves."""

from __future__ import annotations

import pytest

from mandrelgen.core.errors import Level
from mandrelgen.spec.patch import patched
from tests.judging.every import faulty
from tests.judging.sane import sane
from tests.judging.table import answer
from tests.judging.trees import Tree

STEP = 23
"""Every so many of the faulty pens are tried here, all of them in tests/long."""

CASES = [(c.pen, c.shop) for c in faulty()] + [(s.pen, s.shop) for s in sane()[:STEP]]


def remove_their_findings(pen: Tree, shop: Tree) -> int:
    """How many remedies were applied; each is checked."""
    tried = 0
    for f in answer(pen, shop).findings:
        for remedy in f.remedies if f.level is not Level.NOTE else ():
            after = answer(patched(pen, remedy.changes), shop).findings
            left = [g for g in after if g.key == f.key and g.level is not Level.NOTE]
            if remedy.lesser:
                assert all(g.level is Level.WARNING and g.brief in remedy.says for g in left)
            else:
                assert not left, (f.line(), remedy.says)
            tried += 1
    return tried


def test_a_tenon_that_strips_grows_together_with_the_hole_it_screws_into() -> None:
    """The first pen of a seed of its own has a finial of casting resin whose 5.5 of M7 strip in a
    dig-in of 2 N·m; longer alone it would bottom in the cap's tapped 8."""
    (s,) = sane(4102, 1)
    (f,) = [f for f in answer(s.pen, s.shop).findings if f.code == "use.strip"]
    (remedy,) = f.remedies
    said = {".".join(map(str, c.path)): c.value for c in remedy.changes}
    assert said == {
        "parts.finial.ends.root.external.length": 7.5,
        "parts.finial.length": 16.0,
        "parts.cap.ends.crown.internal.depth": 10.0,
        "parts.cap.ends.crown.bore.0.depth": 10.0,
    }
    assert remove_their_findings(s.pen, s.shop) == 1


@pytest.mark.parametrize("start", [0, 7])
def test_remedies_remove_what_they_are_offered_for(start: int) -> None:
    assert sum(remove_their_findings(*c) for c in CASES[start::STEP]) > 10
