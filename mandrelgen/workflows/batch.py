"""``make`` of one pen file or several, each on its own; how far it is and how long it takes."""

from __future__ import annotations

import contextlib
import gc
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError
from mandrelgen.workflows import check, make, reuse
from mandrelgen.workflows.parallel import Crew, Here, WorkerError
from mandrelgen.workflows.read_inputs import read_inputs

if TYPE_CHECKING:
    from mandrelgen.workflows.reuse_judging import Judged

Tell = Callable[[str], None]
FAILED = 1


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked for all pens: shop file (None: beside each pen), archive folder, formats
    (None: all, numbered), date, reason of a change, the kernel's proof, nothing left out,
    the day the set is wanted by (ISO 8601), ids of mandrels that are left out."""

    shop: Path | None
    folder: Path
    formats: tuple[str, ...] | None = None
    date: str | None = None
    reason: str | None = None
    prove: bool = False
    again: bool = False
    wanted_by: str | None = None
    leave_out: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Outcome:
    """One pen: what was made (None: nothing could be), what was found, the exit code (0 to 3)."""

    file: Path
    result: make.MadeSet | None
    findings: tuple[Finding, ...]
    code: int


class Meter:
    """How far a run over ``pens`` is, in words; time left is judged from what is done so far."""

    def __init__(self, pens: int, tell: Tell, clock: Callable[[], float] = time.monotonic) -> None:
        self._pens, self._tell, self._clock = pens, tell, clock
        self._start = clock()
        self.pen = 0

    def __call__(self, done: int, total: int, text: str) -> None:
        """``done`` of the ``total`` mandrels of the present pen are made."""
        share = (self.pen + done / total) / self._pens
        which = f"pen {self.pen + 1} of {self._pens}, " if self._pens > 1 else ""
        left = ""
        if 0 < share < 1:
            spent = self._clock() - self._start
            left = f", about {_duration(spent / share - spent)} left"
        self._tell(f"[{which}{done}/{total}] {text}{left}")


class Early:
    """A pen that is read, designed and compared with the archive: when it is its turn, or in a
    thread once `begin` is called, while workers draw the pen before it."""

    def __init__(self, file: Path, wish: Wish) -> None:
        self._file, self._wish = file, wish
        self._thread: threading.Thread | None = None
        self._checked: check.Checked | None = None
        self._error: Exception | None = None
        self._judged: Judged = {}

    def begin(self) -> None:
        """Begin in a thread; what goes wrong there is told by `checked`."""
        self._thread = threading.Thread(target=self._prepare)
        self._thread.start()

    def _prepare(self) -> None:
        try:
            checked = self._checked = self._check()
            # The archive is asked again in turn, when the pen before has its fixtures there: most
            # of the judging is done then.
            with contextlib.suppress(DiskError, InputError):
                reuse.look(checked, self._wish.folder, self._wish.again, self._judged)
        except Exception as e:
            self._error = e

    def _check(self) -> check.Checked:
        return check.check(read_inputs(self._file, self._wish.shop, self._wish.folder))

    def checked(self) -> check.Checked:
        """The pen, designed and judged. Raises as `read_inputs` and `pipeline.check` do."""
        if self._thread is not None:
            self._thread.join()
        if self._error is not None:
            raise self._error
        if self._checked is None:
            self._checked = self._check()
        return self._checked

    def looked(self) -> reuse.Looked:
        """What the archive has for it now. Raises DiskError."""
        return reuse.look(self.checked(), self._wish.folder, self._wish.again, self._judged)


def make_all(
    files: Sequence[Path], wish: Wish, tell: Tell, crew: Crew | None = None
) -> Iterator[Outcome]:
    """Make the pens one after the other; ``crew`` draws (None: this process). A pen that cannot be
    made does not stop the next; a disk that refuses does, and a worker that ended. Raises
    InputError if the date is none."""
    for day in (wish.date, wish.wanted_by):
        if day is not None:
            date_of(day)
    crew = crew or Here()
    meter = Meter(len(files), tell)
    pens = [Early(file, wish) for file in files]
    for n, file in enumerate(files):
        meter.pen = n
        more = crew.count > 1 and n + 1 < len(files)
        meanwhile = pens[n + 1].begin if more else lambda: None
        try:
            outcome = _make(file, pens[n], wish, meter, crew, meanwhile)
        except WorkerError as e:
            yield Outcome(file, None, e.findings, e.exit_code)
            return
        except (InputError, DesignError) as e:
            outcome = Outcome(file, None, tuple(e.findings), e.exit_code)
        except DiskError as e:
            yield Outcome(file, None, (e.finding,), e.exit_code)
            return
        pens[n] = Early(file, wish)  # nothing of a pen that is made is kept
        yield outcome
        gc.collect(0)  # the few cycles it left: else they pile up until there are very many


def _make(
    file: Path, pen: Early, wish: Wish, meter: Meter, crew: Crew, meanwhile: Callable[[], None]
) -> Outcome:
    checked, looked = pen.checked(), pen.looked()
    day = date_of(wish.date, checked.inputs.pen.pen.date)
    wanted = date_of(wish.wanted_by) if wish.wanted_by else ""
    run = make.Run(
        day,
        wish.reason,
        wish.prove,
        meter,
        looked.owned | wish.leave_out,
        wanted,
        wish.again,
        crew,
        meanwhile,
    )
    if wish.formats is not None:
        result = make.make_loose(checked, wish.folder, wish.formats, run)
    else:
        result = make.make(checked, wish.folder, run)
    findings = (*checked.findings, *looked.findings, *result.findings)
    return Outcome(file, result, findings, FAILED if checked.failed else 0)


def _duration(seconds: float) -> str:
    """Whole seconds, or minutes from two on."""
    whole = round(seconds)
    return f"{whole} s" if whole < 120 else f"{round(seconds / 60)} min"
