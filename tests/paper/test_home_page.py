"""The page "when it arrives": one page for every starter's mandrel, every question on it, nothing
wider than its column, and none of what stains resin but as what never to use (common practice, no
source)."""

from __future__ import annotations

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.files.writers.pdf import tables
from mandrelgen.paper.drawing.text_width import width_of
from mandrelgen.spec.starters import starter_names
from mandrelgen.workflows.order import papers_beside
from mandrelgen.workshop.receipt.home_form import CAUTIONS, form_of
from tests.support.archived import starters


@pytest.mark.parametrize("pen", starter_names("pen"))
def test_one_page_holds_every_question(pen: str) -> None:
    read, shop, _, _ = starters(pen)
    for d in designs(read, shop):
        if d.mandrel is None:
            continue
        form = form_of(d.mandrel, shop)
        pages = tables.pages_of(papers_beside(d.mandrel, shop)[1])
        assert pages[0][0].title == "When it arrives"
        assert pages[1][0].title == "Every characteristic, by its balloon", d.planned.id
        assert not any(p.title.endswith("(continued)") for p in pages[0])
        cells = [c for p in pages[0] for row in p.rows for c in row]
        text = " ".join(line for c in cells for line in c)
        for q in form.questions:
            own = q.test if q.test.startswith(("runout", "screws")) else q.id
            assert own in text.replace(". ", "."), q.id
        assert text.count("mm at _____°") % 2 == 0 < text.count("mm at _____°")
        alone = "amounts alone cannot tell a mandrel that leans from a collet that runs out"
        assert alone in " ".join(text.split())
        for p in pages[0]:
            edges = tables.columns(p.table)
            for row in p.rows:
                for i, cell in enumerate(row):
                    wide = max(width_of(line, tables.TEXT) for line in cell)
                    assert wide <= edges[i + 1] - edges[i] - 0.8, cell


def test_what_stains_is_named_only_to_forbid_it() -> None:
    [said] = [c for c in CAUTIONS if "blue" in c]
    assert "never marking blue, spirit pen or solvent" in said
    assert any("switched off" in c for c in CAUTIONS)
    assert any("not forced" in c for c in CAUTIONS)
