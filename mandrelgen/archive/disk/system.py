"""What differs between operating systems: machine, processes, locks."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import platform

_NO_LOCKS = {errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EINVAL}


def machine_id() -> str:
    """Eight hex digits for this machine and process namespace: only there a pid means something."""
    namespace = ""
    with contextlib.suppress(OSError):
        namespace = os.readlink("/proc/self/ns/pid")
    return hashlib.sha256(f"{platform.node()}|{namespace}".encode()).hexdigest()[:8]


def process_alive(pid: int) -> bool:
    """Whether a process of this machine runs; True where that cannot be asked."""
    if os.name == "nt":  # there, asking with signal 0 would interrupt the process
        return True
    try:
        os.kill(pid, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def lock_descriptor(fd: int) -> None:
    """Wait for an exclusive lock on an open file; goes on without where a disk has none.

    Raises OSError.
    """
    try:
        import fcntl
    except ImportError:
        import msvcrt

        # A byte far behind the end: a lock there is binding on Windows and must not stop readers.
        os.lseek(fd, 1 << 30, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined]
        return
    try:
        fcntl.flock(fd, fcntl.LOCK_EX)
    except OSError as exc:
        if exc.errno not in _NO_LOCKS:  # a network disk without locks: go on without
            raise


def unlock_descriptor(fd: int) -> None:
    """Give the lock back at once: closing alone would not, while a forked child holds a copy."""
    with contextlib.suppress(ImportError, OSError):
        import fcntl

        fcntl.flock(fd, fcntl.LOCK_UN)
