"""Out of one archive, into another: the same bytes, clashes resolved, hostile zips refused.

What a hostile zip may try: CWE-22 (path traversal), CWE-59 (links), CWE-409 (compression bombs),
CWE-178 (case). Zips are made and read by Python's zipfile.
"""

from __future__ import annotations

import hashlib
import io
import json
import shutil
import stat
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import example, given, settings
from hypothesis import strategies as st

from mandrelgen.archive import events, orders, root
from mandrelgen.archive.bundle import read_bundle
from mandrelgen.archive.export import LIST, export, seal_of
from mandrelgen.archive.import_ import What, take
from mandrelgen.archive.query import Query
from mandrelgen.archive.records import FileMark
from mandrelgen.archive.verify import verify
from mandrelgen.cli.app import main
from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.workflows import adopt, exchange, receive, search
from mandrelgen.workshop.receipt.readings import parse as reading
from tests.support.archived import DAY, OLD_CUP, OLD_PLUG, SPIGOT, publish_pen
from tests.support.disk_calls import tree


def order_of(folder: Path, pen: str, items: list[Any]) -> Path:
    archive = root.open_root(folder)
    plan = orders.assign_order(archive, pen, [orders.order_item(e) for e in items])
    return orders.publish_order(
        archive, plan, {"cover.pdf": b"%PDF"}, orders.make_order(plan, DAY, "t")
    )


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Heron's four, ordered, one of them released and measured; an old plug. The order's id."""
    folder = tmp_path_factory.mktemp("made") / "a"
    filed = publish_pen(folder, "heron", SPIGOT)
    order = order_of(folder, "heron", [e for e, _ in filed.values()])
    events.release(root.open_root(folder), "MG-0003", DAY)
    receive.receive(folder, "MG-0003", [reading("spigot1.diameter=7.652@micrometer")], DAY)
    adopt.adopt(root.open_root(folder), OLD_PLUG.encode(), "o.toml", DAY, "t")
    return folder, order.name


@pytest.fixture
def source(made: tuple[Path, str], tmp_path: Path) -> Path:
    shutil.copytree(made[0], tmp_path / "source")
    return tmp_path / "source"


def bring(data: bytes, folder: Path, prefix: str | None = None) -> dict[str, tuple[str, What]]:
    bundle = read_bundle(data, "e.zip")
    archive = root.open_root(folder, prefix or (None if folder.exists() else bundle.prefix))
    return {t.given: (t.here, t.what) for t in take(archive, bundle)}


def package(folder: Path, number: str) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes()
            for p in sorted((folder / number).rglob("*")) if p.is_file()}  # fmt: skip


def pack(folder: Path, *names: str) -> bytes:
    return export(root.open_root(folder), names)


def test_the_whole_archive_comes_out_as_it_went_in(source: Path, tmp_path: Path) -> None:
    data = pack(source)
    assert data == pack(source)
    taken = bring(data, tmp_path / "b")
    assert {what for _, what in taken.values()} == {What.NEW}
    for n in range(1, 6):
        assert package(tmp_path / "b", f"MG-{n:04d}") == package(source, f"MG-{n:04d}")
    assert package(tmp_path / "b", "orders") == package(source, "orders")
    assert verify(root.open_root(tmp_path / "b")) == ()
    rows = {r.name: (r.status, r.checked) for r in search.find(tmp_path / "b", Query()).rows}
    assert rows["MG-0003 A"] == ("released", DAY)
    before = tree(tmp_path / "b")
    assert {what for _, what in bring(data, tmp_path / "b").values()} == {What.SAME}
    assert tree(tmp_path / "b") == before


def test_one_fixture_and_one_order(source: Path, made: tuple[Path, str], tmp_path: Path) -> None:
    assert set(bring(pack(source, "MG-0005"), tmp_path / "b")) == {"MG-0005"}
    taken = bring(pack(source, made[1]), tmp_path / "c")
    assert set(taken) == {f"orders/{made[1]}", *(f"MG-{n:04d}" for n in range(1, 5))}
    with pytest.raises(InputError, match="MG-0077"):
        pack(source, "MG-0077")
    (source / "MG-0002" / "A" / "pen.toml").write_bytes(b"changed")
    with pytest.raises(DiskError, match="damaged"):
        pack(source)


def test_a_taken_number_gives_way_and_the_paper_s_number_is_kept(
    source: Path, made: tuple[Path, str], tmp_path: Path
) -> None:
    other = tmp_path / "b"
    publish_pen(other, "wren")
    before = tree(other)
    taken = bring(pack(source), other)
    # The export itself holds MG-0004 and 5, which are free here; 1 to 3 are wren's.
    assert [taken[f"MG-{n:04d}"][0] for n in range(1, 6)] == [
        "MG-0006", "MG-0007", "MG-0008", "MG-0004", "MG-0005"
    ]  # fmt: skip
    assert {k: v for k, v in tree(other).items() if k in before} == before
    assert verify(root.open_root(other)) == ()
    record = json.loads((other / "MG-0008" / "A" / "record.json").read_text("utf-8"))
    assert record["number"] == "MG-0008"
    assert record["proof"]["imported"]["number"] == "MG-0003"
    for name in ("mandrel.json", "pen.toml"):
        there = (source / "MG-0003" / "A" / name).read_bytes()
        assert (other / "MG-0008" / "A" / name).read_bytes() == there
    assert events.status_of(root.open_root(other), "MG-0008") is events.Status.RELEASED
    here = taken[f"orders/{made[1]}"][0]
    order = json.loads((other / here / "order.json").read_text("utf-8"))
    assert [i["number"] for i in order["items"]] == ["MG-0006", "MG-0007", "MG-0008", "MG-0004"]
    again = bring(pack(source), other)
    assert {what for _, what in again.values()} == {What.SAME}
    assert again["MG-0003"][0] == "MG-0008"


def test_a_filled_slot_never_gets_two_fixtures(source: Path, tmp_path: Path) -> None:
    """Both archives hold the heron: the numbers are the same, and so are the fixtures; with
    another order of numbers the second comes in beside the first, and `make` finds the first."""
    other = tmp_path / "b"
    adopt.adopt(root.open_root(other), OLD_CUP.encode(), "o.toml", DAY, "t")
    publish_pen(other, "heron", SPIGOT)
    before = tree(other)
    taken = bring(pack(source, "MG-0003"), other)
    assert taken["MG-0003"] == ("MG-0006", What.RENUMBERED)
    record = json.loads((other / "MG-0006" / "A" / "record.json").read_text("utf-8"))
    assert record["slot"]["role"].startswith("plug-from-")
    assert {k: v for k, v in tree(other).items() if k in before} == before
    entry = publish_pen(other, "heron", SPIGOT)["barrel-mouth-plug"][0]
    assert entry.number == "MG-0004"
    assert tree(other).keys() - before.keys() == {
        k for k in tree(other) if str(k).startswith("MG-0006")
    }


def test_another_prefix_renumbers(source: Path, tmp_path: Path) -> None:
    taken = bring(pack(source), tmp_path / "b", "RB")
    assert [taken[f"MG-{n:04d}"][0] for n in range(1, 6)] == [f"RB-{n:04d}" for n in range(1, 6)]
    assert verify(root.open_root(tmp_path / "b")) == ()


def test_what_went_on_there_is_added_and_both_ways_is_no_guess(
    source: Path, tmp_path: Path
) -> None:
    other = tmp_path / "b"
    bring(pack(source), other)
    events.release(root.open_root(source), "MG-0001", DAY)
    changed = OLD_PLUG.replace("diameter = 7.6\n", "diameter = 7.58\n")
    adopt.adopt(root.open_root(source), changed.encode(), "o.toml", DAY, "t", "measured again")
    search.find(other, Query())
    taken = bring(pack(source), other)
    assert [n for n, (_, what) in taken.items() if what is What.ADDED] == ["MG-0001", "MG-0005"]
    assert package(other, "MG-0005") == package(source, "MG-0005")
    rows = {r.name: r.status for r in search.find(other, Query(all_revisions=True)).rows}
    assert (rows["MG-0001 A"], rows["MG-0005 B"]) == ("released", "released")
    # Older there: nothing to do here.
    assert bring(pack(made_again(source)), other)["MG-0005"][1] is What.SAME
    events.withdraw(root.open_root(source), "MG-0002", DAY)
    events.release(root.open_root(other), "MG-0002", DAY)
    before = package(other, "MG-0002")
    assert bring(pack(source, "MG-0002"), other)["MG-0002"] == ("MG-0006", What.RENUMBERED)
    assert package(other, "MG-0002") == before
    assert verify(root.open_root(other)) == ()


def made_again(source: Path) -> Path:
    """The source as it was before its MG-0005 went on."""
    shutil.rmtree(source / "MG-0005" / "B")
    (source / "MG-0005" / "events" / "0002-ordered.json").unlink()
    return source


def test_a_failing_disk_leaves_the_archive_as_it_was(
    source: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import os

    other = tmp_path / "b"
    publish_pen(other, "wren")
    data, before, real, calls = pack(source), tree(other), os.rename, []

    def fourth_fails(a: Path, b: Path) -> None:
        calls.append(b)
        if len(calls) == 4:
            raise OSError(28, "full")
        real(a, b)

    monkeypatch.setattr(os, "rename", fourth_fails)
    with pytest.raises(DiskError):
        bring(data, other)
    monkeypatch.undo()
    assert tree(other) == before
    assert verify(root.open_root(other)) == ()


# -- hostile zips -----------------------------------------------------------------------------

Entries = list[tuple[zipfile.ZipInfo, bytes]]


def entries_of(data: bytes) -> Entries:
    with zipfile.ZipFile(io.BytesIO(data)) as bundle:
        return [(info, bundle.read(info)) for info in bundle.infolist()]


def zipped(entries: Entries) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as bundle:
        for info, data in entries:
            bundle.writestr(info, data)
    return out.getvalue()


def listed(entries: Entries) -> Entries:
    """The entries with a list that fits them: only what is checked behind the list can refuse."""
    old = json.loads(next(d for i, d in entries if i.filename == LIST))
    rest = [(i, d) for i, d in entries if i.filename != LIST]
    marks = {
        i.filename: FileMark(sha256=hashlib.sha256(d).hexdigest(), size=len(d)) for i, d in rest
    }
    old["files"] = {n: m.model_dump() for n, m in marks.items()}
    old["seal"] = seal_of(marks, old["archive"], old["prefix"])
    return [(zipfile.ZipInfo(LIST), json.dumps(old).encode()), *rest]


def named(name: str, data: bytes = b"x", mode: int = 0o100644) -> Callable[[Entries], Entries]:
    def change(entries: Entries) -> Entries:
        info = zipfile.ZipInfo(name)
        info.filename = name  # also what the constructor would tidy
        info.create_system, info.external_attr = 3, mode << 16
        return listed([*entries, (info, data)])

    return change


def swapped(name: str, new: Callable[[bytes], bytes]) -> Callable[[Entries], Entries]:
    def change(entries: Entries) -> Entries:
        assert any(i.filename == name for i, _ in entries)
        return listed([(i, new(d) if i.filename == name else d) for i, d in entries])

    return change


def without(name: str) -> Callable[[Entries], Entries]:
    return lambda entries: listed([(i, d) for i, d in entries if i.filename != name])


def unlisted(entries: Entries) -> Entries:
    return [*entries, (zipfile.ZipInfo("MG-0001/A/more.txt"), b"x")]


def wrong_hash(entries: Entries) -> Entries:
    return [(i, d[:-1] + b" " if i.filename.endswith("pen.toml") else d) for i, d in entries]


RECORD, EVENT = "MG-0001/A/record.json", "MG-0003/events/0001-ordered.json"
HOSTILE: dict[str, Callable[[Entries], Entries]] = {
    "up": named("../evil.txt"), "up inside": named("MG-0001/../evil.txt"),
    "absolute": named("/etc/evil"), "drive": named("C:/x/evil"),
    "backslash": named("MG-0001\\A\\evil.txt"), "deep": named("MG-0001/A/b/evil.txt"),
    "loose": named("evil.txt"), "hidden": named("MG-0001/.cache/evil"),
    "cache": named(".cache/x/journal"), "device": named("MG-0001/A/con.txt"),
    "nul": named("MG-0001/A/a\0b"), "folder": named("MG-0001/A/", b""),
    "link": named("MG-0001/A/evil", b"/etc/passwd", stat.S_IFLNK | 0o777),
    "pipe": named("MG-0001/A/evil", b"", stat.S_IFIFO | 0o644),
    "case": named("MG-0001/A/PEN.TOML"), "case of a folder": named("mg-0001/A/x.txt"),
    "foreign number": named("XX-0001/A/x.txt"), "no number": named("MG-1/A/x.txt"),
    "extra file": named("MG-0001/A/extra.txt"), "odd revision": named("MG-0001/I/x.txt"),
    "order's file missing": without("MG-0002/A/mandrel.json"), "no record": without(RECORD),
    "no list": lambda e: [(i, d) for i, d in e if i.filename != LIST],
    "unlisted": unlisted, "wrong hash": wrong_hash,
    "changed record": swapped(RECORD, lambda d: d.replace(b'"title"', b'"titel"')),
    "another's record": swapped(RECORD, lambda d: d.replace(b"MG-0001", b"MG-0002")),
    "another's event": swapped(EVENT, lambda d: d.replace(b"MG-0003", b"MG-0002")),
    "event of no revision": swapped(EVENT, lambda d: d.replace(b'"A"', b'"C"')),
    "newer schema": swapped(EVENT, lambda d: d.replace(b'"schema": 2', b'"schema": 9')),
    "json bomb": swapped(EVENT, lambda d: b"[" * 100_000),
    "empty": lambda e: [],
}  # fmt: skip


@pytest.mark.parametrize("how", HOSTILE)
def test_a_hostile_zip_is_refused_and_nothing_is_written(
    how: str, made: tuple[Path, str], tmp_path: Path
) -> None:
    entries = entries_of(pack(made[0]))
    (tmp_path / "e.zip").write_bytes(zipped(HOSTILE[how](entries)))
    before = tree(tmp_path)
    with pytest.raises(InputError) as caught:
        exchange.take(tmp_path / "b", tmp_path / "e.zip")
    assert caught.value.findings[0].code == "import.refused"
    assert tree(tmp_path) == before


def test_a_true_list_over_the_same_files_is_taken(made: tuple[Path, str], tmp_path: Path) -> None:
    """The tool the hostile zips are made with makes a sound one, too."""
    assert bring(zipped(listed(entries_of(pack(made[0])))), tmp_path / "b")


def test_the_same_name_twice_is_refused(made: tuple[Path, str]) -> None:
    entries = entries_of(pack(made[0]))
    with pytest.warns(UserWarning, match="Duplicate"):
        data = zipped([*entries, entries[-1]])
    with pytest.raises(InputError, match="twice"):
        read_bundle(data, "e.zip")


def test_a_bomb_is_not_unpacked(made: tuple[Path, str], monkeypatch: pytest.MonkeyPatch) -> None:
    """A megabyte of zeros in a kilobyte, that says it is as small as the file it replaces: no more
    than one byte over what is listed is ever asked of the unpacker."""
    name = "MG-0001/A/pen.toml"
    entries = entries_of(pack(made[0]))
    size = next(len(d) for i, d in entries if i.filename == name)
    info = zipfile.ZipInfo(name)
    info.compress_type = zipfile.ZIP_DEFLATED
    bomb = zipped([(info, b"\0" * (1 << 22)) if i.filename == name else (i, d) for i, d in entries])
    asked: list[int] = []
    real = zipfile.ZipExtFile.read

    def read(self: zipfile.ZipExtFile, n: int | None = -1) -> bytes:
        asked.append(-1 if n is None else n)
        return real(self, n)

    monkeypatch.setattr(zipfile.ZipExtFile, "read", read)
    with pytest.raises(InputError, match="larger than it says"):
        read_bundle(bomb, "e.zip")
    assert asked[-1] == size + 1
    assert min(asked) >= 0


def test_a_list_that_promises_too_much_is_refused(made: tuple[Path, str]) -> None:
    entries = entries_of(pack(made[0]))
    old = json.loads(entries[0][1])
    marks = {n: FileMark(sha256=m["sha256"], size=1 << 40) for n, m in old["files"].items()}
    old["files"] = {n: m.model_dump() for n, m in marks.items()}
    old["seal"] = seal_of(marks, old["archive"], old["prefix"])
    with pytest.raises(InputError, match="MiB"):
        read_bundle(zipped([(entries[0][0], json.dumps(old).encode()), *entries[1:]]), "e.zip")


@settings(max_examples=150, deadline=None)
@given(at=st.floats(0, 1, exclude_max=True), value=st.integers(0, 255), cut=st.booleans())
@example(at=0.947, value=0, cut=False)  # a file's name begins with NUL and is empty
@example(at=0.9989128156488906, value=1, cut=False)  # the list lies in front of the file's start
def test_no_damage_gives_a_traceback_or_other_content(
    made: tuple[Path, str], at: float, value: int, cut: bool
) -> None:
    data = pack(made[0], "MG-0005")
    place = int(at * len(data))
    bad = data[:place] if cut else data[:place] + struct.pack("B", value) + data[place + 1 :]
    try:
        bundle = read_bundle(bad, "e.zip")
    except InputError:
        return
    good = read_bundle(data, "e.zip")
    assert bundle == good  # the byte was the same, or one that carries nothing


def test_the_commands(source: Path, tmp_path: Path) -> None:
    def run(*args: str, code: int = 0) -> str:
        done = CliRunner().invoke(main, [*args])
        assert done.exit_code == code, done.output
        return done.output

    path, to = str(tmp_path / "e.zip"), ("--to", str(source))
    assert "wrote" in run("export", path, "MG-0003", *to)
    assert "nothing is overwritten" in run("export", path, *to, code=2)
    view = json.loads(run("import", path, "--to", str(tmp_path / "b"), "--json"))
    assert view["taken"] == [{"given": "MG-0003", "here": "MG-0003", "what": "taken in"}]
    assert "already here" in run("import", path, "--to", str(tmp_path / "b"))
    run("import", str(tmp_path / "none.zip"), "--to", str(tmp_path / "b"), code=2)
    (tmp_path / "t.zip").write_bytes(b"no zip")
    assert "no sound zip" in run("import", str(tmp_path / "t.zip"), *to, code=2)
