"""The archive on real files: numbers, revisions, drafts, events, what is released and withdrawn."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from mandrelgen.archive.design_hash import design_hash, slot_of
from mandrelgen.archive.disk.locks import LOCK
from mandrelgen.archive.events import (
    Status,
    events_of,
    release,
    status_of,
    status_of_entry,
    withdraw,
)
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.numbering import assign
from mandrelgen.archive.publish import make_record, publish
from mandrelgen.archive.record_files import entries, find_slot
from mandrelgen.archive.records import Record, Slot, parse
from mandrelgen.archive.root import clear, open_root
from mandrelgen.archive.verify import verify
from mandrelgen.core.errors import DiskError, InputError
from tests.support.archive_builds import DATE, PEN, PROGRAM, build, job_of, mandrel, plan_of
from tests.support.disk_calls import tree


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return tmp_path / "shelf" / "archive"


# Publishing.


def test_the_first_publish_founds_the_archive(root: Path) -> None:
    archive = open_root(root, "PEN")
    assert not root.parent.exists()
    plan = plan_of(archive, mandrel())
    assert (plan.number, plan.revision, plan.status) == ("PEN-0001", "A", Status.IN_PREPARATION)
    assert [(li.revision, li.text) for li in plan.lines(DATE)] == [("A", "First issue")]
    assert tree(root) == {"PEN-0001": "folder"}  # no marker yet
    job = job_of(plan, mandrel())
    entry = publish(archive, plan, job.files, job.record)
    assert entry.folder == root / "PEN-0001" / "A"
    names = ["PEN-0001.step", "mandrel.json", "manifest.json", "pen.toml", "record.json"]
    assert sorted(os.listdir(entry.folder)) == [*names, "shop.toml"]
    assert (entry.folder / "pen.toml").read_bytes() == PEN
    saved = json.loads((entry.folder / "mandrel.json").read_bytes())
    assert [c["nominal"] for c in saved["characteristics"]] == [8.2, 40.0]
    assert saved["threads"][0]["limits"]["designation"]["diameter"] == 9.0
    marker = json.loads((root / MARKER).read_bytes())
    assert (marker["schema"], marker["prefix"]) == (1, "PEN")
    assert len(marker["id"]) == 32
    assert open_root(root).prefix == "PEN"
    assert entries(root, "PEN-0001") == (entry,)
    assert find_slot(root, "PEN", slot_of(mandrel())) == (entry,)
    assert verify(open_root(root)) == ()


def test_the_same_design_brings_the_same_record_back(root: Path) -> None:
    first = build(root, mandrel())
    before = tree(root)
    times = {p: p.stat().st_mtime_ns for p in root.rglob("*")}
    again = build(root, mandrel(title="Renamed", notes=("new comment",)))
    assert again == first
    assert tree(root) == before
    assert {p: p.stat().st_mtime_ns for p in root.rglob("*")} == times
    assert build(root, mandrel("barrel")).number == "PEN-0002"


def test_a_dry_plan_reserves_nothing(root: Path) -> None:
    archive = open_root(root, "PEN")
    plan = assign(archive, slot_of(mandrel()), design_hash(mandrel()), dry=True)
    assert plan.number == "PEN-0001"
    assert plan.dry
    assert not root.exists()
    with pytest.raises(ValueError, match="dry"):
        publish(archive, plan, {}, make_record(plan, mandrel(), DATE, PROGRAM))


def test_a_changed_draft_is_followed_by_the_next_and_nothing_is_moved(root: Path) -> None:
    first = build(root, mandrel(diameter=8.2))
    before = tree(first.folder)
    second = build(root, mandrel(diameter=8.1))
    assert (second.number, second.revision, second.draft) == ("PEN-0001", "A", 2)
    assert second.folder.name == "A.2"
    assert tree(first.folder) == before
    archive = open_root(root)
    assert status_of_entry(archive, first) is Status.SUPERSEDED
    assert status_of(archive, "PEN-0001") is Status.IN_PREPARATION
    third = build(root, mandrel(diameter=8.2))  # back to the first design: the newest is valid
    assert third.draft == 3
    assert [li.revision for li in third.record.history] == ["A"]
    assert verify(archive) == ()


def test_after_release_a_change_needs_a_reason_and_gets_the_next_letter(root: Path) -> None:
    build(root, mandrel(diameter=8.2))
    archive = open_root(root)
    released = release(archive, "PEN-0001", "2031-06-01", by="K. Tern")
    assert status_of(archive, "PEN-0001") is Status.RELEASED
    before = tree(root)
    assert release(archive, "PEN-0001", "2031-06-02") == released  # again: changes nothing
    for reason in (None, "", "  "):
        with pytest.raises(InputError, match="--reason"):
            build(root, mandrel(diameter=8.1), reason)
    assert tree(root) == before
    second = build(root, mandrel(diameter=8.1), "thread measured again")
    assert (second.revision, second.draft) == ("B", 1)
    assert [(li.revision, li.text) for li in second.record.history] == [
        ("A", "First issue"),
        ("B", "thread measured again"),
    ]
    assert status_of_entry(archive, released) is Status.RELEASED  # until B is released
    third = build(root, mandrel(diameter=8.0))  # a draft of B: its reason is kept
    assert third.folder.name == "B.2"
    assert third.record.reason == "thread measured again"
    assert len(third.record.history) == 2
    assert build(root, mandrel(diameter=8.2)) == released  # back to the released design
    release(archive, "PEN-0001", "2031-07-01")
    assert status_of_entry(archive, released) is Status.SUPERSEDED
    assert status_of_entry(archive, second) is Status.SUPERSEDED
    assert status_of_entry(archive, third) is Status.RELEASED
    assert [e.kind.value for e in events_of(archive, "PEN-0001")] == ["ordered", "ordered"]
    assert verify(archive) == ()


def test_withdrawn_revisions(root: Path) -> None:
    build(root, mandrel())
    archive = open_root(root)
    withdraw(archive, "PEN-0001", DATE, note="wrong pen")
    withdraw(archive, "PEN-0001", DATE)
    assert status_of(archive, "PEN-0001") is Status.WITHDRAWN
    assert len(events_of(archive, "PEN-0001")) == 1
    with pytest.raises(InputError, match="withdrawn"):
        release(archive, "PEN-0001", DATE)
    assert build(root, mandrel(diameter=8.0)).folder.name == "A.2"  # it was never released


@pytest.mark.parametrize("number", ["PEN-0009", "../x", "", "PEN-0001/A", "OTHER-0001"])
def test_an_unknown_number_is_told(root: Path, number: str) -> None:
    build(root, mandrel())
    for call in (release, withdraw):
        with pytest.raises(InputError, match="nothing was published"):
            call(open_root(root), number, DATE)


def test_a_damaged_revision_is_not_released(root: Path) -> None:
    entry = build(root, mandrel())
    (entry.folder / "PEN-0001.step").write_bytes(b"other")
    with pytest.raises(DiskError, match=r"PEN-0001\.step"):
        release(open_root(root), "PEN-0001", DATE)
    assert events_of(open_root(root), "PEN-0001") == ()


def test_foreign_files_are_never_touched(root: Path) -> None:
    (root / "orders-of-mine").mkdir(parents=True)
    (root / "PEN-0001").mkdir()  # somebody else's folder with a number's name
    (root / "PEN-0001" / "letter.txt").write_bytes(b"mine")
    (root / ".hidden").write_bytes(b"mine")
    before = tree(root)
    entry = build(root, mandrel())
    assert entry.number == "PEN-0002"
    assert {k: v for k, v in tree(root).items() if k in before} == before
    archive = open_root(root, "PEN")
    clear(archive, [root / "PEN-0001"])
    assert {k: v for k, v in tree(root).items() if k in before} == before


def test_roots_that_cannot_be_opened(root: Path) -> None:
    build(root, mandrel())
    with pytest.raises(InputError, match="numbers its fixtures PEN-"):
        open_root(root, "OTHER")
    with pytest.raises(DiskError, match=r"pen\.toml is a file"):
        open_root(root / "PEN-0001" / "A" / "pen.toml", "PEN")
    marker = json.loads((root / MARKER).read_bytes())
    for text, words in [
        (json.dumps({**marker, "schema": 2}), "newer mandrelgen"),
        (json.dumps({**marker, "schema": 99, "prefix": None, "new": 1}), "newer mandrelgen"),
        ("", "damaged"),
        ("[1]", "damaged"),
        (json.dumps({**marker, "prefix": 7}), "damaged: prefix"),
        ("[" * 100000, "damaged"),
    ]:
        (root / MARKER).write_text(text)
        with pytest.raises(DiskError, match=words):
            open_root(root)


def test_a_damaged_record_stops_the_run_instead_of_giving_a_second_number(root: Path) -> None:
    entry = build(root, mandrel())
    (entry.folder / "record.json").write_bytes(b"{")
    with pytest.raises(DiskError, match=r"record\.json is damaged"):
        build(root, mandrel(diameter=8.0))
    assert sorted(os.listdir(root)) == [LOCK, "PEN-0001", MARKER]


# A record as schema 1 wrote it; must stay readable for ever.
RECORD_1 = """{"schema": 1, "number": "PEN-0007", "revision": "B", "draft": 2,
 "slot": {"pen": "heron", "part": "cap", "end": "open", "role": "plug"},
 "design_hash": "%s", "kind": "plug", "title": "Plug mandrel", "date": "2031-05-04",
 "reason": "looser", "history": [{"revision": "A", "date": "2031-01-01", "text": "First issue"},
 {"revision": "B", "date": "2031-05-04", "text": "looser"}], "program": "mandrelgen 0",
 "proof": {"step": "read back"}}""" % ("0f" * 32)


def test_a_record_of_schema_1_is_read_and_migrated(tmp_path: Path) -> None:
    record = parse(Record, RECORD_1.encode(), tmp_path)
    assert record.slot == Slot(pen="heron", part="cap", end="open", role="plug")
    assert record.history[1].text == "looser"
    assert json.loads(record.to_bytes()) == {
        **json.loads(RECORD_1),
        "schema": 3,
        "papers": {},
        "accepted": [],
    }
    for old, new in [('"2031-05-04",\n', '"4 May",\n'), ('"draft": 2', '"draft": 0')]:
        with pytest.raises(DiskError, match="damaged"):
            parse(Record, RECORD_1.replace(old, new).encode(), tmp_path)
