"""A printed gauge's limits in words: the sizes of tests/design/test_gauge.py, rounded inwards."""

from __future__ import annotations

from mandrelgen.design.gauge import Whose, gauge_pair
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits
from mandrelgen.workshop.printing import gauges

OWNER = Whose("heron", "cap", "mouth", "the cap", 9.0)


def rows(text: str) -> list[str]:
    return [" ".join(line.split()) for line in text.splitlines()]


def test_a_plugs_limits_as_plain_text() -> None:
    """9.541361 to 9.552361, each rounded inwards to a tenth of a micrometre."""
    go, _ = gauge_pair(limits(parse("M10x0.75-6G"), False), OWNER)
    text = gauges.text(go)
    assert rows(text)[:8] == [
        "GO plug M10x0.75-6G",
        "source: ISO 1502:1996 (read)",
        "thread major diameter 10.023 to 10.045 mm",
        "thread pitch diameter 9.5414 to 9.5523 mm",
        "thread minor diameter max. 9.21 mm",
        "pitch 0.75 mm",
        "lead 0.75 mm",
        "count 1",
    ]
    lines = text.splitlines()
    assert lines[2] == "  thread major diameter    10.023 to 10.045 mm"  # the values stand in a row
    assert lines[5] == "  pitch                    0.75 mm"
    assert all(line.startswith("  ") for line in lines[2:])
    assert f"  {go.purpose}" in lines
    assert [f"  {n}" for n in go.notes] == lines[9:]


def test_a_rings_limits_as_plain_text() -> None:
    _, no = gauge_pair(limits(parse("M12x1-6e"), True), OWNER)
    assert rows(gauges.text(no))[2:5] == [
        "thread major diameter min. 11.94 mm",
        "thread pitch diameter 11.1585 to 11.1724 mm",
        "thread minor diameter 10.935 to 10.9629 mm",
    ]


def test_a_printed_gauge_has_no_centre_holes() -> None:
    go, _ = gauge_pair(limits(parse("M10x0.75-6G"), False), OWNER)
    assert {s.feature for s in go.inner} == {"centre.rear", "centre.nose"}
    shape = gauges.shape_of(go)
    assert shape.inner == ()
    assert shape.outer == go.outer
    _, ring = gauge_pair(limits(parse("M12x1-6e"), True), OWNER)
    assert gauges.shape_of(ring).inner == ring.inner  # a counterbore is none
