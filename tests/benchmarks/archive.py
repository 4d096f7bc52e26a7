"""A large archive: questions against the bare indexed query, memory, and the index made again.

    python -m tests.benchmarks.archive [--records 100000]

The archive is written record by record as the program files old fixtures, without flushing every
file: plugs, cups and spigots in 40 threads and many sizes for 500 pens. The anchor of a question is
its own SQL asked of the same connection with nothing around it, its rows fetched as plain tuples.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from mandrelgen.archive import query as find
from mandrelgen.archive.design_hash import design_hash, mandrel_json
from mandrelgen.archive.index import Index
from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.naming import MARKER, number_text
from mandrelgen.archive.query import Query, ThreadAsked
from mandrelgen.archive.record_files import RECORD
from mandrelgen.archive.records import Marker, Record, RevisionLine, Slot
from mandrelgen.archive.root import open_root
from mandrelgen.archive.slot_lookup import filled_by
from mandrelgen.assess.settled import designs
from mandrelgen.design import ends
from mandrelgen.design.from_measurements import mandrel_of
from mandrelgen.design.plan import plan
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.old_fixture import OldFixture
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.standards.designation import parse
from mandrelgen.workflows import reuse_judging
from tests.benchmarks.bar import Bar

ROUNDS = 1000
BAR, GROWN, LINEAR = 3.0, 0.05, 1.2
DAY = "2026-05-31"
SIZES = (6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0, 9.5, 10.0, 12.0)
LEADS = ("x0.5", "x0.75", "xPh1.5P0.75", "xPh2.4P0.8")


def fixture(n: int) -> Mandrel:
    """The n-th fixture: every third one a plug, a cup, a spigot; sizes go round."""
    d = SIZES[n % 10]
    thread = f"M{d:g}{LEADS[n // 10 % 4]}"
    kind = ("plug", "cup", "spigot")[n // 40 % 3]
    tenth = n // 120 % 40 / 100
    values: dict[str, object] = {
        "schema": 1, "id": f"f{n}", "kind": kind, "title": f"Fixture of shelf {n % 97}",
        "material": ("11SMn30", "CW614N")[n % 2],
        "seat": {"diameter": f"{d + 2 + tenth:g}"},
        "shank": {"diameter": f"{(8, 10, 12)[n % 3]}", "length": "45"},
    }  # fmt: skip
    if kind != "spigot":
        values["thread"] = {"thread": thread, "start": "1.9", "end": "8"}
    if kind == "cup":
        values |= {"counterbore": {"diameter": f"{d + 0.2:g}", "length": "1"}, "floor": "11"}
    else:
        start = "0" if kind == "spigot" else "10"
        values["spigot"] = [{"diameter": f"{d - 1.5 + tenth:g}", "start": start, "end": "20"}]
    return mandrel_of(OldFixture.model_validate(values))


def generate(folder: Path, count: int) -> None:
    """An archive of ``count`` records under ``folder``, which must not exist."""
    folder.mkdir()
    (folder / MARKER).write_bytes(Marker(prefix="MG", id=f"generated-{count}").to_bytes())
    for n in range(count):
        write(folder, n)


def write(folder: Path, n: int) -> None:
    """The n-th record."""
    m = replace(fixture(n), pen=f"pen{n % 500}", part=("cap", "barrel", "section")[n % 3])
    number = number_text("MG", n + 1)
    record = Record(
        number=number, revision="A", draft=1, kind=m.kind.value, title=m.title, date=DAY,
        slot=Slot(pen=m.pen, part=m.part, end=f"end{n // 1500}", role="adopted"),
        design_hash=design_hash(m), program="benchmark",
        history=(RevisionLine(revision="A", date=DAY, text="First issue"),),
    )  # fmt: skip
    files = {"mandrel.json": mandrel_json(m), RECORD: record.to_bytes()}
    files[MANIFEST] = make_manifest(files).to_bytes()
    place = folder / number / "A"
    place.mkdir(parents=True)
    for name, data in files.items():
        (place / name).write_bytes(data)


class Asked(NamedTuple):
    """A question's medians, ours and bare (s), how memory grew over a thousand of them, rows."""

    name: str
    ours: float
    bare: float
    grown: float
    count: int


@dataclass(frozen=True)
class Pair:
    """A question as the program asks it, and bare."""

    name: str
    subject: Callable[[], object]
    anchor: Callable[[], object]

    def measured(self) -> Asked:
        """Run both in turn."""
        found = self.subject()
        count = len(found) if isinstance(found, tuple) else 1
        times: tuple[list[float], list[float]] = ([], [])
        memory = []
        for n in range(ROUNDS):
            for kept, act in zip(times, (self.subject, self.anchor), strict=True):
                start = time.perf_counter()
                act()
                kept.append(time.perf_counter() - start)
            if n % 100 == 99:
                memory.append(resident())
        ours, bare = (statistics.median(t) for t in times)
        return Asked(self.name, ours, bare, memory[-1] / memory[0] - 1, count)

    def met(self) -> bool:
        """Print the medians and the growth; True if both bars are kept."""
        m = self.measured()
        good = m.ours <= BAR * m.bare and m.grown <= GROWN
        print(
            f"{self.name:44} {m.ours * 1e6:9.1f} {m.bare * 1e6:9.1f} {m.ours / m.bare:8.2f}  "
            f"≤ {BAR:g}  {m.grown:+6.1%} ≤ {GROWN:.0%}  {'met' if good else 'MISSED'}"
            f"  ({m.count} rows)"
        )
        return good


def pairs(index: Index) -> list[Pair]:
    """Find by everything that has an index, the slot, and what reuse asks."""
    database = index.connection()

    def bare(sql: str, args: list[object]) -> Callable[[], object]:
        return lambda: database.execute(sql, args).fetchall()

    def thread(text: str) -> ThreadAsked:
        return ThreadAsked.of(parse(text))

    queries = {
        "find by thread, rare": Query(threads=(thread("M12xPh2.4P0.8"),), pen="pen9"),
        "find by thread": Query(threads=(thread("M12xPh2.4P0.8"),)),
        "find by thread and part": Query(threads=(thread("M8.5x0.75"),), part="barrel"),
        "find by spigot": Query(spigot=(6.0, 6.2)),
        "find by bore and thread": Query(bore=6.2, threads=(thread("M7.5x0.5"),)),
        "find by pen": Query(pen="pen77"),
        "find by pen and kind": Query(pen="pen77", kind="cup"),
        "find by word": Query(words=("shelf 13",), pen="pen77"),
    }
    out = []
    for name, query in queries.items():
        sql, args = find.statement(query)
        out.append(Pair(name, lambda q=query: find.find(index, q), bare(sql, args)))
    out.append(Pair("reuse: what could hold the heron's barrel", *_reuse(index)))
    return out


def whole(index: Index) -> None:
    """What has no bare query beside it: a slot asked for, and a pen's whole reuse with its
    judging. For orientation only."""
    pen = read_pen(starter("pen", "heron"), "pen.toml")
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    designed = designs(pen, shop)
    slot = Slot(pen="pen77", part="section", end="end3", role="adopted")
    for name, act in (
        ("which fixture fills a slot", lambda: filled_by(index.archive, slot)),
        ("reuse for a whole pen, judged", lambda: reuse_judging.offers(index, pen, shop, designed)),
    ):
        times = []
        for _ in range(5):
            start = time.perf_counter()
            act()
            times.append(time.perf_counter() - start)
        print(f"{name:44} {statistics.median(times) * 1e3:9.1f} ms")


def _reuse(index: Index) -> tuple[Callable[[], object], Callable[[], object]]:
    pen = read_pen(starter("pen", "heron"), "pen.toml")
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    planned = next(p for p in plan(pen) if p.id == "barrel-mouth-plug")
    part = pen.parts["barrel"]
    tapped = ends.tapped_end(part, part.ends["mouth"], shop)
    wanted = (parse("M8.5x0.75"), True, tapped.thread.minor.min, tapped.ring.outer)
    sql, args = find.candidates_statement(*wanted, reuse_judging.JUDGED)
    database = index.connection()
    return (
        lambda: reuse_judging.rows_for(index, pen, shop, planned),
        lambda: database.execute(sql, args).fetchall(),
    )


def reindexed(folder: Path) -> float:
    """CPU seconds to make the index again."""
    index = Index(open_root(folder))
    start = time.process_time()
    index.rebuild()
    index.close()
    return time.process_time() - start


def resident() -> int:
    """Resident memory in kB (Linux), else the peak."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
        return pages * resource.getpagesize() // 1024
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def report(count: int) -> bool:
    """Print everything; True if every bar is kept."""
    scratch = Path(tempfile.mkdtemp())
    try:
        small, large = scratch / "small", scratch / "large"
        generate(small, count // 10)
        generate(large, count)
        few, many = reindexed(small), reindexed(large)
        linear = many <= 10 * LINEAR * few
        print(
            f"{count} records: reindex CPU {many:.1f} s, a tenth of them {few:.1f} s, "
            f"{many / few:.2f} times (≤ {10 * LINEAR:g} {'met' if linear else 'MISSED'})"
        )
        index = Index(open_root(large))
        print(f"{'question, µs':44} {'ours':>9} {'bare':>9} {'ratio':>8}  bar   memory")
        met = [p.met() for p in pairs(index)]
        whole(index)
        index.close()
        return linear and all(met)
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def bars(count: int) -> Iterator[Bar]:
    """The index made again, and the worst of all questions, in such an archive."""
    scratch = Path(tempfile.mkdtemp())
    try:
        small, large = scratch / "small", scratch / "large"
        generate(small, count // 10)
        generate(large, count)
        few, many = reindexed(small), reindexed(large)
        yield Bar(f"{count} records: reindex / a tenth of them", many / few, 10 * LINEAR)
        index = Index(open_root(large))
        asked = [p.measured() for p in pairs(index)]
        index.close()
        worst = max(asked, key=lambda a: a.ours / a.bare)
        yield Bar(f"{worst.name} (the worst) / bare query", worst.ours / worst.bare, BAR)
        grown = max(asked, key=lambda a: a.grown)
        yield Bar(f"{grown.name} (the worst): memory", 100 * grown.grown, 100 * GROWN, "%")
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def main() -> int:
    """Print the figures; exit 1 if a bar is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", type=int, default=100_000)
    return 0 if report(parser.parse_args().records) else 1


if __name__ == "__main__":
    sys.exit(main())
