"""Who is at work here: the archive's lock, whose a temporary name is, whose a reserved number.

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
import time
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


@contextlib.contextmanager
def held_file(path: Path) -> Iterator[bool]:
    """Hold an exclusive lock on a file itself, which leaves nothing beside it; it ends with the
    process. Where files cannot be locked so (Windows, some network disks) it goes on without.

    Yields False if the file is missing, or was exchanged while waiting: there is no lock then.
    Raises DiskError.
    """
    with told(path):
        try:
            fd = os.open(path, os.O_RDONLY)
        except FileNotFoundError:
            fd = -1
    if fd < 0:
        yield False
        return
    try:
        with contextlib.suppress(ImportError), told(path):
            import fcntl

            try:
                fcntl.flock(fd, fcntl.LOCK_EX)
            except OSError as exc:
                if exc.errno not in _NO_LOCKS:
                    raise
        try:
            same = os.path.samestat(os.fstat(fd), os.stat(path))
        except OSError:
            same = False
        yield same
    finally:
        os.close(fd)


def forget(folder: Path) -> None:
    """Remove the lock's file of a folder that became no archive, unless somebody holds it; never
    raises. Who waits for it notices (`filelock` asks for the file's links) and makes a new one."""
    from filelock import FileLock, Timeout

    if not os.path.lexists(folder / LOCK):
        return
    lock = FileLock(folder / LOCK, timeout=0, fallback_to_soft=False, preserve_lock_file=True)
    with contextlib.suppress(OSError, Timeout), lock:
        os.unlink(folder / LOCK)


# Folders that this process reserved: an open descriptor each, which holds a lock on the folder.
_claims: dict[Path, int] = {}


def claim(folder: Path) -> bool:
    """Hold an empty folder for this process until `give_back`, or until the process ends; False:
    another run sweeps it, or has done so.

    Where folders cannot be locked (Windows, some network disks) it is held by its youth alone."""
    fd = _folder_lock(folder)
    if fd is None:
        return os.path.lexists(folder)
    if fd < 0:
        return False
    _claims[folder] = fd
    return True


def give_back(folder: Path) -> None:
    """Let go of a folder; never raises, also if it was not held."""
    fd = _claims.pop(folder, -1)
    if fd >= 0:
        _let_go(fd)


def claimed(root: Path) -> tuple[Path, ...]:
    """The folders in ``root`` that this process holds."""
    return tuple(folder for folder in _claims if folder.parent == root)


@contextlib.contextmanager
def abandoned(folder: Path, old_after: float) -> Iterator[bool]:
    """Whether no living run holds a reserved folder; nobody can take it in the body. Where folders
    cannot be locked: whether it is older than so many seconds. Never raises by itself."""
    fd = -1 if folder in _claims else _folder_lock(folder)
    if fd is None:
        age = 0.0
        with contextlib.suppress(OSError):
            age = time.time() - os.lstat(folder).st_mtime
        yield age > old_after
        return
    try:
        yield fd >= 0
    finally:
        if fd >= 0:
            _let_go(fd)


def _folder_lock(folder: Path) -> int | None:
    """A descriptor that holds the folder's lock; -1: somebody else holds it or the folder is gone;
    None: folders cannot be locked here."""
    from filelock import lock_descriptor

    try:
        fd = os.open(folder, os.O_RDONLY)
    except FileNotFoundError:
        return -1
    except OSError:
        return None
    try:
        if lock_descriptor(fd, blocking=False) and _same(fd, folder):
            return fd
    except OSError:
        os.close(fd)
        return None
    except BaseException:
        os.close(fd)
        raise
    os.close(fd)
    return -1


def _same(fd: int, folder: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(fd), os.lstat(folder))
    except OSError:
        return False


def _let_go(fd: int) -> None:
    from filelock import unlock_descriptor

    with contextlib.suppress(OSError):
        unlock_descriptor(fd)  # closing alone would not, while a forked child holds a copy
    os.close(fd)


def _forget_claims() -> None:
    """In a forked child: the folders are its parent's, and free when that ends."""
    while _claims:
        with contextlib.suppress(OSError):
            os.close(_claims.popitem()[1])


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_forget_claims)
