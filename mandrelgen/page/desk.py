"""What the page works on: the pens of one folder, its shop file, its archive; requests name them
by ids, which are looked up here and never become paths."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from pathlib import Path

from mandrelgen.archive.disk import files
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.workflows import edit
from mandrelgen.workflows.edit import Edited, Transform
from mandrelgen.workflows.read_inputs import LIMIT, SHOP

DEEPEST = 200
"""Changes that can be taken back, for each file."""


@dataclass
class History:
    """The bytes before each change of a file and after it, oldest first; what was taken back."""

    done: list[tuple[bytes, bytes, str]] = field(default_factory=list)
    undone: list[tuple[bytes, bytes, str]] = field(default_factory=list)
    turn: int = 0

    def add(self, change: Edited, key: str) -> None:
        """Remember a change; typing on in one field is one change."""
        self.undone.clear()
        last = self.done[-1] if self.done else None
        if last is not None and key and last[2] == key and last[1] == change.before:
            self.done[-1] = (last[0], change.after, key)
        else:
            self.done.append((change.before, change.after, key))
        del self.done[:-DEEPEST]


class Desk:
    """One folder on the bench."""

    def __init__(self, folder: Path, archive: Path, first: str = "") -> None:
        self.folder, self.archive, self.first = folder, archive, first
        self._lock = threading.Lock()
        self._histories: dict[str, History] = {}
        self.runs: dict[str, object] = {}
        self.ending = threading.Event()

    @classmethod
    def at(cls, path: Path, archive: Path | None) -> Desk:
        """The desk for a folder, or for a pen file's folder, opened on that pen. Raises
        InputError."""
        path = path.absolute()
        if path.is_dir():
            return cls(path, (archive or path / "output").absolute())
        if not path.is_file():
            raise InputError([Finding(
                Level.ERROR, "open.path", path.name, "there is no such file or folder",
                "name a pen file, or the folder your pens are in",
            )])  # fmt: skip
        return cls(path.parent, (archive or path.parent / "output").absolute(), path.stem)

    def stop(self) -> None:
        """Let what still runs end."""
        self.ending.set()

    # -- files
    @property
    def shop(self) -> Path:
        """The shop file, there or not."""
        return self.folder / SHOP

    def pens(self) -> dict[str, Path]:
        """The pen files of the folder by id: their names without ending."""
        return {
            name[:-5]: self.folder / name
            for name in files.list_folder(self.folder)
            if name.endswith(".toml") and name != SHOP and _is_pen(self.folder / name)
        }

    def pen(self, id: str) -> Path | None:
        """The file of one pen."""
        return self.pens().get(id)

    # -- changes
    def history(self, path: Path) -> History:
        """What was changed in a file since the page was opened."""
        with self._lock:
            return self._histories.setdefault(path.name, History())

    def turn(self, path: Path) -> int:
        """A new turn for a file: what an older one still computes is not wanted any more."""
        history = self.history(path)
        with self._lock:
            history.turn += 1
            return history.turn

    def change(self, path: Path, transform: Transform, key: str = "") -> Edited:
        """Change a file and remember how it was. Raises as :func:`edit.change`."""
        done = edit.change(path, transform)
        if done.before != done.after:
            with self._lock:
                self._histories.setdefault(path.name, History()).add(done, key)
        return done

    def undo(self, path: Path) -> None:
        """Take the last change back. Raises InputError if the file was changed since."""
        self._step(path, back=True)

    def redo(self, path: Path) -> None:
        """Make the change again that was taken back last."""
        self._step(path, back=False)

    def _step(self, path: Path, back: bool) -> None:
        history = self.history(path)
        source, target = (history.done, history.undone) if back else (history.undone, history.done)
        if not source:
            return
        before, after, _ = source[-1]
        edit.exchange(path, after if back else before, before if back else after)
        with self._lock:
            target.append(source.pop())


def _is_pen(path: Path) -> bool:
    """Whether a file looks like a pen's: it has a table for the pen or for parts."""
    if not files.is_plain_file(path):
        return False
    try:
        head = files.read_file(path, LIMIT)
    except Exception:
        return False
    return b"[pen]" in head or b"[parts." in head
