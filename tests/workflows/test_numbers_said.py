"""Numbers in any spelling; several at once, all or none."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.archive import root
from mandrelgen.core.errors import InputError
from mandrelgen.spec.starters import old_fixture
from mandrelgen.workflows.adopt import adopt_file
from mandrelgen.workflows.lifecycle import release_fixtures, withdraw_fixtures
from mandrelgen.workflows.numbers_said import numbers
from mandrelgen.workflows.read_inputs import only_pen


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """An archive with two adopted fixtures."""
    for name in ("one", "two"):
        file = tmp_path / f"{name}.toml"
        file.write_bytes(old_fixture().replace(b"old-plug", name.encode()))
        adopt_file(tmp_path / "out", file, "2026-05-31", None)
    return tmp_path / "out"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("MG-0002", "MG-0002"), ("mg-2", "MG-0002"), ("mg2", "MG-0002"), ("MG 02", "MG-0002"),
        ("2", "MG-0002"), (" mg_0002 ", "MG-0002"), ("mg-2:b", "MG-0002:B"), ("12345", "MG-12345"),
        ("XY-2", "XY-2"), ("lid", "lid"), ("mg-0", "mg-0"), ("", ""),
    ],
)  # fmt: skip
def test_a_number_in_any_spelling(archive: Path, typed: str, meant: str) -> None:
    assert numbers(root.open_root(archive), [typed, typed]) == (meant,)


def test_several_are_released_and_withdrawn_at_once(archive: Path) -> None:
    assert release_fixtures(archive, ["mg-1", "2"], "2026-06-01") == (
        "MG-0001 A is ordered (release is an older word for `book MG-0001 ordered`)",
        "MG-0002 A is ordered (release is an older word for `book MG-0002 ordered`)",
    )
    assert len(withdraw_fixtures(archive, ["mg-1", "mg-2"], "2026-06-02")) == 2


def test_nothing_is_done_if_one_of_them_is_not_there(archive: Path) -> None:
    before = sorted(str(p) for p in archive.rglob("*released*"))
    with pytest.raises(InputError, match="MG-0007"):
        release_fixtures(archive, ["mg-1", "mg-7"], "2026-06-01")
    assert sorted(str(p) for p in archive.rglob("*released*")) == before


def test_the_one_pen_of_a_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text("schema = 1\n")
    (tmp_path / "notes.toml").write_text("a = 1\n")
    with pytest.raises(InputError, match="no pen file here"):
        only_pen(tmp_path)
    (tmp_path / "my.toml").write_text("schema = 1\n[parts.cap]\n")
    assert only_pen(tmp_path).name == "my.toml"
    (tmp_path / "other.toml").write_text("schema = 1\nparts.cap.length = 3\n")
    with pytest.raises(InputError, match=r"my\.toml, other\.toml"):
        only_pen(tmp_path)
