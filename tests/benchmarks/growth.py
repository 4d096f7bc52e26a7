"""A batch of many mandrels: CPU time and memory must not grow with the count."""

from __future__ import annotations

import resource
import time
from pathlib import Path

from mandrelgen.__main__ import collect_rarely
from mandrelgen.design.designer import design
from mandrelgen.making import Build
from mandrelgen.mandrel import Issue
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.writers.formats import FORMATS, write

TEMPLATES = Path(__file__).parent.parent.parent / "templates"


def report(count: int) -> bool:
    """Write ``count`` mandrels in every format; print CPU and memory growth; True if met."""
    collect_rarely()
    pen = read_pen((TEMPLATES / "pens" / "wren.toml").read_bytes(), "wren.toml")
    shop = read_shop((TEMPLATES / "shops" / "bench.toml").read_bytes(), "bench.toml")
    mandrels = [d.mandrel for d in design(pen, shop) if d.mandrel is not None]
    cpu: list[float] = []
    memory: list[int] = []
    for n in range(count):
        start = time.process_time()
        issue = Issue(f"MG-{n:04d}", "A", "2026-01-01", "in preparation", "", "", "")
        write(Build(mandrels[n % len(mandrels)], issue), tuple(FORMATS))
        cpu.append(time.process_time() - start)
        memory.append(_resident())
    third = max(1, count // 3)
    first, last = sum(cpu[:third]), sum(cpu[-third:])
    grown = memory[-1] / memory[third - 1] - 1
    time_met, memory_met = last <= 1.1 * first, grown <= 0.05
    print(
        f"{count} mandrels: CPU of the last third / first {last / first:.3f} (≤ 1.1 "
        f"{'met' if time_met else 'MISSED'}); resident memory from the {third}th to the last "
        f"{grown:+.1%} (≤ 5 % {'met' if memory_met else 'MISSED'}); "
        f"{sum(cpu) / count * 1000:.0f} ms CPU each"
    )
    return time_met and memory_met


def _resident() -> int:
    """Resident memory in kB (Linux), else the peak."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
        return pages * resource.getpagesize() // 1024
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
