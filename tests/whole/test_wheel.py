"""The wheel carries everything the main job needs: built, unpacked alone, and run from there."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.paths import ROOT


def test_the_main_job_runs_from_a_built_wheel(tmp_path: Path) -> None:
    built = subprocess.run(
        [
            *(sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps"),
            *("--no-build-isolation", "--wheel-dir", str(tmp_path / "dist"), str(ROOT)),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert built.returncode == 0, built.stderr
    (wheel,) = (tmp_path / "dist").glob("*.whl")
    site = tmp_path / "site"
    installed = subprocess.run(
        [
            *(sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index"),
            *("--target", str(site), str(wheel)),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert installed.returncode == 0, installed.stderr
    env = {**os.environ, "PYTHONPATH": str(site)}

    def run(*args: str) -> str:
        done = subprocess.run(
            [sys.executable, *args],
            capture_output=True,
            text=True,
            cwd=tmp_path,
            env=env,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    where = run("-c", "import mandrelgen; print(mandrelgen.__file__)").strip()
    assert Path(where).is_relative_to(site)
    run("-m", "mandrelgen", "new", "wren")
    view = json.loads(run("-m", "mandrelgen", "make", "wren.toml", "--to", "out", "--json"))
    assert len(view["mandrels"]) >= 3
    for m in view["mandrels"]:
        for name in m["files"].values():
            assert (tmp_path / m["folder"] / name).stat().st_size > 0
