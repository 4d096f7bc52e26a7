"""The example that the README shows is what the program makes today."""

from __future__ import annotations

from mandrelgen.archive.design_hash import mandrel_json
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
