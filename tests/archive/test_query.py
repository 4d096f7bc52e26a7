"""Finding: every way to ask, lists as files, and an index that is only a cache."""

from __future__ import annotations

import csv
import json
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from mandrelgen.archive import events, journal, root
from mandrelgen.archive import index as records_index
from mandrelgen.archive.query import Query, ThreadAsked, find
from mandrelgen.archive.verify import verify
from mandrelgen.assess.settled import designs
from mandrelgen.cli.app import main
from mandrelgen.core.errors import InputError
from mandrelgen.standards.designation import parse
from mandrelgen.workflows import adopt, receive, search
from mandrelgen.workshop.receipt.readings import parse as reading
from tests.support.archived import (
    DAY,
    OLD_CUP,
    OLD_PLUG,
    OLD_SPIGOT,
    SPIGOT,
    publish,
    publish_pen,
    starters,
)
from tests.support.disk_calls import tree


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Heron's four mandrels (MG-0001 to 4), wren's three (5 to 7), three old ones (8 to 10)."""
    folder = tmp_path_factory.mktemp("whole") / "a"
    publish_pen(folder, "heron", SPIGOT)
    publish_pen(folder, "wren")
    for text in (OLD_PLUG, OLD_CUP, OLD_SPIGOT):
        adopt.adopt(root.open_root(folder), text.encode(), "old.toml", DAY, "test")
    events.release(root.open_root(folder), "MG-0003", DAY)
    return folder


@pytest.fixture
def archive(whole: Path, tmp_path: Path) -> Path:
    """A copy of one's own."""
    shutil.copytree(whole, tmp_path / "a")
    return tmp_path / "a"


def numbers(folder: Path, query: Query) -> list[int]:
    with records_index.opened(root.open_root(folder)) as index:
        return [int(r.number[3:]) for r in find(index, query)]


# One thread in the notations of the trade: ISO 965-1 (M, lead as Ph), and in words. Which fixture
# has it is read off the starter pens by eye: heron cap M12 three starts, barrel and section M8.5,
# finial M7x0.5; wren M11x0.75 and M7.6x0.75; the old cup M9x0.75 LH.
THREADS = [
    ("M8.5x0.75", [3, 4, 8]), ("M8.5 × 0.75", [3, 4, 8]), ("m8,5x0,75-6H", [3, 4, 8]),
    ("M12xPh2.4P0.8", [1]), ("M12x0.8 three starts", [1]), ("M12 x 0.8 (3 starts)", [1]),
    ("M12x0.8", []), ("M12xPh1.6P0.8", []), ("M7x0.5", [2]), ("M11x0.75-6g", [5]),
    ("M7.6x0.75", [6, 7]), ("M9x0.75 LH", [9]), ("M9x0.75 left hand", [9]), ("M9x0.75", []),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), THREADS)
def test_by_thread_in_any_notation(whole: Path, text: str, expected: list[int]) -> None:
    assert numbers(whole, Query(threads=(ThreadAsked.of(search.thread_of(text)),))) == expected


def test_an_inch_thread_is_found_by_fraction_and_decimal(tmp_path: Path) -> None:
    """3/8 in = 9.525 mm, 32 to the inch = 0.79375 mm (25.4 mm to the inch, ISO 31 / IEEE SI 10)."""
    text = OLD_PLUG.replace("M8.5x0.75", "3/8-32 UNEF").replace("8.41", "9.48")
    adopt.adopt(root.open_root(tmp_path / "a"), text.encode(), "old.toml", DAY, "test")
    for asked in ("3/8-32 UNEF", "0.375-32 UN", "M9.525x0.79375"):
        assert numbers(tmp_path / "a", Query(threads=(ThreadAsked.of(parse(asked)),))) == [1], asked
    assert numbers(tmp_path / "a", Query(threads=(ThreadAsked.of(parse("M9.5x0.8")),))) == []


QUERIES = [
    (Query(), list(range(1, 11))),
    (Query(part="cap"), [1, 5]),
    (Query(pen="wren"), [5, 6, 7]),
    (Query(pen="adopted"), [8, 9, 10]),
    (Query(kind="cup"), [2, 4, 7, 9]),
    (Query(status="released"), [3, 8, 9, 10]),
    (Query(spigot=(7.5, 7.7)), [3, 8]),
    (Query(spigot=(7.62, 7.7)), [3]),
    (Query(bore=6.1), [10]),
    (Query(bore=7.65), [8]),
    (Query(bore=7.75), [3, 8]),
    (Query(shank=13.0), []),
    (Query(shank=12.0), [10]),
    (Query(material="cw614"), [9]),
    (Query(collet="25, 14"), [1, 2, 3, 4, 5, 6, 7]),
    (Query(until="2021-12-31"), [8]),
    (Query(since="2021-04-03", until="2021-04-03"), [8]),
    (Query(since="2022-01-01", pen="adopted"), [9, 10]),
    (Query(words=("TEA", "nick")), [8]),
    (Query(words=("tea", "brass")), []),
    (Query(words=("%",)), []),
    (Query(words=("o'",)), []),
    (Query(kind="cup", part="section"), [4, 7]),
]


@pytest.mark.parametrize(("query", "expected"), QUERIES)
def test_by_everything_else(whole: Path, query: Query, expected: list[int]) -> None:
    assert numbers(whole, query) == expected


def test_older_revisions_only_when_asked(archive: Path) -> None:
    pen, shop, pen_bytes, shop_bytes = starters("heron", **{"depth = 24.0": "depth = 26.0"})
    plug = next(d.mandrel for d in designs(pen, shop) if d.planned.id == "barrel-mouth-plug")
    assert plug is not None
    assert publish(archive, plug, pen_bytes, shop_bytes, "longer").revision == "B"
    found = search.find(archive, Query(part="barrel", pen="heron", all_revisions=True)).rows
    assert [(r.name, r.newest) for r in found] == [("MG-0003 A", False), ("MG-0003 B", True)]
    assert numbers(archive, Query(part="barrel", pen="heron")) == [3]


def test_what_was_read_on_a_fixture_is_found_not_what_was_drawn(archive: Path) -> None:
    """The spigot of MG-0003 is drawn 7.645 to 7.66; read 7.61 ± 0.004 it is found below."""
    assert numbers(archive, Query(spigot=(7.6, 7.62))) == []
    given = [reading("spigot1.diameter=7.61@micrometer")]
    receive.receive(archive, "MG-0003", given, DAY)
    assert numbers(archive, Query(spigot=(7.6, 7.62))) == [3]
    (row,) = search.find(archive, Query(spigot=(7.6, 7.62))).rows
    assert (row.checked, row.verdict) == (DAY, "reject")
    receive.receive(archive, "MG-0003", [reading("spigot1.diameter=7.59@micrometer")], DAY)
    assert numbers(archive, Query(spigot=(7.6, 7.62))) == []  # worn: the last reading counts


# -- the index is only a cache ----------------------------------------------------------------


def all_rows(folder: Path) -> list[tuple[str, str]]:
    return [(r.name, r.status) for r in search.find(folder, Query()).rows]


def spoil(path: Path, how: str) -> None:
    data = path.read_bytes()
    if how == "deleted":
        path.unlink()
    elif how == "folder deleted":
        shutil.rmtree(path.parent)
    elif how == "journal deleted":
        (path.parent / journal.JOURNAL).unlink()
    elif how == "empty":
        path.write_bytes(b"")
    elif how == "text":
        path.write_bytes(b"this is no database\n" * 300)
    elif how == "cut":
        path.write_bytes(data[: len(data) // 2])
    elif how == "holes":
        path.write_bytes(data[:4096] + b"\xff" * (len(data) - 4096))
    elif how == "tables gone":
        with sqlite3.connect(path) as db:
            db.execute("DROP TABLE thread")
    elif how == "rows damaged":
        with sqlite3.connect(path) as db:
            db.execute("UPDATE fixture SET sizes_json = '{'")
    elif how == "of another version":
        with sqlite3.connect(path) as db:
            db.execute("PRAGMA user_version = 99")
    else:
        with sqlite3.connect(path) as db:
            db.execute("UPDATE state SET value = 'another' WHERE key = 'archive'")
            db.execute("DELETE FROM fixture")


@pytest.mark.parametrize(
    "how",
    ["deleted", "folder deleted", "journal deleted", "empty", "text", "cut", "holes",
     "tables gone", "rows damaged", "of another version", "of another archive"],
)  # fmt: skip
def test_a_spoilt_index_is_made_again(archive: Path, how: str) -> None:
    before = all_rows(archive)
    spoil(records_index.cache_path(archive), how)
    assert all_rows(archive) == before
    assert numbers(archive, Query(threads=(ThreadAsked.of(parse("M8.5x0.75")),))) == [3, 4, 8]
    # And it is a whole file again, that the next run can use as it is.
    with sqlite3.connect(records_index.cache_path(archive)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert db.execute("SELECT count(*) FROM fixture").fetchone() == (10,)


def test_every_change_is_seen_at_once(archive: Path) -> None:
    """One index held open over changes by others: events, new numbers, old fixtures."""
    store = root.open_root(archive)
    with records_index.opened(store) as index:
        assert len(find(index, Query(status="released"))) == 4
        events.release(store, "MG-0001", DAY)
        assert len(find(index, Query(status="released"))) == 5
        events.withdraw(store, "MG-0001", DAY)
        assert [r.number for r in find(index, Query(status="withdrawn"))] == ["MG-0001"]
        text = OLD_SPIGOT.replace("jar-2", "jar-3")
        adopt.adopt(store, text.encode(), "old.toml", DAY, "test")
        assert [r.number for r in find(index, Query(bore=6.1))] == ["MG-0010", "MG-0011"]


def test_numbers_that_come_and_go_without_a_journal_are_seen(archive: Path) -> None:
    assert len(all_rows(archive)) == 10
    shutil.move(archive / "MG-0005", archive.parent / "MG-0005")
    assert len(all_rows(archive)) == 9
    shutil.move(archive.parent / "MG-0005", archive / "MG-0005")
    assert len(all_rows(archive)) == 10


def test_nothing_is_read_again_while_nothing_changed(
    archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    all_rows(archive)
    read: list[str] = []
    real = records_index.describe
    monkeypatch.setattr(
        records_index, "describe", lambda a, n: (read.append(n), real(a, n))[1]
    )  # fmt: skip
    all_rows(archive)
    assert read == []
    events.release(root.open_root(archive), "MG-0002", DAY)
    all_rows(archive)
    assert read == ["MG-0002"]
    search.reindex(archive)
    assert len(read) == 11


def test_a_cache_that_cannot_be_written_is_done_without(archive: Path) -> None:
    shutil.rmtree(archive / ".cache", ignore_errors=True)
    (archive / ".cache").write_bytes(b"a file in its place")
    assert len(all_rows(archive)) == 10
    assert (archive / ".cache").read_bytes() == b"a file in its place"
    events.release(root.open_root(archive), "MG-0001", DAY)
    assert ("MG-0001 A", "released") in all_rows(archive)


def test_a_link_in_the_cache_is_not_written_through(archive: Path, tmp_path: Path) -> None:
    all_rows(archive)
    target = tmp_path / "mine.txt"
    target.write_bytes(b"mine\n")
    (archive / ".cache" / journal.JOURNAL).unlink()
    (archive / ".cache" / journal.JOURNAL).symlink_to(target)
    events.release(root.open_root(archive), "MG-0001", DAY)
    assert target.read_bytes() == b"mine\n"
    assert ("MG-0001 A", "released") in all_rows(archive)


def test_a_damaged_record_is_told_and_the_others_are_found(archive: Path) -> None:
    (archive / "MG-0004" / "A" / "record.json").write_bytes(b"{")
    shutil.rmtree(archive / ".cache", ignore_errors=True)
    found = search.find(archive, Query())
    assert len(found.rows) == 9
    assert "MG-0004" in found.findings[0].message
    shutil.copy(archive / "MG-0003" / "A" / "mandrel.json", archive / "MG-0004" / "A")


def test_the_index_touches_nothing_of_the_archive(archive: Path) -> None:
    before = {k: v for k, v in tree(archive).items() if ".cache" not in str(k)}
    all_rows(archive)
    search.reindex(archive)
    assert {k: v for k, v in tree(archive).items() if ".cache" not in str(k)} == before
    assert verify(root.open_root(archive)) == ()


# -- the command ------------------------------------------------------------------------------


@pytest.fixture
def run(archive: Path) -> Callable[..., str]:
    def invoke(*args: str, code: int = 0) -> str:
        done = CliRunner().invoke(main, [*args, "--to", str(archive)])
        assert done.exit_code == code, done.output
        assert "Traceback" not in done.output
        return done.output

    return invoke


def test_the_command(run: Callable[..., str], archive: Path, tmp_path: Path) -> None:
    assert "MG-0003" in run("find", "M8.5x0.75")
    assert "nothing found" in run("find", "M10x1")
    view = json.loads(run("find", "--spigot", "7.5..7.7", "--json"))
    assert [f["number"] for f in view["fixtures"]] == ["MG-0003", "MG-0008"]
    assert view["fixtures"][0]["threads"][0]["pitch"] == 0.75
    for name in ("l.csv", "l.xlsx"):
        run("find", "--file", str(tmp_path / name), "--date", DAY)
        before = (tmp_path / name).read_bytes()
        run("find", "--file", str(tmp_path / name), code=2)  # nothing is overwritten
        assert (tmp_path / name).read_bytes() == before
    book = openpyxl.load_workbook(tmp_path / "l.xlsx").active
    assert [c.value for c in book["A"]] == ["number", *(f"MG-{n:04d}" for n in range(1, 11))]
    with (tmp_path / "l.csv").open(encoding="utf-8-sig", newline="") as file:
        assert [r["number"] for r in csv.DictReader(file)] == [c.value for c in book["A"]][1:]
    assert "10 revisions" in CliRunner().invoke(main, ["reindex", str(archive)]).output


@pytest.mark.parametrize(
    "args",
    [("find", "M8.5xx"), ("find", "--spigot", "x"), ("find", "--spigot", "8..7"),
     ("find", "--since", "yesterday"), ("find", "--file", "list.pdf"), ("compare", "MG-0001", "X"),
     ("compare", "MG-0001", "MG-0001:I"),
     ("compare", "MG-0001", "MG-0001:C"), ("holds", "MG-9999")],
)  # fmt: skip
def test_faults_are_told(run: Callable[..., str], args: tuple[str, ...]) -> None:
    assert "→" in run(*args, code=2)


def test_no_archive_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no archive"):
        search.find(tmp_path, Query())


# -- comparing --------------------------------------------------------------------------------


def test_compare_goes_by_id(run: Callable[..., str]) -> None:
    view = json.loads(run("compare", "MG-0003", "MG-0008:A", "--json"))
    by_id = {c["id"]: c for c in view["characteristics"]}
    assert by_id["thread.pitch_diameter"]["change"] == "same"
    assert by_id["spigot1.diameter"] == {
        "id": "spigot1.diameter", "change": "changed", "first": "7.66 h7 (7.645 to 7.66)",
        "second": "7.6 measured (7.59 to 7.61)",
    }  # fmt: skip
    assert by_id["thread.runout"]["change"] == "only in the first"
    assert {f["id"]: f["change"] for f in view["facts"]}["pen"] == "changed"
    assert not view["same_design"]
    text = run("compare", "MG-0003", "MG-0003")
    assert "the same part" in text
    assert "0 differ" in text


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("M12x0.8", ["MG-0001"]), ("cap M12 three starts", ["MG-0001"]),
        ("M12×0,8 (3 starts) heron", ["MG-0001"]), ("3 starts", ["MG-0001"]),
        ("M12x0.8 two starts", []), ("M12x0.8 LH", []), ("M12x0.8 wren", []),
    ],
)  # fmt: skip
def test_the_command_finds_a_thread_with_words_beside_it_its_starts_said_or_not(
    whole: Path, typed: str, found: list[str]
) -> None:
    """Heron's cap alone has a thread of three starts, M12 with 0.8 from one to the next."""
    done = CliRunner().invoke(main, ["find", typed, "--to", str(whole), "--json"])
    assert done.exit_code == 0, done.output
    assert [r["number"] for r in json.loads(done.stdout)["fixtures"]] == found


def test_words_without_a_thread_are_refused_where_a_thread_is_asked_for(whole: Path) -> None:
    done = CliRunner().invoke(main, ["find", "cap", "--to", str(whole)])
    assert done.exit_code == 2
    assert "cap" in done.output
