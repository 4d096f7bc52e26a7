"""Publishing: numbers, revisions, the same record for the same design, all or nothing."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from mandrelgen.core.errors import DesignError, DiskError, InputError
from mandrelgen.files import formats
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import check, lifecycle
from mandrelgen.workflows import make as making
from mandrelgen.workflows.made import MadeSet
from mandrelgen.workflows.make_options import MakeOptions

DATE = "2026-05-31"


def put(folder: Path, pen: bytes | None = None) -> Path:
    """The wren and its shop in ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "shop.toml").write_bytes(starter("shop", "bench"))
    (folder / "wren.toml").write_bytes(pen or starter("pen", "wren"))
    return folder / "wren.toml"


def make(pen: Path, to: Path, reason: str | None = None, date: str = DATE) -> MadeSet:
    """Check and make."""
    return making.make(check.check_pen(pen), MakeOptions(folder=to, date=date, reason=reason))


def state(folder: Path) -> dict[str, str]:
    """Every file below ``folder`` with its hash."""
    return {
        str(p.relative_to(folder)): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, MadeSet]:
    """The wren's set, published once."""
    folder = tmp_path_factory.mktemp("published")
    return folder / "out", make(put(folder), folder / "out")


def test_every_format_of_every_mandrel_is_there_and_the_archive_is_sound(
    published: tuple[Path, MadeSet],
) -> None:
    to, result = published
    assert [m.number for m in result.made] == ["MG-0001", "MG-0002", "MG-0003"]
    for m in result.made:
        assert m.revision == "A"
        # A drawing may need a second sheet: a picture more of it.
        assert set(m.files) - {"png-2", "svg-2"} == {*formats.FORMATS, "manifest"}
        assert ("png-2" in m.files) == ("svg-2" in m.files)
        for name in m.files.values():
            assert (m.folder / name).stat().st_size > 100
        record = json.loads((m.folder / "record.json").read_text(encoding="utf-8"))
        assert record["proof"]
        assert (m.folder / "pen.toml").read_bytes() == starter("pen", "wren")
    assert result.order is not None
    assert (result.order / "cover.pdf").read_bytes().startswith(b"%PDF")
    assert lifecycle.archive_faults(to) == ()


def test_the_same_input_returns_the_same_record_and_touches_nothing(
    published: tuple[Path, MadeSet], tmp_path: Path
) -> None:
    to, result = published
    before = state(to)
    remarked = starter("pen", "wren") + b"\n# a remark changes nothing\n"
    again = make(put(tmp_path, remarked), to, date="2027-01-01")
    assert [(m.number, m.revision) for m in again.made] == [
        (m.number, m.revision) for m in result.made
    ]
    assert all(m.existed for m in again.made)
    assert state(to) == before


@pytest.mark.usefixtures("drawn_anew")
def test_same_input_and_date_give_the_same_bytes(
    published: tuple[Path, MadeSet], tmp_path: Path
) -> None:
    to, _ = published
    make(put(tmp_path), tmp_path / "other")
    first, second = state(to), state(tmp_path / "other")
    ours = {k: v for k, v in first.items() if k.startswith("MG-") or k.startswith("orders")}
    assert {k: second.get(k) for k in ours} == ours


def test_a_change_before_release_is_a_new_draft_after_it_needs_a_reason(tmp_path: Path) -> None:
    to = tmp_path / "out"
    make(put(tmp_path), to)
    freer = starter("pen", "wren").replace(b"quantity = 2", b'quantity = 2\nfit = "free"')
    draft = make(put(tmp_path, freer), to)
    assert [m.number for m in draft.made] == ["MG-0001", "MG-0002", "MG-0003"]
    assert {m.revision for m in draft.made} == {"A"}
    for m in draft.made:
        lifecycle.release_fixture(to, str(m.number), DATE)
    before = state(to)
    with pytest.raises(InputError, match="reason"):
        make(put(tmp_path), to)
    assert state(to) == before
    changed = make(put(tmp_path), to, reason="closer fit after the first trial")
    assert {m.revision for m in changed.made} == {"B"}
    assert lifecycle.archive_faults(to) == ()


def named(result: MadeSet) -> list[tuple[str | None, str]]:
    return [(m.number, m.folder.name) for m in result.made]


def codes(result: MadeSet) -> list[str]:
    return [f.code for f in result.findings]


def test_a_draft_is_published_again_when_only_its_pages_would_read_otherwise(
    published: tuple[Path, MadeSet], tmp_path: Path
) -> None:
    """The same parts: another name in the title block."""
    to = tmp_path / "out"
    shutil.copytree(published[0], to)
    pen = put(tmp_path)
    pen.write_bytes(starter("pen", "wren").replace(b'owner = "', b'owner = "New '))
    result = make(pen, to)
    assert named(result) == [(f"MG-000{n}", "A.2") for n in (1, 2, 3)]
    assert codes(result) == ["papers.again"] * 3
    assert "words on the drawing" in result.findings[0].message
    first = json.loads((to / "MG-0001" / "A" / "record.json").read_text("utf-8"))
    second = json.loads((to / "MG-0001" / "A.2" / "record.json").read_text("utf-8"))
    assert first["design_hash"] == second["design_hash"]
    assert {k for k in first["papers"] if first["papers"][k] != second["papers"][k]} == {"drawing"}
    again = make(pen, to)
    assert named(again) == named(result)
    assert codes(again) == []
    assert lifecycle.archive_faults(to) == ()


def test_a_released_fixture_keeps_its_pages_and_says_which_are_older(
    published: tuple[Path, MadeSet], tmp_path: Path
) -> None:
    to = tmp_path / "out"
    shutil.copytree(published[0], to)
    for m in published[1].made:
        lifecycle.release_fixture(to, str(m.number), DATE)
    pen = put(tmp_path)
    slow = starter("shop", "bench").replace(b"max_speed = 3200", b"max_speed = 900")
    (tmp_path / "shop.toml").write_bytes(slow.replace(b'"3 mm"', b'"4 mm"'))
    before = state(to)
    result = make(pen, to)
    assert named(result) == [(f"MG-000{n}", "A") for n in (1, 2, 3)]
    assert codes(result) == ["papers.older"] * 3
    assert "the verdict and the turner's pages would" in result.findings[0].message
    assert "--reason" in result.findings[0].remedy
    # The maker's route card is no record: it says what holds today, the slower lathe's speeds.
    card = "cards/wren/route-card.pdf"
    after = state(to)
    assert before.pop(card) != after.pop(card)
    assert after == before
    # A reason that a changed part needs does not send the other papers out again.
    pen.write_bytes(starter("pen", "wren").replace(b"depth = 8.0", b"depth = 7.9", 1))
    changed = make(pen, to, reason="tapped less deep")
    assert sorted(name for _, name in named(changed)) == ["A", "A", "B"]
    older = [f for f in changed.findings if f.code == "papers.older"]
    assert len(older) == 2
    assert "make again" in older[0].remedy
    # Nothing is ordered twice unasked: the new order asks for the changed one alone.
    assert changed.order is not None
    (item,) = json.loads((changed.order / "order.json").read_text("utf-8"))["items"]
    assert (item["number"], item["revision"]) == next(
        (m.number, m.revision) for m in changed.made if m.revision == "B"
    )
    assert codes(changed).count("order.before") == 2
    every = make(pen, to, reason="another lathe")
    assert {name for _, name in named(every)} == {"B"}
    assert sorted(codes(every)) == ["order.before"] * 2 + ["papers.again"] * 2
    assert every.order == changed.order  # new papers are no new parts
    result = making.make(check.check_pen(pen), MakeOptions(folder=to, date=DATE, again=True))
    assert result.order != changed.order
    assert lifecycle.archive_faults(to) == ()


def test_what_is_withdrawn_is_not_ordered_until_a_reason_revises_it(
    published: tuple[Path, MadeSet], tmp_path: Path
) -> None:
    to = tmp_path / "out"
    shutil.copytree(published[0], to)
    lifecycle.withdraw_fixture(to, "MG-0002", DATE, "bent")
    shutil.rmtree(to / "orders")
    result = make(put(tmp_path), to)
    assert ("MG-0002", "A") in named(result)
    assert codes(result) == ["order.withdrawn"]
    assert result.order is not None
    items = json.loads((result.order / "order.json").read_text("utf-8"))["items"]
    assert [i["number"] for i in items] == ["MG-0001", "MG-0003"]
    again = make(put(tmp_path), to, reason="the old one is bent")
    assert ("MG-0002", "B") in named(again)
    assert codes(again) == []


def test_a_lost_fixture_is_ordered_again_and_the_others_are_not(
    published: tuple[Path, MadeSet], tmp_path: Path
) -> None:
    to = tmp_path / "out"
    shutil.copytree(published[0], to)
    for m in published[1].made:
        lifecycle.release_fixture(to, str(m.number), DATE)
    assert make(put(tmp_path), to).order == to / published[1].order.relative_to(published[0])  # type: ignore[union-attr]
    lifecycle.withdraw_fixture(to, "MG-0002", DATE, "lost")
    again = make(put(tmp_path), to, reason="the old one is lost")
    assert [name for _, name in named(again)] == ["A", "B", "A"]
    assert again.order is not None
    (item,) = json.loads((again.order / "order.json").read_text("utf-8"))["items"]
    assert (item["number"], item["revision"]) == ("MG-0002", "B")
    three = starter("pen", "wren").replace(b"quantity = 2", b"quantity = 3")
    more = make(put(tmp_path, three), to)
    assert more.order is not None
    items = json.loads((more.order / "order.json").read_text("utf-8"))["items"]
    assert [i["quantity"] for i in items] == [3, 3, 3]


@pytest.mark.usefixtures("drawn_anew")
def test_a_failing_writer_leaves_no_archive_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any) -> bytes:
        raise DiskError("no space left on the disk", "make room")

    monkeypatch.setitem(formats.EVERY, "step", (".step", broken))
    with pytest.raises(DiskError):
        make(put(tmp_path), tmp_path / "deep" / "out")
    assert not (tmp_path / "deep").exists()


def test_a_run_that_can_make_nothing_numbers_nothing(tmp_path: Path) -> None:
    short = starter("pen", "wren").replace(b"depth = 8.0", b"depth = 2.0")
    short = short.replace(b"full_thread = 8.0", b"full_thread = 2.0")
    short = short.replace(b"length = 7.0", b"length = 2.0")
    with pytest.raises(DesignError):
        make(put(tmp_path, short), tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_foreign_files_in_the_archive_folder_are_never_touched(tmp_path: Path) -> None:
    to = tmp_path / "out"
    (to / "notes").mkdir(parents=True)
    (to / "notes" / "mine.txt").write_text("mine", encoding="utf-8")
    (to / "MG-0002").write_text("not a folder of ours", encoding="utf-8")
    result = make(put(tmp_path), to)
    assert (to / "notes" / "mine.txt").read_text(encoding="utf-8") == "mine"
    assert (to / "MG-0002").read_text(encoding="utf-8") == "not a folder of ours"
    assert "MG-0002" not in [m.number for m in result.made]
