"""The index as the way to an answer: nothing is scanned, slots are asked of it, older records are
read, and runs at once through the command never share a number."""

from __future__ import annotations

import contextlib
import json
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from mandrelgen.archive import index, record_files, root, slot_lookup
from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.migrations import STEPS, migrate, newest
from mandrelgen.archive.numbering import assign
from mandrelgen.archive.query import Query, ThreadAsked, candidates_statement, statement
from mandrelgen.archive.record_files import RECORD, entries
from mandrelgen.archive.records import Order, Record, Slot, load
from mandrelgen.archive.verify import verify
from mandrelgen.core.errors import DiskError
from mandrelgen.standards.designation import parse
from mandrelgen.workflows import adopt, search
from tests import paths
from tests.support.archived import DAY, OLD_PLUG, publish_pen

GOLDEN = paths.GOLDEN / "record-schema-1.json"


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    publish_pen(tmp_path / "a", "heron")
    search.find(tmp_path / "a", Query())
    return tmp_path / "a"


M9 = ThreadAsked.of(parse("M9x0.75"))


@pytest.mark.parametrize(
    "query",
    [Query(threads=(M9,)), Query(spigot=(7.0, 7.1)), Query(bore=7.0), Query(shank=10.0),
     Query(pen="heron"), Query(pen="heron", part="cap"), Query(part="cap"), Query(kind="cup"),
     Query(status="released"), Query(since="2026-01-01", until="2026-02-01"),
     Query(threads=(M9,), part="cap", words=("x",))],
)  # fmt: skip
def test_no_question_reads_the_whole_table(archive: Path, query: Query) -> None:
    """SQLite's own EXPLAIN QUERY PLAN: every table is searched through an index, none scanned."""
    with index.opened(root.open_root(archive)) as opened:
        database = opened.connection()
        database.execute("DELETE FROM sqlite_stat1")  # four rows are quickest read as they are
        database.execute("ANALYZE sqlite_schema")
        sql, args = statement(query)
        steps = [row[3] for row in database.execute(f"EXPLAIN QUERY PLAN {sql}", args)]
    assert any(s.startswith("SEARCH") for s in steps), steps
    assert not [s for s in steps if s.startswith("SCAN")], steps


@pytest.mark.parametrize("thread", [parse("M9x0.75"), None])
def test_reuse_asks_through_an_index(archive: Path, thread: object) -> None:
    with index.opened(root.open_root(archive)) as opened:
        database = opened.connection()
        database.execute("DELETE FROM sqlite_stat1")
        database.execute("ANALYZE sqlite_schema")
        sql, args = candidates_statement(thread, True, 8.0, 11.0, 12)  # type: ignore[arg-type]
        steps = [row[3] for row in database.execute(f"EXPLAIN QUERY PLAN {sql}", args)]
    assert not [s for s in steps if s.startswith("SCAN")], steps


def test_a_slot_is_asked_of_the_index_and_only_its_own_records_are_read(
    archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read: list[str] = []

    def seen(folder: Path, number: str) -> tuple[record_files.Entry, ...]:
        read.append(number)
        return entries(folder, number)

    monkeypatch.setattr(slot_lookup, "entries", seen)
    monkeypatch.setattr(slot_lookup, "find_slot", lambda *_: pytest.fail("every record was read"))
    store = root.open_root(archive)
    (found,) = slot_lookup.filled_by(
        store, Slot(pen="heron", part="section", end="rear", role="cup")
    )
    assert (found.number, read) == ("MG-0004", ["MG-0004"])
    assert slot_lookup.filled_by(store, Slot(pen="x", part="section", end="rear", role="cup")) == ()
    assert read == ["MG-0004"]


def test_a_slot_filled_a_moment_ago_is_known(archive: Path) -> None:
    store = root.open_root(archive)
    for name in ("tin-3", "tin-4", "tin-3"):
        adopt.adopt(store, OLD_PLUG.replace("tin-3", name).encode(), "o.toml", DAY, "t")
    slot = Slot(pen="adopted", part="tin-4", end="seat", role="adopted")
    assert [e.number for e in slot_lookup.filled_by(store, slot)] == ["MG-0006"]
    assert not (archive / "MG-0007").exists()


def test_a_damaged_record_still_stops_a_second_number(archive: Path) -> None:
    (archive / "MG-0003" / "A" / RECORD).write_bytes(b"{")
    (archive / ".cache" / "index.sqlite3").unlink()
    search.find(archive, Query())
    slot = Slot(pen="heron", part="barrel", end="mouth", role="plug")
    with pytest.raises(DiskError, match="MG-0003"):
        slot_lookup.filled_by(root.open_root(archive), slot)
    with pytest.raises(DiskError, match="MG-0003"):
        assign(root.open_root(archive), slot, "0" * 64)


def test_records_changed_by_hand_beat_the_index(archive: Path) -> None:
    path = archive / "MG-0003" / "A" / RECORD
    path.write_text(path.read_text("utf-8").replace('"barrel"', '"barrow"'), "utf-8")
    store = root.open_root(archive)
    assert (
        slot_lookup.filled_by(store, Slot(pen="heron", part="barrel", end="mouth", role="plug"))
        == ()
    )


def test_commands_at_once_never_take_the_same_number(tmp_path: Path) -> None:
    """Real processes on an archive whose index is there: each enters an old fixture of its own."""
    archive = tmp_path / "a"
    adopt.adopt(root.open_root(archive), OLD_PLUG.encode(), "o.toml", DAY, "t")
    search.find(archive, Query())
    running = []
    for n in range(6):
        path = tmp_path / f"{n}.toml"
        path.write_text(OLD_PLUG.replace("tin-3", f"tin-{n + 10}"), "utf-8")
        command = [sys.executable, "-m", "mandrelgen", "adopt", str(path), "--to", str(archive)]
        running.append(subprocess.Popen([*command, "--json"], stdout=subprocess.PIPE))
    said = [json.loads(p.communicate(timeout=300)[0])["number"] for p in running]
    assert [p.returncode for p in running] == [0] * 6
    assert sorted(said) == [f"MG-{n:04d}" for n in range(2, 8)]
    assert [r.number for r in search.find(archive, Query()).rows] == ["MG-0001", *sorted(said)]
    assert verify(root.open_root(archive)) == ()


# -- older records ----------------------------------------------------------------------------


@pytest.mark.parametrize("form", [1, 2])
def test_a_real_record_of_an_older_form_is_read_found_and_left_as_it_is(
    archive: Path, form: int
) -> None:
    """The golden records were written by the program before records said what their pages print,
    and before they said what the maker had accepted."""
    folder = archive / "MG-0001" / "A"
    old = GOLDEN.with_name(f"record-schema-{form}.json").read_bytes()
    files = {n.name: n.read_bytes() for n in folder.iterdir() if n.name not in (MANIFEST, RECORD)}
    (folder / RECORD).write_bytes(old)
    (folder / MANIFEST).write_bytes(make_manifest({**files, RECORD: old}).to_bytes())
    record = load(Record, folder / RECORD)
    raw = json.loads(old)
    assert (record.schema_, record.papers, record.accepted) == (3, raw.get("papers", {}), ())
    assert record.design_hash == raw["design_hash"]
    assert record.proof == raw["proof"]
    search.reindex(archive)
    assert [r.number for r in search.find(archive, Query(part="cap")).rows] == ["MG-0001"]
    store = root.open_root(archive)
    plan = assign(
        store, Slot(pen="heron", part="cap", end="mouth", role="plug"), record.design_hash,
        papers={"drawing": "0" * 64},
    )  # fmt: skip
    # Nobody knows what the first form printed: it is left alone; of a later one its words count.
    assert (plan.existing is not None) is (form == 1)
    assert plan.older == (() if form == 1 else ("drawing",))
    assert verify(store) == ()
    assert (folder / RECORD).read_bytes() == old


def test_every_older_form_has_a_golden_file_and_a_pure_step() -> None:
    golden = {p.name for p in GOLDEN.parent.glob("*-schema-*.json")}
    wanted = {f"{k.lower()}-schema-{v}.json" for k, steps in STEPS.items() for v in steps}
    assert golden == wanted
    raw = json.loads(GOLDEN.read_text("utf-8"))
    before = json.dumps(raw)
    assert migrate("Record", raw)["schema"] == newest("Record") == 3
    assert json.dumps(raw) == before


def test_a_real_order_of_the_first_form_is_read() -> None:
    """The golden order was written by the program before an order said which it takes the place
    of: it takes none's."""
    path = GOLDEN.with_name("order-schema-1.json")
    order = load(Order, path)
    assert (order.schema_, order.replaces) == (2, ())
    raw = json.loads(path.read_text("utf-8"))
    kept = {"id", "pen", "order_hash", "date", "facts", "program"}
    assert {k: getattr(order, k) for k in kept} == {k: raw[k] for k in kept}
    assert [i.number for i in order.items] == [i["number"] for i in raw["items"]]


@pytest.mark.parametrize("schema", ["4", "0", "-1", "true", '"1"', "null"])
def test_a_form_nobody_knows_is_refused_by_name(archive: Path, schema: str) -> None:
    path = archive / "MG-0001" / "A" / RECORD
    text = path.read_text("utf-8")
    path.write_text(text.replace('"schema": 3', f'"schema": {schema}'), "utf-8")
    with pytest.raises(DiskError, match="newer mandrelgen" if schema == "4" else "damaged"):
        load(Record, path)


def test_slots_are_the_same_with_and_without_an_index(archive: Path) -> None:
    store = root.open_root(archive)
    published = [e for n in range(1, 5) for e in entries(archive, f"MG-{n:04d}")]
    with_index = [slot_lookup.filled_by(store, e.record.slot) for e in published]
    (archive / ".cache" / "index.sqlite3").unlink()
    assert [slot_lookup.filled_by(store, e.record.slot) for e in published] == with_index
    assert not (archive / ".cache" / "index.sqlite3").exists()
    assert with_index == [(e,) for e in published]


def test_a_row_whose_number_is_no_text_is_put_right_with_the_next_change(archive: Path) -> None:
    before = [r.number for r in search.find(archive, Query()).rows]
    with contextlib.closing(sqlite3.connect(index.cache_path(archive))) as database, database:
        database.execute("UPDATE fixture SET number = NULL WHERE number = ?", (before[0],))
    (archive / "a note of my own").mkdir()  # the root folder's time tells of a change
    rows = search.find(archive, Query()).rows
    assert {r.number for r in rows} >= set(before)
