"""The maker's cards of a pen, in its archive: ``cards/PEN/``.

They are derived, like the catalogue: no record, no hash, safe to delete, written anew by each
``make`` in place of the pen's older ones; what did not change is left as it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from pathlib import Path

from mandrelgen.archive.disk.files import (
    exists,
    is_folder,
    is_plain_file,
    make_folder,
    read_file,
    write_files,
)
from mandrelgen.archive.naming import CARDS
from mandrelgen.assess.words import Answer, parts_held_back
from mandrelgen.core.errors import DiskError
from mandrelgen.paper.reports.grids import GridPage
from mandrelgen.paper.reports.pieces_card import pieces_page
from mandrelgen.paper.reports.route_card import route_page
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.parallel import told
from mandrelgen.workshop.home.reference_pieces import ReferencePieces, reference_pieces
from mandrelgen.workshop.home.route import Route, route

ROUTE, PIECES = "route-card.pdf", "test-pieces.pdf"
# What stands over the notes of each.
NOTES = {ROUTE: "Take care", PIECES: "Cut, mark, keep, use"}


def route_of(
    checked: Checked, words: Sequence[Answer], numbers: Mapping[str, str] | None = None
) -> Route:
    """The route of the pen; ``numbers``: number and revision by mandrel id, where issued."""
    c = checked.inputs
    without = parts_held_back(checked.findings)
    return route(c.pen, c.shop, checked.designed, numbers, without, words)


def pieces_of(
    checked: Checked, words: Sequence[Answer], numbers: Mapping[str, str] | None = None
) -> ReferencePieces:
    """The test pieces of the pen's taps and dies; ``numbers`` as for the route."""
    c = checked.inputs
    without = parts_held_back(checked.findings)
    return reference_pieces(c.pen, c.shop, checked.designed, words, numbers, without)


def write_cards(
    archive: Path, checked: Checked, words: Sequence[Answer], numbers: Mapping[str, str],
    executor: Executor,
) -> Path:  # fmt: skip
    """Write the pen's cards under ``archive``; where they are. Raises DiskError, WorkerError."""
    folder = archive / CARDS / checked.inputs.pen.pen.id
    files = card_files(checked, words, numbers, executor)
    for place in (folder.parent, folder):
        if exists(place) and not is_folder(place):
            raise DiskError(f"{place} is a link or a file, where the cards' folder belongs.",
                            "Move it away.")  # fmt: skip
    make_folder(folder)
    new = {name: data for name, data in files.items() if not _there(folder / name, data)}
    if new:
        write_files(folder, new)
    return folder


def card_files(
    checked: Checked, words: Sequence[Answer], numbers: Mapping[str, str], executor: Executor,
) -> dict[str, bytes]:  # fmt: skip
    """The cards as PDF, by file name; ``executor`` writes them, which loads the PDF library. They
    bear no date: the same pen has the same cards."""
    title = checked.inputs.pen.pen
    pages = {ROUTE: route_page(route_of(checked, words, numbers))}
    pieces = pieces_of(checked, words, numbers)
    if pieces.threads:
        pages[PIECES] = pieces_page(pieces)
    with told():
        jobs = {n: executor.submit(card, p, title.id, NOTES[n]) for n, p in pages.items()}
        return {name: job.result() for name, job in jobs.items()}


def card(page: GridPage, footer: str, notes: str) -> bytes:
    """One card on one page; ``notes``: what stands over its notes."""
    from mandrelgen.files.writers.pdf import papers
    from mandrelgen.paper.reports.one_page import leaves

    return papers.write_leaves(page.title, footer, leaves(page, notes))


def _there(path: Path, data: bytes) -> bool:
    return is_plain_file(path) and read_file(path) == data
