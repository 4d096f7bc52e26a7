"""``make`` in a thread of its own: how far it is, how it ended, and stopping it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError, Level
from mandrelgen.page.fault import said
from mandrelgen.workflows.answers.texts import text


class StoppedError(Exception):
    """Somebody pressed stop."""


@dataclass
class MakeRun:
    """One run for one pen. ``said``: what it does now; ``lines``: how it ended; ``known``: the
    doubts that the page has told already."""

    file: Path
    archive: Path
    ending: threading.Event
    wanted_by: str = ""
    leave_out: frozenset[str] = frozenset()
    again_for: frozenset[str] = frozenset()
    of_turner: frozenset[str] = frozenset()
    known: frozenset[tuple[str, str]] = frozenset()
    said: str = "starting"
    done: bool = False
    good: bool = False
    order: str = ""
    lines: tuple[str, ...] = ()
    stop: threading.Event = field(default_factory=threading.Event)
    thread: threading.Thread | None = None
    count: int = 0

    def asked(self) -> int:
        """How often it was asked for: a new name for each answer, so that the page asks again."""
        self.count += 1
        return self.count

    def begin(self) -> None:
        """Start it."""
        self.thread = threading.Thread(target=self._run, daemon=True)
        self.thread.start()

    def _tell(self, text: str) -> None:
        self.said = text
        if self.stop.is_set() or self.ending.is_set():
            raise StoppedError

    def _run(self) -> None:
        try:
            self._make(self._tell)
        except StoppedError:
            self.lines = (text("order.stopped"),)
        except (InputError, DesignError) as e:
            self.lines = tuple(said(f) for f in e.findings)
        except DiskError as e:
            self.lines = (said(e.finding),)
        except Exception as e:
            self.lines = (text("order.failed", kind=type(e).__name__),)
        finally:
            self.done = True

    def _make(self, tell: Callable[[str], None]) -> None:
        from mandrelgen.workflows.batch import make_all
        from mandrelgen.workflows.make_options import MakeOptions

        asked = MakeOptions(
            folder=self.archive, wanted_by=self.wanted_by or None, leave_out=self.leave_out,
            again_for=self.again_for, of_turner=self.of_turner,
        )  # fmt: skip
        (outcome,) = make_all([self.file], asked, tell)
        self.lines = tuple(said(f) for f in outcome.findings if self._new(f))
        result = outcome.result
        if result is None:
            return
        self.good = bool(result.made)
        self.order = "" if result.order is None else result.order.name
        mine = [m for m in result.made if m.id not in self.leave_out]
        made = ", ".join(f"{m.number} {m.revision} ({m.id})" for m in mine)
        kept = all(m.existed for m in mine) and not self.again_for
        head = text("order.kept" if kept else "order.done", made=made)
        self.lines = (head if made else text("order.nothing"), *self.lines)

    def _new(self, f: Finding) -> bool:
        return f.level is Level.ERROR or (f.level is Level.WARNING and f.key not in self.known)
