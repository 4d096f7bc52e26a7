"""Reading an export that may come from anybody: everything is checked before anything is used.

Refused are names that leave the folder or are unsafe somewhere, links and devices, two names that
differ by case only, files that are not listed or listed and missing, sizes and hashes that do not
fit, bombs (no more is unpacked than the list says), and records that stand in a wrong place.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import lzma
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath

from mandrelgen.archive.design_hash import canonical_hash
from mandrelgen.archive.disk.messages import name_fault
from mandrelgen.archive.events import name_fits
from mandrelgen.archive.export import LIST, MAX_BYTES, MAX_FILES, Export, seal_of
from mandrelgen.archive.manifest import MANIFEST
from mandrelgen.archive.naming import (
    EVENTS,
    ORDERS,
    check_prefix,
    number_count,
    parse_revision_folder,
    revision_order,
)
from mandrelgen.archive.orders import ORDER
from mandrelgen.archive.record_files import renamed_to
from mandrelgen.archive.records import MAX_JSON, Event, Manifest, Order, Record, parse
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.core.frozen import dataclass

# What every name in a zip's directory begins with (PKWARE, .ZIP File Format Specification 6.3.10,
# 4.3.12; from memory); the library refuses a directory without.
_ENTRY = b"PK\x01\x02"
Files = Mapping[str, bytes]


@dataclass(frozen=True, slots=True)
class Fixture:
    """One number of an export: revision folder → files (in order), event name → bytes."""

    number: str
    revisions: dict[str, dict[str, bytes]]
    records: tuple[Record, ...]
    events: dict[str, bytes]


@dataclass(frozen=True, slots=True)
class Bundle:
    """A checked export."""

    archive: str
    prefix: str
    fixtures: tuple[Fixture, ...]
    orders: dict[str, dict[str, bytes]]


def refused(name: str, why: str) -> InputError:
    """Why an export is not taken."""
    remedy = "ask for a new export; nothing was changed"
    return InputError(
        [
            Finding(
                level=Level.ERROR,
                code="import.refused",
                where=name[:80],
                message=why,
                remedy=remedy,
            )
        ]
    )


def read_bundle(data: bytes, name: str) -> Bundle:
    """An export, checked through and through. Raises InputError that says why it is refused."""
    count = data.count(_ENTRY)
    if count > MAX_FILES:  # before the library makes an object of each
        raise refused(name, f"it holds {count} files, {MAX_FILES} are allowed")
    try:
        with _sound(name):
            bundle = zipfile.ZipFile(io.BytesIO(data))
        with bundle:
            listed, files = _unpack(bundle, name)
        return _sorted(listed, files, name)
    except DiskError as exc:
        raise refused(name, str(exc)) from exc


@contextlib.contextmanager
def _sound(name: str) -> Iterator[None]:
    """What the zip library stumbles over in a damaged file, told as that; only its own calls stand
    in here, so that no fault of ours is taken for one of the file."""
    try:
        yield
    except (
        zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, NotImplementedError,
        RuntimeError, EOFError, OSError, ValueError, LookupError, OverflowError,
    ) as exc:  # fmt: skip
        raise refused(name, f"it is no sound zip: {exc}") from exc


def _unpack(bundle: zipfile.ZipFile, name: str) -> tuple[Export, dict[str, bytes]]:
    infos = bundle.infolist()
    seen: dict[str, str] = {}
    for info in infos:
        _check_entry(info, name)
        other = seen.setdefault(info.filename.lower(), info.filename)
        if other != info.filename:
            raise refused(name, f"{info.filename} and {other} differ only by case")
    if len(seen) != len(infos):
        raise refused(name, "it holds a file twice")
    if LIST not in seen.values():
        raise refused(name, f"it holds no {LIST}: it is no export of an archive")
    listed = parse(Export, _content(bundle, LIST, MAX_JSON, name), Path(LIST))
    if listed.seal != seal_of(listed.files, listed.archive, listed.prefix):
        raise refused(name, "its list does not fit its seal")
    if set(seen.values()) - {LIST} != set(listed.files):
        odd = sorted((set(seen.values()) - {LIST}) ^ set(listed.files))[0]
        raise refused(name, f"{odd[:100]} is listed and missing, or there and not listed")
    if sum(mark.size for mark in listed.files.values()) > MAX_BYTES:
        raise refused(name, f"it would unpack to more than {MAX_BYTES >> 20} MiB")
    files = {}
    for path, mark in listed.files.items():
        content = _content(bundle, path, mark.size, name)
        if len(content) != mark.size or hashlib.sha256(content).hexdigest() != mark.sha256:
            raise refused(name, f"{path} is not the file that is listed")
        files[path] = content
    return listed, files


def _check_entry(info: zipfile.ZipInfo, name: str) -> None:
    mode = info.external_attr >> 16
    if not info.filename:
        raise refused(name, "it holds a file without a name")
    if info.is_dir() or (stat.S_IFMT(mode) and not stat.S_ISREG(mode)):
        raise refused(name, f"{info.filename[:100]} is no plain file (a folder, link or device)")
    if info.flag_bits & 1:
        raise refused(name, f"{info.filename[:100]} is encrypted")
    if info.orig_filename != info.filename or "\\" in info.filename or "\0" in info.orig_filename:
        raise refused(name, f"{info.filename[:100]!r} is no name of an export")
    if info.filename == LIST:
        return
    steps = info.filename.split("/")
    if len(steps) != 3 or any(step == EVENTS and n != 1 for n, step in enumerate(steps)):
        raise refused(name, f"{info.filename[:100]!r} is no place in an archive")
    for step in steps:
        if fault := name_fault(step):
            raise refused(name, f"{info.filename[:100]!r}: {fault}")


def _content(bundle: zipfile.ZipFile, path: str, limit: int, name: str) -> bytes:
    """A file's bytes; one byte more than ``limit`` is never unpacked."""
    with _sound(name), bundle.open(path) as file:
        data = file.read(limit + 1)
    if len(data) > limit:
        raise refused(name, f"{path} is larger than it says")
    return data


def _sorted(listed: Export, files: Files, name: str) -> Bundle:
    """Files by fixture and order; every record, event and manifest is read."""
    prefix = check_prefix(listed.prefix)
    folders: dict[str, dict[str, dict[str, bytes]]] = {}
    for path, data in files.items():
        top, middle, last = PurePosixPath(path).parts
        folders.setdefault(top, {}).setdefault(middle, {})[last] = data
    orders = folders.pop(ORDERS, {})
    fixtures = tuple(
        _fixture(number, prefix, inside, name) for number, inside in sorted(folders.items())
    )
    for id, package in orders.items():
        _check_manifest(package, f"{ORDERS}/{id}", name)
        order = parse(Order, package.get(ORDER, b""), Path(ORDERS, id, ORDER))
        if order.id != id:
            raise refused(name, f"{ORDERS}/{id} belongs to {order.id}")
        _check_items(order, fixtures, name)
    return Bundle(listed.archive, prefix, fixtures, orders)


def _check_items(order: Order, fixtures: tuple[Fixture, ...], name: str) -> None:
    known = {
        (r.number, r.revision, r.draft, hashlib.sha256(package[MANIFEST]).hexdigest())
        for f in fixtures
        for r, package in zip(f.records, f.revisions.values(), strict=True)
    }
    for item in order.items:
        if (item.number, item.revision, item.draft, item.manifest_sha256) not in known:
            raise refused(name, f"order {order.id} names {item.number}, which is not as it says")
    content = {
        "pen": order.pen, "facts": order.facts,
        "items": [i.model_dump(mode="json") for i in order.items],
    }  # fmt: skip
    if canonical_hash(content) != order.order_hash:
        raise refused(name, f"order {order.id} does not fit its hash")


def _fixture(number: str, prefix: str, inside: dict[str, dict[str, bytes]], name: str) -> Fixture:
    if number_count(prefix, number) is None:
        raise refused(name, f"{number} is no number of an archive with the prefix {prefix}")
    events = dict(sorted(inside.pop(EVENTS, {}).items()))
    parsed = {folder: parse_revision_folder(folder) for folder in inside}
    keys = {folder: key for folder, key in parsed.items() if key is not None}
    if not keys or len(keys) != len(parsed):
        raise refused(name, f"{number} holds something that is no revision")
    records, revisions = [], {}
    for folder in sorted(keys, key=lambda f: revision_order(*keys[f])):
        package = inside[folder]
        _check_manifest(package, f"{number}/{folder}", name)
        record = parse(Record, package.get("record.json", b""), Path(number, folder, "record.json"))
        if (record.number, record.revision, record.draft) != (number, *keys[folder]):
            raise refused(name, f"{number}/{folder} holds the record of {record.number}")
        records.append(record)
        revisions[folder] = package
    for n, (event_name, data) in enumerate(events.items(), 1):
        event = parse(Event, data, Path(number, EVENTS, event_name))
        known = {(r.revision, r.draft) for r in records}
        if (
            not name_fits(event_name, n, event)
            or event.number != number
            or (event.revision, event.draft) not in known
        ):
            raise refused(name, f"{number}/{EVENTS}/{event_name} stands in a wrong place")
        if (slot := renamed_to(event)) is not None:
            records = [r.model_copy(update={"slot": slot}) for r in records]
    if len({r.slot for r in records}) != 1:
        raise refused(name, f"{number}: its revisions do not fill one slot")
    return Fixture(number, revisions, tuple(records), events)


def _check_manifest(package: dict[str, bytes], place: str, name: str) -> None:
    manifest = parse(Manifest, package.get(MANIFEST, b""), Path(place, MANIFEST))
    marks = {n: mark.model_dump() for n, mark in manifest.files.items()}
    if manifest.seal != canonical_hash(marks) or set(marks) != set(package) - {MANIFEST}:
        raise refused(name, f"{place}/{MANIFEST} does not fit its folder")
    for n, mark in manifest.files.items():
        if hashlib.sha256(package[n]).hexdigest() != mark.sha256:
            raise refused(name, f"{place}/{n} is not what its manifest says")
