"""The example that the README shows is what the program makes today."""

from __future__ import annotations

import json

from mandrelgen.archive.design_hash import mandrel_json
from mandrelgen.archive.page_hashes import papers_of
from mandrelgen.assess.settled import designs
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from tests.paths import ROOT

EXAMPLE = ROOT / "output" / "example"


def test_the_shown_example_is_todays_design() -> None:
    pen = read_pen(starter("pen", "heron"), "heron.toml")
    shop = read_shop(starter("shop", "bench"), "bench.toml")
    first = designs(pen, shop)[0].mandrel
    assert first is not None
    shown = (EXAMPLE / "mandrel.json").read_bytes()
    assert shown == mandrel_json(first), (
        "make it anew: mandrelgen make templates/pens/heron.toml --shop templates/shops/bench.toml "
        "--date 2026-05-31 --to FOLDER, then copy FOLDER/MG-0001/A to output/example, its PNG also "
        "as drawing.png"
    )


def test_the_shown_pages_print_todays_words() -> None:
    """What each part of the pages prints, by its hash in the record; nothing of it is newer."""
    from mandrelgen.workflows import build, check
    from mandrelgen.workflows.cost import cost_tables
    from mandrelgen.workflows.order import papers_beside
    from mandrelgen.workflows.read_inputs import read_inputs

    checked = check.check(read_inputs(EXAMPLE / "pen.toml", EXAMPLE / "shop.toml"))
    mandrel, verdicts = build.designed_mandrels(checked)[0]
    issue = build.issue_of(checked.inputs.pen.pen, "", "", "2026-05-31")
    turner, inspection = papers_beside(mandrel, checked.inputs.shop)
    beside = (*turner, *inspection, *cost_tables(checked).get(mandrel.id, ()))
    record = json.loads((EXAMPLE / "record.json").read_text("utf-8"))
    assert record["papers"] == papers_of(mandrel, issue, verdicts, beside)
