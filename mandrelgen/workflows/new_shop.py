"""What ``new`` is told of a workshop, for a shop file where there is none."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from mandrelgen.archive.disk.files import exists, read_file
from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.spec import new_shop
from mandrelgen.spec.new_shop import SaidShop
from mandrelgen.spec.read import read_shop
from mandrelgen.workflows.new_pen import thread_text
from mandrelgen.workflows.read_inputs import LIMIT, SHOP


def there(folder: Path) -> bool:
    """Whether the folder has a shop file. Raises DiskError."""
    return exists(folder / SHOP)


def owned_threads(folder: Path) -> tuple[str, ...]:
    """The threads of the taps and dies in the folder's shop file; none where there is none or it
    cannot be read."""
    try:
        shop = read_shop(read_file(folder / SHOP, LIMIT), SHOP)
    except (DiskError, InputError):
        return ()
    return tuple(dict.fromkeys(t.thread for t in (*shop.taps, *shop.dies)))


def said(
    collets_said: str | None, taps: Sequence[str], dies: Sequence[str], folder: Path
) -> SaidShop | None:
    """What the options say; None if they say nothing. Raises InputError for what cannot be read,
    or where a shop file is there already."""
    if not (collets_said or taps or dies):
        return None
    if there(folder):
        raise _refused(f"{SHOP} is already there", "say collets, taps and dies in it")
    system, sizes = collets(collets_text(collets_said) if collets_said else None)
    own = (tuple(thread_text(t) for t in row) for row in (taps, dies))
    return SaidShop(system, sizes, *own)


def collets_text(text: str) -> str:
    """Collets as typed. Raises InputError if a shop file could not hold them."""
    try:
        shop = SaidShop(*new_shop.collets(text))
    except ValueError as e:
        raise _refused(str(e), "letters, then sizes: ER25 6 8 10, or ER25 4 to 16") from e
    try:
        read_shop(new_shop.written(shop), SHOP)
    except InputError as e:
        raise _refused(
            "; ".join(f.message for f in e.findings),
            "letters, then sizes: ER25 6 8 10; a system of your own goes into shop.toml later",
        ) from e
    return text


def collets(text: str | None) -> tuple[str, tuple[str, ...]]:
    """System and sizes of what ``collets_text`` took; nothing for None."""
    return new_shop.collets(text) if text else ("", ())


def threads_text(text: str) -> str:
    """Threads as typed, with commas or semicolons between. Raises InputError."""
    for thread in threads(text):
        thread_text(thread)
    return text


def threads(text: str | None) -> tuple[str, ...]:
    """Each thread of such a text. A comma inside a size (``M8,5x0,75``) is none between two."""
    return tuple(t.strip() for t in re.split(r";|,(?!\d)", text or "") if t.strip())


def _refused(message: str, remedy: str) -> InputError:
    return InputError.of("new.shop", "new", message, remedy)
