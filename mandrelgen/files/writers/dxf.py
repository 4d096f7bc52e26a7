"""The drawing as DXF: model space, main view true size, dimensions as fixed pictures that every
reader shows alike, and beside each the real dimension on a frozen layer, with its identity."""

from __future__ import annotations

import io
import math
from typing import Any

from mandrelgen.core.resources import FONT
from mandrelgen.files.dxf_setup import repeatable
from mandrelgen.files.writers.painter import paint
from mandrelgen.model.half_section import Profile
from mandrelgen.model.mandrel import Issue
from mandrelgen.paper.drawing.model import (
    Arc,
    Dimension,
    Fill,
    Hatch,
    Line,
    LineStyle,
    Mark,
    Point,
    Sheet,
    Text,
)
from mandrelgen.paper.drawing.part_picture import ROLE as PICTURE
from mandrelgen.paper.drawing.symbols import SMALL, H

import ezdxf  # isort: skip  (after dxf_setup)
from ezdxf.document import Drawing  # isort: skip
from ezdxf.entities import DimStyleOverride  # isort: skip
from ezdxf.enums import TextEntityAlignment  # isort: skip

APP = "MANDRELGEN"
STYLE = "MANDRELGEN"
VERSION = "R2010"
SIZES = "every size at the middle of its limits, threads at their crest. The drawing decides."
# The layer's name says it too, where a machine's program shows nothing else.
MIDDLE = "OUTLINE_AT_MID_LIMITS"
# Real dimensions lie here, frozen: some readers draw them anew with letters of their own size,
# turned and moved. Thawed, they can be asked and moved.
MEASURED = "DIMENSION_MEASURED"
# Signs that the stroke fonts of free CAD programs lack; a hyphen stands for both everywhere.
SIGNS = str.maketrans({"−": "-", "–": "-"})
# Width of a screen for each mm of its height.
SCREEN = 1.6
_ALIGNED = {
    "left": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "right": TextEntityAlignment.RIGHT,
}


class Space:
    """From mm on paper to mm of the drawing file: the main view becomes true size."""

    def __init__(self, sheet: Sheet) -> None:
        self.k = sheet.scale
        self.origin = sheet.origin

    def point(self, p: Point) -> Point:
        """A point of the paper in the file's mm."""
        return ((p[0] - self.origin[0]) / self.k, (p[1] - self.origin[1]) / self.k)

    def size(self, value: float) -> float:
        """A length on paper in the file's mm."""
        return value / self.k


def write(sheet: Sheet) -> bytes:
    """The drawing as the bytes of a DXF R2010 file."""
    with repeatable():
        return _bytes(_document(sheet))


def _document(sheet: Sheet) -> Drawing:
    doc = _new(1.0 / sheet.scale)
    _dimension_style(doc, Space(sheet))
    for one in sheet.sheets:
        paint(one.drawn, DxfBackEnd(doc, doc.modelspace(), Space(one)))
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
    along the axis (a loop for a through bore), threads at their crest. ``profile`` is the one at
    the middle of all limits, which its layer and its properties say."""
    with repeatable():
        doc = _new(1.0)
        msp = doc.modelspace()
        points = [(face.z0, face.r0) for face in profile.faces]
        if not profile.closed:
            last = profile.faces[-1]
            points.append((last.z1, last.r1))
        doc.layers.add(MIDDLE, color=7)
        line = msp.add_lwpolyline(points, close=True, dxfattribs={"layer": MIDDLE})
        _tag(line, "outline", f"{escaped(issue.number)} {escaped(issue.revision)}")
        # Shown by CAD programs among the drawing's properties; entities would be taken for cuts.
        doc.header.custom_vars.append("Sizes", SIZES)
        return _bytes(doc)


def escaped(text: str) -> str:
    """``text`` so that a TEXT entity shows it as it is: no ``%%`` or ``\\U+`` code works; minus
    signs as hyphens."""
    text = text.translate(SIGNS)
    text = "".join(c for c in text if c >= " " and c != "\x7f")
    text = text.replace("^", "^ ")
    # A caret at the very end is taken for half a control code and dropped.
    text += " " if text.endswith("^ ") else ""
    while "%%" in text:
        text = text.replace("%%", "% %")
    return text.replace("\\U+", "\\ U+").replace("\\M+", "\\ M+")


def _new(per_paper_mm: float) -> Drawing:
    """An empty document in mm with our layers, line types and the one text style."""
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
    doc.layers.add(MEASURED, color=7, lineweight=25, plot=False).freeze()
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


class DxfBackEnd:
    """The painter's back end for DXF: one entity of ``layout`` (model space or block) for each item
    and each group; ``who``: identity and role that every entity carries."""

    def __init__(
        self, doc: Drawing, layout: Any, space: Space, who: tuple[str, str] | None = None
    ) -> None:
        self.doc, self.layout, self.space, self.who = doc, layout, space, who

    def line(self, line: Line) -> None:
        """A LINE, or an LWPOLYLINE of more than two points."""
        points, attribs = self._points(line.points), self._attribs(line.pen)
        if len(points) == 2:
            self._named(self.layout.add_line(*points, dxfattribs=attribs))
        else:
            self._named(self.layout.add_lwpolyline(points, close=line.closed, dxfattribs=attribs))

    def arc(self, arc: Arc) -> None:
        """An ARC or a CIRCLE."""
        at = self.space.point(arc.centre), self.space.size(arc.radius)
        attribs = self._attribs(arc.pen)
        if arc.sweep == 360.0:
            self._named(self.layout.add_circle(*at, dxfattribs=attribs))
        else:
            self._named(self.layout.add_arc(*at, arc.start, arc.end, dxfattribs=attribs))

    def fill(self, fill: Fill) -> None:
        """A solid HATCH; of a grey shape of four corners a SOLID, which is shorter."""
        attribs = self._attribs(fill.pen)
        if fill.light:
            attribs["true_color"] = 0x10101 * round(255 * fill.light)
        if fill.light and len(fill.points) == 4:
            # A SOLID's corners go across, not round.
            a, b, c, d = self._points(fill.points)
            self._named(self.layout.add_solid((a, b, d, c), dxfattribs=attribs))
            return
        hatch = self.layout.add_hatch(color=7, dxfattribs=attribs)
        hatch.paths.add_polyline_path(self._points(fill.points), is_closed=True)
        self._named(hatch)

    def text(self, text: Text) -> None:
        """A TEXT."""
        attribs = self._attribs(text.pen) | {
            "style": STYLE,
            "height": self.space.size(text.height),
            "rotation": text.angle,
        }
        entity = self.layout.add_text(escaped(text.text), dxfattribs=attribs)
        entity.set_placement(self.space.point(text.at), align=_ALIGNED[text.align])
        self._named(entity)

    def group(self, group: Dimension | Hatch | Mark) -> bool:
        """A dimension, a HATCH, or entities that say what they stand for."""
        if isinstance(group, Dimension):
            self._dimension(group)
        elif isinstance(group, Hatch):
            self._hatch(group)
        else:
            # A picture's hundred surfaces stand for no size.
            who = (group.id, group.role) if group.role != PICTURE else None
            paint(group.items, DxfBackEnd(self.doc, self.layout, self.space, who))
        return True

    def _points(self, points: tuple[Point, ...]) -> list[Point]:
        return [self.space.point(p) for p in points]

    def _attribs(self, pen: LineStyle) -> dict[str, Any]:
        return {"layer": pen.layer}

    def _named(self, entity: Any) -> None:
        if self.who is not None:
            _tag(entity, *self.who)

    def _hatch(self, item: Hatch) -> None:
        hatch = self.layout.add_hatch(color=7, dxfattribs=self._attribs(item.pen))
        pitch, angle = self.space.size(item.pitch), math.radians(item.angle)
        to_next = (-pitch * math.sin(angle), pitch * math.cos(angle))
        definition = [[item.angle, self.space.point(item.through), to_next, []]]
        hatch.set_pattern_fill("ANSI31", color=7, scale=1.0, definition=definition)
        for i, loop in enumerate(item.loops):
            flags = 1 if i == 0 else 16
            hatch.paths.add_polyline_path(self._points(loop), is_closed=True, flags=flags)
        self._named(hatch)

    def _dimension(self, d: Dimension) -> None:
        """A fixed picture, and a DIMENSION with the same picture, whose measure is the
        characteristic's."""
        space = self.space
        block = self.doc.blocks.new_anonymous_block(type_char="D")
        shown = self.doc.blocks.new_anonymous_block(type_char="U")
        for each in (block, shown):
            paint(d.items, DxfBackEnd(self.doc, each, space))
        fixed = self.layout.add_blockref(shown.name, (0.0, 0.0), self._attribs(LineStyle.DIM))
        _tag(fixed, d.id, f"picture {block.name}")
        enlarged = d.kind == "linear" and abs(d.per_mm - space.k) > 1e-12
        attribs: dict[str, Any] = {
            "layer": MEASURED,
            "dimstyle": STYLE,
            "geometry": block.name,
            "defpoint2": space.point(d.p),
            "defpoint3": space.point(d.q),
            "text_midpoint": space.point(d.text_at),
            "text": _dimension_text(d),
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
        entity = self.layout.new_entity("DIMENSION", attribs)
        override: dict[str, Any] = {}
        if enlarged:
            override["dimlfac"] = space.k / d.per_mm
        if d.one_sided:
            override |= {"dimsd2": 1, "dimse2": 1}
        if override:
            DimStyleOverride(entity, override).commit()
        _tag(entity, d.id, "dimension")


def _dimension_text(d: Dimension) -> str:
    """The number written out as on paper: ``<>`` in its place would be rounded by each reader's own
    settings, ⌀9.525 to 9,53, over its limit. A thread's designation is its own text."""
    text = escaped(f"{d.before}{d.value}{d.after}" if d.value else d.text)
    if d.stack:
        # Stacked fractions of MTEXT, which a dimension's text is.
        upper, lower = (t if t[0] in "+−" else f" {t}" for t in d.stack)
        stack = rf"{{\H{SMALL / H:.3f}x;\S{upper}^{lower};}}"
        text += stack.translate(SIGNS) + escaped(d.tail)
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
