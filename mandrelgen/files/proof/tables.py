"""The tables behind the drawing, read back from the PDF's lettering."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from mandrelgen.files.proof import dimension_text
from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.text_boxes import Cell
from mandrelgen.model.characteristic import Characteristic
from mandrelgen.workshop.turning.names import what

# Cells of one column share their x, those of one line their y, to this (mm).
_SAME = 0.2
# A table's titles stand left of its first column by 0.8 mm.
_INDENT = 0.8


@dataclass(slots=True)
class _Part:
    """A table's part on one page: its title and rows, each a text per column."""

    title: str
    heads: list[str]
    rows: list[list[str]] = field(default_factory=list)


def parts(cells: Sequence[Cell]) -> Iterator[_Part]:
    """The tables of a page, from top to bottom. Lines of one cell are joined without a space: an
    name may break anywhere."""
    left = min((c.x for c in cells), default=0.0)
    lines: list[list[Cell]] = []
    for c in sorted(cells, key=lambda c: (-c.y, c.x)):
        if lines and abs(lines[-1][0].y - c.y) < _SAME:
            lines[-1].append(c)
        else:
            lines.append([c])
    part: _Part | None = None
    columns: list[float] = []
    for line in lines:
        if abs(line[0].x - left) < _SAME:
            if part is not None and columns:
                yield part
            part, columns = _Part(line[0].text, []), []
        elif part is not None and not columns:
            columns = [c.x for c in line]
            part.heads = [c.text for c in line]
            # A first column without a heading.
            if columns[0] > left + _INDENT + _SAME:
                columns.insert(0, left + _INDENT)
                part.heads.insert(0, "")
        elif part is not None:
            _fill(part, columns, line)
    if part is not None and columns:
        yield part


def _fill(part: _Part, columns: list[float], line: list[Cell]) -> None:
    if abs(line[0].x - columns[0]) < _SAME or not part.rows:
        part.rows.append([""] * len(columns))
    for c in line:
        for i, x in enumerate(columns):
            if abs(c.x - x) < _SAME:
                part.rows[-1][i] += c.text


def check_characteristics(case: Case, pages: Sequence[Sequence[Cell]]) -> int:
    """Every characteristic has one row, by its name, with its own nominal and limits; returns how
    many rows there are. A name may break anywhere, so it is compared without its spaces."""
    rows: dict[str, list[dict[str, str]]] = {}
    for cells in pages:
        for part in parts(cells):
            if "Size" in part.heads and "Nominal" in part.heads:
                for row in part.rows:
                    entry = dict(zip(part.heads, row, strict=True))
                    rows.setdefault(entry["Size"].replace(" ", ""), []).append(entry)
    names = {_name(c): c for c in case.expected.mandrel.characteristics}
    case.equal("names of sizes", len(case.expected.mandrel.characteristics), len(names))
    for name, c in names.items():
        found = rows.get(name, [])
        if case.equal(f"{c.id}, table rows", 1, len(found)):
            _row(case, c, found[0])
    for name in sorted(rows.keys() - names.keys()):
        case.fault(name, "no such characteristic", "a table row")
    return sum(len(r) for r in rows.values())


def _name(c: Characteristic) -> str:
    return what(c).replace(" ", "")


def _row(case: Case, c: Characteristic, row: dict[str, str]) -> None:
    case.equal(f"{c.id}, unit", c.unit, row["Unit"])
    nominal = row["Nominal"]
    if c.kind in dimension_text.ONE_LIMIT:
        case.equal(f"{c.id}, nominal", "–", nominal)
    elif abs(dimension_text.number(nominal) - c.nominal) > dimension_text.step_of(c) / 2 + 1e-6:
        case.fault(c.id, f"nominal {c.nominal:g}", f"'{nominal}'")
    if not dimension_text.limits_match(c, row["Min."], row["Max."]):
        case.fault(c.id, f"limits {c.lower} to {c.upper}", f"'{row['Min.']}' to '{row['Max.']}'")


def check_threads(case: Case, pages: Sequence[Sequence[Cell]]) -> None:
    """Pitch, lead, starts and hand of each thread stand in its own table."""
    merged: list[_Part] = []
    for cells in pages:
        for part in parts(cells):
            if part.title.startswith("Thread ") and part.title.endswith("(continued)"):
                merged[-1].rows += part.rows
            elif part.title.startswith("Thread "):
                merged.append(part)
    threads = case.expected.mandrel.threads
    if not case.equal("thread tables", len(threads), len(merged)):
        return
    for data, part in zip(threads, merged, strict=True):
        said = {row[0]: row[1] for row in part.rows}
        form = data.form
        case.equal(f"{data.feature}, starts", str(form.starts), said.get("Starts"))
        hand = "left" if form.left_hand else "right"
        case.equal(f"{data.feature}, hand", hand, said.get("Hand"))
        for name, wanted in (("Pitch P, mm", form.pitch), ("Lead Ph, mm", form.lead)):
            text = said.get(name)
            if text is None or abs(dimension_text.number(text) - wanted) > 1e-4:
                case.fault(f"{data.feature}, {name}", f"{wanted:g}", f"'{text}'")


def check_decisions(case: Case, pages: Sequence[Sequence[Cell]]) -> int:
    """Every decision stands in the table of decisions, in its order; returns how many there are.
    A cell's lines may be rows of their own here, so the whole column is compared."""
    said = "".join(
        row[0]
        for cells in pages
        for part in parts(cells)
        if part.title.removesuffix(" (continued)") == "Decisions"
        for row in part.rows
    )
    wanted = [d.what for d in case.expected.mandrel.decisions]
    case.equal("decisions", "".join(wanted).replace(" ", ""), said.replace(" ", ""))
    return len(wanted)
