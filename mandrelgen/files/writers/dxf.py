"""The drawing as DXF: model space, main view true size, real dimensions with their identity."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from mandrelgen.core.resources import FONT
from mandrelgen.files.dxf_setup import repeatable
from mandrelgen.model.half_section import Profile
from mandrelgen.model.mandrel import Issue
from mandrelgen.paper.drawing.model import (
    Arc,
    Dimension,
    Fill,
    Hatch,
    Item,
    Line,
    LineStyle,
    Mark,
    Sheet,
    Text,
)
from mandrelgen.paper.drawing.symbols import SMALL, H

if TYPE_CHECKING:
    from ezdxf.document import Drawing

APP = "MANDRELGEN"
STYLE = "MANDRELGEN"
VERSION = "R2010"
# Width of a screen for each mm of its height.
SCREEN = 1.6


class Space:
    """From mm on paper to mm of the drawing file: the main view becomes true size."""

    def __init__(self, sheet: Sheet) -> None:
        self.k = sheet.scale
        self.origin = sheet.origin

    def point(self, p: tuple[float, float]) -> tuple[float, float]:
        """A point of the paper in the file's mm."""
        return ((p[0] - self.origin[0]) / self.k, (p[1] - self.origin[1]) / self.k)

    def size(self, value: float) -> float:
        """A length on paper in the file's mm."""
        return value / self.k


def write(sheet: Sheet, doc: Drawing | None = None) -> bytes:
    """The drawing as the bytes of a DXF R2010 file; ``doc``: its document if it is at hand."""
    doc = document(sheet) if doc is None else doc
    with repeatable():
        return _bytes(doc)


def document(sheet: Sheet) -> Drawing:
    """The ezdxf document made from ``sheet``; both the DXF and the PDF come from it."""
    with repeatable():
        return _document(sheet)


def _document(sheet: Sheet) -> Drawing:
    doc = _new(1.0 / sheet.scale)
    _dimension_style(doc, Space(sheet))
    for one in sheet.sheets:
        _draw(doc, one)
    papers = [_paper(one) for one in sheet.sheets]
    low = min(p[0] for p in papers), min(p[1] for p in papers)
    high = max(p[2] for p in papers), max(p[3] for p in papers)
    # ezdxf writes the header's limits from those of the layout.
    doc.modelspace().reset_limits(low, high)
    doc.modelspace().reset_extents((*low, 0.0), (*high, 0.0))
    middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    # As high as the drawing, or as high as a screen must be to show all of its width.
    wide, tall = high[0] - low[0], high[1] - low[1]
    doc.set_modelspace_vport(tall if not sheet.more else max(tall, wide / SCREEN), middle)
    if sheet.more:
        _views(doc, papers)
    return doc


def _draw(doc: Drawing, sheet: Sheet) -> None:
    """Add what one sheet shows: one entity of the model space for each item."""
    space, msp = Space(sheet), doc.modelspace()
    for d in sheet.drawn:
        if isinstance(d, Dimension):
            _dimension(doc, msp, d, space)
        elif isinstance(d, Mark):
            for item in d.items:
                _tag(_item(msp, item, space), d.id, d.role)
        else:
            _item(msp, d, space)


def handles(sheet: Sheet, doc: Drawing) -> tuple[frozenset[str], ...]:
    """The handles of the model space's entities, sheet by sheet; they stand in drawing order."""
    found = [str(e.dxf.handle) for e in doc.modelspace()]
    out = []
    for one in sheet.sheets[:-1]:
        n = sum(len(d.items) if isinstance(d, Mark) else 1 for d in one.drawn)
        out.append(frozenset(found[:n]))
        found = found[n:]
    return (*out, frozenset(found))


def _paper(sheet: Sheet) -> tuple[float, float, float, float]:
    """The corners of a sheet's paper in the file's mm."""
    space = Space(sheet)
    return (*space.point((0.0, 0.0)), *space.point((sheet.width, sheet.height)))


def _views(doc: Drawing, papers: list[tuple[float, float, float, float]]) -> None:
    """A named view of each sheet, so that a CAD program shows and plots it alone."""
    for i, (x0, y0, x1, y1) in enumerate(papers, 1):
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        doc.views.add(
            f"SHEET_{i}",
            dxfattribs={"center": middle, "width": x1 - x0, "height": y1 - y0},
        )


def outline(profile: Profile, issue: Issue) -> bytes:
    """Only the closed outline at 1:1 for a CNC turner: x = z, y = r in mm, a half-section closed
    along the axis (a loop for a through bore), threads at their crest."""
    with repeatable():
        doc = _new(1.0)
        msp = doc.modelspace()
        points = [(face.z0, face.r0) for face in profile.faces]
        if not profile.closed:
            last = profile.faces[-1]
            points.append((last.z1, last.r1))
        line = msp.add_lwpolyline(points, close=True, dxfattribs={"layer": LineStyle.OUTLINE.layer})
        _tag(line, "outline", f"{escaped(issue.number)} {escaped(issue.revision)}")
        return _bytes(doc)


def escaped(text: str) -> str:
    """``text`` so that a TEXT entity shows it as it is: no ``%%`` or ``\\U+`` code works."""
    text = "".join(c for c in text if c >= " " and c != "\x7f")
    text = text.replace("^", "^ ")
    # A caret at the very end is taken for half a control code and dropped.
    text += " " if text.endswith("^ ") else ""
    while "%%" in text:
        text = text.replace("%%", "% %")
    return text.replace("\\U+", "\\ U+").replace("\\M+", "\\ M+")


def _new(per_paper_mm: float) -> Drawing:
    """An empty document in mm with our layers, line types and the one text style."""
    import ezdxf

    doc = ezdxf.new(VERSION)
    doc.header["$INSUNITS"] = 4
    doc.header["$MEASUREMENT"] = 1
    doc.header["$LUNITS"] = 2
    doc.header["$LWDISPLAY"] = 1
    doc.styles.add(STYLE, font=FONT.rsplit("/", 1)[-1])
    for pen in LineStyle:
        linetype = "CONTINUOUS"
        if pen.dashes:
            linetype = pen.layer
            pattern = [sum(pen.dashes)]
            pattern += [d if i % 2 == 0 else -d for i, d in enumerate(pen.dashes)]
            doc.linetypes.add(linetype, [v * per_paper_mm for v in pattern], description=pen.layer)
        # White on dark, black on light: CAD programs swap colour 7 with their background.
        doc.layers.add(pen.layer, color=7, linetype=linetype, lineweight=round(pen.width * 100))
    doc.appids.add(APP)
    return doc


def _bytes(doc: Drawing) -> bytes:
    # ezdxf takes the required classes from a set, whose order differs from run to run.
    doc.classes.add_required_classes(doc.dxfversion)
    for key in sorted(doc.classes.classes):
        doc.classes.classes[key] = doc.classes.classes.pop(key)
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue().encode(doc.output_encoding, errors="dxfreplace")


def _item(layout: Any, item: Item, space: Space) -> Any:
    """Add one drawn item; returns the entity."""
    attribs: dict[str, Any] = {"layer": item.pen.layer}
    if isinstance(item, Line):
        points = [space.point(p) for p in item.points]
        if len(points) == 2:
            return layout.add_line(points[0], points[1], dxfattribs=attribs)
        return layout.add_lwpolyline(points, close=item.closed, dxfattribs=attribs)
    if isinstance(item, Arc):
        centre, radius = space.point(item.centre), space.size(item.radius)
        if abs(item.end - item.start) >= 360:
            return layout.add_circle(centre, radius, dxfattribs=attribs)
        return layout.add_arc(centre, radius, item.start, item.end, dxfattribs=attribs)
    if isinstance(item, Fill):
        hatch = layout.add_hatch(color=7, dxfattribs=attribs)
        hatch.paths.add_polyline_path([space.point(p) for p in item.points], is_closed=True)
        return hatch
    if isinstance(item, Hatch):
        return _hatch(layout, item, space, attribs)
    return _text(layout, item, space, attribs)


def _hatch(layout: Any, item: Hatch, space: Space, attribs: dict[str, Any]) -> Any:
    hatch = layout.add_hatch(color=7, dxfattribs=attribs)
    pitch = space.size(item.pitch)
    c = pitch / 2**0.5
    definition = [[item.angle, (0.0, 0.0), (-c, c), []]]
    hatch.set_pattern_fill("ANSI31", color=7, scale=1.0, definition=definition)
    for i, loop in enumerate(item.loops):
        flags = 1 if i == 0 else 16
        hatch.paths.add_polyline_path([space.point(p) for p in loop], is_closed=True, flags=flags)
    return hatch


def _text(layout: Any, item: Text, space: Space, attribs: dict[str, Any]) -> Any:
    from ezdxf.enums import TextEntityAlignment

    attribs |= {"style": STYLE, "height": space.size(item.height), "rotation": item.angle}
    align = {
        "left": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "right": TextEntityAlignment.RIGHT,
    }[item.align]
    text = layout.add_text(escaped(item.text), dxfattribs=attribs)
    text.set_placement(space.point(item.at), align=align)
    return text


def _tag(entity: Any, id: str, role: str) -> None:
    """The characteristic's identity and the entity's role as extended data."""
    entity.set_xdata(APP, [(1000, id), (1000, role)])


def _dimension_style(doc: Drawing, space: Space) -> None:
    """Our own dimension style: everything a CAD program needs to draw the same again."""
    style = doc.dimstyles.add(STYLE)
    size = space.size
    for name, value in {
        "dimtxsty": STYLE,
        "dimtxt": size(3.5),
        "dimasz": size(3.0),
        "dimexe": size(1.5),
        "dimexo": 0.0,
        "dimgap": size(1.0),
        "dimtad": 1,
        "dimtih": 0,
        "dimtoh": 0,
        "dimscale": 1.0,
        "dimlfac": 1.0,
        "dimdec": 3,
        "dimzin": 8,
        "dimdsep": ord("."),
        "dimadec": 2,
        "dimazin": 2,
        "dimclrd": 7,
        "dimclre": 7,
        "dimclrt": 7,
        "dimlwd": 25,
        "dimlwe": 25,
        "dimtmove": 2,
    }.items():
        style.set_dxf_attrib(name, value)


def _dimension(doc: Drawing, msp: Any, d: Dimension, space: Space) -> None:
    """A DIMENSION entity whose picture is the sheet's, whose measure is the characteristic's."""
    block = doc.blocks.new_anonymous_block(type_char="D")
    for item in d.items:
        _item(block, item, space)
    enlarged = d.kind == "linear" and abs(d.per_mm - space.k) > 1e-12
    # "<>" stands for the measured number, so a CAD program rewrites it when geometry changes;
    # a thread's designation is its own text. In an enlarged detail the number is written out:
    # some readers pass over the factor of one dimension and would show the enlarged size.
    number = d.value if enlarged else "<>"
    text = escaped(f"{d.before}{number}{d.after}" if d.value else d.text)
    if d.stack:
        # Stacked fractions of MTEXT, which a dimension's text is.
        upper, lower = (t if t[0] in "+−" else f" {t}" for t in d.stack)
        text += rf"{{\H{SMALL / H:.3f}x;\S{upper}^{lower};}}" + escaped(d.tail)
    attribs: dict[str, Any] = {
        "layer": LineStyle.DIM.layer,
        "dimstyle": STYLE,
        "geometry": block.name,
        "defpoint2": space.point(d.p),
        "defpoint3": space.point(d.q),
        "text_midpoint": space.point(d.text_at),
        "text": text,
        "actual_measurement": d.measured,
    }
    if d.kind == "angular":
        attribs |= {
            "dimtype": 5 | 32 | 128,
            "defpoint": space.point(d.at),
            "defpoint4": space.point(d.vertex),
        }
    else:
        attribs |= {"dimtype": 0 | 32 | 128, "defpoint": space.point(d.at), "angle": d.angle}
    entity = msp.new_entity("DIMENSION", attribs)
    override: dict[str, Any] = {}
    if enlarged:
        override["dimlfac"] = space.k / d.per_mm
    if d.one_sided:
        override |= {"dimsd2": 1, "dimse2": 1}
    if override:
        from ezdxf.entities import DimStyleOverride

        DimStyleOverride(entity, override).commit()
    _tag(entity, d.id, "dimension")
