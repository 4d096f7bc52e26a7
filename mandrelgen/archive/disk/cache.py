"""The side door to the disk for caches: nothing here is worth keeping, so nothing here is careful.

Whatever stands in a cache can be made again from the archive; `store` guards the archive itself.
"""

from __future__ import annotations

import os
from pathlib import Path

from mandrelgen.core.disk_messages import told

# A link in a cache is none of ours: what it points at is never written.
_OWN: int = getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0)


def append(path: Path, data: bytes) -> None:
    """Add bytes at the end of a file, which is made if it is missing. Raises DiskError."""
    with told(path):
        fd = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | _OWN, 0o666)
        try:
            os.write(fd, data)
            os.fsync(fd)
        finally:
            os.close(fd)


def read_from(path: Path, start: int) -> bytes:
    """The bytes of a file from ``start`` on; none if it is missing. Raises DiskError."""
    with told(path):
        try:
            with open(path, "rb") as file:
                file.seek(start)
                return file.read()
        except FileNotFoundError:
            return b""


def mark(path: Path) -> tuple[int, int]:
    """Size in bytes and time of the last change in ns; (-1, -1) if it cannot be asked."""
    try:
        found = os.stat(path)
    except OSError:
        return -1, -1
    return found.st_size, found.st_mtime_ns
