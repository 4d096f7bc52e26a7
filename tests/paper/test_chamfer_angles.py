"""A chamfer's angle is asked no closer than its use, and the sheet says so."""

from __future__ import annotations

import pytest

from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.dimension_labels import label_of
from mandrelgen.paper.drawing.model import Text
from mandrelgen.paper.drawing.notes import notes_block
from mandrelgen.standards.iso_2768 import angle
from tests.support.bench_pens import MANDRELS


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_a_chamfer_without_a_tolerance_has_five_degrees_by_a_note(m: Mandrel, shop: object) -> None:
    """ISO 2768-1:1989, table 3: ±1° in class m for a shorter leg up to 10 mm, which would hold were
    nothing said; ±5° is common practice, no source."""
    free = [
        c for c in m.characteristics if c.kind is Kind.ANGLE and c.own_id in _CHAMFERS and c.general
    ]
    said = " ".join(t.text for t in notes_block(m, (), {}, 150.0).drawn if isinstance(t, Text))
    assert "; chamfers ±5°" in said
    assert free
    for c in free:
        assert c.lower is not None
        assert c.upper is not None
        assert (c.nominal - c.lower, c.upper - c.nominal) == (5.0, 5.0)
        assert angle(0.5) == 1.0
        assert "±" not in label_of(c, {}).after


_CHAMFERS = ("rear.angle", "nose.angle")
