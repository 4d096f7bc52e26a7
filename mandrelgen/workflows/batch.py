"""``make`` of one pen file or several, each on its own; how far it is and how long it takes. What
numbers, publishes and orders is loaded where that is asked: wished files alone start without it."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.workflows import reuse
from mandrelgen.workflows.check import Checked, check_pen, worded
from mandrelgen.workflows.made import MadeSet
from mandrelgen.workflows.make_options import MakeOptions
from mandrelgen.workflows.parallel import Here, WorkerError, told

if TYPE_CHECKING:
    from mandrelgen.workflows.same_as import Ask

Tell = Callable[[str], None]
FAILED = 1


@dataclass(frozen=True, slots=True)
class Outcome:
    """One pen: what was made (None: nothing could be), what was found, the exit code (0 to 3)."""

    file: Path
    result: MadeSet | None
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


def make_all(
    files: Sequence[Path], options: MakeOptions, tell: Tell, executor: Executor | None = None,
    same: Ask | None = None, first: Future[Checked] | None = None,
) -> Iterator[Outcome]:  # fmt: skip
    """Make the pens one after the other; ``executor`` draws (None: this process), and designs the
    next pen meanwhile. If its workers are threads, there may be one: the PDF libraries are not made
    for several.

    A pen that cannot be made does not stop the next; a disk that refuses does, and a worker that
    ended. ``same`` asks a person whether a fixture goes on under a changed id. ``first``: the first
    pen, read and designed ahead. Raises InputError if a date is none.
    """
    options.check_days()
    executor = executor or Here()
    meter = Meter(len(files), tell)
    ask = partial(check_pen, shop=options.shop, archive=options.folder)
    designed = [first or Here().submit(ask, file) for file in files[:1]]
    for n, file in enumerate(files):
        meter.pen = n
        try:
            with told():
                designed += [executor.submit(ask, f) for f in files[n + 1 : n + 2]]
            outcome = _make(file, designed.pop(0), options, executor, meter, same)
        except WorkerError as e:
            yield Outcome(file, None, e.findings, e.exit_code)
            return
        except (InputError, DesignError) as e:
            outcome = Outcome(file, None, tuple(e.findings), e.exit_code)
        except DiskError as e:
            yield Outcome(file, None, (e.finding,), e.exit_code)
            return
        if n == len(files) - 1 and options.formats is None:
            from mandrelgen.workflows.catalogue import front

            said = front.refresh(options.folder)
            outcome = replace(outcome, findings=(*outcome.findings, *said))
        yield outcome
        gc.collect(0)  # the few cycles it left: else they pile up until there are very many


def _make(
    file: Path, coming: Future[Checked], options: MakeOptions, executor: Executor, meter: Meter,
    same: Ask | None,
) -> Outcome:  # fmt: skip
    """Read and designed → compared with the archive → made."""
    with told():
        checked = coming.result()
    if options.formats is None:
        from mandrelgen.workflows import same_as

        same_as.settle(checked, file, options, same)
    looked = reuse.look(checked, options.folder, options.again, but=options.again_for)
    words = tuple(_chosen(a, options) for a in worded(checked, looked.serving))
    if options.formats is not None:
        from mandrelgen.workflows.loose import make_loose

        result = make_loose(checked, options, executor, meter, words)
    else:
        from mandrelgen.workflows.make import make

        result = make(checked, options, executor, meter, words)
    findings = (*checked.findings, *looked.findings, *result.findings)
    return Outcome(file, result, findings, FAILED if checked.failed else 0)


def _chosen(a: Answer, options: MakeOptions) -> Answer:
    """The word for a mandrel, after what was asked of this run alone."""
    if a.planned in options.leave_out:
        return replace(a, word=Word.SKIP, reason="left out, as you asked")
    if a.planned in options.again_for and a.word is not Word.CHANGE:
        return replace(a, word=Word.ORDER, reason="another one, as you asked")
    if a.planned in options.of_turner and a.word is Word.MAKE:
        return replace(a, word=Word.ORDER, reason="of a turner, as you asked")
    return a


def _duration(seconds: float) -> str:
    """Whole seconds, or minutes from two on."""
    whole = round(seconds)
    return f"{whole} s" if whole < 120 else f"{round(seconds / 60)} min"
