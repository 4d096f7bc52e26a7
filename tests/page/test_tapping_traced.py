"""What is said of a tapping hole can be traced: with which crest, what a drill chart says, and
whether the hole is over the class's limit. ISO 965-1 for P 0.75: 6g has es 22 µm and Td 140 µm;
6H's minor diameter is D − 1.0825 P and 190 µm more at the most."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.page.test_moved_words import PEN
from tests.support.page_client import client_of, put, words

KEY = "parts.barrel.ends.mouth.bore.0.diameter"
CREST = 9 - 0.022 - 0.140 / 2
MOST = 9 - 1.0825 * 0.75 + 0.190


def told(folder: Path, size: str) -> str:
    """What step 2 says of the barrel's hole of ``size``."""
    (folder / "heron.toml").write_text(PEN, "utf-8")
    (folder / "shop.toml").write_text("schema = 1\n", "utf-8")
    with client_of(folder) as page:
        shown = words(put(page, KEY, size, "joints").text)
    return shown.partition("Tapping hole: ")[2].partition(" Hole 1: diameter")[0]


@pytest.mark.parametrize("size", [8.3, 8.4])
def test_the_share_names_the_crest_it_reckons_with_and_what_a_drill_chart_says(
    tmp_path: Path, size: float
) -> None:
    share, chart = (round(76.98 * (d - size) / 0.75) for d in (CREST, 9))
    said = told(tmp_path, f"{size}")
    assert said.startswith(f"hole 1, ⌀{size}, gives {share} % thread.")
    assert f"with the section's rear at ⌀{CREST:.2f} over its crests;" in said
    assert f"a drill chart, which counts from ⌀9, says {chart} %." in said


def test_a_hole_over_the_class_s_greatest_says_so_with_the_pitches_that_hold(
    tmp_path: Path,
) -> None:
    """The tenon of 8 is full to two pitches before its shoulder and 0.65 of a pitch from its end;
    the counterbore of 1.5, behind which the two pitches lie, takes nothing more: at the class's
    limits 8 − 1.5 − 0.49 is what holds at the most."""
    assert round(MOST, 3) == 8.378
    said = told(tmp_path, "8.4")
    assert "⌀8.4 is over 6H's greatest minor diameter, ⌀8.378: less thread than standard; " in said
    pitches = float(said.partition("standard; ")[2].partition(" pitches hold.")[0])
    assert 7 <= pitches <= (8 - 1.5 - 0.65 * 0.75) / 0.75
    assert "over 6H's" not in told(tmp_path, "8.35")
