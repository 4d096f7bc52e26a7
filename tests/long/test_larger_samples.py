"""Tests of the normal suite that take a small sample there, with a larger one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.archive.test_bad_records import DAMAGES, WHOLE, named_and_passed_over
from tests.archive.test_bad_records import shelf as shelf
from tests.files import test_painter as painter
from tests.files.proof.test_dxf import read_alike


@pytest.mark.parametrize("name", [*DAMAGES, *WHOLE])
def test_every_bad_record_that_the_index_does_not_know_is_named_and_passed_over(
    shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    named_and_passed_over(shelf, tmp_path, monkeypatch, name, stale=True)


def test_the_reader_reads_what_ezdxf_reads() -> None:
    read_alike(40)


@pytest.fixture(scope="module")
def painted() -> Iterator[None]:
    """The drawings of more random pens."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(painter, "RANDOM", 20)
        painter.sheets.cache_clear()
        yield
    painter.sheets.cache_clear()


@pytest.mark.parametrize(
    "show",
    [
        painter.test_the_pdf_shows_the_sheets_items_at_their_places,
        painter.test_the_svg_shows_the_sheets_items_at_their_places,
        painter.test_ezdxf_draws_the_dxf_as_the_sheet_is,
        painter.test_ezdxf_reads_every_line_of_lettering_at_its_place,
    ],
    ids=lambda show: show.__name__.removeprefix("test_"),
)
def test_every_back_end_of_the_painter(painted: None, show: object) -> None:
    assert callable(show)
    show()
