"""Gauges against the ten published plugs (data: iso_1502.toml)."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from mandrelgen.standards.designation import parse
from mandrelgen.standards.iso_1502 import gauges
from mandrelgen.standards.tables import NotHeldError, records
from mandrelgen.standards.threads import Band, limits

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


# Every figure of both gauges worked out by hand from the scheme of GB/T 3934 (adopts ISO 1502) and
# its columns: go pitch, wear, crest; not-go pitch, wear, crest; the halves of pitch and crest.
# M10x0.75-6G: D2 = 9.512861, EI 0.022, TD2 0.132: T 11, Z 12, W 17.5 and 11.5; 2 F1 = H/4 =
# 0.162380.
# M10x0.75-6g: es −0.022, Td2 0.100: T 14, Z 2, W 16 and 12; D1 = 9.188101. M12x1-6e: es −0.060,
# Td2 0.118, the same row; d2 = 11.350481, D1 = 10.917468, 2 F1 = 0.216506.
WHOLE = {
    "M10x0.75-6G": ((9.546861, 9.529361, 10.034), (9.672361, 9.660861, 9.834741), 5.5, (11, 11)),
    "M10x0.75-6g": ((9.488861, 9.504861, 9.166101), (9.383861, 9.395861, 9.221481), 7, (7, 14)),
    "M12x1-6e": ((11.288481, 11.304481, 10.857468), (11.165481, 11.177481, 10.948975), 7, (7, 14)),
}


@pytest.mark.parametrize("text", WHOLE)
def test_whole_gauges_by_hand(text: str) -> None:
    *both, half, crest_halves = WHOLE[text]
    work = limits(parse(text), external=not text.endswith("G"))
    assert work.tolerance_class == text[-2:]
    for gauge, wanted, crest_half in zip(gauges(work), both, crest_halves, strict=True):
        assert (gauge.pitch, gauge.wear, gauge.crest) == pytest.approx(wanted, abs=1.1e-6)
        assert gauge.pitch_half == pytest.approx(half / 1000)
        assert gauge.crest_half == pytest.approx(crest_half / 1000)
        assert gauge.source.startswith("ISO 1502:1996")


def test_a_tolerance_on_the_edge_of_a_row_belongs_to_the_lower_one() -> None:
    """80 µm is the last of the row over 50 to 80; no printed TD2 is 80, so a factor makes it."""
    one = limits(parse("M6x0.5-4H"), external=False)  # TD2 71
    work = limits(parse("M6x0.5-4H"), external=False, factor=80 / 71)
    assert work.pitch.max is not None
    assert work.pitch.min is not None
    assert work.pitch.max - work.pitch.min == pytest.approx(0.080)
    assert gauges(work)[0].pitch_half == gauges(one)[0].pitch_half == 0.0035
    with pytest.raises(NotHeldError) as e:
        gauges(limits(parse("M42x4.5-8g"), external=True))
    assert "over 24 to 315 µm" in e.value.remedy


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


@pytest.mark.parametrize(
    ("text", "external", "words"),
    [
        # 1/2-28 UNEF-2A, Machinery's Handbook 31st ed., external thread calculations, Table 3:
        # major .4989 and .4924 in, pitch .4757 and .4720 in; in mm, rounded inwards.
        ("1/2-28 UNEF", True, ("rings", "12.507 to 12.672", "11.989 to 12.082", "major")),
        # #1-64 UNC-2B, ASME B1.1's table: minor .0561 to .0623 in, pitch .0629 to .0655 in.
        ("#1-64 UNC-2B", False, ("plugs", "1.425 to 1.582", "1.598 to 1.663", "minor")),
    ],
)
def test_whoever_quotes_inch_gauges_gets_the_threads_own_limits(
    text: str, external: bool, words: tuple[str, str, str, str]
) -> None:
    with pytest.raises(NotHeldError, match="ISO 1502 holds no gauges for") as e:
        gauges(limits(parse(text), external=external))
    kind, crest, pitch, name = words
    assert text in e.value.message
    assert f"order go and not-go {kind} to ASME B1.2" in e.value.remedy
    assert f"pitch diameter {pitch}, {name} diameter {crest} mm" in e.value.remedy
    # The class stands there once, whether the thread was written with it or not.
    assert e.value.remedy.count("-2A" if external else "-2B") == 1
    assert f"{text.removesuffix('-2B')}-{'2A' if external else '2B'} (" in e.value.remedy


def test_a_limit_nobody_set_is_not_quoted() -> None:
    """A thread whose crest was not limited (a measured one, say) still names its pitch diameter."""
    work = limits(parse("#1-64 UNC-2B"), external=False)
    for open_band in (Band(None, None), Band(1.5, None), Band(None, 1.6)):
        with pytest.raises(NotHeldError) as e:
            gauges(replace(work, minor=open_band))
        assert "(pitch diameter 1.598 to 1.663 mm)" in e.value.remedy


def test_each_gauge_says_what_it_is_and_how_well_it_is_founded() -> None:
    """GO and NOT GO are what ISO 1502 calls them; only the plugs' columns were read."""
    plugs = gauges(limits(parse("M6x1-6H"), external=False))
    rings = gauges(limits(parse("M12x1-6g"), external=True))
    assert [g.name for g in plugs] == ["GO plug", "NOT GO plug"]
    assert [g.name for g in rings] == ["GO ring", "NOT GO ring"]
    assert [g.basis for g in (*plugs, *rings)] == ["read", "read", "from memory", "from memory"]
