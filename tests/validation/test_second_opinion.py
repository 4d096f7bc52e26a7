"""Our tables against independent libraries: screw-thread-lib (threads), pressfit (fits)."""

from __future__ import annotations

import pressfit
import pytest
from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

from mandrelgen.standards import iso_286
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import ThreadLimits, limits

INCH = 25.4


def values(outer: ThreadLimits, inner: ThreadLimits) -> dict[str, float | None]:
    return {
        "dmax": outer.major.max, "dmin": outer.major.min,
        "d2max": outer.pitch.max, "d2min": outer.pitch.min,
        "d1max": outer.minor.max, "d1min": outer.minor.min,
        "D1min": inner.minor.min, "D1max": inner.minor.max,
        "D2min": inner.pitch.min, "D2max": inner.pitch.max,
    }  # fmt: skip


@pytest.mark.parametrize("name", sorted(ASME_UN_2A2B_dict))
def test_unified_threads(name: str) -> None:
    theirs = ASME_UN_2A2B_dict[name]
    size, tpi = name.split("-")
    d = parse(f"{'#' if size == '10' else ''}{size}-{tpi} {theirs['series']}")
    for key, mine in values(limits(d, True), limits(d, False)).items():
        assert mine is not None
        assert mine / INCH == pytest.approx(theirs[key], abs=1e-6), key


@pytest.mark.parametrize("name", sorted(ASME_M_6g6H_dict))
def test_metric_threads(name: str) -> None:
    theirs = ASME_M_6g6H_dict[name]
    d = parse(name.replace("-", "x"))
    for key, mine in values(limits(d, True), limits(d, False)).items():
        assert mine is not None
        if (name, key) == ("M12-1.75", "d2min"):
            # The library's Td2 is 155 µm, which is in no table; ISO 965-1 prints 150.
            continue
        # The library holds inches to 1e-5 and rounds the minor diameters to 1 µm first.
        assert mine == pytest.approx(theirs[key] * INCH, abs=0.0016), key


SIZES = (0.8, 1, 3, 3.001, 4.5, 6, 6.1, 8, 10, 12, 14, 18, 18.5, 25, 30, 31, 40, 50)


@pytest.mark.parametrize("letter", iso_286.SHAFTS)
@pytest.mark.parametrize("it", iso_286.GRADES)
def test_shafts(letter: str, it: int) -> None:
    for size in SIZES:
        theirs = pressfit.fit(f"H7/{letter}{it}", size)
        mine = iso_286.tolerance(size, f"{letter}{it}")
        assert mine.upper_deviation * 1000 == pytest.approx(theirs.shaft_es_um, abs=1e-6), size
        assert mine.lower_deviation * 1000 == pytest.approx(theirs.shaft_ei_um, abs=1e-6), size


@pytest.mark.parametrize("it", iso_286.GRADES)
def test_basic_holes(it: int) -> None:
    for size in SIZES:
        theirs = pressfit.fit(f"H{it}/h6", size)
        mine = iso_286.tolerance(size, f"H{it}")
        assert mine.upper_deviation * 1000 == pytest.approx(theirs.hole_es_um, abs=1e-6), size
        assert mine.lower_deviation == 0
