"""A check that was kept and is to be corrected: its answers once more, its state booked back. What
was kept stays; a further check follows it."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.states import State
from mandrelgen.workflows import booking, receive
from mandrelgen.workflows.arrived import Piece, name_of
from mandrelgen.workflows.kept import answers
from mandrelgen.workflows.receive import fixture


def corrected(folder: Path, piece: Piece, shop: Path) -> dict[str, str]:
    """The answers of the newest check as they were typed, to be corrected. Raises InputError,
    DiskError."""
    number, _, revision = name_of(piece).partition(":")
    _, entry = fixture(folder, number, revision)
    own = receive.shop_of(entry, shop if exists(shop) else None)
    return {q: a.text for q, a in answers(folder, number, revision, own).items() if a.newest}


def booked_back(folder: Path, piece: Piece) -> None:
    """What is in use or was sent back has arrived again. Raises InputError, DiskError."""
    booking.book(folder, name_of(piece), State.ARRIVED.value, None, booking.Said())
