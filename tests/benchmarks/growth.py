"""A batch of many pens, made and published by the command itself: CPU time and memory must not grow
with the count, and two workers must be worth it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.bar import Bar
from tests.support.renamed import with_own_names

TEMPLATES = Path(__file__).parent.parent.parent / "templates"
EACH = 3  # mandrels of a wren
GROWN_CPU, GROWN_MEMORY = 1.1, 0.05


@contextmanager
def pens(count: int) -> Iterator[list[str]]:
    """``count`` wrens, each a pen of its own, with a shop beside them."""
    folder = Path(tempfile.mkdtemp())
    try:
        shutil.copy(TEMPLATES / "shops" / "bench.toml", folder / "shop.toml")
        text = (TEMPLATES / "pens" / "wren.toml").read_text(encoding="utf-8")
        files = [folder / f"wren-{n}.toml" for n in range(count)]
        for n, path in enumerate(files):
            own = with_own_names(text.replace('id = "wren"', f'id = "wren-{n}"', 1))
            assert own != text
            path.write_text(own, encoding="utf-8")
        yield [str(path) for path in files]
    finally:
        shutil.rmtree(folder)


def making(files: list[str], workers: int) -> Callable[[], None]:
    """``make`` of these pens into a fresh archive."""

    def run() -> None:
        for _ in made(files, workers):
            pass

    return run


def made(files: list[str], workers: int) -> Iterator[int]:
    """``make`` of these pens into a fresh archive: the process, whenever a pen is published."""
    to = tempfile.mkdtemp()
    command = [sys.executable, "-m", "mandrelgen", "make", *files, "--to", to, "--progress",
               "--workers", str(workers)]  # fmt: skip
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    try:
        with subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, env=env
        ) as process:
            assert process.stderr is not None
            for line in process.stderr:
                if " published" in line:
                    yield process.pid
        if process.returncode:
            raise RuntimeError(f"make ended with {process.returncode}")
    finally:
        shutil.rmtree(to)


def family(pid: int) -> list[int]:
    """A process and all that it and its children started (Linux)."""
    below = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()
    return [pid, *(p for child in below for p in family(int(child)))]


def cpu(pid: int) -> float:
    """CPU seconds of a running process, all of its threads."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def resident(pid: int) -> int:
    """Resident memory of a running process, kB."""
    pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") // 1024


@dataclass(frozen=True)
class Growth:
    """Of a batch of ``count`` mandrels by ``workers``: CPU time of its last third over the first,
    the machine's speed taken out (``slower``: how much longer a plain loop took there), growth of
    resident memory since a third of it (to ``memory``, kB a process), CPU s a mandrel."""

    count: int
    workers: int
    cpu: float
    slower: float
    grown: float
    memory: tuple[int, ...]
    each: float

    def bars(self) -> tuple[Bar, Bar]:
        """Both bars."""
        of = f"batch of {self.count} mandrels"
        return (
            Bar(f"{of}: CPU of the last third / first, by a plain loop's", self.cpu, GROWN_CPU),
            Bar(f"{of}: memory grown since a third", 100 * self.grown, 100 * GROWN_MEMORY, "%"),
        )


def plain_loop() -> float:
    """CPU seconds of a piece of plain Python, taken beside each pen: a machine that others share
    gives a second of CPU more in one quarter of an hour than in the next."""
    begun = time.process_time()
    sorted({f"{i * 7919 % 10007:05d}": [i] for i in range(12_000)}.items())
    return time.process_time() - begun


def measured(count: int, workers: int = 2) -> Growth:
    """Make ``count`` mandrels; CPU time and resident memory of all processes together. Reads /proc,
    so Linux only."""
    spent: list[float] = []
    loops: list[float] = []
    memory: list[list[int]] = []
    with pens(max(6, count // EACH)) as files:
        for pid in made(files, workers):
            everybody = family(pid)
            spent.append(sum(cpu(p) for p in everybody))
            memory.append([resident(p) for p in everybody])
            loops.append(plain_loop())
    third = len(spent) // 3
    first, last = spent[third] - spent[0], spent[-1] - spent[-1 - third]
    slower = sum(loops[-third:]) / sum(loops[1 : third + 1])
    grown = sum(memory[-1]) / sum(memory[third - 1]) - 1
    each = (spent[-1] - spent[0]) / (len(spent) - 1) / EACH
    return Growth(
        count=len(spent) * EACH, workers=workers, cpu=last / first / slower, slower=slower,
        grown=grown, memory=tuple(memory[-1]), each=each,
    )  # fmt: skip


def report(count: int, workers: int = 2) -> bool:
    """Print the growth of such a batch; True if both bars are kept."""
    g = measured(count, workers)
    time_bar, memory_bar = g.bars()
    each_mb = " + ".join(f"{m / 1024:.0f}" for m in g.memory)
    print(
        f"{g.count} mandrels published, {workers} workers: CPU of the last third / first "
        f"{g.cpu:.3f} (≤ {GROWN_CPU:g} {'met' if time_bar.met else 'MISSED'}; by a plain loop's, "
        f"which took {g.slower:.3f} times as long there); resident memory "
        f"from the {g.count // EACH // 3 * EACH}th to the last {g.grown:+.1%} to {each_mb} MB "
        f"(≤ {GROWN_MEMORY:.0%} {'met' if memory_bar.met else 'MISSED'}); "
        f"{g.each * 1000:.0f} ms CPU each"
    )
    return time_bar.met and memory_bar.met


if __name__ == "__main__":
    sys.exit(0 if report(int(sys.argv[1]) if sys.argv[1:] else 300) else 1)
