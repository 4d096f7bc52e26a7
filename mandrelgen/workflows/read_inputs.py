"""Finding and reading the pen and shop files a command names."""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

from mandrelgen.archive.disk.files import exists, is_folder, is_plain_file, list_folder, read_file
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop, review
from mandrelgen.spec.shop import Shop

SHOP = "shop.toml"
LIMIT = 1_000_000


class Inputs(NamedTuple):
    """What a run works from: models, the bytes as given, and what reading had to say. ``shop``:
    with what the pen says of it; ``own_shop``: as its own file has it."""

    pen: Pen
    shop: Shop
    own_shop: Shop
    pen_bytes: bytes
    shop_bytes: bytes | None
    findings: tuple[Finding, ...]


def read_inputs(pen_path: Path, shop_path: Path | None, archive: Path | None = None) -> Inputs:
    """Read a pen file with its shop: named, else ``shop.toml`` beside the pen, else beside the
    archive, else none. Raises InputError with every fault of both files."""
    faults: list[Finding] = []
    pen_bytes = _bytes(pen_path, faults)
    shop_bytes, shop_name = _shop(pen_path, shop_path, archive, faults)
    shop, pen = Shop.model_validate({"schema": 1}), None
    if shop_bytes is not None:
        try:
            shop = read_shop(shop_bytes, shop_name)
        except InputError as e:
            faults += e.findings
    if pen_bytes is not None:
        try:
            pen = read_pen(pen_bytes, pen_path.name)
        except InputError as e:
            faults += e.findings
    if faults or pen is None or pen_bytes is None:
        raise InputError(faults)
    own_shop, shop = shop, effective_shop(shop, pen)
    found = review(pen, shop, pen_bytes, pen_path.name)
    if any(f.level is Level.ERROR for f in found):
        raise InputError(found)
    return Inputs(
        pen=pen,
        shop=shop,
        own_shop=own_shop,
        pen_bytes=pen_bytes,
        shop_bytes=shop_bytes,
        findings=found,
    )


def only_pen(folder: Path) -> Path:
    """The one pen file of a folder. Raises InputError if there is none, or more than one."""
    names = [n for n in list_folder(folder) if n.endswith(".toml") and n != SHOP]
    pens = [folder / n for n in sorted(names) if _is_pen(folder / n)]
    if len(pens) == 1:
        return pens[0]
    message = f"there are {len(pens)} pen files here" if pens else "there is no pen file here"
    remedy = (
        f"name one: {', '.join(p.name for p in pens[:8])}"
        if pens
        else "name a pen file, or begin one with 'mandrelgen new my-pen'"
    )
    raise InputError.of("file.which", "FILE", message, remedy)


def _is_pen(path: Path) -> bool:
    """True for a TOML file with parts; one that cannot be read is one too if it says so."""
    if not is_plain_file(path):
        return False
    try:
        text = read_file(path, LIMIT).decode("utf-8-sig", "replace")
    except DiskError:
        return False
    return re.search(r"(?m)^\s*\[?\s*parts\b", text) is not None


def read_shop_file(path: Path | None, archive: Path | None = None) -> Shop:
    """A shop file alone: named, else ``shop.toml`` here, else beside the archive, else none.
    Raises InputError."""
    faults: list[Finding] = []
    data, name = _shop(Path("here"), path, archive, faults)
    if faults:
        raise InputError(faults)
    return Shop.model_validate({"schema": 1}) if data is None else read_shop(data, name)


def _shop(
    pen_path: Path, shop_path: Path | None, archive: Path | None, faults: list[Finding]
) -> tuple[bytes | None, str]:
    if shop_path is not None:
        return _bytes(shop_path, faults), shop_path.name
    for folder in (pen_path.parent, archive):
        if folder is not None and is_plain_file(folder / SHOP):
            return _bytes(folder / SHOP, faults), SHOP
    return None, ""


def _bytes(path: Path, faults: list[Finding]) -> bytes | None:
    why = ""
    if is_folder(path):
        why = "is a folder, not a file"
    elif not exists(path):
        why = "does not exist"
    else:
        try:
            return read_file(path, LIMIT)
        except DiskError as e:
            why = f"cannot be read: {e.finding.message}"
    faults.append(
        Finding(
            level=Level.ERROR,
            code="file.unreadable",
            where=path.name or str(path),
            message=f"the file {why}",
            remedy="name a pen file, for example one made by 'mandrelgen new heron'",
        )
    )
    return None
