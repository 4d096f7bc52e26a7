"""Names that are safe on every disk, and a disk's failures as sentences. Touches no disk."""

from __future__ import annotations

import contextlib
import errno
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from mandrelgen.core.errors import DiskError

MAX_NAME = 100

_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]*")
# The device names of Windows, with or without an extension.
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\..*)?", re.IGNORECASE)
_FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}


def name_fault(name: str) -> str:
    """Why ``name`` cannot be a file name on every system; empty if it can."""
    if not name:
        return "it is empty"
    if len(name) > MAX_NAME:
        return f"it has {len(name)} characters, {MAX_NAME} are allowed"
    if not _NAME.fullmatch(name):
        return "only A-Z a-z 0-9 . _ - are allowed, and it begins with a letter, digit or _"
    if name.endswith(".") or ".." in name:
        return "it ends with a dot or holds two dots in a row"
    if _RESERVED.fullmatch(name):
        return "Windows reserves this name for a device"
    return ""


def check_names(names: Iterable[str]) -> None:
    """Refuse names that are unsafe on some system, or that differ only by case.

    Raises DiskError.
    """
    seen: dict[str, str] = {}
    for name in names:
        fault = name_fault(name)
        if fault:
            raise DiskError(f"{name!r} cannot be a file name: {fault}.", "Choose another id.")
        other = seen.setdefault(name.lower(), name)
        if other != name:
            raise DiskError(
                f"{name!r} and {other!r} differ only by case and would be one file on some disks.",
                "Choose another id for one of them.",
            )


def sentence(exc: OSError, path: Path) -> tuple[str, str]:
    """What went wrong with ``path``, and how to mend it."""
    code = exc.errno
    if code in _FULL:
        return f"The disk is full: {path} could not be written.", (
            "Free some space or name another folder with --to; nothing was left half-written."
        )
    if code == errno.EROFS:
        return f"{path} stands on a disk that is mounted read-only.", "Name another with --to."
    if code in (errno.EACCES, errno.EPERM):
        return f"No permission for {path}.", "Change its permissions, or name another with --to."
    if code == errno.ENOTDIR:
        return f"{path}: a part of this path is a file where a folder is needed.", (
            "Move the file away or name another folder with --to."
        )
    if code in (errno.EEXIST, errno.ENOTEMPTY):
        return f"{path} already exists, and nothing is ever overwritten.", (
            "Move it away, or run the command again."
        )
    if code == errno.ENOENT:
        return f"{path} is missing, or was removed while mandrelgen was running.", (
            "Run the command again."
        )
    if code == errno.ENAMETOOLONG:
        return f"The path is too long for this disk: {path}.", "Name a shorter one with --to."
    if code == errno.EXDEV:
        return f"{path} stands on another file system than its archive.", (
            "Keep the whole archive on one file system."
        )
    return f"{path}: {exc.strerror or exc}.", "Check the disk, then run the command again."


def disk_error(exc: OSError, path: Path) -> DiskError:
    """The failure as the error a person is told."""
    return DiskError(*sentence(exc, path))


@contextlib.contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn an OSError of the body into a DiskError that speaks of ``path``."""
    try:
        yield
    except OSError as exc:
        raise disk_error(exc, path) from exc
