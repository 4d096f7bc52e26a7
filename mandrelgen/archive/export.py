"""Taking fixtures out of an archive: one zip with their whole folders, events and orders.

In the zip stand the archive's own paths and ``mandrelgen-export.json``: the hash of every file,
where it came from, and a seal over the list. The same content gives the same bytes.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Iterable
from pathlib import Path

from mandrelgen.archive.design_hash import canonical_hash
from mandrelgen.archive.disk.files import exists, is_folder, list_folder, read_file
from mandrelgen.archive.events import current, event_names
from mandrelgen.archive.manifest import check_folder
from mandrelgen.archive.naming import EVENTS, MARKER, ORDERS
from mandrelgen.archive.orders import ORDER
from mandrelgen.archive.record_files import numbers, revision_folders
from mandrelgen.archive.records import FileMark, Id, Manifest, Marker, Order, load
from mandrelgen.archive.root import Archive
from mandrelgen.core.errors import DiskError, Finding, InputError, Level

LIST = "mandrelgen-export.json"
# What the list of an export has room for (4 MiB, about 130 bytes a file); what is larger is none.
MAX_FILES = 40_000
MAX_BYTES = 2 << 30
_DATE = (1980, 1, 1, 0, 0, 0)


class Export(Manifest):
    """The list in an export: every file, and the archive it came from."""

    archive: Id
    prefix: str


def seal_of(files: dict[str, FileMark], archive: str, prefix: str) -> str:
    """The seal over the list."""
    marks = {name: mark.model_dump() for name, mark in files.items()}
    return canonical_hash({"archive": archive, "prefix": prefix, "files": marks})


def export(archive: Archive, wanted: Iterable[str]) -> bytes:
    """A zip of the numbers and order ids named; none named: the whole archive.

    An order brings its fixtures along. Raises InputError (unknown name), DiskError (damaged).
    """
    files: dict[str, bytes] = {}
    for name in _names(archive, tuple(wanted)):
        for path in _paths(archive, name):
            files[path.relative_to(archive.root).as_posix()] = read_file(path)
    marks = {
        name: FileMark(sha256=hashlib.sha256(data).hexdigest(), size=len(data))
        for name, data in sorted(files.items())
    }
    marker = load(Marker, archive.root / MARKER)
    listed = Export(
        files=marks,
        seal=seal_of(marks, marker.id, marker.prefix),
        archive=marker.id,
        prefix=marker.prefix,
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, data in ((LIST, listed.to_bytes()), *sorted(files.items())):
            info = zipfile.ZipInfo(name, _DATE)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system, info.external_attr = 3, 0o100644 << 16
            bundle.writestr(info, data)
    return out.getvalue()


def _names(archive: Archive, wanted: tuple[str, ...]) -> tuple[str, ...]:
    """Numbers and ``orders/<id>``, each once; the fixtures of an order before it."""
    if not wanted:
        found = [
            n for n in numbers(archive.root, archive.prefix)
            if revision_folders(archive.root / n)
        ]  # fmt: skip
        ids = [
            name for name in list_folder(archive.root / ORDERS)
            if is_folder(archive.root / ORDERS / name)
        ]  # fmt: skip
        if not found:
            fault = Finding(
                level=Level.ERROR,
                code="export",
                where=str(archive.root),
                message="nothing was published here",
                remedy="make a pen, or adopt an old fixture",
            )
            raise InputError([fault])
        return (*found, *(f"{ORDERS}/{i}" for i in ids))
    out: list[str] = []
    for name in wanted:
        if exists(archive.root / ORDERS / Path(name).name / ORDER):
            order = load(Order, archive.root / ORDERS / Path(name).name / ORDER)
            out += [*(i.number for i in order.items), f"{ORDERS}/{order.id}"]
        else:
            out.append(current(archive, name).number)
    return tuple(dict.fromkeys(out))


def _paths(archive: Archive, name: str) -> Iterable[Path]:
    folder = archive.root / name
    packages = [folder] if name.startswith(f"{ORDERS}/") else [
        folder / revision for revision in revision_folders(folder)
    ]  # fmt: skip
    for package in packages:
        faults = tuple(check_folder(archive.root, package))
        if faults:
            raise DiskError(
                f"{name} is damaged and was not exported: {faults[0].line()}.",
                "Put the files back from a backup.",
            )
        yield from (package / file for file in list_folder(package))
    yield from (folder / EVENTS / event for event in event_names(folder / EVENTS))
