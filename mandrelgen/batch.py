"""``make`` of one pen file or several, each on its own; how far it is and how long it takes."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from mandrelgen import making, pipeline, reusing
from mandrelgen.clock import date_of
from mandrelgen.errors import DesignError, DiskError, Finding, InputError
from mandrelgen.frozen import dataclass
from mandrelgen.reading import read_inputs

Tell = Callable[[str], None]
FAILED = 1


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked for all pens: shop file (None: beside each pen), archive folder, formats
    (None: all, numbered), date, reason of a change, the kernel's proof, nothing left out,
    the day the set is wanted by (ISO 8601)."""

    shop: Path | None
    folder: Path
    formats: tuple[str, ...] | None = None
    date: str | None = None
    reason: str | None = None
    prove: bool = False
    again: bool = False
    wanted_by: str | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """One pen: what was made (None: nothing could be), what was found, the exit code (0 to 3)."""

    file: Path
    result: making.MadeSet | None
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


def make_all(files: Sequence[Path], wish: Wish, tell: Tell) -> Iterator[Outcome]:
    """Make the pens one after the other. A pen that cannot be made does not stop the next; a disk
    that refuses does. Raises InputError if the date is none."""
    for day in (wish.date, wish.wanted_by):
        if day is not None:
            date_of(day)
    meter = Meter(len(files), tell)
    for n, file in enumerate(files):
        meter.pen = n
        try:
            outcome = _make(file, wish, meter)
        except (InputError, DesignError) as e:
            outcome = Outcome(file, None, tuple(e.findings), e.exit_code)
        except DiskError as e:
            yield Outcome(file, None, (e.finding,), e.exit_code)
            return
        yield outcome


def _make(file: Path, wish: Wish, meter: Meter) -> Outcome:
    checked = pipeline.check(read_inputs(file, wish.shop, wish.folder))
    day = date_of(wish.date, checked.inputs.pen.pen.date)
    looked = reusing.look(checked, wish.folder, wish.again)
    wanted = date_of(wish.wanted_by) if wish.wanted_by else ""
    run = making.Run(day, wish.reason, wish.prove, meter, looked.owned, wanted, wish.again)
    if wish.formats is not None:
        result = making.make_loose(checked, wish.folder, wish.formats, run)
    else:
        result = making.make(checked, wish.folder, run)
    findings = (*checked.findings, *looked.findings, *result.findings)
    return Outcome(file, result, findings, FAILED if checked.failed else 0)


def _duration(seconds: float) -> str:
    """Whole seconds, or minutes from two on."""
    whole = round(seconds)
    return f"{whole} s" if whole < 120 else f"{round(seconds / 60)} min"
