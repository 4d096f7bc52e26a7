"""``release``, ``withdraw`` and ``verify``: what happens to an archive after publishing."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.archive import events, root
from mandrelgen.archive import verify as verifying
from mandrelgen.archive.disk import store
from mandrelgen.archive.manifest import Fault
from mandrelgen.archive.naming import MARKER
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import Finding, InputError, Level


def release_fixture(folder: Path, number: str, date: str | None) -> str:
    """Release the newest revision of ``number``; returns a sentence."""
    entry = events.release(_archive(folder), number, date_of(date))
    return f"{entry.number} {entry.revision} is released"


def withdraw_fixture(folder: Path, number: str, date: str | None, note: str = "") -> str:
    """Withdraw the newest revision of ``number``; ``note`` says why. Returns a sentence."""
    entry = events.withdraw(_archive(folder), number, date_of(date), note=note)
    return f"{entry.number} {entry.revision} is withdrawn"


def archive_faults(folder: Path) -> tuple[Fault, ...]:
    """Every damaged, missing or extra file; none: the archive is sound."""
    return tuple(verifying.verify(_archive(folder)))


def _archive(folder: Path) -> root.Archive:
    if not store.exists(folder / MARKER):
        fault = Finding(
            level=Level.ERROR,
            code="archive.none",
            where=str(folder),
            message="there is no archive here",
            remedy="name an archive's folder with --to, or make a pen first",
        )
        raise InputError([fault])
    return root.open_root(folder)
