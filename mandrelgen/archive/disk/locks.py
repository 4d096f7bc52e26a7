"""Who is at work here: the archive's lock, and whose a temporary name is.

The lock is `filelock`'s: ``flock`` on Linux and macOS, ``LockFileEx`` on Windows; it ends with the
process, however that ends. On a network disk ``flock`` becomes a lock of the server's (NFS since
Linux 2.6.12, SMB); where the server knows none, work goes on without: numbers are still made by one
``mkdir`` each and packages by one rename each, so the worst is a run that is told to come again.
Tested on Linux only.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import platform
from collections.abc import Iterator
from pathlib import Path

from mandrelgen.archive.disk.messages import told
from mandrelgen.core.errors import DiskError

LOCK = ".mandrelgen-lock"
PATIENCE = 600.0  # seconds for another run that publishes; it takes far less than one
_POLL = 0.01
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


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the lock of a folder, which must exist; its file stays there. Raises DiskError, also if
    another run holds it for longer than ``PATIENCE``."""
    from filelock import FileLock, Timeout  # a question to the index alone holds no lock

    lock = FileLock(
        folder / LOCK, timeout=PATIENCE, poll_interval=_POLL, fallback_to_soft=False,
        preserve_lock_file=True,
    )  # fmt: skip
    with told(folder / LOCK):
        try:
            lock.acquire()
        except Timeout as exc:
            raise DiskError(
                f"Another run has been publishing in {folder} for {PATIENCE:.0f} seconds.",
                "Wait for it or end it, then run the command again.",
            ) from exc
        except OSError as exc:
            if exc.errno not in _NO_LOCKS:
                raise
    try:
        yield
    finally:
        lock.release()


def forget(folder: Path) -> None:
    """Remove the lock's file of a folder that became no archive, unless somebody holds it; never
    raises. Who waits for it notices (`filelock` asks for the file's links) and makes a new one."""
    from filelock import FileLock, Timeout

    if not os.path.lexists(folder / LOCK):
        return
    lock = FileLock(folder / LOCK, timeout=0, fallback_to_soft=False, preserve_lock_file=True)
    with contextlib.suppress(OSError, Timeout), lock:
        os.unlink(folder / LOCK)
