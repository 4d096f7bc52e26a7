"""Planted faults in sizes (limits, texts, pictures and points of dimensions, rows of tables): each
is found in the drawing file and on paper by the characteristic's id; and every printed size is read
as it was meant.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import ezdxf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.files.proof import dimension_text
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.dimension_labels import label_of
from tests.support.proving import (
    NUMBER,
    SEVERAL,
    SPIGOTTED,
    dimension,
    edited,
    faults,
    only,
    other,
    package,
    with_size,
)


def test_limits_that_are_swapped_are_found_in_drawing_and_paper() -> None:
    expected, _ = package(SEVERAL)
    c = expected.mandrel.characteristic("collar.diameter")
    assert c.lower is not None
    assert c.upper is not None
    # 14.557 to 14.6 becomes 14.6 to 14.643: deviations of the same figures, swapped.
    swap = with_size(c.id, lower=2 * c.nominal - c.upper, upper=2 * c.nominal - c.lower)
    said = faults(expected, other(SEVERAL, swap, "dxf", "pdf"))
    assert f"{NUMBER}_B.dxf collar.diameter" in said
    assert f"{NUMBER}_B_drawing.pdf collar.diameter" in said


@pytest.mark.parametrize(
    ("id", "limits", "swapped"),
    [
        ("shank.diameter", "(0/-0.043)", "(-0.043/0)"),
        ("collar.diameter", r"\S 0^-0.1;", r"\S -0.1^0;"),
    ],
    ids=["behind a class", "stacked"],
)
def test_limits_swapped_inside_the_finished_text_are_found(
    id: str, limits: str, swapped: str
) -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def swap(doc: Any) -> None:
        e = dimension(doc, id)
        assert e.dxf.text.count(limits) == 1
        e.dxf.text = e.dxf.text.replace(limits, swapped)

    said = faults(expected, {file: edited(data, swap)})
    assert f"{id}: expected deviations +0/" in said


@pytest.mark.parametrize("change", ["gone", "moved", "other", "one more"])
def test_a_dimension_whose_fixed_picture_is_not_its_own_is_found(change: str) -> None:
    """What most readers show is the picture in the model space, not the DIMENSION."""
    expected, file, data = only(SEVERAL, ".dxf")

    def spoil(doc: Any) -> None:
        fixed = next(
            e for e in doc.modelspace().query("INSERT")
            if e.get_xdata("MANDRELGEN")[0].value == "shank.diameter"
        )  # fmt: skip
        if change == "gone":
            doc.modelspace().delete_entity(fixed)
        elif change == "moved":
            fixed.dxf.insert = (0.5, 0.0)
        elif change == "other":
            text = next(t for t in doc.blocks[fixed.dxf.name] if t.dxftype() == "TEXT")
            text.dxf.text = "⌀13 h9"
        else:
            again = doc.modelspace().add_blockref(fixed.dxf.name, (0, 0))
            again.set_xdata("MANDRELGEN", [(1000, "shank.diameter"), (1000, "picture *D999")])

    said = faults(expected, {file: edited(data, spoil)})
    assert "picture *D" in said
    assert len(said.splitlines()) == 1


def test_thread_limits_swapped_in_the_table_are_found() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def swap(doc: Any) -> None:
        row = [
            e
            for e in doc.modelspace().query("TEXT")
            if e.has_xdata("MANDRELGEN")
            and [t.value for t in e.get_xdata("MANDRELGEN")]
            == ["thread.pitch_diameter", "thread row"]
        ]
        low, high = sorted(row, key=lambda e: e.dxf.insert.x)[1:]
        low.dxf.text, high.dxf.text = high.dxf.text, low.dxf.text

    said = faults(expected, {file: edited(data, swap)})
    assert "thread.pitch_diameter: expected limits" in said
    assert len(said.splitlines()) == 1


def test_a_size_without_limits_in_the_column_of_one_is_found() -> None:
    """A pitch under "max." alone would read as its largest."""
    expected, file, data = only(SEVERAL, ".dxf")

    def shift(doc: Any) -> None:
        for e in doc.modelspace().query("TEXT"):
            own = e.has_xdata("MANDRELGEN") and [t.value for t in e.get_xdata("MANDRELGEN")]
            if own == ["thread.pitch", "thread row"] and e.dxf.text == "0.8":
                align, at, _ = e.get_placement()
                e.set_placement((at.x + 12, at.y), align=align)

    assert "thread.pitch: expected its size across both" in faults(
        expected, {file: edited(data, shift)}
    )


@pytest.mark.parametrize("text", ["⌀11.81 h8 (0/−0.027)", "see note", "<>"])
def test_an_overridden_dimension_text_is_found(text: str) -> None:
    expected, file, data = only(SPIGOTTED, ".dxf")
    assert expected.mandrel.characteristic("spigot1.diameter").nominal == 11.71

    def override(doc: Any) -> None:
        dimension(doc, "spigot1.diameter").dxf.text = text

    assert "spigot1.diameter: expected" in faults(expected, {file: edited(data, override)})


def test_a_picture_that_says_something_else_than_its_dimension_is_found() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def repaint(doc: Any) -> None:
        for t in dimension(doc, "shank.diameter").get_geometry_block().query("TEXT"):
            t.dxf.text = t.dxf.text.replace("h9", "h8")

    assert "tolerance class 'h9'" in faults(expected, {file: edited(data, repaint)})


def test_a_dimension_whose_points_moved_is_found_whatever_it_says() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def move(doc: Any) -> None:
        e = dimension(doc, "shank.length")
        e.dxf.defpoint2 = e.dxf.defpoint2 + ezdxf.math.Vec3(0.01, 0, 0)

    assert "shank.length, as measured" in faults(expected, {file: edited(data, move)})


def test_a_doubled_and_a_missing_dimension_are_found() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def double(doc: Any) -> None:
        doc.modelspace().add_entity(dimension(doc, "neck.diameter").copy())

    def drop(doc: Any) -> None:
        doc.modelspace().delete_entity(dimension(doc, "neck.diameter"))

    assert "neck.diameter: expected it to be shown once, found it shown 2 times" in faults(
        expected, {file: edited(data, double)}
    )
    assert "neck.diameter: expected it to be shown once, found it shown 0 times" in faults(
        expected, {file: edited(data, drop)}
    )


@pytest.mark.parametrize(
    ("name", "id"),
    [
        (SPIGOTTED, "spigot1.diameter"),
        (SPIGOTTED, "nose.angle"),
        (SEVERAL, "shank.diameter"),
        (SEVERAL, "seat.runout"),
        (SEVERAL, "thread.minor_diameter"),
    ],
)
def test_a_missing_characteristic_is_found_by_its_id(name: str, id: str) -> None:
    expected, _ = package(name)

    def drop(m: Mandrel) -> Mandrel:
        return replace(m, characteristics=tuple(c for c in m.characteristics if c.id != id))

    said = faults(expected, other(name, drop, "dxf", "pdf", "making"))
    assert f"{NUMBER}_B.dxf {id}" in said
    assert f"{NUMBER}_B_making.pdf {id}, table rows: expected 1, found 0" in said


def test_a_characteristic_of_another_size_is_found_in_frame_roughness_and_table() -> None:
    expected, _ = package(SEVERAL)
    for id in ("seat.runout", "shank.roughness"):
        said = faults(expected, other(SEVERAL, with_size(id, upper=0.05), "dxf", "making"))
        assert f"{NUMBER}_B.dxf {id}" in said
        assert f"{NUMBER}_B_making.pdf {id}" in said


SIZES = [Kind.DIAMETER, Kind.LENGTH, Kind.CHAMFER, Kind.ANGLE, Kind.ACROSS_FLATS, Kind.RADIUS]


@st.composite
def characteristics(draw: st.DrawFn) -> Characteristic:
    """Any size as the designer may set it."""
    nominal = draw(st.integers(1, 100_000)) / 1000
    low, high = sorted(draw(st.tuples(*[st.floats(-0.4, 0.4)] * 2)))
    if high - low < 0.005:
        high = low + 0.005
    kind = draw(st.sampled_from(SIZES))
    return Characteristic(
        id="a.b",
        feature="a",
        kind=kind,
        nominal=nominal,
        lower=nominal + low if draw(st.booleans()) else None,
        upper=nominal + high if draw(st.booleans()) else None,
        unit="°" if kind is Kind.ANGLE else "mm",
        written=draw(st.sampled_from(["h9", "js7", "H11", "", "±0.1"])),
        general=draw(st.booleans()),
    )


@given(characteristics(), st.integers(2, 40))
def test_a_printed_size_is_read_as_it_was_meant_and_every_change_is_seen(
    c: Characteristic, step: int
) -> None:
    """Sheet's printer and proof's reader were written apart: each is the other's check."""
    text = label_of(c, {}).text
    assert not list(dimension_text.mismatches(c, text))
    assert list(dimension_text.mismatches(replace(c, nominal=c.nominal + step / 1000), text))
    if not c.general:
        for side in ("lower", "upper"):
            limit = getattr(c, side)
            if limit is not None:
                for moved in (limit + step / 1000, limit - step / 1000, None):
                    assert list(dimension_text.mismatches(replace(c, **{side: moved}), text))
