"""Tests of the normal suite that take a small sample there, with a larger one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from mandrelgen.workshop.printing import coupon
from tests.archive.disk import test_full_disk as full_disk
from tests.archive.disk.test_full_disk import disk as disk
from tests.archive.test_bad_records import DAMAGES, WHOLE, named_and_passed_over
from tests.archive.test_bad_records import shelf as shelf
from tests.assess.test_one_number import one_step_each
from tests.files import test_painter as painter
from tests.files.proof.test_dxf import read_alike
from tests.files.test_step import PARTS, check_kernel, check_text
from tests.paper import test_gauge_sheets as gauges
from tests.support.killing import without_drawings
from tests.workflows import test_interrupted as interrupted
from tests.workflows.test_batch import pens as pens
from tests.workflows.test_batch import stopped_behind
from tests.workflows.test_interrupted import house as house
from tests.workshop.printing.test_printing import plays_twice_the_mark


@pytest.mark.parametrize("stale", [False, True], ids=["index knows", "index does not know"])
@pytest.mark.parametrize("name", [*DAMAGES, *WHOLE])
def test_every_bad_record_is_named_and_passed_over(
    shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, stale: bool
) -> None:
    named_and_passed_over(shelf, tmp_path, monkeypatch, name, stale)


@pytest.mark.parametrize("line", [1, 7])
def test_ctrl_c_earlier_and_later_leaves_whole_packages_only(
    tmp_path: Path, pens: list[str], line: int
) -> None:
    stopped_behind(line, tmp_path, pens)


@pytest.mark.parametrize(("text", "external", "depth", "which"), gauges.EVERY)
def test_every_gauge(text: str, external: bool, depth: float, which: int) -> None:
    gauges.no_ink_on_ink(text, external, depth, which)
    gauges.read_back_by_its_id(text, external, depth, which)


@pytest.mark.parametrize("mark", range(len(coupon.ALLOWANCES)))
def test_the_play_of_every_mark_of_the_ladder(mark: int) -> None:
    plays_twice_the_mark(mark)


@pytest.mark.parametrize("name", interrupted.SIGNALS)
def test_every_signal_at_every_place(house: Path, name: str) -> None:
    interrupted.gives_the_numbers_back(house, name, interrupted.EVERYWHERE)


def test_a_full_disk_with_every_amount_of_room(
    disk: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    without_drawings(monkeypatch)
    full_disk.told_and_mended(disk, full_disk.laid(tmp_path), "make", full_disk.FREE)


def test_check_and_what_if_give_a_joint_of_the_heron_one_step() -> None:
    one_step_each("heron")


@pytest.mark.parametrize("name", PARTS)
def test_every_part_is_read_back_by_the_kernel_and_without_it(name: str) -> None:
    check_kernel(PARTS[name])
    check_text(PARTS[name])


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
