"""The SVG of the sheet and the shaded picture of the part read back."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from typing import Any

from mandrelgen.files.proof.pdf import CAPITALS, PAPERS, check_sizes, sound_png
from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.text_boxes import Cell, references, title_block

_SVG = "{http://www.w3.org/2000/svg}"


def check_svg(case: Case) -> dict[str, Any]:
    """Compare size in mm, title block and every size on the drawing with what is expected; the
    first sheet is read together with the others."""
    root = ET.fromstring(case.data)
    case.equal("root", f"{_SVG}svg", root.tag)
    size = [root.get("width", ""), root.get("height", "")]
    width, height = (float(v.removesuffix("mm")) for v in size)
    if [max(width, height), min(width, height)] not in [list(p) for p in PAPERS]:
        case.fault("size", "A4, A3, A2 or A1 in mm", " × ".join(size))
    case.equal("viewBox", f"0 0 {width:g} {height:g}", root.get("viewBox"))
    cells = _cells(root)
    title_block(case, cells, (case.sheet,))
    if case.sheet == 1:
        sheets = [cells, *[_cells(ET.fromstring(data)) for data in case.other_sheets()]]
        check_sizes(case, sheets)
        references(case, [c.text for one in sheets for c in one])
    return {"size_mm": [width, height], "texts": len(cells)}


def _cells(root: ET.Element) -> list[Cell]:
    return [
        Cell(
            x=float(t.get("x", "")),
            y=-float(t.get("y", "")),
            text=t.text or "",
            height=float(t.get("font-size", "")) * CAPITALS,
            right=float(t.get("x", "")) + float(t.get("textLength", "")),
        )
        for t in root.iter(f"{_SVG}text")
    ]


def check_part(case: Case) -> dict[str, Any]:
    """A sound picture that shows something grey on white, clear of its edges."""
    from PIL import Image

    if not sound_png(case.data):
        case.fault("picture", "a sound PNG file", "a damaged one")
        return {}
    image = Image.open(io.BytesIO(case.data)).convert("L")
    box = image.point(lambda v: 255 - v).getbbox()
    if box is None:
        case.fault("picture", "a part", "an empty picture")
        return {}
    width, height = image.size
    if box[0] == 0 or box[1] == 0 or box[2] == width or box[3] == height:
        case.fault("picture", "the whole part", f"ink up to the edge, {box} of {image.size}")
    return {"width": width, "height": height, "ink": list(box)}
