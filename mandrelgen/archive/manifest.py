"""Hashes of a published folder's files, and the comparison of a folder with them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from enum import StrEnum
from pathlib import Path

from mandrelgen.archive.design_hash import canonical_hash
from mandrelgen.archive.disk.files import digest_file, is_plain_file, list_folder
from mandrelgen.archive.records import FileMark, Manifest, load
from mandrelgen.core.errors import DiskError
from mandrelgen.core.frozen import dataclass

MANIFEST = "manifest.json"


class Damage(StrEnum):
    """What can be wrong with a file of the archive."""

    CHANGED = "changed"
    MISSING = "missing"
    EXTRA = "extra"
    TRUNCATED = "truncated"


@dataclass(frozen=True, slots=True)
class Fault:
    """One damaged file: ``path`` relative to the archive, with forward slashes."""

    path: str
    damage: Damage
    detail: str = ""

    def line(self) -> str:
        """The fault as one line of plain text."""
        return f"{self.path}: {self.damage.value}" + (f" ({self.detail})" if self.detail else "")


def _seal(files: Mapping[str, FileMark]) -> str:
    return canonical_hash({name: mark.model_dump() for name, mark in files.items()})


def make_manifest(files: Mapping[str, bytes]) -> Manifest:
    """The manifest of a package that is about to be published."""
    marks = {
        name: FileMark(sha256=hashlib.sha256(data).hexdigest(), size=len(data))
        for name, data in sorted(files.items())
    }
    return Manifest(files=marks, seal=_seal(marks))


def check_folder(root: Path, folder: Path) -> Iterator[Fault]:
    """What differs between a published folder and its manifest."""
    base = folder.relative_to(root).as_posix()
    present = set(list_folder(folder))
    if MANIFEST not in present:
        yield Fault(f"{base}/{MANIFEST}", Damage.MISSING)
        return
    try:
        manifest = load(Manifest, folder / MANIFEST)
    except DiskError as exc:
        yield Fault(f"{base}/{MANIFEST}", Damage.CHANGED, str(exc))
        return
    if manifest.seal != _seal(manifest.files):
        yield Fault(f"{base}/{MANIFEST}", Damage.CHANGED, "its list does not fit its seal")
    for name, mark in manifest.files.items():
        if name not in present:
            yield Fault(f"{base}/{name}", Damage.MISSING)
        else:
            yield from _check_file(f"{base}/{name}", folder / name, mark)
    for name in sorted(present - set(manifest.files) - {MANIFEST}):
        yield Fault(f"{base}/{name}", Damage.EXTRA)


def _check_file(shown: str, path: Path, mark: FileMark) -> Iterator[Fault]:
    if not is_plain_file(path):
        yield Fault(shown, Damage.CHANGED, "a link, a folder or a device stands in its place")
        return
    try:
        digest, size = digest_file(path)
    except DiskError as exc:
        yield Fault(shown, Damage.CHANGED, str(exc))
        return
    if size < mark.size:
        yield Fault(shown, Damage.TRUNCATED, f"{size} of {mark.size} bytes are left")
    elif digest != mark.sha256:
        yield Fault(shown, Damage.CHANGED, f"{size} bytes, {mark.size} were published")
