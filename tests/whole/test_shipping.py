"""What is shipped: wheel and source archive hold the same program, and stay small."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

from mandrelgen import __version__
from tests.paths import ROOT

# 1.49 MB on 2026-11-29; fonts, three.js and htmx are half of it.
MOST = 2_000_000


def built(target: str, source: Path, into: Path) -> Path:
    """What hatchling makes of ``source``."""
    words = [sys.executable, "-m", "hatchling", "build", "-t", target, "-d", str(into)]
    done = subprocess.run(words, cwd=source, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (file,) = into.iterdir()
    return file


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built("wheel", ROOT, tmp_path_factory.mktemp("wheel"))


def test_the_wheel_is_small_and_holds_every_module_and_template(wheel: Path) -> None:
    size = wheel.stat().st_size
    print(f"wheel: {size / 1e6:.2f} MB")
    assert size < MOST
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder, inside in (("mandrelgen", "mandrelgen"), ("templates", "mandrelgen/templates")):
        for file in (ROOT / folder).rglob("*"):
            if file.is_file() and "__pycache__" not in file.parts:
                assert f"{inside}/{file.relative_to(ROOT / folder).as_posix()}" in names
    meta = zipfile.ZipFile(wheel).read(f"mandrelgen-{__version__}.dist-info/METADATA").decode()
    assert "License-Expression: MIT" in meta
    for vendored in ("fonts", "catalogue", "page"):
        assert f"License-File: templates/{vendored}/" in meta


def test_a_wheel_from_the_source_archive_is_the_same(wheel: Path, tmp_path: Path) -> None:
    archive = built("sdist", ROOT, tmp_path / "sdist")
    with tarfile.open(archive) as tar:
        # Python before 3.11.4 knows no filter.
        tar.extraction_filter = getattr(tarfile, "data_filter", lambda member, path: member)
        tar.extractall(tmp_path / "tree")
    (tree,) = (tmp_path / "tree").iterdir()
    again = zipfile.ZipFile(built("wheel", tree, tmp_path / "again"))
    first = zipfile.ZipFile(wheel)
    assert sorted(again.namelist()) == sorted(first.namelist())
    for name in first.namelist():
        assert again.read(name) == first.read(name), name


def test_the_changes_of_this_version_are_told() -> None:
    assert f"\n## {__version__}\n" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
