"""An end without room for a seat: the first advice mends it, and nothing sends one back."""

from __future__ import annotations

import pytest

from mandrelgen.core.errors import Level
from mandrelgen.spec.patch import patched_text
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.bench_look import inputs_of
from mandrelgen.workflows.check import check

SECTION = (
    'schema = 1\n[pen]\nid = "reed"\nname = "Reed"\n[parts.section]\nlength = 40.0\n'
    'diameter = {wide}\n[parts.section.ends.rear]\ndiameter = {end}\n'
    '[parts.section.ends.rear.external]\nthread = "M12x0.8"\nlength = 8.0\n'
)  # fmt: skip


def found(text: str) -> dict[str, list[str]]:
    """What may not stand, and what is doubtful, by code: what the remedies say."""
    judged = check(inputs_of(text.encode(), "reed.toml", starter("shop", "bench")))
    return {
        f.code: [r.says for r in f.remedies]
        for f in judged.findings if f.level is not Level.NOTE
    }  # fmt: skip


@pytest.mark.parametrize(("wide", "end"), [(12.6, 12.2), (13.0, 13.0), (15.0, 12.2)])
def test_the_first_advice_for_a_section_without_a_seat_leaves_nothing_to_mend(
    wide: float, end: float
) -> None:
    """M12: the crest is ⌀12, so that a ring of 0.5 a side needs more than ⌀13 outside in any
    case, and the cup around the thread has a wall besides."""
    text = SECTION.format(wide=wide, end=end)
    judged = check(inputs_of(text.encode(), "reed.toml", starter("shop", "bench")))
    (none,) = [f for f in judged.findings if f.code == "seat.none"]
    after = patched_text(text, none.remedies[0].changes)
    left = found(after)
    assert "seat.none" not in left
    assert "wall.thin" not in left
    assert "seat.clearance" not in left
    grown = [c.value for c in none.remedies[0].changes]
    assert all(isinstance(v, float) and v > 13.0 for v in grown)
    assert (len(grown) == 2) is (wide < max(float(v) for v in grown))  # type: ignore[arg-type]
