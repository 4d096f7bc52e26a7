"""Gauges against the ten published plugs (data: iso_1502.toml)."""

from __future__ import annotations

from itertools import pairwise

import pytest

from mandrelgen.standards.designation import parse
from mandrelgen.standards.gauges_iso_1502 import gauges
from mandrelgen.standards.tables import NotHeldError, records
from mandrelgen.standards.threads import limits

# Go and not-go plugs for 6H as published (a gauge maker's table after ISO 1502): pitch diameter of
# the go plug, its wear limit, major diameter of the not-go plug.
PLUGS = [
    ("M3x0.5", 2.6813, 2.6688, 2.888), ("M4x0.7", 3.5514, 3.5389, 3.819),
    ("M5x0.8", 4.4864, 4.4739, 4.783), ("M5x0.5", 4.6813, 4.6688, 4.888),
    ("M6x1", 5.3625, 5.3450, 5.723), ("M6x0.75", 5.5249, 5.5074, 5.813),
    ("M8x1.25", 7.2001, 7.1826, 7.624), ("M8x0.5", 7.6813, 7.6688, 7.900),
    ("M8x0.75", 7.5249, 7.5074, 7.813), ("M8x1", 7.3625, 7.3450, 7.723),
]  # fmt: skip


@pytest.mark.parametrize(("text", "go", "wear", "major"), PLUGS)
def test_published_plugs(text: str, go: float, wear: float, major: float) -> None:
    first, second = gauges(limits(parse(f"{text}-6H"), external=False))
    assert first.name == "GO plug"
    assert first.pitch == pytest.approx(go, abs=0.00011)
    assert first.wear == pytest.approx(wear, abs=0.00011)
    assert second.crest == pytest.approx(major, abs=0.0006)
    assert first.basis == "read"


# Positions worked out by hand from the columns (ring columns from memory): go, not-go, half.
RINGS = [
    ("M10x0.75-6g", 9.4889, 9.3839, 0.0070), ("M10x1-6g", 9.3225, 9.2055, 0.0070),
    ("M12x1-6g", 11.3225, 11.1995, 0.0070), ("M14x1-6g", 13.3225, 13.1995, 0.0070),
]  # fmt: skip


@pytest.mark.parametrize(("text", "go", "no", "half"), RINGS)
def test_rings_by_hand(text: str, go: float, no: float, half: float) -> None:
    first, second = gauges(limits(parse(text), external=True))
    assert first.pitch == pytest.approx(go, abs=0.0001)
    assert second.pitch == pytest.approx(no, abs=0.0001)
    assert first.pitch_half == half
    assert first.basis == "from memory"


@pytest.mark.parametrize("text", ["M12x0.8-6f", "M8.5x0.75-4h", "M7x0.5-6g", "M12x0.8-6H"])
def test_a_gauge_refuses_what_the_limits_refuse(text: str) -> None:
    """The go gauge, even worn out, passes no more than its tolerance beyond the go limit, and the
    not-go gauge lies at the other limit: go and not-go never cross."""
    work = limits(parse(text), external=not text.endswith("H"))
    first, second = gauges(work)
    assert work.pitch.min is not None
    assert work.pitch.max is not None
    width = work.pitch.max - work.pitch.min
    sign = -1 if work.external else 1
    assert 0.5 * width < sign * (second.pitch - first.pitch) < 1.3 * width
    assert sign * (first.wear - first.pitch) < 0


def test_rows_join_and_grow() -> None:
    """A table of ranges has no gap, and gauges grow coarser with the work (ISO 1502's scheme)."""
    rows = records("iso_1502")
    for a, b in pairwise(rows):
        assert a["to"] == b["over"]
        for column in ("T_R", "T_PL", "Z_R", "Z_PL", "W_GO_R", "W_GO_PL", "W_NG_R", "W_NG_PL"):
            assert a[column] < b[column]
    with pytest.raises(NotHeldError):
        gauges(limits(parse("3/8-32 UNEF-2A"), external=True))
    with pytest.raises(NotHeldError, match="tolerance"):
        gauges(limits(parse("M42x4.5-8g"), external=True))
