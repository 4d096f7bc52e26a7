"""The SVG of the sheet and the shaded picture of the part, read by other programs."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from mandrelgen.files.writers import picture, svg
from mandrelgen.geometry.mesh.build import build
from mandrelgen.model.half_section import outline
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import LineStyle
from mandrelgen.paper.drawing.text_width import CAP_PER_EM
from tests.support.samples_sheet import ISSUE, SAMPLES

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_svg_says_what_the_sheet_says(name: str) -> None:
    mandrel = SAMPLES[name]()
    sheet = drawing(mandrel, outline(mandrel), ISSUE)
    data = svg.write(sheet)
    assert data == svg.write(sheet)
    root = ET.fromstring(data)
    assert root.get("width") == f"{sheet.width:g}mm"
    assert root.get("viewBox") == f"0 0 {sheet.width:g} {sheet.height:g}"
    texts = [(t.text or "", float(t.get("font-size", ""))) for t in root.iter(f"{SVG}text")]
    assert sorted(t for t, _ in texts) == sorted(t.text for t in sheet.texts())
    # W3C SVG 1.1: user units are mm here; the capitals' share of the size is the font's own.
    assert min(size for _, size in texts) * CAP_PER_EM >= 2.5 - 1e-3
    widths = {float(e.get("stroke-width", "")) for e in root.iter() if e.get("stroke-width")}
    assert widths <= {p.width for p in LineStyle}


def test_hostile_names_are_text_in_the_svg() -> None:
    from dataclasses import replace

    mandrel = SAMPLES["plug"]()
    issue = replace(ISSUE, owner='</text><script>&"x"')
    root = ET.fromstring(svg.write(drawing(mandrel, outline(mandrel), issue)))
    assert not list(root.iter(f"{SVG}script"))
    assert any("<script>" in (t.text or "") for t in root.iter(f"{SVG}text"))


@pytest.mark.parametrize("name", ["plug", "cup"])
def test_picture_shows_the_whole_part_shaded(name: str) -> None:
    profile = outline(SAMPLES[name]())
    mesh = build(profile, 0.05)
    data = picture.write(mesh)
    assert data == picture.write(mesh)
    grey = np.asarray(Image.open(io.BytesIO(data)).convert("L"))
    assert grey.shape == (picture.HEIGHT, picture.WIDTH)
    ink = np.argwhere(grey < 250)
    low, high = ink.min(axis=0), ink.max(axis=0)
    assert low.min() > 0
    assert high[0] < picture.HEIGHT - 1
    assert high[1] < picture.WIDTH - 1
    # It fills the picture in one direction, and light falls on it from one side.
    assert (high[1] - low[1]) / picture.WIDTH > 0.8 or (high[0] - low[0]) / picture.HEIGHT > 0.8
    assert len(np.unique(grey[grey < 250])) > 20


def test_the_nose_is_nearer_than_the_shank() -> None:
    """The picture looks at the nose: a cup's mouth is open to the viewer, so dark threads stand in
    the right third of the part."""
    grey = np.asarray(
        Image.open(io.BytesIO(picture.write(build(outline(SAMPLES["cup"]()), 0.05)))).convert("L")
    )
    _, columns = np.nonzero(grey < 250)
    right = grey[:, columns.max() - (columns.max() - columns.min()) // 4 : columns.max()]
    left = grey[:, columns.min() : columns.min() + (columns.max() - columns.min()) // 4]

    def unrest(part: np.ndarray) -> float:
        return float(np.abs(np.diff(part.astype(int), axis=1)).mean())

    assert unrest(right) > unrest(left)


def test_a_round_surface_shows_no_facets() -> None:
    """Across a cylinder the light changes steadily: no neighbouring dots differ by a facet's step
    (one twelfth of the scale), and there are many more greys than facets."""
    grey = np.asarray(
        Image.open(io.BytesIO(picture.write(build(outline(SAMPLES["plug"]()), 0.05)))).convert("L")
    ).astype(int)
    _, columns = np.nonzero(grey < 250)
    across = grey[:, columns.min() + (columns.max() - columns.min()) // 4]
    ink = np.flatnonzero(across < 250)
    inside = across[ink[0] + 6 : ink[-1] - 6]
    assert np.abs(np.diff(inside)).max() <= 10
    assert len(np.unique(inside)) > 40
