"""The benchmark table: every figure a ratio of medians, anchor and subject in turn in one run.

    python -m tests.benchmarks.table [--rounds 5] [--library]

Absolute times depend on the machine and are shown for orientation only. Each row says its bar.
What takes a second or less is taken three times as often as asked for: of five such runs the median
moved by a tenth from one taking to the next.
"""

from __future__ import annotations

import argparse
import datetime
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks import archive, faulty, growth, library, readback, threads

ROOT = Path(__file__).parent.parent.parent
PEN = str(ROOT / "templates" / "pens" / "wren.toml")
SHOP = str(ROOT / "templates" / "shops" / "bench.toml")
OFTEN = 3
SPIN = "sum(len(str(i)) for i in range(12_000_000))"
MODEL = "import pydantic\nclass A(pydantic.BaseModel):\n    x: int\nA(x=1)"


@dataclass(frozen=True)
class Row:
    """A ratio and the bar it has to keep; ``at_most`` False: at least."""

    name: str
    subject: float
    anchor: float
    bar: float
    at_most: bool = True

    @property
    def ratio(self) -> float:
        """Subject over anchor (at most), anchor over subject (at least, "times faster")."""
        return self.subject / self.anchor if self.at_most else self.anchor / self.subject

    @property
    def met(self) -> bool:
        """True if the bar is kept."""
        return self.ratio <= self.bar if self.at_most else self.ratio >= self.bar

    def line(self) -> str:
        """One line of the table."""
        sign = "≤" if self.at_most else "≥"
        return (
            f"{self.name:58} {self.subject * 1000:9.1f} {self.anchor * 1000:9.1f} "
            f"{self.ratio:8.2f}  {sign} {self.bar:g}  {'met' if self.met else 'MISSED'}"
        )


def interleaved(
    subject: Callable[[], None], anchor: Callable[[], None], rounds: int
) -> tuple[float, float]:
    """Medians in seconds of both, run in turn after one warm-up each."""
    one, other = in_turn((subject, anchor), rounds)
    return one, other


def in_turn(acts: Sequence[Callable[[], None]], rounds: int) -> tuple[float, ...]:
    """Medians in seconds of all, run in turn after one warm-up each."""
    times: list[list[float]] = [[] for _ in acts]
    for n in range(rounds + 1):
        for kept, act in zip(times, acts, strict=True):
            start = time.perf_counter()
            act()
            if n:
                kept.append(time.perf_counter() - start)
    return tuple(statistics.median(t) for t in times)


def bare(count: int) -> Callable[[], None]:
    """``count`` bare Python processes at once, each with the same second of work."""

    def run() -> None:
        every = [subprocess.Popen([sys.executable, "-c", SPIN]) for _ in range(count)]
        if any(p.wait() for p in every):
            raise RuntimeError("a bare process failed")

    return run


def process(*args: str, fine: tuple[int, ...] = (0,)) -> Callable[[], None]:
    """A cold Python process that ends with one of ``fine``. Its bytecode is compiled by the
    warm-up, as an installation does it: else our source would be compiled at every start, and the
    anchor's not."""
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}

    def run() -> None:
        ran = subprocess.run([sys.executable, *args], capture_output=True, cwd=ROOT, env=env)
        if ran.returncode not in fine:
            raise RuntimeError(f"{args} ended with {ran.returncode}: {ran.stderr.decode()}")

    return run


def making(*extra: str) -> Callable[[], None]:
    """``make`` of the wren's three mandrels into a fresh folder."""

    def run() -> None:
        to = tempfile.mkdtemp()
        try:
            process("-m", "mandrelgen", "make", PEN, "--shop", SHOP, "--to", to, *extra)()
        finally:
            shutil.rmtree(to, ignore_errors=True)

    return run


def cold_rows(rounds: int) -> Iterator[Row]:
    """Start-up and whole runs against the imports they cannot do without."""
    pairs = [
        ("--version / bare Python", process("-m", "mandrelgen", "--version"),
         process("-c", "pass"), 3.0),
        ("--help / import click", process("-m", "mandrelgen", "--help"),
         process("-c", "import click"), 1.5),
        ("check / pydantic with one model",
         process("-m", "mandrelgen", "check", PEN, "--shop", SHOP), process("-c", MODEL), 2.5),
        ("make --only dxf,pdf / import ezdxf", making("--only", "dxf,pdf"),
         process("-c", "import ezdxf"), 3.0),
        ("make, three mandrels, every format / import cadquery", making(),
         process("-c", "import cadquery"), 1.2),
    ]  # fmt: skip
    for n, s, a, bar in pairs:
        often = rounds if "every format" in n else OFTEN * rounds
        yield Row(n, *interleaved(s, a, often), bar)
    with growth.pens(8) as files:
        # Two processes are not twice as fast as one where the machine's cores are half a core, or
        # others use them: one worker's time by what two bare processes gain, beside it, of two.
        acts = (growth.making(files, 2), growth.making(files, 1), bare(2), bare(1))
        two, one, both, alone = in_turn(acts, rounds)
        name = "make, 24 mandrels, two workers / one: times faster, bare ones 2"
        yield Row(name, two, one * both / alone, 1.5, at_most=False)


def faulty_row(rounds: int) -> Row:
    """The dearest pen of the faulty suite, against the same anchor as a sane one's."""
    with faulty.worst() as (kind, check):
        times = interleaved(check, process("-c", MODEL), rounds)
    return Row(f"check, worst faulty pen ({kind}) / pydantic", *times, 5.0)


def main() -> int:
    """Print the table; exit 1 if a bar is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--batch", type=int, default=300, help="mandrels in the growth run")
    parser.add_argument("--records", type=int, default=100_000, help="records in the archive")
    parser.add_argument("--library", action="store_true", help="also a general thread library")
    parser.add_argument("--library-python", help="a Python that has it; default: a new venv")
    options = parser.parse_args()
    print(
        f"{datetime.date.today().isoformat()}, medians of {options.rounds} "
        f"({OFTEN * options.rounds} of a second or less)"
    )
    print(f"{'what':58} {'ms':>9} {'anchor':>9} {'ratio':>8}  bar", flush=True)
    met = True
    for row in rows(options.rounds, options.library, options.library_python):
        print(row.line(), flush=True)
        met &= row.met
    met &= growth.report(options.batch)
    met &= archive.report(options.records)
    return 0 if met else 1


def rows(rounds: int, with_library: bool, library_python: str | None) -> Iterator[Row]:
    """Every ratio of the table, as it is measured."""
    yield from cold_rows(rounds)
    yield faulty_row(rounds)
    yield Row("read-back / written and read back", *interleaved(*readback.pair(), rounds), 0.25)
    for name, subject, anchor in threads.pairs():
        yield Row(name, *interleaved(subject, anchor, rounds), 50.0, at_most=False)
    yield Row("thread ten times as long / as it is", *interleaved(*threads.longer(), rounds), 10.0)
    if with_library or library_python:
        with library.environment(library_python) as python, library.pair(python) as pair:
            name, subject, anchor = pair
            # The anchor takes half a minute, and is hundreds of times as dear.
            yield Row(name, *interleaved(subject, anchor, min(rounds, 2)), 100.0, at_most=False)


if __name__ == "__main__":
    sys.exit(main())
