"""Lists as files: CSV (RFC 4180) and XLSX. A cell's words never become a formula."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Sequence

Cell = str | float | int | None
# A spreadsheet takes a cell that begins so for a formula; a quote in front keeps it a text.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def harmless(cell: Cell) -> Cell:
    """A cell that no spreadsheet calculates when it reads CSV: numbers as they are, texts quoted
    where needed. A workbook says itself what is a text."""
    if isinstance(cell, str) and cell.lstrip(" ").startswith(_FORMULA):
        return "'" + cell
    return cell


def csv_bytes(header: Sequence[str], rows: Sequence[Sequence[Cell]]) -> bytes:
    """The list as CSV: comma, CRLF, UTF-8 with a byte order mark (spreadsheets need it)."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(header)
    writer.writerows([["" if c is None else harmless(c) for c in row] for row in rows])
    return out.getvalue().encode("utf-8-sig")


def xlsx_bytes(
    header: Sequence[str], rows: Sequence[Sequence[Cell]], date: str, title: str
) -> bytes:
    """The list as a workbook of one sheet; ``date`` ISO 8601, written as the day of its making.

    The same list and date give the same bytes.
    """
    import xlsxwriter

    out = io.BytesIO()
    options = {
        "in_memory": True, "strings_to_formulas": False, "strings_to_urls": False,
        "strings_to_numbers": False,
    }  # fmt: skip
    with xlsxwriter.Workbook(out, options) as book:
        day = datetime.date.fromisoformat(date)
        book.set_properties(
            {"title": title, "created": datetime.datetime(day.year, day.month, day.day)}
        )
        sheet = book.add_worksheet(title[:31])
        bold = book.add_format({"bold": True})
        sheet.freeze_panes(1, 0)
        for column, name in enumerate(header):
            width = max([len(name), *(len(str(r[column] or "")) for r in rows)])
            sheet.set_column(column, column, min(width + 2, 50))
            sheet.write_string(0, column, name, bold)
        for n, row in enumerate(rows, 1):
            for column, cell in enumerate(row):
                if isinstance(cell, str):
                    sheet.write_string(n, column, cell)  # a text by its type
                elif cell is not None:
                    sheet.write_number(n, column, cell)
        if rows:
            sheet.autofilter(0, 0, len(rows), len(header) - 1)
    return out.getvalue()
