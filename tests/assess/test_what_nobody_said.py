"""What nobody said is not put down to the lathe; one wall has one figure by its sizes, beside it
what turning off-centre leaves."""

from __future__ import annotations

import re

from mandrelgen.paper.reports.summary import paragraph
from mandrelgen.workflows.bench_look import inputs_of
from mandrelgen.workflows.check import check as checked
from tests.support.plover import PLOVER

SHOP = b"schema = 1\n[lathe]\nmax_speed = 3000\n"


def said(text: str, part: str, shop: bytes | None = None) -> str:
    seen = checked(inputs_of(text.encode(), "plover.toml", shop))
    rows = {d.planned.hold.part: d.verdict for d in seen.designed}
    verdict = rows[part]
    assert verdict is not None
    return "\n".join(paragraph(verdict))


def test_a_highest_speed_is_the_lathes_only_where_it_is_said() -> None:
    taken = "3,000 rpm (the lathe's highest speed is not said: taken as this)"
    assert taken in said(PLOVER, "barrel")
    assert taken in said(PLOVER + "[shop.lathe]\ntailstock = true\n", "barrel")
    for own in (
        said(PLOVER, "barrel", SHOP),
        said(PLOVER + "[shop.lathe]\nmax_speed = 3000\n", "barrel"),
    ):
        assert "3,000 rpm (the lathe's highest speed)" in own


def test_a_wall_by_its_sizes_is_the_same_in_the_finding_and_beside_the_mandrel() -> None:
    """15.4 over a root of 13.76 at the most: 0.82; the rest is the outside turned off-centre."""
    line = said(PLOVER.replace("= 15.2", "= 15.4"), "cap")
    m = re.search(r"thinnest wall (\S+) over the thread, (\S+) if the outside", line)
    assert m, line
    resolved = checked(
        inputs_of(PLOVER.replace("= 15.2", "= 15.4").encode(), "plover.toml", None)
    ).resolved
    (lip,) = (w for w in resolved.walls if w.kind.value == "lip" and w.place.part == "cap")
    assert float(m[1]) == round(lip.value, 2)
    assert float(m[2]) < float(m[1])
