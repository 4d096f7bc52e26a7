"""What the page works on: the pens of one folder, its shop file, its archive; requests name them
by ids, which are looked up here and never become paths."""

from __future__ import annotations

import threading
import tomllib
from pathlib import Path

from mandrelgen.archive.disk import files
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.page.fault import Fault
from mandrelgen.page.memory import Memory
from mandrelgen.workflows import edit
from mandrelgen.workflows.edit import Edited, Transform
from mandrelgen.workflows.read_inputs import LIMIT, SHOP


class Desk:
    """One folder on the bench."""

    def __init__(self, folder: Path, archive: Path, first: str = "") -> None:
        self.folder, self.archive, self.first = folder, archive, first
        self._lock = threading.Lock()
        self._turns: dict[str, int] = {}
        self._refused: dict[str, dict[str, Fault]] = {}
        self._to_tell: dict[str, str] = {}
        self.memory = Memory(folder)
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
            raise InputError(
                [
                    Finding(
                        level=Level.ERROR,
                        code="open.path",
                        where=path.name,
                        message="there is no such file or folder",
                        remedy="name a pen file, or the folder your pens are in",
                    )
                ]
            )
        return cls(path.parent, (archive or path.parent / "output").absolute(), path.stem)

    def stop(self) -> None:
        """Let what still runs end."""
        self.ending.set()
        self.memory.close()

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

    def named(self) -> list[tuple[str, str]]:
        """Every pen's id and its name; the id where the file cannot be read."""
        return [(id, _title(path, "name") or id) for id, path in sorted(self.pens().items())]

    def file_of(self, pen: str) -> str:
        """The id here of the pen that the archive knows as ``pen``; empty if it is not here."""
        return next((id for id, path in self.pens().items() if _title(path, "id") == pen), "")

    def pen(self, id: str) -> Path | None:
        """The file of one pen."""
        return self.pens().get(id)

    # -- changes
    def turn(self, path: Path) -> int:
        """A new turn for a file: what an older one still computes is not wanted any more."""
        with self._lock:
            self._turns[path.name] = self._turns.get(path.name, 0) + 1
            return self._turns[path.name]

    def newest(self, path: Path) -> int:
        """The newest turn of a file."""
        return self._turns.get(path.name, 0)

    def change(self, path: Path, transform: Transform, key: str = "") -> Edited:
        """Change a file and remember how it was, also where the disk has a doubt. Raises as
        :func:`edit.change`."""
        done = edit.change(path, transform)
        if done.before != done.after:
            self.memory.add(path.name, done.before, done.after, key)
        if done.doubt is not None:
            raise done.doubt
        return done

    def undo(self, path: Path) -> Edited | None:
        """Take the last change back; None if there is none. Raises InputError if the file was
        changed since."""
        return self._step(path, back=True)

    def redo(self, path: Path) -> Edited | None:
        """Make the change again that was taken back last."""
        return self._step(path, back=False)

    def _step(self, path: Path, back: bool) -> Edited | None:
        step = self.memory.next(path.name, back)
        if step is None:
            return None
        pair = (step.after, step.before) if back else (step.before, step.after)
        done = edit.exchange(path, *pair)
        self.memory.turn(step, undone=back)
        if done.doubt is not None:
            raise done.doubt
        return done

    # -- what was typed and cannot stand
    def refuse(self, path: Path, fault: Fault) -> None:
        """What stands in a box stays there with the reason, while others change."""
        with self._lock:
            self._refused.setdefault(path.name, {})[fault.key] = fault

    def accept(self, path: Path, key: str = "") -> None:
        """A box is mended; without a key, all are as the file says again."""
        with self._lock:
            mine = self._refused.get(path.name, {})
            if key:
                mine.pop(key, None)
            else:
                mine.clear()

    def refused_in(self, path: Path) -> dict[str, Fault]:
        """What was refused, by the box's key."""
        with self._lock:
            return dict(self._refused.get(path.name, {}))

    # -- what is to be said where a person goes next
    def tell(self, path: Path, said: str) -> None:
        """Say it on the file's page that is shown next."""
        with self._lock:
            self._to_tell[path.name] = said

    def told(self, path: Path) -> str:
        """What is to be said there, once; empty if nothing is."""
        with self._lock:
            return self._to_tell.pop(path.name, "")

    # -- answers that are not kept yet
    def set_draft(self, name: str, data: bytes, key: str) -> None:
        """Keep what was typed; it can be taken back as a change of a file can."""
        before = self.memory.draft(name)
        if before != data:
            self.memory.set_draft(name, data)
            self.memory.add(name, before, data, key)

    def step_draft(self, name: str, back: bool) -> None:
        """Take the last answer back, or give it again."""
        step = self.memory.next(name, back)
        if step is not None:
            self.memory.set_draft(name, step.before if back else step.after)
            self.memory.turn(step, undone=back)


def _title(path: Path, key: str) -> str:
    """A pen's name or its id, as its file says; empty where there is none to read."""
    try:
        tree = tomllib.loads(files.read_file(path, LIMIT).decode("utf-8-sig"))
    except (DiskError, ValueError):
        return ""
    title = tree.get("pen")
    return str(title.get(key, "")) if isinstance(title, dict) else ""


def _is_pen(path: Path) -> bool:
    """Whether a file looks like a pen's: it has a table for the pen or for parts."""
    if not files.is_plain_file(path):
        return False
    try:
        head = files.read_file(path, LIMIT)
    except Exception:
        return False
    return b"[pen]" in head or b"[parts." in head
