"""Readings come out in mm whatever unit they were written in: 1 in is 25.4 mm (exact; the
international inch, ISO 80000-3)."""

from __future__ import annotations

import pytest

from mandrelgen.standards.thread_contradictions import contradictions
from mandrelgen.standards.thread_readings import parse_readings


@pytest.mark.parametrize(
    ("text", "kind", "value", "u"),
    [
        ("crest=9.32 mm", "crest", 9.32, None),
        ("crest=9.32mm±0.02mm", "crest", 9.32, 0.02),
        ("crest=9,32 MM ± 0,02", "crest", 9.32, 0.02),
        ("crest=0.375 in", "crest", 9.525, None),
        ("crest=0.375in±0.001in", "crest", 9.525, 0.0254),
        ("crest=0.375in ± 0.02 mm", "crest", 9.525, 0.02),
        ("crest=9, ten=5.25 over 7", "ten", 7.5, None),
        ("crest=9, ten=7 mm over 8", "ten", 8.75, None),
        ("crest=9, starts=3", "starts", 3.0, None),
    ],
)
def test_a_reading_in_its_unit(text: str, kind: str, value: float, u: float | None) -> None:
    reading = parse_readings(text)[kind]
    assert reading.value == pytest.approx(value, abs=1e-9)
    if u is not None:
        assert reading.u == pytest.approx(u, abs=1e-9)
        assert not reading.assumed


@pytest.mark.parametrize(
    ("readings", "by"),
    [
        # Uncounted starts: as many whole pitches as come nearest to the lead.
        ("crest=20, ten=20, lead=6.0", None),
        ("crest=20, ten=20, lead=6.5", 0.5),
        ("crest=12, ten=5, lead=1.0", None),
        ("crest=12, ten=5, lead=1.3", 0.2),
        ("crest=12, ten=5, lead=0.2", 0.3),
    ],
)
def test_a_lead_is_whole_pitches(readings: str, by: float | None) -> None:
    found = [c for c in contradictions(parse_readings(readings)) if c.second == "lead"]
    assert [c.by for c in found] == ([] if by is None else [pytest.approx(by, abs=1e-9)])
