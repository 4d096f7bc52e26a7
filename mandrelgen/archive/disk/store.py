"""The only door to the disk: every byte that is written or read passes through here.

A package (a folder of files) becomes visible in one step: it is written to a temporary folder on
the same file system, every file and the folder are flushed to the disk, and only then renamed to
its final name, which must not exist. A failure at any moment leaves what was there untouched and
nothing half-written; the leftovers of a run that was killed have names of our own and are swept
by a later run. Failures are told as :class:`mandrelgen.core.errors.DiskError`.

What only POSIX knows (locks, links, fsync of a folder) has a fallback; tested on Linux only.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import secrets
import shutil
import stat
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from mandrelgen.archive.disk.flushing import BINARY, sync_folders, write_new
from mandrelgen.archive.disk.system import (
    lock_descriptor,
    machine_id,
    process_alive,
    unlock_descriptor,
)
from mandrelgen.core.disk_messages import check_names, disk_error, told
from mandrelgen.core.errors import DiskError

MAX_READ = 64 * 1024 * 1024
TEMP_PREFIX = ".mandrelgen-tmp-"
OLD_AFTER = 24 * 3600.0

_TEMP_NAME = re.compile(re.escape(TEMP_PREFIX) + r"([0-9a-f]{8})-([0-9]{1,10})-[0-9a-f]{12}")
_NONBLOCK: int = getattr(os, "O_NONBLOCK", 0)
_NO_LINKS = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK}


def exists(path: Path) -> bool:
    """Whether anything, also a dangling link, stands at ``path``."""
    return os.path.lexists(path)


def list_folder(path: Path) -> tuple[str, ...]:
    """The names in a folder, sorted; none if it does not exist. Raises DiskError."""
    with told(path), contextlib.suppress(FileNotFoundError):
        return tuple(sorted(os.listdir(path)))
    return ()


def is_folder(path: Path) -> bool:
    """Whether a real folder (no link) stands there."""
    return path.is_dir() and not path.is_symlink()


def is_plain_file(path: Path) -> bool:
    """Whether a real file (no link, pipe or device) stands there."""
    try:
        return stat.S_ISREG(os.lstat(path).st_mode)
    except OSError:
        return False


def _open_plain(path: Path) -> int:
    # O_NONBLOCK: a pipe put in a file's place must be refused, not waited for.
    fd = os.open(path, os.O_RDONLY | BINARY | _NONBLOCK)
    if not stat.S_ISREG(os.fstat(fd).st_mode):
        os.close(fd)
        raise DiskError(f"{path} is not a file.", "Move it away.")
    return fd


def read_file(path: Path, limit: int = MAX_READ) -> bytes:
    """The bytes of a file of at most ``limit`` bytes. Raises DiskError."""
    with told(path), os.fdopen(_open_plain(path), "rb") as file:
        data = file.read(limit + 1)
    if len(data) > limit:
        raise DiskError(
            f"{path} is larger than the {limit} bytes that are read from such a file.",
            "Is it the right file?",
        )
    return data


def digest_file(path: Path) -> tuple[str, int]:
    """SHA-256 (hex) and size in bytes of a file of any size. Raises DiskError."""
    digest, size = hashlib.sha256(), 0
    with told(path), os.fdopen(_open_plain(path), "rb") as file:
        while chunk := file.read(1 << 20):
            digest.update(chunk)
            size += len(chunk)
    return digest.hexdigest(), size


def temp_path(folder: Path) -> Path:
    """A fresh temporary name in ``folder`` that says which run it belongs to."""
    return folder / f"{TEMP_PREFIX}{machine_id()}-{os.getpid()}-{secrets.token_hex(6)}"


def _remove(path: Path) -> None:
    """Remove one of our own temporary files or folders, as well as it goes."""
    if is_folder(path):
        shutil.rmtree(path, ignore_errors=True)
    else:
        remove_file(path)


def sweep(folder: Path, now: float | None = None) -> tuple[str, ...]:
    """Remove temporary files and folders of dead runs; returns the names removed.

    Dead: made on this machine by a process that no longer runs, or older than a day (a run takes
    seconds; this also covers other machines and systems where a process cannot be asked for).
    ``now`` in seconds since the epoch. Never raises: sweeping is a courtesy.
    """
    now = time.time() if now is None else now
    swept = []
    try:
        names = list_folder(folder)
    except DiskError:
        return ()
    for name in names:
        match = _TEMP_NAME.fullmatch(name)
        if not match:
            continue
        try:
            age = now - os.lstat(folder / name).st_mtime
        except OSError:
            continue
        dead = match[1] == machine_id() and not process_alive(int(match[2]))
        if dead or age > OLD_AFTER:
            _remove(folder / name)
            swept.append(name)
    return tuple(swept)


def missing_folders(path: Path) -> tuple[Path, ...]:
    """The folders that would have to be made for ``path`` to exist, innermost first.

    Raises DiskError if a file is in the way.
    """
    missing = []
    for folder in (path, *path.parents):
        try:  # one question only: other runs may make or remove the folder meanwhile
            mode = os.lstat(folder).st_mode
        except (FileNotFoundError, NotADirectoryError):
            missing.append(folder)
            continue
        except OSError as exc:
            raise disk_error(exc, folder) from exc
        if stat.S_ISDIR(mode) or (stat.S_ISLNK(mode) and os.path.isdir(folder)):
            break
        raise DiskError(
            f"{folder} is a file, where a folder is needed.",
            "Move the file away or name another folder with --to.",
        )
    return tuple(missing)


def make_folder(path: Path) -> None:
    """Make ``path`` and its parents; quiet if it is there. Raises DiskError."""
    with told(path):
        os.makedirs(path, exist_ok=True)


def remove_file(path: Path) -> None:
    """Remove a file of our own; never raises."""
    with contextlib.suppress(OSError):
        os.unlink(path)


def reserve_folder(path: Path) -> bool:
    """Make one folder if and only if nothing of that name is there (atomic); parents are made.

    False: somebody else has it. Raises DiskError.
    """
    for _ in range(50):  # another run may remove an emptied parent between the steps
        try:
            for parent in reversed(missing_folders(path.parent)):
                with contextlib.suppress(FileExistsError):
                    os.mkdir(parent)
            os.mkdir(path)
        except FileExistsError:
            return False
        except FileNotFoundError:
            continue
        except OSError as exc:
            raise disk_error(exc, path) from exc
        return True
    raise disk_error(OSError(errno.ENOENT, ""), path.parent)


def remove_empty(folders: Iterable[Path]) -> None:
    """Remove those of the folders that are empty; leaves the others and never raises."""
    for folder in folders:
        with contextlib.suppress(OSError):
            os.rmdir(folder)


def write_file(path: Path, data: bytes) -> None:
    """Write or replace one file in one step. Raises DiskError; the old file then still stands."""
    write_files(path.parent, {path.name: data})


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write or replace files of a folder, each in one step. Raises DiskError; of each then either
    the old or the new one stands, whole."""
    temps = {temp_path(folder): name for name in files}
    with told(folder / next(iter(files), "")):
        try:
            write_new({temp: files[name] for temp, name in temps.items()})
            for temp, name in temps.items():
                os.replace(temp, folder / name)
            sync_folders([folder])
        except BaseException:
            for temp in temps:
                _remove(temp)
            raise


def create_file(path: Path, data: bytes, scratch: Path | None = None) -> bool:
    """Make a file that must not exist yet, whole or not at all; False if the name is taken.

    ``scratch`` is the folder for the temporary file, on the same file system. Where the disk knows
    no hard links, the file is written in place: still exclusive, but a power cut can leave a part.
    Raises DiskError.
    """
    temp = temp_path(scratch or path.parent)
    with told(path):
        try:
            write_new({temp: data})
            if not _link(temp, path, data):
                return False
            try:
                sync_folders([path.parent])
            except BaseException:
                _remove(path)
                raise
            return True
        finally:
            _remove(temp)


def _link(temp: Path, path: Path, data: bytes) -> bool:
    try:
        os.link(temp, path)
        return True
    except FileExistsError:
        return False
    except OSError as exc:
        if exc.errno not in _NO_LINKS:
            raise
    if exists(path):
        return False
    try:
        write_new({path: data})
    except FileExistsError:
        return False
    except BaseException:
        _remove(path)
        raise
    return True


def append_numbered(folder: Path, label: str, data: bytes, scratch: Path | None = None) -> Path:
    """Add ``NNNN-label.json`` with the next free number to a folder; never changes what is there.

    Raises DiskError.
    """
    check_names([label])
    make_folder(folder)
    taken = (re.match(r"([0-9]{4,})-", name) for name in list_folder(folder))
    number = max((int(m[1]) for m in taken if m), default=0) + 1
    path = folder / f"{number:04d}-{label}.json"
    # The number alone must be unique, whatever the label: callers hold the archive's lock.
    if not create_file(path, data, scratch):
        raise disk_error(OSError(errno.EEXIST, ""), path)
    return path


class Staged:
    """Packages written to temporary folders, not yet visible. Made by :func:`staged`."""

    def __init__(self, scratch: Path) -> None:
        self._scratch = scratch
        self._temps: dict[Path, Path] = {}

    def _stage(self, packages: Mapping[Path, Mapping[str, bytes]]) -> None:
        """Every package at once: the disk commits them together (see `flushing`)."""
        self._temps = {target: temp_path(self._scratch) for target in packages}
        files: dict[Path, bytes] = {}
        for target, named in packages.items():
            files |= {self._temps[target] / name: data for name, data in named.items()}
        with told(next(iter(packages), self._scratch)):
            for temp in self._temps.values():
                os.mkdir(temp)
            write_new(files)
            sync_folders(self._temps.values())

    def commit(self, targets: Iterable[Path]) -> None:
        """Make these packages visible, all or (unless the process is killed) none.

        The folders' parents must exist, the targets must not. Raises DiskError.
        """
        done: list[Path] = []
        try:
            for target in targets:
                with told(target):
                    # A rename onto an empty folder would succeed silently on POSIX.
                    if exists(target):
                        raise FileExistsError(errno.EEXIST, "exists")
                    done.append(target)  # first: Ctrl-C may come right behind the rename
                    os.rename(self._temps[target], target)
            with told(self._scratch):
                sync_folders([*(target.parent for target in done), self._scratch])
        except BaseException:
            for target in reversed(done):
                with contextlib.suppress(OSError):
                    if not exists(self._temps[target]):
                        os.rename(target, self._temps[target])
            raise

    def discard(self) -> None:
        """Remove what was staged and not made visible; never raises."""
        for temp in self._temps.values():
            if exists(temp):
                _remove(temp)


@contextlib.contextmanager
def staged(packages: Mapping[Path, Mapping[str, bytes]], scratch: Path) -> Iterator[Staged]:
    """Write packages to temporary folders in ``scratch``; what is not committed is removed.

    Keys are the final folders, on the same file system as ``scratch``. Raises DiskError.
    """
    for target, files in packages.items():
        if not files:
            raise ValueError(f"empty package for {target}")
        check_names(files)
    holder = Staged(scratch)
    try:
        holder._stage(packages)
        yield holder
    finally:
        holder.discard()


def publish_folder(target: Path, files: Mapping[str, bytes]) -> None:
    """Write one package to ``target``, which must not exist; whole or not at all.

    Raises DiskError.
    """
    make_folder(target.parent)
    sweep(target.parent)
    with staged({target: files}, target.parent) as holder:
        holder.commit([target])


@contextlib.contextmanager
def locked(path: Path) -> Iterator[bool]:
    """Hold an exclusive lock on a file; it ends with the process, however that ends.

    Yields False if the file is missing, or was removed or exchanged while waiting: there is no
    lock then. Raises DiskError.
    """
    with told(path):
        try:
            fd = os.open(path, os.O_RDWR | BINARY)
        except FileNotFoundError:
            fd = -1
    if fd < 0:
        yield False
        return
    try:
        with told(path):
            lock_descriptor(fd)
        try:
            same = os.path.samestat(os.fstat(fd), os.stat(path))
        except OSError:
            same = False
        yield same
    finally:
        unlock_descriptor(fd)
        os.close(fd)
