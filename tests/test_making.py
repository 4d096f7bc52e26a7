"""Publishing: numbers, revisions, the same record for the same design, all or nothing."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from mandrelgen import making, pipeline, releasing
from mandrelgen.errors import DesignError, DiskError, InputError
from mandrelgen.reading import read_inputs
from mandrelgen.spec.starters import starter
from mandrelgen.writers import formats

DATE = "2026-05-31"


def put(folder: Path, pen: bytes | None = None) -> Path:
    """The wren and its shop in ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "shop.toml").write_bytes(starter("shop", "bench"))
    (folder / "wren.toml").write_bytes(pen or starter("pen", "wren"))
    return folder / "wren.toml"


def make(pen: Path, to: Path, reason: str | None = None, date: str = DATE) -> making.MadeSet:
    """Check and make."""
    run = making.Run(date, reason)
    return making.make(pipeline.check(read_inputs(pen, None)), to, run)


def state(folder: Path) -> dict[str, str]:
    """Every file below ``folder`` with its hash."""
    return {
        str(p.relative_to(folder)): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, making.MadeSet]:
    """The wren's set, published once."""
    folder = tmp_path_factory.mktemp("published")
    return folder / "out", make(put(folder), folder / "out")


def test_every_format_of_every_mandrel_is_there_and_the_archive_is_sound(
    published: tuple[Path, making.MadeSet],
) -> None:
    to, result = published
    assert [m.number for m in result.made] == ["MG-0001", "MG-0002", "MG-0003"]
    for m in result.made:
        assert m.revision == "A"
        assert set(m.files) == {*formats.FORMATS, "manifest"}
        for name in m.files.values():
            assert (m.folder / name).stat().st_size > 100
        record = json.loads((m.folder / "record.json").read_text(encoding="utf-8"))
        assert record["proof"]
        assert (m.folder / "pen.toml").read_bytes() == starter("pen", "wren")
    assert result.order is not None
    assert (result.order / "cover.pdf").read_bytes().startswith(b"%PDF")
    assert releasing.verify_archive(to) == ()


def test_the_same_input_returns_the_same_record_and_touches_nothing(
    published: tuple[Path, making.MadeSet], tmp_path: Path
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


def test_same_input_and_date_give_the_same_bytes(
    published: tuple[Path, making.MadeSet], tmp_path: Path
) -> None:
    to, _ = published
    make(put(tmp_path), tmp_path / "other")
    first, second = state(to), state(tmp_path / "other")
    ours = {k: v for k, v in first.items() if k.startswith("MG-") or k.startswith("orders")}
    assert {k: second.get(k) for k in ours} == ours


def test_a_change_before_release_is_a_new_draft_after_it_needs_a_reason(tmp_path: Path) -> None:
    to = tmp_path / "out"
    make(put(tmp_path), to)
    closer = starter("pen", "wren").replace(b'fit = "close"', b'fit = "free"')
    draft = make(put(tmp_path, closer), to)
    assert [m.number for m in draft.made] == ["MG-0001", "MG-0002", "MG-0003"]
    assert {m.revision for m in draft.made} == {"A"}
    for m in draft.made:
        releasing.release_fixture(to, str(m.number), DATE)
    before = state(to)
    with pytest.raises(InputError, match="reason"):
        make(put(tmp_path), to)
    assert state(to) == before
    changed = make(put(tmp_path), to, reason="closer fit after the first trial")
    assert {m.revision for m in changed.made} == {"B"}
    assert releasing.verify_archive(to) == ()


def test_a_failing_writer_leaves_no_archive_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any) -> bytes:
        raise DiskError("no space left on the disk", "make room")

    monkeypatch.setitem(formats.FORMATS, "step", (".step", broken))
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
