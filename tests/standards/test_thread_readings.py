"""Readings come out in mm whatever unit they were written in: 1 in is 25.4 mm (exact; the
international inch, ISO 80000-3)."""

from __future__ import annotations

import pytest

from mandrelgen.standards.thread_contradictions import contradictions
from mandrelgen.standards.thread_readings import EXAMPLE, ReadingsError, parse_readings

KINDS_SAID = (
    "readings are crest (outside of a screw), ten (over ten crests: from a crest to the tenth "
    "after it), starts (counted at the end), root, minor (bore of a nut), lead"
)
STARTS_SAID = "a whole number from 1 to 12"
OVER_SAID = "ten may be read over 2 to 40 crests: ten=5.25 over 7"


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


@pytest.mark.parametrize(
    ("text", "kind", "value", "u", "assumed"),
    [
        ("CREST: 9.32 +/- 0.02; Ten=7.5", "crest", 9.32, 0.02, False),
        ("crest=9.32 +-0.02", "crest", 9.32, 0.02, False),
        ('crest=0.375"', "crest", 9.525, 0.03, True),
        ("crest=.375 inch", "crest", 9.525, 0.03, True),
        ("crest=9.525 mm ± 0.001 in", "crest", 9.525, 0.0254, False),
        ("crest=100", "crest", 100.0, 0.03, True),
        ("crest=9±1", "crest", 9.0, 1.0, False),
        ("crest=9, ten=2 over 2", "ten", 10.0, 0.25, True),
        ("crest=9, ten=30 over 40", "ten", 7.5, 0.0125, True),
        ("crest=9, ten=5.25 over 7 ± 0.07", "ten", 7.5, 0.1, False),
        ("crest=9, starts=1", "starts", 1.0, 0.0, False),
        ("crest=9, starts=12", "starts", 12.0, 0.0, False),
        ("root=8.4", "root", 8.4, 0.05, True),
        ("minor=8.4", "minor", 8.4, 0.05, True),
    ],
)
def test_every_part_of_a_reading_is_read(
    text: str, kind: str, value: float, u: float, assumed: bool
) -> None:
    """What is not measured with a known uncertainty takes the usual one of its kind."""
    reading = parse_readings(text)[kind]
    assert reading.value == pytest.approx(value, abs=1e-9)
    assert reading.u == pytest.approx(u, abs=1e-9)
    assert reading.assumed is assumed


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("", (("no diameter is given", f"add crest, root or minor: {EXAMPLE}"),)),
        ("ten=7.5, starts=1",
         (("no diameter is given", f"add crest, root or minor: {EXAMPLE}"),)),
        ("crest=9, crest=9.1", (("crest is given twice", "give each reading once"),)),
        ("crest=9, Crest=9.1", (("crest is given twice", "give each reading once"),)),
        ("width=9", (("'width' is no reading of a thread", KINDS_SAID),)),
        ("crest=0", (("crest = 0 is out of range", "0 to 100 mm"),)),
        ("crest=100.01", (("crest = 100.01 is out of range", "0 to 100 mm"),)),
        ("crest=9±0", (("an uncertainty of ± 0 is out of range", "above 0, at most 1 mm"),)),
        ("crest=9±1.01",
         (("an uncertainty of ± 1.01 is out of range", "above 0, at most 1 mm"),)),
        ("crest=9, starts=0", (("starts = 0 is not a count", STARTS_SAID),)),
        ("crest=9, starts=13", (("starts = 13 is not a count", STARTS_SAID),)),
        ("crest=9, starts=1.5", (("starts = 1.5 is not a count", STARTS_SAID),)),
        ("crest=9, starts=2±1", (("starts = 2 is not a count", STARTS_SAID),)),
        ("crest=9, starts=2 over 3", (("starts = 2 is not a count", STARTS_SAID),)),
        ("crest=9, ten=7 over 1", (("ten = 7 over 1 is not a reading", OVER_SAID),)),
        ("crest=9, ten=30 over 41", (("ten = 30 over 41 is not a reading", OVER_SAID),)),
        ("crest=9 over 3", (("crest = 9 over 3 is not a reading", OVER_SAID),)),
        ("rubbish, crest=9, more; ten",
         (("'rubbish' is not a reading", f"write {EXAMPLE}"),
          ("'more' is not a reading", f"write {EXAMPLE}"),
          ("'ten' is not a reading", f"write {EXAMPLE}"))),
        ("rub,5bish; crest=9", (("'rub,5bish' is not a reading", f"write {EXAMPLE}"),)),
        ("x" * 60, (("'" + "x" * 40 + "' is not a reading", f"write {EXAMPLE}"),)),
    ],
)  # fmt: skip
def test_every_fault_is_said_with_its_remedy(
    text: str, faults: tuple[tuple[str, str], ...]
) -> None:
    with pytest.raises(ReadingsError) as told:
        parse_readings(text)
    assert told.value.faults == faults
    assert str(told.value) == "; ".join(m for m, _ in faults)
