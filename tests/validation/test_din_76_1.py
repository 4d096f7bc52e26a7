"""Undercuts and run-outs against other published tables, every row used.

Checks data/din_76_1_external.toml, din_76_1_internal.toml and din_76_1_run_out.toml.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.standards import din_76
from mandrelgen.standards.tables import NotHeldError, records
from mandrelgen.standards.threads import D3_FACTOR

# GB/T 3-1997 (ISO 3508 run-outs): P, x general, x short, a general, a long, a short. The one
# difference of the family is a at P 1.25: 4 in GB/T 3, 3.75 in DIN 76-1.
GB_T_3 = """
0.25 0.6 0.3 0.75 1 0.5
0.3 0.75 0.4 0.9 1.2 0.6
0.35 0.9 0.45 1.05 1.4 0.7
0.4 1 0.5 1.2 1.6 0.8
0.45 1.1 0.6 1.35 1.8 0.9
0.5 1.25 0.7 1.5 2 1
0.6 1.5 0.75 1.8 2.4 1.2
0.7 1.75 0.9 2.1 2.8 1.4
0.75 1.9 1 2.25 3 1.5
0.8 2 1 2.4 3.2 1.6
1 2.5 1.25 3 4 2
1.25 3.2 1.6 3.75 5 2.5
1.5 3.8 1.9 4.5 6 3
"""

# DIN 76-1:2016 in a second transcription (a lathe-programming project): P; external dg offset,
# g1 A, g1 B, g2 A, g2 B, r; internal dg offset, g1 C, g1 D, g2 C, g2 D. "-": not given there.
SECOND = """
0.4 -.7 - - 1.4 1.0 .2 .2 - - 2.2 1.6
0.45 -.7 - - 1.6 1.1 .2 .2 - - 2.4 1.7
0.5 -.8 1.1 .5 1.75 1.25 .2 .3 2 1.25 2.7 2
0.6 -1 - - 2.1 1.5 .4 .3 - - 3.3 2.4
0.7 -1.1 1.5 .8 2.45 1.75 .4 .3 2.8 1.75 3.8 2.75
0.8 -1.3 1.7 .9 2.8 2 .4 .3 3.2 2 4.2 3
1 -1.6 2.1 1.1 3.5 2.5 .6 .5 4 2.5 5.2 3.7
1.25 -2 2.7 1.5 4.4 3.2 .6 .5 5 3.2 6.7 4.9
1.5 -2.3 3.2 1.8 5.2 3.8 .8 .5 6 3.8 7.8 5.6
"""
# DIN 76-1, rows without a second transcription, from memory: P, dg external, g2 A, g2 B, r,
# dg internal, g2 C, g2 D.
FROM_MEMORY = """
0.25 -.4 .9 .6 .12 .1 1.4 1
0.3 -.5 1.05 .75 .16 .1 1.6 1.25
0.35 -.6 1.2 .9 .16 .2 1.9 1.4
0.75 -1.2 2.6 1.9 .4 .3 4 2.9
"""


@pytest.mark.parametrize("line", GB_T_3.strip().splitlines())
def test_run_outs(line: str) -> None:
    p, x1, x2, a1, a3, a2 = (float(v) for v in line.split())
    r = din_76.run_out(p)
    assert (r.x_normal, r.x_short, r.a_normal, r.a_short) == (x1, x2, a1, a2)
    assert not r.extended
    row = next(row for row in records("din_76_1_run_out") if row["P"] == p)
    assert row.get("a3", a3) == a3


def test_blind_hole_run_outs() -> None:
    # DIN 76-1, e1, as FreeCAD (LGPL) holds it; e2 and e3 follow from it (rules from memory).
    freecad = {
        0.25: 1.5, 0.3: 1.8, 0.35: 2.1, 0.4: 2.3, 0.45: 2.6, 0.5: 2.8, 0.6: 3.4, 0.7: 3.8,
        0.75: 4.0, 0.8: 4.2, 1: 5.1, 1.25: 6.2, 1.5: 7.3,
    }  # fmt: skip
    rows = records("din_76_1_run_out")
    assert {row["P"]: row["e1"] for row in rows} == freecad
    for row in rows:
        assert row["e2"] == pytest.approx(0.63 * row["e1"], abs=0.07)
        assert row["e3"] == pytest.approx(1.6 * row["e1"], abs=0.11)


@pytest.mark.parametrize("line", SECOND.strip().splitlines())
def test_undercuts(line: str) -> None:
    p, *cells = line.split()
    given_values = [None if c == "-" else float(c) for c in cells]
    e, i = din_76.external(float(p)), din_76.internal(float(p))
    ours = [
        e.dg, e.g1_normal, e.g1_short, e.g2_normal, e.g2_short, e.r,
        i.dg, i.g1_normal, i.g1_short, i.g2_normal, i.g2_short,
    ]  # fmt: skip
    for k, (mine, theirs) in enumerate(zip(ours, given_values, strict=True)):
        if theirs is not None:
            assert mine == theirs, k
    assert i.r == e.r
    assert not e.extended
    assert e.source == "DIN 76-1:2016, thread undercuts for external threads, " + (
        "forms A (normal) and B (short)"
    )


@pytest.mark.parametrize("line", FROM_MEMORY.strip().splitlines())
def test_undercuts_from_memory(line: str) -> None:
    p, *numbers = (float(v) for v in line.split())
    e, i = din_76.external(p), din_76.internal(p)
    ours = [e.dg, e.g2_normal, e.g2_short, e.r, i.dg, i.g2_normal, i.g2_short]
    assert ours == numbers


def test_every_row_is_checked_above() -> None:
    checked = {float(line.split()[0]) for line in (SECOND + FROM_MEMORY).split("\n") if line}
    assert {row["P"] for row in records("din_76_1_external")} == checked
    assert {row["P"] for row in records("din_76_1_internal")} == checked
    run_outs = {float(line.split()[0]) for line in GB_T_3.strip().splitlines()}
    assert {row["P"] for row in records("din_76_1_run_out")} == run_outs


# DIN 76-1's own rules of thumb: x1 2.5 P, x2 1.25 P, a1 3 P, a2 2 P; g2 A 3.5 P, B 2.5 P,
# C 5.2 P, D 3.7 P; e1 is about 2.7 P + 1.2 and e2 about 0.63 e1, e3 1.6 e1 (from memory).
@given(st.floats(0.5, 1.5))
def test_rows_and_interpolation_follow_the_rules(p: float) -> None:
    r, e, i = din_76.run_out(p), din_76.external(p), din_76.internal(p)
    for value, factor in (
        (r.x_normal, 2.5), (r.x_short, 1.25), (r.a_normal, 3), (r.a_short, 2),
        (e.g2_normal, 3.5), (e.g2_short, 2.5), (i.g2_normal, 5.2), (i.g2_short, 3.7),
    ):  # fmt: skip
        assert value == pytest.approx(factor * p, rel=0.13)
    assert r.e_short == pytest.approx(0.63 * r.e_normal, rel=0.03)
    assert r.e_long == pytest.approx(1.6 * r.e_normal, rel=0.03)
    # The groove lies below the root of the design profile, and above the thread inside.
    assert e.dg < -D3_FACTOR * p
    assert i.dg > 0
    assert e.g1_short < e.g1_normal < e.g2_normal
    printed = [row["P"] for row in records("din_76_1_external")]
    assert e.extended == (min(abs(p - q) for q in printed) >= 1e-6)
    if e.extended:
        assert "no row" in e.source
        assert "interpolated" in e.source


def test_straight_lengths_follow_their_rules() -> None:
    # g1 is about 2.1 P (A), 1.1 P (B), 4 P (C), 2.5 P (D).
    for row in records("din_76_1_external"):
        assert row["g1_A"] == pytest.approx(2.1 * row["P"], rel=0.06)
        assert row["g1_B"] == pytest.approx(1.12 * row["P"], rel=0.13)
    for row in records("din_76_1_internal"):
        assert row["g1_C"] == pytest.approx(4 * row["P"], rel=1e-9)
        assert row["g1_D"] == pytest.approx(2.5 * row["P"], rel=0.05)


def test_names_and_classes() -> None:
    e, i = din_76.external(0.8), din_76.internal(0.8)
    assert (e.designation(), e.designation(short=True)) == ("DIN 76-1 - A", "DIN 76-1 - B")
    assert (i.designation(), i.designation(short=True)) == ("DIN 76-1 - C", "DIN 76-1 - D")
    assert (e.tolerance(3), e.tolerance(12), i.tolerance(12)) == ("h12", "h13", "H13")
    assert e.tolerance(3.01) == "h13"


@pytest.mark.parametrize("pitch", [0.2, 1.6, 0, -1])
def test_nothing_is_extrapolated(pitch: float) -> None:
    for ask in (din_76.external, din_76.internal, din_76.run_out):
        with pytest.raises(NotHeldError, match=r"0\.25 to 1\.5"):
            ask(pitch)
