"""Exports come back whole elsewhere; hostile zips are refused and leave nothing behind; reuse
names the fixtures a second pen does not need."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mandrelgen import cli, finding
from mandrelgen.errors import DiskError, InputError
from mandrelgen.releasing import verify_archive
from mandrelgen.spec.starters import starter
from tests.archived import publish_pen


def run(*args: str) -> Result:
    """One command in this process."""
    return CliRunner().invoke(cli.main, list(args))


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """An archive with the wren's fixtures, and its export."""
    folder = tmp_path_factory.mktemp("packed")
    publish_pen(folder / "a", "wren")
    finding.export(folder / "a", (), folder / "a.zip")
    return folder / "a", folder / "a.zip"


def files(folder: Path) -> dict[str, bytes]:
    """Every file of the numbered folders."""
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and p.relative_to(folder).parts[0].startswith("MG-")
    }


def test_an_export_comes_back_whole_and_a_second_import_changes_nothing(
    packed: tuple[Path, Path], tmp_path: Path
) -> None:
    source, path = packed
    finding.take(tmp_path / "b", path)
    assert files(tmp_path / "b") == files(source)
    assert verify_archive(tmp_path / "b") == ()
    before = files(tmp_path / "b")
    finding.take(tmp_path / "b", path)
    assert files(tmp_path / "b") == before


def test_an_import_into_an_archive_with_the_same_numbers_overwrites_nothing(
    packed: tuple[Path, Path], tmp_path: Path
) -> None:
    publish_pen(tmp_path / "c", "heron")
    before = files(tmp_path / "c")
    finding.take(tmp_path / "c", packed[1])
    after = files(tmp_path / "c")
    assert {k: after[k] for k in before} == before
    assert len(after) > len(before)
    assert verify_archive(tmp_path / "c") == ()


def _rewritten(path: Path, change: Callable[[str, bytes], tuple[str, bytes]]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            new.writestr(*change(info.filename, old.read(info)))
    return buffer.getvalue()


def _added(path: Path, name: str, data: bytes = b"x", attributes: int = 0) -> bytes:
    buffer = io.BytesIO(path.read_bytes())
    with zipfile.ZipFile(buffer, "a", zipfile.ZIP_DEFLATED) as new:
        info = zipfile.ZipInfo(name)
        info.external_attr = attributes
        info.compress_type = zipfile.ZIP_DEFLATED
        new.writestr(info, data)
    return buffer.getvalue()


HOSTILE: dict[str, Callable[[Path], bytes]] = {
    "traversal": lambda p: _added(p, "../evil.txt"),
    "absolute path": lambda p: _added(p, "/evil.txt"),
    "link": lambda p: _added(p, "MG-0001/A/link", b"/etc/passwd", 0o120777 << 16),
    "case clash": lambda p: _added(p, "mg-0001/A/record.json"),
    "wrong hash": lambda p: _rewritten(
        p, lambda n, d: (n, d.replace(b"wren", b"wern") if n.endswith("pen.toml") else d)
    ),
    "bomb": lambda p: _added(p, "MG-0001/A/bomb.bin", b"\0" * 200_000_000),
    "cut off": lambda p: p.read_bytes()[:-40],
    "no zip": lambda p: b"PK\3\4 nothing",
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_zip_is_refused_and_nothing_is_written(
    packed: tuple[Path, Path], tmp_path: Path, kind: str
) -> None:
    (tmp_path / "x.zip").write_bytes(HOSTILE[kind](packed[1]))
    with pytest.raises((InputError, DiskError)):
        finding.take(tmp_path / "d", tmp_path / "x.zip")
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["x.zip"]


def test_a_second_pen_is_told_what_need_not_be_ordered(tmp_path: Path) -> None:
    published = publish_pen(tmp_path / "e", "heron")
    for entry, _ in published.values():
        assert run("release", entry.number, "--to", str(tmp_path / "e")).exit_code == 0
    pen = starter("pen", "heron").replace(b'id = "heron"', b'id = "egret"')
    (tmp_path / "egret.toml").write_bytes(pen)
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    done = run("check", str(tmp_path / "egret.toml"), "--to", str(tmp_path / "e"), "--json")
    view = json.loads(done.stdout)
    told = [f for f in view["findings"] if "would do" in f["message"]]
    assert {f["where"] for f in told} == set(published)
    # Another thread: the old fixture is not offered for it.
    other = pen.replace(b"M8.5x0.75", b"M8.4x0.75")
    (tmp_path / "egret.toml").write_bytes(other)
    done = run("check", str(tmp_path / "egret.toml"), "--to", str(tmp_path / "e"), "--json")
    view = json.loads(done.stdout)
    told = [f for f in view["findings"] if "would do" in f["message"]]
    assert {f["where"] for f in told} == {"cap-mouth-plug", "finial-root-cup"}
