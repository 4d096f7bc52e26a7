"""Files and folders: reading, and writing one file whole or not at all.

Failures are told as :class:`mandrelgen.core.errors.DiskError`. What only POSIX knows (links, fsync
of a folder) has a fallback; tested on Linux only.
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
from collections.abc import Iterable, Mapping
from pathlib import Path

from mandrelgen.archive.disk.locks import machine_id
from mandrelgen.archive.disk.messages import check_names, disk_error, told
from mandrelgen.core.errors import DiskError

MAX_READ = 64 * 1024 * 1024
TEMP_PREFIX = ".mandrelgen-tmp-"

_BINARY: int = getattr(os, "O_BINARY", 0)
_NONBLOCK: int = getattr(os, "O_NONBLOCK", 0)
_NOFOLLOW: int = getattr(os, "O_NOFOLLOW", 0)
_NO_LINKS = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK}
_NO_SYNC = {errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP}


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
    try:
        return stat.S_ISDIR(os.lstat(path).st_mode)
    except OSError:  # a name too long for the disk, too
        return False


def may_be_empty(folder: Path, names: Iterable[str]) -> tuple[str, ...]:
    """Of the folders of these names in ``folder`` those that may be empty, told without listing
    any: a file system that counts the folders in a folder gives it two links and one for each."""
    found = []
    for name in names:
        with contextlib.suppress(OSError):
            if os.lstat(f"{folder}{os.sep}{name}").st_nlink <= 2:
                found.append(name)
    return tuple(found)


def is_plain_file(path: Path) -> bool:
    """Whether a real file (no link, pipe or device) stands there."""
    try:
        return stat.S_ISREG(os.lstat(path).st_mode)
    except OSError:
        return False


def _open_plain(path: Path) -> int:
    # O_NONBLOCK: a pipe put in a file's place must be refused, not waited for.
    fd = os.open(path, os.O_RDONLY | _BINARY | _NONBLOCK)
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


def remove(path: Path) -> None:
    """Remove one of our own temporary files or folders, as well as it goes."""
    if is_folder(path):
        shutil.rmtree(path, ignore_errors=True)
    else:
        remove_file(path)


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


def remove_empty(folders: Iterable[Path]) -> None:
    """Remove those of the folders that are empty; leaves the others and never raises."""
    for folder in folders:
        with contextlib.suppress(OSError):
            os.rmdir(folder)


def write_new(files: Mapping[Path, bytes]) -> None:
    """Write and flush files that must not exist yet, one after the other. Raises OSError; what was
    written then stays for the caller to remove."""
    for path, data in files.items():
        fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o666)
        try:
            view = memoryview(data)
            while view:
                view = view[os.write(fd, view) :]
            os.fsync(fd)
        finally:
            os.close(fd)


def sync_folders(paths: Iterable[Path]) -> None:
    """Flush the names in folders, where a system can. Raises OSError."""
    for path in dict.fromkeys(paths):
        try:
            fd = os.open(path, os.O_RDONLY)
        except PermissionError:
            if os.name == "nt":  # folders cannot be opened there
                continue
            raise
        try:
            os.fsync(fd)
        except OSError as exc:
            if exc.errno not in _NO_SYNC:
                raise
        finally:
            os.close(fd)


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
                remove(temp)
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
                remove(path)
                raise
            return True
        finally:
            remove(temp)


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
        remove(path)
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


def append(path: Path, data: bytes) -> None:
    """Add bytes at the end of a file, which is made if it is missing; a link there is none of ours
    and is not followed. Raises DiskError."""
    with told(path):
        fd = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | _BINARY | _NOFOLLOW, 0o666)
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
