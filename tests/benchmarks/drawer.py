"""A drawer of many fixtures with their states and orders: how long a change of state takes, what is
outstanding, a search, the front page in a real browser.

    python -m tests.benchmarks.drawer [--fixtures 10000]

Every three fixtures are an order; the last hundred orders are on their way, the others are done.
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.naming import EVENTS, FRONT, ORDERED, number_text
from mandrelgen.archive.orders import ORDER, assign_order, make_order
from mandrelgen.archive.records import Event, EventKind, OrderItem
from mandrelgen.archive.root import Archive, open_root
from tests.benchmarks import archive
from tests.benchmarks.bar import Bar
from tests.support.cataloguing import browser

EACH = 3  # fixtures of an order
ON_THEIR_WAY = 100  # orders
ROUNDS = 3
# A command, s of processor time of its own process; first paint, ms; a filter, as a ratio.
LONGEST, PAINT, FILTER = 3.0, 1000.0, 2.0
FILTERED = (
    "const w = document.getElementById('words'); w.value = arguments[0];"
    "w.dispatchEvent(new Event('input', {bubbles: true}))"
)
# What no filter can avoid: the browser hides or shows every card.
HIDDEN = "for (const card of document.querySelectorAll('.card')) card.hidden = arguments[0]"


def generate(folder: Path, count: int) -> None:
    """An archive of ``count`` fixtures in orders, each with the state of its order."""
    archive.generate(folder, count)
    opened = open_root(folder)
    (folder / ORDERED).mkdir()
    total = count // EACH
    for n in range(total):
        numbers = [number_text("MG", EACH * n + k + 1) for k in range(EACH)]
        done = n < total - ON_THEIR_WAY
        name = _order(opened, f"pen{n}", numbers)
        told = [EventKind.ASKED, EventKind.ORDERED, *([EventKind.IN_USE] if done else [])]
        for number in numbers:
            _events(folder / number / EVENTS, number, told, name)


def _order(opened: Archive, pen: str, numbers: list[str]) -> str:
    items = [OrderItem(number=x, revision="A", draft=1, design_hash="0" * 64,
                       manifest_sha256="0" * 64, quantity=1) for x in numbers]  # fmt: skip
    plan = assign_order(opened, pen, items, {}, "")
    files = {ORDER: make_order(plan, archive.DAY, "benchmark").to_bytes()}
    files[MANIFEST] = make_manifest(files).to_bytes()
    plan.folder.mkdir(parents=True)
    for name, data in files.items():
        (plan.folder / name).write_bytes(data)
    (opened.root / ORDERED / plan.id).write_bytes(b"")
    return plan.id


def _events(folder: Path, number: str, told: list[EventKind], order: str) -> None:
    folder.mkdir()
    for k, kind in enumerate(told):
        event = Event(number=number, revision="A", draft=1, kind=kind, date=archive.DAY,
                      data={"order": order, "whom": "K. Tern"})  # fmt: skip
        (folder / f"{k + 1:04d}-{kind.value}.json").write_bytes(event.to_bytes())


def spent(*args: object) -> float:
    """Processor time of one command, s: cold, and without what else the machine does."""
    code = "import resource, subprocess, sys; subprocess.run(sys.argv[1:], check=True, " \
        "stdout=subprocess.DEVNULL); u = resource.getrusage(resource.RUSAGE_CHILDREN); " \
        "print(u.ru_utime + u.ru_stime)"  # fmt: skip
    words = [sys.executable, "-c", code, sys.executable, "-m", "mandrelgen", *map(str, args)]
    return float(subprocess.run(words, check=True, capture_output=True, text=True).stdout)


def commands(folder: Path, count: int) -> Iterator[Bar]:
    """What a person does in such a drawer."""
    spent("reindex", folder)
    last = number_text("MG", count // EACH * EACH)
    booked = [
        spent("book", last, state, "--to", folder, "--date", archive.DAY)
        for state in ("arrived", "in-use", "reworked")
    ]
    yield Bar("book: a state, the page with it", statistics.median(booked), LONGEST, "s")
    for name, words in [
        ("orders: what is outstanding", ("orders", folder)),
        ("find: a thread", ("find", "M8.5x0.75", "--to", folder)),
        ("find: a word", ("find", "--text", "shelf 13", "--to", folder)),
    ]:
        yield Bar(name, statistics.median(spent(*words) for _ in range(ROUNDS)), LONGEST, "s")


def pictures(folder: Path) -> Iterator[Bar]:
    """The page from the disk: first paint by the browser's clock, what a filter
    costs by that of hiding and showing the cards, in turn."""
    for tab in browser():  # it turns no model by itself, and people's browsers draw in hardware
        paints = []
        for _ in range(ROUNDS):
            tab.get("about:blank")
            tab.get((folder / FRONT).as_uri())
            time.sleep(3)
            paints.append(float(tab.execute_script(
                "return performance.getEntriesByName('first-contentful-paint')[0].startTime"
            )))  # fmt: skip
        yield Bar("front page: first paint", statistics.median(paints), PAINT, "ms")
        taken: list[tuple[float, float]] = []
        tab.execute_cdp_cmd("Performance.enable", {"timeDomain": "threadTicks"})
        tab.get((folder / FRONT).as_uri())
        time.sleep(3)
        # A first time each: texts are made plain once, and styles are worked out.
        for _ in range(ROUNDS + 1):
            ours = sum(_spent(tab, FILTERED, w) for w in ("no such", ""))
            bare = sum(_spent(tab, HIDDEN, h) for h in (True, False))
            taken.append((ours, bare))
        ours, bare = (statistics.median(row) for row in zip(*taken[1:], strict=True))
        yield Bar("front page: a filter / its cards hidden and shown", ours / bare, FILTER)


def _spent(tab: Any, script: str, what: object) -> float:
    """Processor time of the page's own thread, ms, until what ``script`` did is painted."""
    before = _cost(tab)
    tab.execute_async_script(
        f"{script}; requestAnimationFrame(() => setTimeout(arguments[1]))", what
    )
    return _cost(tab) - before


def _cost(tab: Any) -> float:
    metrics = tab.execute_cdp_cmd("Performance.getMetrics", {})["metrics"]
    return float(next(m["value"] for m in metrics if m["name"] == "TaskDuration")) * 1000


def bars(count: int) -> Iterator[Bar]:
    """Every figure, as it is measured."""
    scratch = Path(tempfile.mkdtemp())
    try:
        generate(scratch / "a", count)
        yield from commands(scratch / "a", count)
        yield from pictures(scratch / "a")
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def main() -> int:
    """Print the figures; exit 1 if a bar is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fixtures", type=int, default=10_000)
    count = parser.parse_args().fixtures
    print(f"{count} fixtures, {count // EACH} orders, {ON_THEIR_WAY} of them on their way")
    met = True
    for bar in bars(count):
        print(bar.line(), flush=True)
        met &= bar.met
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
