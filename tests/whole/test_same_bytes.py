"""Same input and date, same bytes, wherever and by whomever a pen is made."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from mandrelgen.spec.starters import starter
from tests.paths import ROOT
from tests.support.archived import DAY


def made(folder: Path, cwd: Path, before: tuple[str, ...] = (), **env: str) -> dict[str, str]:
    """Hash of every file of the packages and the order; the archive's own marker has a random id
    and is left out, and so is the index, a cache that knows when each file was changed."""
    folder.mkdir(parents=True)
    (folder / "pen.toml").write_bytes(starter("pen", "bittern"))
    (folder / "shop.toml").write_bytes(starter("shop", "small"))
    to = folder / "archive"
    subprocess.run(
        [*before, sys.executable, "-m", "mandrelgen", "make",
         os.path.relpath(folder / "pen.toml", cwd), "--date", DAY, "--to", str(to)],
        cwd=cwd, env={**os.environ, "PYTHONPATH": str(ROOT), **env}, check=True,
        capture_output=True,
    )  # fmt: skip
    return {
        p.relative_to(to).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(to.glob("*/**/*"))
        if p.is_file() and ".cache" not in p.parts
    }


def without_network() -> tuple[str, ...]:
    """The command that takes the network away, where this system allows it."""
    command = ("unshare", "--map-root-user", "--net")
    if shutil.which(command[0]) is None:
        return ()
    allowed = subprocess.run([*command, "true"], capture_output=True, check=False).returncode == 0
    return command if allowed else ()


@pytest.mark.skipif(os.name == "nt", reason="homes and time zones of POSIX")
def test_place_time_zone_locale_hash_seed_home_and_network_change_no_byte(tmp_path: Path) -> None:
    no_folder = tmp_path / "file"  # where a home should be: nobody, root neither, can write there
    no_folder.write_bytes(b"")
    told = tmp_path / "told"  # a home with files that the PDF library would run
    told.mkdir()
    (told / ".reportlab_settings").write_text("raise SystemExit(9)\n")
    (told / ".reportlab_mods").write_text("raise SystemExit(9)\n")
    first = made(
        tmp_path / "a", tmp_path, PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C.UTF-8",
        HOME=str(told), RL_pageCompression="0",
    )  # fmt: skip
    second = made(
        tmp_path / "b" / "deep er", ROOT / "templates", without_network(),
        PYTHONHASHSEED="4242", TZ="Pacific/Kiritimati", LC_ALL="C", PYTHONCOERCECLOCALE="0",
        PYTHONUTF8="0", HOME=str(no_folder), XDG_CACHE_HOME=str(no_folder),
    )  # fmt: skip
    assert len(first) > 15
    assert second == first
