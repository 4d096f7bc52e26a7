"""Lists as files: both say the same and calculate nothing; the same list, the same bytes."""

from __future__ import annotations

import csv
import io

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.files.writers.listing import csv_bytes, harmless, xlsx_bytes
from tests.support.archived import DAY

HEADER = ("name", "size", "note")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=20),
            st.none() | st.floats(-1e6, 1e6),
            st.sampled_from(["", "=1+1", "+1", "-1", "@A", " =x"]),
        ), max_size=6,
    )
)  # fmt: skip
def test_both_files_say_the_same_and_calculate_nothing(
    rows: list[tuple[str, float | None, str]],
) -> None:
    """CSV read by Python's csv (RFC 4180), XLSX by openpyxl. A cell that begins with = + - @ is a
    formula to a spreadsheet (OWASP, CSV injection): none may be left."""
    back = list(csv.reader(io.StringIO(csv_bytes(HEADER, rows).decode("utf-8-sig"), newline="")))
    assert back[0] == list(HEADER)
    book = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(HEADER, rows, DAY, "Fixtures")))
    sheet = book["Fixtures"]
    assert book.properties.created.isoformat() == f"{DAY}T00:00:00"
    assert [c.value for c in sheet[1]] == list(HEADER)
    for n, (name, size, note) in enumerate(rows, 1):
        assert back[n] == [
            str(harmless(name)), "" if size is None else str(size), str(harmless(note))
        ]  # fmt: skip
        cells = sheet[n + 1]
        assert [c.data_type for c in cells if c.value is not None and c.column != 2] == [
            "s" for c in cells if c.value is not None and c.column != 2
        ]
        assert (cells[0].value or "") == name
        assert cells[1].value == (None if size is None else pytest.approx(size, rel=1e-12))
        for text in (back[n][0], back[n][2]):  # a workbook says itself that they are texts
            assert not text.lstrip(" ").startswith(("=", "+", "-", "@"))


def test_the_same_list_gives_the_same_bytes() -> None:
    rows = [("a", 1.5, "x"), ("b", None, "")]
    assert xlsx_bytes(HEADER, rows, DAY, "T") == xlsx_bytes(HEADER, rows, DAY, "T")
    assert xlsx_bytes(HEADER, rows, DAY, "T") != xlsx_bytes(HEADER, rows, "2026-06-01", "T")
