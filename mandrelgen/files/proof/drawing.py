"""The drawing's DXF read back: every characteristic is shown once, and says its own size."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from mandrelgen.files.proof import dimension_text
from mandrelgen.files.proof.dxf import (
    DIMADEC,
    DIMDEC,
    DIMLIM,
    DIMPOST,
    DIMTOL,
    File,
    identity,
    load,
    place,
)
from mandrelgen.files.proof.dxf_tags import Entity, Point
from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.text_boxes import Cell, joined, references, title_block
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import ThreadData

_EXACT = 1e-6
# MTEXT's stacked fraction: upper deviation over lower.
_STACK = re.compile(r"\{\\H[\d.]+x;\\S([^^;]*)\^([^;]*);\}")
_FRAMES = frozenset({Kind.RUNOUT, Kind.FACE_RUNOUT, Kind.CYLINDRICITY})
_THREAD_LIMITS = frozenset({Kind.THREAD_MAJOR, Kind.THREAD_PITCH_DIAMETER, Kind.THREAD_MINOR})


@dataclass(slots=True)
class _Shown:
    """What stands on the drawing: dimensions and lettering by characteristic, and the rest."""

    case: Case
    file: File
    dimensions: dict[str, list[Entity]] = field(default_factory=lambda: defaultdict(list))
    texts: dict[tuple[str, str], list[Cell]] = field(default_factory=lambda: defaultdict(list))
    free: list[Cell] = field(default_factory=list)
    largest: float = 0.0

    def row(self, id: str, role: str) -> list[str]:
        """The lettering of one mark, left to right."""
        return [c.text for c in sorted(self.texts[id, role], key=lambda c: c.x)]


def check(case: Case) -> dict[str, Any]:
    """Compare the drawing with the characteristics, by id."""
    shown = _Shown(case, load(case))
    for e in shown.file.model:
        who = identity(e)
        if e.kind == "DIMENSION":
            shown.dimensions[who[0] if who else "?"].append(e)
        elif e.kind == "TEXT":
            cell = Cell(*place(e), e.text(1))
            if who is None:
                shown.free.append(cell)
            else:
                shown.texts[who].append(cell)
    title_block(case, shown.free, range(1, case.expected.sheets + 1))
    references(case, [c.text for c in shown.texts["", "reference"]])
    _strangers(shown)
    _auxiliary(shown)
    _fixed(shown)
    for c in case.expected.mandrel.characteristics:
        _one(shown, c)
    return {
        "characteristics": len(case.expected.mandrel.characteristics),
        "dimensions": sum(len(d) for d in shown.dimensions.values()),
        "largest_difference": round(shown.largest, 9),
    }


def _strangers(shown: _Shown) -> None:
    """Whatever carries an identity the mandrel doesn't know."""
    known = {c.id for c in shown.case.expected.mandrel.characteristics} | {""}
    found = {*shown.dimensions, *(id for id, _ in shown.texts)}
    for id in sorted(found - known):
        shown.case.fault(id, "no such characteristic", "it on the drawing")


def _auxiliary(shown: _Shown) -> None:
    """Dimensions of no characteristic stand in brackets and measure true."""
    for e in shown.dimensions[""]:
        text = _as_measured(shown.file, e, measured(shown.file, e))
        picture = _picture(shown.file, e)
        if not (text.startswith("(") and text.endswith(")")) or text != picture:
            shown.case.fault("auxiliary dimension", f"'{text}' in brackets", f"'{picture}'")


def _fixed(shown: _Shown) -> None:
    """Each dimension's picture stands in the model space besides, for readers that would draw the
    dimension anew: the same entities, unmoved, and no picture more."""
    pictures = {
        role: e for e in shown.file.model if e.kind == "INSERT"
        for _, role in (identity(e) or ("", ""),)
    }  # fmt: skip
    for e in (e for row in shown.dimensions.values() for e in row):
        fixed = pictures.pop(f"picture {e.text(2)}", None)
        if fixed is None or _moved(fixed):
            shown.case.fault(f"picture {e.text(2)}", "its picture where it is", "none there")
        elif _drawn(shown.file, fixed) != _drawn(shown.file, e):
            shown.case.fault(f"picture {e.text(2)}", "the dimension's own picture", "another")
    for role in pictures:
        shown.case.fault(role, "a dimension to this picture", "none")


def _moved(insert: Entity) -> bool:
    """True unless a block stands as it was drawn: at zero, in its own size, not turned."""
    scale = any(abs(insert.number(c, 1.0) - 1.0) > _EXACT for c in (41, 42, 43))
    return insert.point(10) != (0.0, 0.0) or scale or abs(insert.number(50)) > _EXACT


def _drawn(file: File, e: Entity) -> list[tuple[str, tuple[tuple[int, str], ...]]]:
    """What a block draws: kinds and tags without handles."""
    return [(i.kind, tuple([t for t in i.tags if t[0] not in (5, 330)])) for i in file.picture(e)]


def _one(shown: _Shown, c: Characteristic) -> None:
    case, mandrel = shown.case, shown.case.expected.mandrel
    if c.kind in dimension_text.SIZES:
        _size(shown, c)
    elif c.kind in _FRAMES:
        cells = shown.row(c.id, "frame")
        if case.equal(f"{c.id}, tolerance frame's fields", 1 + bool(c.datum), len(cells)):
            case.equal(f"{c.id}, datum", [c.datum] if c.datum else [], cells[1:])
            _limit(case, c, cells[0])
    elif c.kind is Kind.ROUGHNESS:
        cells = shown.row(c.id, "roughness")
        if case.equal(f"{c.id}, roughness symbols", 1, len(cells)):
            _limit(case, c, cells[0].removeprefix("Ra ").removeprefix("Rz "))
    elif c.kind is Kind.CENTRE:
        cells = shown.row(c.id, "centre hole") + shown.row(c.id, "size")
        if case.equal(f"{c.id}, callouts", 1, len(cells)):
            holes = [h for h in mandrel.centre_holes if c.feature.detail == h.at]
            if not any(h.designation in cells[0] for h in holes):
                case.fault(c.id, " or ".join(h.designation for h in holes), f"'{cells[0]}'")
    else:
        _thread(shown, c)
    case.equal(f"{c.id}, balloons", int(not c.said_by), len(shown.texts[c.id, "balloon"]))


def _size(shown: _Shown, c: Characteristic) -> None:
    """A dimension, a line among the notes, or an angle behind another size: one of them."""
    case = shown.case
    dimensions, notes = shown.dimensions[c.id], shown.row(c.id, "size")
    places = len(dimensions) + len(notes)
    if places == 0 and c.kind is Kind.ANGLE and c.said_by and _said_behind(shown, c):
        return
    if places != 1:
        case.fault(c.id, "it to be shown once", f"it shown {places} times")
    for text in notes:
        for wanted, found in dimension_text.mismatches(c, text.rpartition(": ")[2]):
            case.fault(c.id, wanted, found)
    for e in dimensions:
        value = measured(shown.file, e)
        shown.largest = max(shown.largest, abs(value - c.nominal))
        case.near(f"{c.id}, as measured", c.nominal, value, _EXACT, c.unit)
        case.near(f"{c.id}, as stored", c.nominal, e.number(42), _EXACT, c.unit)
        text = e.text(1)
        if "<>" in text:
            # Each reader would round it by settings of its own.
            case.fault(c.id, "its number written out", f"'{text}'")
        for text in dict.fromkeys((_as_measured(shown.file, e, value), _picture(shown.file, e))):
            for wanted, found in dimension_text.mismatches(c, text):
                case.fault(c.id, wanted, found)
        for name, code in (("dimtol", DIMTOL), ("dimlim", DIMLIM), ("dimpost", DIMPOST)):
            set_to = shown.file.setting(e, code, "")
            if set_to not in ("", "0"):
                case.fault(c.id, f"no {name}", f"{name} {set_to}")


def measured(file: File, e: Entity) -> float:
    """What a CAD program measures between a dimension's points: mm of the part, or degrees."""
    p, q = e.point(13), e.point(14)
    if _is_angle(e):
        vertex, arc = e.point(15), e.point(10)
        first = _direction(vertex, p)
        sweep = (_direction(vertex, q) - first) % 360
        on_arc = (_direction(vertex, arc) - first) % 360
        return sweep if on_arc <= sweep else 360 - sweep
    a = math.radians(e.number(50))
    along = (q[0] - p[0]) * math.cos(a) + (q[1] - p[1]) * math.sin(a)
    return abs(along) * file.factor(e)


def _is_angle(e: Entity) -> bool:
    """True for an angle by three points: the lower bits of the kind of dimension."""
    return e.whole(70) & 7 == 5


def _direction(a: Point, b: Point) -> float:
    return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))


def _as_measured(file: File, e: Entity, value: float) -> str:
    """The dimension's text as a CAD program writes it: its number at the style's places, stacked
    deviations in brackets."""
    places = int(file.setting(e, DIMADEC if _is_angle(e) else DIMDEC, "0"))
    figure = f"{value:.{places}f}"
    figure = figure.rstrip("0").rstrip(".") if "." in figure else figure
    text = e.text(1).replace("<>", figure)
    return _STACK.sub(_one_line, text)


def _one_line(stacked: re.Match[str]) -> str:
    return f" ({stacked[1].strip()}/{stacked[2].strip()})"


def _picture(file: File, e: Entity) -> str:
    """The text of the picture stored with the dimension: what most readers show."""
    texts = [t for t in file.picture(e) if t.kind == "TEXT"]
    return joined([Cell(*place(t), t.text(1), t.number(40)) for t in texts])


def _limit(case: Case, c: Characteristic, text: str) -> None:
    if not dimension_text.limits_match(c, "", text):
        case.fault(c.id, f"{c.upper:g} {c.unit}", f"'{text}'")


def _said_behind(shown: _Shown, angle: Characteristic) -> bool:
    """True if the one dimension whose callout says this angle has it behind its size: 0.5 × 45°."""
    behind = [
        size.lean
        for e in shown.dimensions[angle.said_by]
        for text in (e.text(1), _picture(shown.file, e))
        if (size := dimension_text.read(_STACK.sub(_one_line, text))) is not None
    ]
    return bool(behind) and not any(m for t in behind for m in dimension_text.mismatches(angle, t))


_UNSAID = ("–", "-")


def _bracketed(case: Case, c: Characteristic, cells: list[str]) -> list[str]:
    """The cells without the brackets that sizes for information must have, and no others."""
    aside = any(
        t.feature == c.feature and t.order == "my-tool" for t in case.expected.mandrel.threads
    )
    for text in cells[1:]:
        if text not in _UNSAID and (text.startswith("(") and text.endswith(")")) != aside:
            case.fault(c.id, "brackets" if aside else "no brackets", f"'{text}'")
    return [cells[0], *(t.strip("()") for t in cells[1:])]


def _thread(shown: _Shown, c: Characteristic) -> None:
    """A row of the thread's table; the major diameter carries the thread's name besides."""
    case, mandrel = shown.case, shown.case.expected.mandrel
    cells = shown.row(c.id, "thread row")
    if case.equal(
        f"{c.id}, cells in the thread's table", 2 + (c.kind in _THREAD_LIMITS), len(cells)
    ):
        cells = _bracketed(case, c, cells)
        if c.kind in _THREAD_LIMITS:
            if not dimension_text.limits_match(c, cells[1], cells[2]):
                case.fault(c.id, f"limits {c.lower} to {c.upper}", f"{cells[1]} to {cells[2]}")
        else:
            if abs(dimension_text.number(cells[1]) - c.nominal) > dimension_text.STEP / 2 + _EXACT:
                case.fault(c.id, f"{c.nominal:g}", f"'{cells[1]}'")
            _between_limits(shown, c)
    dimensions = shown.dimensions[c.id]
    cut = c.kind is Kind.THREAD_MAJOR and any(
        s.thread is not None and s.feature == c.feature for s in (*mandrel.outer, *mandrel.inner)
    )
    case.equal(f"{c.id}, dimensions", int(cut), len(dimensions))
    names = {n for t in mandrel.threads if t.feature == c.feature for n in _names(t)}
    for e in dimensions:
        case.near(f"{c.id}, as measured", c.nominal, measured(shown.file, e), _EXACT)
        for text in dict.fromkeys((e.text(1), _picture(shown.file, e))):
            if text not in names:
                case.fault(c.id, " or ".join(sorted(names)), f"'{text}'")


def _between_limits(shown: _Shown, c: Characteristic) -> None:
    """A size without limits stands neither in the column of the least nor of the largest."""
    at = max(cell.x for cell in shown.texts[c.id, "thread row"])
    for other in shown.case.expected.mandrel.characteristics:
        cells = shown.texts[other.id, "thread row"] if other.feature == c.feature else []
        if other.kind in _THREAD_LIMITS and len(cells) == 3:
            _, low, high = sorted(cell.x for cell in cells)
            if not low + _EXACT < at < high - _EXACT:
                shown.case.fault(c.id, "its size across both columns of limits", "it in one")


def _names(t: ThreadData) -> tuple[str, ...]:
    """How a thread may be named: with its class or without; the class in brackets where the
    customer's own tool cuts; several starts said behind it."""
    starts = t.limits.designation.starts
    return tuple(n if starts == 1 else f"{n} ({starts} starts)" for n in _plain_names(t))


def _plain_names(t: ThreadData) -> tuple[str, ...]:
    d, klass = t.limits.designation, t.limits.tolerance_class
    bare = d.text.replace(f"-{d.tolerance_class}", "", 1) if d.tolerance_class else d.text
    if t.order == "my-tool":
        return bare, f"{bare} ({klass})"
    if d.tolerance_class:
        return d.text, f"{d.text}-{klass}"
    head, hand, tail = d.text.partition("-LH")
    return d.text, f"{head}-{klass}{hand}{tail}"
