"""The ``new`` command: a starter pen file under the maker's own name."""

from __future__ import annotations

import re
from pathlib import Path

from mandrelgen.archive.disk.files import create_file, exists, make_folder
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.spec.starters import starter, starter_names

DEFAULT_STARTER = "heron"
# The shop that goes with a starter; the others use the full bench.
SHOPS = {"bittern": "small"}
DEFAULT_SHOP = "bench"


def start(name: str, chosen: str | None, folder: Path) -> tuple[Path, ...]:
    """Write ``NAME.toml`` (and ``shop.toml`` if there is none); returns the files written.

    Raises InputError for an unfit name or an existing file, DiskError from the disk.
    """
    stem = name.removesuffix(".toml")
    if not re.fullmatch(r"[a-z][a-z0-9_-]{0,31}", stem):
        raise _refused(
            f"'{name[:40]}' is not a name for a pen file",
            "lower-case letters, digits, dash and underscore, beginning with a letter: my-pen",
        )
    source = chosen or (stem if stem in starter_names("pen") else DEFAULT_STARTER)
    data = starter("pen", source)
    if stem != source:
        data = re.sub(rb'(?m)^id = "[^"]*"', f'id = "{stem}"'.encode(), data, count=1)
    target = folder / f"{stem}.toml"
    if exists(target):
        raise _refused(f"{target.name} is already there", "choose another name, or move it away")
    files = {target: data}
    shop = folder / "shop.toml"
    if not exists(shop):
        files[shop] = starter("shop", SHOPS.get(source, DEFAULT_SHOP))
    make_folder(folder)
    for path, content in files.items():
        if not create_file(path, content):
            raise _refused(f"{path.name} is already there", "choose another name")
    return tuple(files)


def _refused(message: str, remedy: str) -> InputError:
    return InputError(
        [Finding(level=Level.ERROR, code="new.name", where="new", message=message, remedy=remedy)]
    )
