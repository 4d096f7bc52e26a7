"""``release``, ``withdraw`` and ``verify``: what happens to an archive after publishing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mandrelgen.archive import events
from mandrelgen.archive import verify as verifying
from mandrelgen.archive.manifest import Fault
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import Finding, InputError
from mandrelgen.spec.glyphs import char_name, undrawn
from mandrelgen.workflows.archives import archive_of, fault
from mandrelgen.workflows.numbers_said import numbers


def release_fixtures(folder: Path, said: Sequence[str], date: str | None) -> tuple[str, ...]:
    """Release the newest revision of each number, in any spelling; a sentence each. Nothing is
    released if one of them is not there."""
    return tuple(release_fixture(folder, n, date) for n in _known(folder, said))


def withdraw_fixtures(
    folder: Path, said: Sequence[str], date: str | None, note: str = ""
) -> tuple[str, ...]:
    """Withdraw the newest revision of each number, in any spelling; a sentence each. Nothing is
    withdrawn if one of them is not there."""
    return tuple(withdraw_fixture(folder, n, date, note) for n in _known(folder, said))


def _known(folder: Path, said: Sequence[str]) -> tuple[str, ...]:
    archive = archive_of(folder)
    found = numbers(archive, said)
    unknown: list[Finding] = []
    for number in found:
        try:
            events.current(archive, number)
        except InputError as e:
            unknown += e.findings
    if unknown:
        raise InputError(unknown)
    return found


def release_fixture(folder: Path, number: str, date: str | None) -> str:
    """Release the newest revision of ``number``; returns a sentence."""
    entry = events.release(archive_of(folder), number, date_of(date))
    return f"{entry.number} {entry.revision} is released"


def withdraw_fixture(folder: Path, number: str, date: str | None, note: str = "") -> str:
    """Withdraw the newest revision of ``number``; ``note`` says why. Returns a sentence."""
    if wrong := undrawn(note):
        names = ", ".join(char_name(c) for c in wrong[:5])
        raise fault(
            "text.undrawn",
            "--note",
            f"the paper cannot show {names}",
            "write it with the letters of the keyboard, on one line",
        )
    entry = events.withdraw(archive_of(folder), number, date_of(date), note=note)
    return f"{entry.number} {entry.revision} is withdrawn"


def archive_faults(folder: Path) -> tuple[Fault, ...]:
    """Every damaged, missing or extra file; none: the archive is sound."""
    found = verifying.verify_folder(folder)
    return verifying.verify(archive_of(folder)) if found is None else found
