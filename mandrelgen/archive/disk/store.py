"""The only door to the disk: packages become visible in one step, numbers are taken by one mkdir.

A package (a folder of files) is written to a temporary folder on the same file system, every file
and the folder are flushed to the disk, and only then it is renamed to its final name, which must
not exist. A failure at any moment leaves what was there untouched and nothing half-written; the
leftovers of a run that was killed have names of our own and are swept by a later run. Failures are
told as :class:`mandrelgen.core.errors.DiskError`.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from mandrelgen.archive.disk.files import (
    TEMP_PREFIX,
    exists,
    is_folder,
    list_folder,
    make_folder,
    missing_folders,
    remove,
    sync_folders,
    temp_path,
    write_new,
)
from mandrelgen.archive.disk.locks import abandoned, claim, machine_id, process_alive
from mandrelgen.archive.disk.messages import check_names, disk_error, told
from mandrelgen.core.errors import DiskError

OLD_AFTER = 24 * 3600.0

_TEMP_NAME = re.compile(re.escape(TEMP_PREFIX) + r"([0-9a-f]{8})-([0-9]{1,10})-[0-9a-f]{12}")


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
            remove(folder / name)
            swept.append(name)
    return tuple(swept)


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


def reserve_number(path: Path) -> bool:
    """As `reserve_folder`, and the folder is held for this process: no other run sweeps it while
    it is empty. Give it back with `give_back`. Raises DiskError."""
    for _ in range(50):
        if not reserve_folder(path):
            return False
        if claim(path):
            return True
    raise disk_error(OSError(errno.ENOENT, ""), path)  # others sweep it each time


def sweep_empty(folders: Iterable[Path]) -> tuple[str, ...]:
    """Remove reserved folders that are empty and held by no living run; the names removed. Never
    raises."""
    swept = []
    for folder in folders:
        with contextlib.suppress(OSError, DiskError):
            if not is_folder(folder) or list_folder(folder):
                continue
            with abandoned(folder, OLD_AFTER) as free:
                if free:
                    os.rmdir(folder)
                    swept.append(folder.name)
    return tuple(swept)


class Staged:
    """Packages written to temporary folders, not yet visible. Made by :func:`staged`."""

    def __init__(self, scratch: Path) -> None:
        self._scratch = scratch
        self._temps: dict[Path, Path] = {}

    def _stage(self, packages: Mapping[Path, Mapping[str, bytes]]) -> None:
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
                remove(temp)


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
