"""printers.toml: there is no published source with hard numbers, so what can be checked is: every
value says what it stands on, lies in the ranges that trade guides give (drawing facts: clearance a
side 0.05 to 0.3, holes 0.2 small, walls 0.8 and more; resin 0.1 a side), and orders itself."""

from __future__ import annotations

import pytest

from mandrelgen.spec.shop import Shop
from mandrelgen.standards.tables import load
from mandrelgen.workshop.printing.printer import SIZES, names, printer

KINDS = ("fdm", "resin")
BASES = ("trade guides", "from memory", "choice", "common", "a pixel")


@pytest.mark.parametrize("kind", KINDS)
def test_every_value_says_what_it_stands_on(kind: str) -> None:
    for key, row in load("printers")["kind"][kind].items():
        assert row["value"] > 0, key
        assert row["basis"].startswith(BASES), key


@pytest.mark.parametrize("kind", KINDS)
def test_values_lie_where_trade_guides_put_them(kind: str) -> None:
    """Allowance a side: FDM 0.2, resin 0.1, in use 0.05 to 0.3 (common practice, no source)."""
    rows = {k: v["value"] for k, v in load("printers")["kind"][kind].items()}
    agreed = {"fdm": 0.2, "resin": 0.1}[kind]
    assert rows["external_thread"] == rows["internal_thread"] == agreed
    assert 0.0 < rows["outside"] <= rows["hole"] <= 0.2
    assert {"fdm": 0.8, "resin": 1.0}[kind] == rows["least_wall"] <= rows["good_wall"]
    for pair in ("layers", "depth"):
        assert rows[f"{pair}_least"] < rows[f"{pair}_good"]


def test_limits_are_in_order() -> None:
    rows = {k: v["value"] for k, v in load("printers")["limits"].items()}
    assert 0 < rows["overlap_least"] < rows["overlap_good"] < 1
    assert rows["slender_good"] < rows["slender_least"]


def test_generic_printers_take_their_kinds_values() -> None:
    shop = Shop.model_validate({"schema": 1})
    for name in names(shop)[:-1]:
        p = printer(shop, name)
        rows = load("printers")["kind"][p.kind]
        assert {s: getattr(p, s) for s in SIZES} == {s: rows[s]["value"] for s in SIZES}
        assert p.layer < p.feature or p.kind == "resin"
