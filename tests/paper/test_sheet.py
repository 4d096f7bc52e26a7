"""The laid-out sheet: nothing overlaps, nothing is missing, nothing is said twice."""

from __future__ import annotations

import itertools
import math
from collections import Counter

import pytest
from fontTools.ttLib import TTFont
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mandrelgen.assess.settled import designs
from mandrelgen.core.resources import FONT, template_path
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing import text_width
from mandrelgen.paper.drawing.font import advances
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import LineStyle as Nib
from mandrelgen.paper.drawing.model import Sheet, Text
from mandrelgen.paper.drawing.symbols import projection
from mandrelgen.paper.drawing.words import after, stacked
from mandrelgen.spec.pen import Pen
from tests.support.randompens import SHOP, pens
from tests.support.samples_sheet import ISSUE, SAMPLES, plug

DRAWN_KINDS = {Kind.DIAMETER, Kind.LENGTH, Kind.CHAMFER, Kind.ANGLE, Kind.ACROSS_FLATS}
ROLE = {
    Kind.RUNOUT: "frame", Kind.FACE_RUNOUT: "frame", Kind.CYLINDRICITY: "frame",
    Kind.ROUGHNESS: "roughness", Kind.THREAD_MAJOR: "thread row",
    Kind.THREAD_PITCH_DIAMETER: "thread row", Kind.THREAD_MINOR: "thread row",
    Kind.CENTRE: "centre hole", Kind.PITCH: "thread row", Kind.LEAD: "thread row",
    Kind.COUNT: "thread row",
}  # fmt: skip


def sheet_of(mandrel: Mandrel, **issue: object) -> Sheet:
    return drawing(mandrel, outline(mandrel), ISSUE, 45.3)


@pytest.fixture(scope="module", params=sorted(SAMPLES))
def pair(request: pytest.FixtureRequest) -> tuple[Mandrel, Sheet]:
    mandrel = SAMPLES[request.param]()
    return mandrel, sheet_of(mandrel)


def axes(box: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    out = []
    for (ax, ay), (bx, by) in itertools.pairwise(box[:3]):
        length = math.hypot(bx - ax, by - ay)
        if length > 1e-9:
            out.append(((bx - ax) / length, (by - ay) / length))
    return out


def separated(a: Text, b: Text) -> bool:
    """Separating axes of two oriented boxes, 0.05 mm of touch allowed."""
    ca, cb = a.corners(), b.corners()
    for ux, uy in axes(ca) + axes(cb):
        pa = [x * ux + y * uy for x, y in ca]
        pb = [x * ux + y * uy for x, y in cb]
        if max(pa) <= min(pb) + 0.05 or max(pb) <= min(pa) + 0.05:
            return True
    return False


def clashes(sheet: Sheet) -> list[tuple[str, str]]:
    texts = sheet.texts()
    return [
        (a.text, b.text) for i, a in enumerate(texts) for b in texts[i + 1 :] if not separated(a, b)
    ]


def check_layout(mandrel: Mandrel, sheet: Sheet) -> None:
    for one in sheet.sheets:
        assert one.crowded == ()
        assert clashes(one) == []
        x0, y0, x1, y1 = one.frame
        for text in one.texts():
            assert text.height >= 2.5
            grid = text.pen is Nib.GRID
            for x, y in text.corners():
                inside = x0 < x < x1 and y0 < y < y1
                assert inside or (grid and 0 < x < one.width and 0 < y < one.height), text.text
    check_each_once(mandrel, sheet)


def check_each_once(mandrel: Mandrel, sheet: Sheet) -> None:
    dims = Counter(d.id for d in sheet.dimensions() if d.id)
    marks = Counter((m.role, m.id) for m in sheet.marks() if m.id)
    for c in mandrel.characteristics:
        if c.kind in DRAWN_KINDS:
            # Another size may say the angle too: 0.5 × 45°.
            assert dims[c.id] + marks[("angle", c.id)] == 1, c.id
        else:
            assert marks[(ROLE[c.kind], c.id)] == 1, c.id
        assert marks[("balloon", c.id)] == (not c.said_by), c.id
    assert set(dims) <= {c.id for c in mandrel.characteristics}
    assert {i for _, i in marks} <= {c.id for c in mandrel.characteristics}


def test_nothing_overlaps_or_is_missing(pair: tuple[Mandrel, Sheet]) -> None:
    check_layout(*pair)


def test_every_dimension_measures_its_nominal(pair: tuple[Mandrel, Sheet]) -> None:
    mandrel, sheet = pair
    for d in sheet.dimensions():
        if d.id:
            assert d.measured == pytest.approx(mandrel.characteristic(d.id).nominal, abs=1e-9)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from(["M9x0.75", "M6x0.5", "M12xPh2.4P0.8", "M14x1", "M8x1 LH"]),
    st.sampled_from([8.0, 10.0, 12.0, 16.0]),
    st.floats(20, 55),
    st.floats(3, 12),
    st.floats(1, 4),
    st.floats(0.8, 3.5),
    st.floats(3, 12),
    st.floats(1, 5),
    st.floats(4, 30),
    st.booleans(),
)
def test_layout_holds_for_other_sizes(
    text: str, shank: float, length: float, neck: float, collar: float, relief: float,
    thread: float, runin: float, spigot: float, flats: bool,
) -> None:  # fmt: skip
    sizes = [round(v, 2) for v in (length, neck, collar, relief, thread, runin, spigot)]
    mandrel = plug(text, shank, *sizes, flats)
    sheet = sheet_of(mandrel)
    check_each_once(mandrel, sheet)
    # A sheet may say that it is crowded, but then it must; silent overlap is the fault.
    if not sheet.crowded:
        check_layout(mandrel, sheet)


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(pens())
def test_layout_holds_for_what_the_designer_makes(pen: Pen) -> None:
    for made in designs(pen, SHOP):
        if made.mandrel is None:
            continue
        sheet = sheet_of(made.mandrel)
        check_each_once(made.mandrel, sheet)
        if not sheet.crowded:
            check_layout(made.mandrel, sheet)


def test_same_mandrel_same_sheet() -> None:
    assert sheet_of(plug()) == sheet_of(plug())


def test_stations_that_disagree_with_the_nominal_are_refused() -> None:
    mandrel = plug()
    mandrel.stations["relief.end"] += 0.05
    with pytest.raises(ValueError, match=r"relief\.width"):
        sheet_of(mandrel)


def test_text_width_against_the_font_read_by_fonttools() -> None:
    """Every letter that may be used; the others are shown as a box."""
    font = TTFont(str(template_path(FONT)))
    cmap, hmtx = font.getBestCmap(), font["hmtx"]
    widths = {chr(c): hmtx[glyph][0] for c, glyph in cmap.items() if c <= 0xFFFF}
    assert dict(advances()) == widths
    text = "⌀10.95 h8 (0/−0.027) × 45° Ra µ"
    units = sum(widths[c] for c in text)
    assert font["glyf"]["H"].yMax == text_width.CAP_UNITS
    assert font["head"].unitsPerEm == text_width.EM_UNITS
    assert text_width.width_of(text, 3.5) == pytest.approx(units * 3.5 / text_width.CAP_UNITS)
    assert text_width.width_of("𝐀", 3.5) == text_width.width_of("□", 3.5)
    assert text_width.clean("𝐀B") == "□B"


@given(st.text(max_size=80), st.floats(10, 80))
def test_wrapped_lines_stay_inside(text: str, width: float) -> None:
    for line in text_width.wrapped(text, 2.5, width):
        assert text_width.width_of(line, 2.5) <= width + 1e-6


@given(st.text(max_size=60), st.floats(12, 80))
def test_fitted_text_stays_inside(text: str, width: float) -> None:
    out, height = text_width.fitted(text, 5.0, width)
    assert text_width.width_of(out, height) <= width + 1e-6
    assert height >= 2.5


def test_projection_symbol_is_the_projection_it_names() -> None:
    """Derived from first-angle projection itself (ISO 5456-2:1996, text from memory): the view
    from the left stands on the right, so circles seen at the small left end stand right of the
    cone, beyond the wide end; in third angle on the left, before the small end."""
    for third in (False, True):
        cone, big = projection(third, (0.0, 0.0))[:2]
        xs = [p[0] for p in cone.points]  # type: ignore[union-attr]
        left = [p[1] for p in cone.points if p[0] == min(xs)]  # type: ignore[union-attr]
        right = [p[1] for p in cone.points if p[0] == max(xs)]  # type: ignore[union-attr]
        assert max(left) - min(left) < max(right) - min(right)
        assert (big.centre[0] > max(xs)) is not third  # type: ignore[union-attr]


def test_frame_margins_and_grid_are_iso_5457() -> None:
    """ISO 5457:1999: margins 20/10/10/10, drawing space A3 277 × 390, A4 180 × 277; A3 has 8 × 6
    fields, letters without I and O (values as reprinted in public drawing guides)."""
    from mandrelgen.paper.drawing.frame import PAPERS, frame

    for paper in PAPERS:
        x0, y0, x1, y1 = paper.frame
        assert (x0, y0, paper.width - x1, paper.height - y1) == (20, 10, 10, 10)
    a3 = PAPERS[-1]
    texts = [i.text for i in frame(a3, 230.0) if isinstance(i, Text)]
    assert sorted(set(texts)) == sorted([*"12345678", *"ABCDEF"])


@pytest.mark.parametrize(
    ("nominal", "lower", "upper", "written", "expected"),
    [
        (10.95, 10.923, 10.95, "h8", " h8 (0/−0.027)"),
        (5.0, 4.95, 5.05, "±0.05", " ±0.05"),
        (7.8, 7.7, 7.8, "", "0 over −0.1"),
        (7.0, 6.9904, 7.0096, "", " ±0.009"),
    ],
)
def test_tolerance_text(
    nominal: float, lower: float, upper: float, written: str, expected: str
) -> None:
    """ISO 286-2:2010 table: h8 in 10–18 is 0/−27 µm; limits are rounded inwards."""
    from mandrelgen.model.characteristic import Characteristic

    c = Characteristic(
        id="x",
        feature="x",
        kind=Kind.DIAMETER,
        nominal=nominal,
        lower=lower,
        upper=upper,
        written=written,
    )
    one_above_the_other = stacked(c)
    said = f"{one_above_the_other[0]} over {one_above_the_other[1]}" if one_above_the_other else ""
    assert after(c) + said == expected
