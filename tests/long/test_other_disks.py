"""The main job on a file system that knows no hard links and takes AbC and abc for one name (exFAT,
through Debian's packages exfat-fuse and exfatprogs, mounted by root): as on a memory stick."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mandrelgen.archive.disk.files import TEMP_PREFIX
from mandrelgen.cli.app import main
from mandrelgen.spec.starters import starter
from tests.support.archived import DAY

NEEDED = ("mkfs.exfat", "mount.exfat-fuse", "losetup", "umount")


def told(*words: str) -> str:
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout.strip()


@pytest.fixture
def stick(tmp_path: Path) -> Iterator[Path]:
    """An empty exFAT of 200 MiB."""
    missing = [n for n in NEEDED if shutil.which(n) is None]
    if missing or os.getuid() != 0:
        pytest.skip(f"needs root, exfat-fuse and exfatprogs: {missing}")
    image, folder = tmp_path / "image", tmp_path / "stick"
    folder.mkdir()
    with image.open("wb") as f:
        f.truncate(200 << 20)
    told("mkfs.exfat", str(image))
    device = told("losetup", "-f", "--show", str(image))
    try:
        done = subprocess.run(
            ["mount.exfat-fuse", device, str(folder)], capture_output=True, text=True, check=False
        )
        if done.returncode:
            pytest.skip(f"no file system may be mounted here: {done.stderr.strip()}")
        try:
            yield folder
        finally:
            told("umount", str(folder))
    finally:
        told("losetup", "-d", device)


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(w) for w in words])


def test_from_the_pen_to_the_drawer_on_a_memory_stick(stick: Path) -> None:
    (stick / "AbC").touch()
    assert (stick / "aBc").exists(), "names are to be taken for one whatever their case"
    with pytest.raises(OSError, match=r"not permitted|not supported"):
        os.link(stick / "AbC", stick / "second")
    pen, shop, to = stick / "pen.toml", stick / "shop.toml", stick / "Archive"
    pen.write_bytes(starter("pen", "heron"))
    shop.write_bytes(starter("shop", "bench"))
    for again in ((), ("--again",)):
        done = run("make", pen, "--shop", shop, "--date", DAY, "--to", to, *again)
        assert done.exit_code == 0, done.output
    for words in (
        ("book", "MG-0001", "asked", "--whom", "K. Tern", "--date", DAY, "--to", to),
        ("book", "MG-0001", "ordered", "--date", DAY, "--to", to),
        ("orders", to),
        ("find", "--to", to),
        ("export", stick / "out.zip", "MG-0001", "--to", to),
        ("import", stick / "out.zip", "--to", stick / "Second"),
        ("catalogue", to),
        ("reindex", to),
        ("verify", to),
        ("verify", stick / "Second"),
    ):
        done = run(*words)
        assert done.exit_code == 0, (words, done.output)
    assert not [p for p in stick.rglob("*") if p.name.startswith(TEMP_PREFIX)]
    assert {p.name for p in to.glob("MG-*")} == {"MG-0001", "MG-0002", "MG-0003"}
