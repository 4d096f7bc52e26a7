"""Metric thread limits against published limits, and the tables against the rule behind them.

Checks data/iso_965_1_pitch_external.toml, iso_965_1_pitch_internal.toml,
iso_965_1_crest_external.toml, iso_965_1_crest_internal.toml, iso_965_1_deviations.toml,
iso_965_1_engagement.toml and iso_261_coarse.toml.
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.standards import iso_965_1
from mandrelgen.standards.designation import coarse_pitch, parse
from mandrelgen.standards.tables import records
from mandrelgen.standards.threads import ThreadLimitError, iso_engagement, limits, stress_area

DATA = Path(__file__).parent / "data"
LIMITS = tomllib.loads((DATA / "metric_limits.toml").read_text(encoding="utf-8"))["table"]
TABLES = tomllib.loads((DATA / "metric_tolerances.toml").read_text(encoding="utf-8"))


def limit_rows() -> list[pytest.param]:
    out = []
    for table in LIMITS:
        for line in table["rows"].strip().splitlines():
            name, *values = line.split()
            numbers = [None if v == "-" else float(v) for v in values]
            out.append(
                pytest.param(
                    name, table["external"], table["class"], numbers, id=f"{name}-{table['class']}"
                )
            )
    return out


def test_enough_published_limits_are_checked() -> None:
    assert sum(v is not None for p in limit_rows() for v in p.values[3]) >= 300


@pytest.mark.parametrize(("name", "external", "klass", "published"), limit_rows())
def test_published_limits(
    name: str, external: bool, klass: str, published: list[float | None]
) -> None:
    t = limits(parse(name), external, klass)
    if external:
        ours = [t.major.max, t.major.min, t.pitch.max, t.pitch.min, t.minor.max, t.minor.min]
        reference = {5}
    else:
        ours = [t.minor.min, t.minor.max, t.pitch.min, t.pitch.max, t.major.min, t.major_max_worst]
        reference = {5}
    for i, (mine, theirs) in enumerate(zip(ours, published, strict=True)):
        if theirs is None:
            continue
        # The 6h chart rounds D1 of M3 down (2.4587): ±1 µm on the flat-form minor diameter too.
        slack = 0.0012 if i in reference or (external and i == 4) else 1e-6
        assert mine == pytest.approx(theirs, abs=slack), f"{name} {klass} column {i}"


# Machinery's Handbook 27th ed., p. 1822 (BS 3643-2): single limits.
@pytest.mark.parametrize(
    ("name", "klass", "pitch_max", "minor_max"),
    [
        ("M30x2", "5H", 28.881, 28.135),
        ("M30x2", "6H", None, 28.210),
        ("M30x2", "7H", 28.981, None),
        ("M30x3.5", "6H", 28.007, 26.771),
    ],
)
def test_bs_3643_internal(
    name: str, klass: str, pitch_max: float | None, minor_max: float | None
) -> None:
    t = limits(parse(name), False, klass)
    if pitch_max is not None:
        assert t.pitch.max == pytest.approx(pitch_max, abs=1e-6)
    if minor_max is not None:
        assert t.minor.max == pytest.approx(minor_max, abs=1e-6)


# Tap catalogues, pitch diameter tolerances of the nut by class, µm above basic D2.
@pytest.mark.parametrize(
    ("name", "h4", "h5", "h6", "g6_low", "g6_high"),
    [
        ("M3", 63, 80, 100, 20, 120),
        ("M3.5", 71, 90, 112, 21, 133),
        ("M4", 75, 95, 118, 22, 140),
        ("M4.5", 75, 95, 118, 22, 140),
        ("M5", 80, 100, 125, 24, 149),
        ("M6", 95, 118, 150, 26, 176),
        ("M7", 95, 118, 150, 26, 176),
        ("M8", 100, 125, 160, 28, 188),
        ("M9", 100, 125, 160, 28, 188),
    ],
)
def test_tap_catalogue_tolerances(
    name: str, h4: int, h5: int, h6: int, g6_low: int, g6_high: int
) -> None:
    d = parse(name)
    for klass, expected in (("4H", h4), ("5H", h5), ("6H", h6)):
        t = limits(d, False, klass)
        assert t.pitch.max - t.basic.pitch == pytest.approx(expected / 1000, abs=1e-6)
    t = limits(d, False, "6G")
    assert t.pitch.min - t.basic.pitch == pytest.approx(g6_low / 1000, abs=1e-6)
    assert t.pitch.max - t.basic.pitch == pytest.approx(g6_high / 1000, abs=1e-6)


def range_cells(name: str, grades: range) -> list[tuple[float, float, int, int]]:
    out = []
    for span, row in TABLES[name].items():
        to = float(span.split("-")[1])
        for pitch, cells in row.items():
            for grade, cell in zip(grades, cells.split(), strict=True):
                if cell != "-":
                    out.append((to, float(pitch), grade, int(cell)))
    return out


@pytest.mark.parametrize(
    ("name", "external", "grades"),
    [("Td2", True, range(3, 10)), ("TD2", False, range(4, 9))],
)
def test_pitch_tolerances_agree_with_another_transcription(
    name: str, external: bool, grades: range
) -> None:
    cells = range_cells(name, grades)
    assert len(cells) > 90
    for to, pitch, grade, expected in cells:
        got = iso_965_1.pitch_tolerance(external, to, pitch, grade)
        assert (got.value, got.published) == (expected, True), (to, pitch, grade)


@pytest.mark.parametrize(("name", "external"), [("Td", True), ("TD1", False)])
def test_crest_tolerances_agree_with_another_transcription(name: str, external: bool) -> None:
    table = dict(TABLES[name])
    grades = [int(g) for g in table.pop("grades").split()]
    for pitch, cells in table.items():
        for grade, cell in zip(grades, cells.split(), strict=True):
            if cell == "-":
                continue
            got = iso_965_1.crest_tolerance(external, float(pitch), grade)
            assert (got.value, got.published) == (int(cell), True), (pitch, grade)


# ISO 965-1 formulas (also ASME B1.13M-2005, section 8) rounded to R40 (ISO 3); where the printed
# table differs from its own formula the printed base is listed here.
PRINTED_BASE_TD2 = {(5.6, 0.5): 75}
PRINTED_BASE_TD1 = {0.5: 140, 1.0: 236, 2.5: 450}
PRINTED_BASE_TD = {4.0: 475}


def rule(base: float, steps: int) -> int:
    series = [round(10 ** (k / 40) * 1000) / 1000 for k in range(40)]
    assert all(abs(a / b - 1) < 0.02 for a, b in zip(series, iso_965_1.R40, strict=True))
    return round(iso_965_1.r40_value(iso_965_1.r40_index(base) + steps))


def test_pitch_tables_follow_the_rule() -> None:
    for external, steps in (
        (True, {3: -12, 4: -8, 5: -4, 6: 0, 7: 4, 8: 8, 9: 12}),
        (False, {4: -3, 5: 1, 6: 5, 7: 9, 8: 13}),
    ):
        name = "iso_965_1_pitch_external" if external else "iso_965_1_pitch_internal"
        for row in records(name):
            formula = 90 * row["P"] ** 0.4 * math.sqrt(row["over"] * row["to"]) ** 0.1
            base = PRINTED_BASE_TD2.get((row["to"], row["P"]), formula)
            for grade, shift in steps.items():
                if str(grade) in row:
                    assert row[str(grade)] == rule(base, shift), (row, grade)


def test_crest_tables_follow_the_rule() -> None:
    for row in records("iso_965_1_crest_internal"):
        p = row["P"]
        formula = 433 * p - 190 * p**1.22 if p <= 0.8 else 230 * p**0.7
        for grade, shift in {4: -8, 5: -4, 6: 0, 7: 4, 8: 8}.items():
            # P 0.25, grades 4 and 5: printed 45 and 56, the rule gives 48 and 60.
            assert iso_965_1.crest_formula(False, p) == pytest.approx(formula)
            if str(grade) in row and p != 0.25:
                assert row[str(grade)] == rule(PRINTED_BASE_TD1.get(p, formula), shift), row
    for row in records("iso_965_1_crest_external"):
        p = row["P"]
        formula = 180 * p ** (2 / 3) - 3.15 / math.sqrt(p)
        assert iso_965_1.crest_formula(True, p) == pytest.approx(formula)
        for grade, shift in {4: -8, 6: 0, 8: 8}.items():
            if str(grade) in row:
                assert row[str(grade)] == rule(PRINTED_BASE_TD.get(p, formula), shift), row


def test_fundamental_deviations_stand_by_their_formulas() -> None:
    # ISO 965-1: es(g) = -(15 + 11 P), es(f) = -(30 + 11 P), es(e) = -(50 + 11 P), rounded; the
    # printed e of P 0.5 to 0.75 is up to 6 µm off its formula (known from the published tables).
    for row in records("iso_965_1_deviations"):
        for letter, start, slack in (("g", 15, 2), ("G", 15, 2), ("f", 30, 3.5), ("e", 50, 6.5)):
            if letter in row:
                assert abs(row[letter] - (start + 11 * row["P"])) <= slack, (row, letter)


# ISO 965-1, Table 1, as printed in a 2013-edition extract and in thread tables of DIN 13.
@pytest.mark.parametrize(
    ("pitch", "g", "f", "e"),
    [
        (0.5, 20, 36, 50),
        (0.6, 21, 36, 53),
        (0.7, 22, 38, 56),
        (0.75, 22, 38, 56),
        (0.8, 24, 38, 60),
        (1.0, 26, 40, 60),
        (1.25, 28, 42, 63),
        (1.5, 32, 45, 67),
    ],
)
def test_fundamental_deviations(pitch: float, g: int, f: int, e: int) -> None:
    for position, value in (("G", g), ("g", -g), ("f", -f), ("e", -e)):
        assert iso_965_1.deviation(position, pitch) == iso_965_1.PrintedCell(value, True)


# ISO 965-1:2013, Table 1, EI of G as FreeCAD (LGPL) holds it, µm; es of g is the same amount.
def test_fundamental_deviations_of_every_pitch() -> None:
    freecad = {
        0.2: 17, 0.25: 18, 0.3: 18, 0.35: 19, 0.4: 19, 0.45: 20, 0.5: 20, 0.6: 21, 0.7: 22,
        0.75: 22, 0.8: 24, 1: 26, 1.25: 28, 1.5: 32, 1.75: 34, 2: 38, 2.5: 42, 3: 48, 3.5: 53,
        4: 60, 4.5: 63,
    }  # fmt: skip
    assert {row["P"]: row["G"] for row in records("iso_965_1_deviations")} == freecad
    assert {row["P"]: row["g"] for row in records("iso_965_1_deviations")} == freecad


# Machinery's Handbook 27th ed., p. 1792 (ASME B1.13M table), lengths of normal engagement.
@pytest.mark.parametrize(
    ("name", "over", "to"),
    [
        ("M5x0.35", 1, 3), ("M5x0.5", 1.5, 4.5), ("M5x0.6", 1.7, 5), ("M5x0.7", 2, 6),
        ("M5x0.75", 2.2, 6.7), ("M5x0.8", 2.5, 7.5), ("M8x0.75", 2.4, 7.1), ("M8x1", 3, 9),
        ("M8x1.25", 4, 12), ("M10x1.5", 5, 15), ("M12x1", 3.8, 11), ("M12x1.25", 4.5, 13),
        ("M12x1.5", 5.6, 16), ("M12x1.75", 6, 18), ("M16x2", 8, 24), ("M20x2.5", 10, 30),
    ],
)  # fmt: skip
def test_engagement(name: str, over: float, to: float) -> None:
    e = iso_engagement(parse(name))
    assert (e.over, e.to, e.published) == (over, to, True)
    assert [e.group(x) for x in (over, over + 0.01, to, to + 0.01)] == ["S", "N", "N", "L"]


# ISO 965-2, length of thread engagement in a supplier's table of screws.
@pytest.mark.parametrize(
    ("name", "over", "to"),
    [
        ("M1", 0.6, 1.7), ("M1.4", 0.7, 2), ("M1.6", 0.8, 2.6), ("M2", 1, 3), ("M2.5", 1.3, 3.8),
        ("M3", 1.5, 4.5), ("M22x2", 8, 24),
    ],
)  # fmt: skip
def test_engagement_of_small_screws(name: str, over: float, to: float) -> None:
    e = iso_engagement(parse(name))
    assert (e.over, e.to) == (over, to)


def test_engagement_table_stands_by_its_formula() -> None:
    for row in records("iso_965_1_engagement"):
        scale = row["P"] * row["over"] ** 0.2
        assert row["over_n"] == pytest.approx(2.24 * scale, rel=0.21), row
        assert row["to_n"] == pytest.approx(6.7 * scale, rel=0.21), row
        assert row["to_n"] == pytest.approx(3 * row["over_n"], rel=0.1), row


def test_every_table_has_the_pitches_of_iso_261() -> None:
    # ISO 261 pitches up to 4.5 mm (Machinery's Handbook, metric thread series).
    pitches = [0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 1, 1.25, 1.5, 1.75, 2]
    pitches += [2.5, 3, 3.5, 4, 4.5]
    for name in ("crest_internal", "crest_external", "deviations"):
        assert [row["P"] for row in records(f"iso_965_1_{name}")] == pitches
    keys = [
        [(row["over"], row["to"], row["P"]) for row in records(f"iso_965_1_{name}")]
        for name in ("pitch_external", "pitch_internal", "engagement")
    ]
    assert keys[0] == keys[1] == keys[2]
    # Every coarse pitch has its row.
    for diameter, pitch in ((1, 0.25), (1.4, 0.3), (2.5, 0.45), (9, 1.25), (22, 2.5), (45, 4.5)):
        assert iso_965_1.pitch_tolerance(True, diameter, pitch, 6).published


# Metric thread pitch chart (ISO 261) of a materials supplier, M1.6 to M45; M1 to M1.4 from a
# thread maker's chart; M1.8, M3.5, M4.5, M7, M9, M11 from FreeCAD's list of coarse threads.
@pytest.mark.parametrize(
    ("diameter", "pitch"),
    [
        (1, 0.25), (1.1, 0.25), (1.2, 0.25), (1.4, 0.3), (1.6, 0.35), (2, 0.4), (2.2, 0.45),
        (2.5, 0.45), (3, 0.5), (4, 0.7), (5, 0.8), (6, 1), (8, 1.25), (10, 1.5), (12, 1.75),
        (14, 2), (16, 2), (18, 2.5), (20, 2.5), (22, 2.5), (24, 3), (27, 3), (30, 3.5),
        (33, 3.5), (36, 4), (39, 4), (42, 4.5), (45, 4.5),
        (1.8, 0.35), (3.5, 0.6), (4.5, 0.75), (7, 1), (9, 1.25), (11, 1.5),
    ],
)  # fmt: skip
def test_coarse_pitches(diameter: float, pitch: float) -> None:
    assert coarse_pitch(diameter) == pitch


# Nominal stress areas: Bickford, 4th ed. (coarse), and a published table (fine), mm².
@pytest.mark.parametrize(
    ("name", "area"),
    [
        ("M5", 14.183), ("M6", 20.123), ("M8", 36.609), ("M10", 57.990), ("M12", 84.267),
        ("M14", 115.44), ("M16", 156.67), ("M12x1.5", 88.13), ("M12x1.25", 92.07),
        ("M12x1", 96.10), ("M14x1.5", 124.55), ("M14x1", 134.00), ("M16x1", 178.17),
    ],
)  # fmt: skip
def test_stress_area(name: str, area: float) -> None:
    # Bickford's areas use 0.9743/TPI in inches, 0.02 % from ISO 898-1.
    assert stress_area(parse(name)) == pytest.approx(area, rel=3e-4)


# Lead angles at basic d2: atan(Ph/(π d2)), computed by hand.
@pytest.mark.parametrize(
    ("name", "angle"),
    [("M10xPh2.25P0.75", 4.31), ("M12xPh3P1", 4.81), ("M12xPh4P1", 6.40), ("M14xPh2.4P0.8", 3.24)],
)
def test_lead_angle(name: str, angle: float) -> None:
    assert limits(parse(name), True).lead_angle == pytest.approx(angle, abs=0.005)


@pytest.mark.parametrize(
    ("name", "external", "klass", "says"),
    [
        ("M12x1", True, "6H", "6g"),
        ("M12x1", False, "6g", "6H"),
        ("M12x1", True, "5h", "4, 6 or 8"),
        ("M12x1", True, "6k", "e, f, g"),
        ("M12x1", False, "9H", "4-8"),
        ("M12x1", True, "4g6h", "6g"),
        ("M60x2", True, "6g", "M45"),
    ],
)
def test_refusals_say_what_is_allowed(name: str, external: bool, klass: str, says: str) -> None:
    with pytest.raises(ThreadLimitError) as e:
        limits(parse(name), external, klass)
    assert says in e.value.remedy


threads = st.tuples(
    st.integers(10, 450).map(lambda n: n / 10),
    st.sampled_from([r["P"] for r in records("iso_965_1_deviations")] + [0.9, 1.1]),
).filter(lambda t: t[1] <= t[0] / 4)


@given(threads, st.sampled_from(["6g", "4h", "6e", "4g6g"]), st.sampled_from(["6H", "5H", "6G"]))
def test_any_pair_goes_together(thread: tuple[float, float], out: str, inner: str) -> None:
    name = f"M{thread[0]:g}xPh{2 * thread[1]:g}P{thread[1]:g}"
    bolt, nut = limits(parse(name), True, out), limits(parse(name), False, inner)
    for t in (bolt, nut):
        assert t.pitch.min < t.pitch.max
        assert t.crest.min < t.crest.max
    assert bolt.minor.min < bolt.minor.max < bolt.pitch.min
    assert bolt.pitch.max <= nut.pitch.min
    assert bolt.major.max <= nut.major.min
    assert bolt.minor.max <= nut.minor.min
    assert nut.pitch.max < nut.major_max_worst
    assert bolt.extended == (bolt.source == iso_965_1.RULE_EXTENDED)
