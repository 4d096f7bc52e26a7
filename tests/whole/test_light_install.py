"""The light install: `pip install .` without the CAD kernel. Its packages are small, ask for no
library that a bare Debian lacks, and do the main job; what needs the kernel says how to get it.

Needs only what the extra `light` brings: `.ci/run` runs this module in an environment that holds
nothing else (MANDRELGEN_LIGHT=1). In a full environment the same packages are looked at among the
others, and the kernel is hidden from import.
"""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import pytest
from elftools.elf.dynamic import DynamicSection
from elftools.elf.elffile import ELFFile

from tests.paths import ROOT, TEMPLATES
from tests.support.packages import CAD, NEEDED, closure, files_of

LIMIT_MB = 300
# What the smallest Debian (debootstrap --variant=minbase, Debian 12) brings: libc6, libgcc-s1,
# libstdc++6 and zlib1g, without which its dpkg and apt do not run.
BASE = {
    "libc.so.6", "libm.so.6", "libdl.so.2", "libpthread.so.0", "librt.so.1", "libutil.so.1",
    "ld-linux-x86-64.so.2", "ld-linux-aarch64.so.1", "libgcc_s.so.1", "libstdc++.so.6", "libz.so.1",
}  # fmt: skip
LIGHT = os.environ.get("MANDRELGEN_LIGHT") == "1"
INSTALL = "pip install 'mandrelgen[cad]'"


def asked_of_the_system(files: Iterable[Path]) -> dict[str, str]:
    """Libraries that ELF files ask for (DT_NEEDED, System V ABI) and none of the packages brings,
    each with one file that asks."""
    asked: dict[str, str] = {}
    own: set[str] = set()
    for path in files:
        with path.open("rb") as stream:
            if stream.read(4) != b"\x7fELF":
                continue
            own.add(path.name)
            for section in ELFFile(stream).iter_sections():
                if isinstance(section, DynamicSection):
                    for tag in section.iter_tags("DT_NEEDED"):
                        asked.setdefault(tag.needed, path.name)
    return {k: v for k, v in asked.items() if k not in own}


def megabytes(files: Iterable[Path]) -> float:
    return sum(p.stat().st_size for p in files) / 1e6


@pytest.mark.skipif(sys.platform != "linux", reason="ELF files are Linux's")
def test_no_library_is_asked_for_that_a_bare_debian_lacks() -> None:
    asked = asked_of_the_system(files_of(closure(NEEDED)))
    assert "libc.so.6" in asked  # the walk has seen libraries
    assert {k: v for k, v in asked.items() if k not in BASE} == {}


@pytest.mark.cad
@pytest.mark.skipif(sys.platform != "linux", reason="ELF files are Linux's")
def test_the_walk_finds_what_the_kernel_asks_for() -> None:
    """The README's reason for `libgl1 libx11-6` with the extra `cad`."""
    assert {"libGL.so.1", "libX11.so.6"} <= asked_of_the_system(files_of(closure(CAD))).keys()


def test_the_packages_are_small() -> None:
    found = closure(NEEDED)
    assert not {"cadquery", "cadquery-ocp", "vtk"} & found.keys()
    assert 50 < megabytes(files_of(found)) < LIMIT_MB


def test_the_readme_says_how_small() -> None:
    """Measured with `du` in an environment of its own; here by the files' own sizes, at most a
    fifth more, since packages come in other versions; the oldest ones are smaller."""
    text = (ROOT / "README.md").read_text("utf-8")
    (told,) = re.findall(r"The (\d+) packages \(mandrelgen itself among them\) take (\d+) MB", text)
    found = closure(NEEDED)
    assert abs(len(found) + 1 - int(told[0])) <= 3
    assert 0.6 * int(told[1]) < megabytes(files_of(found)) < 1.2 * int(told[1])


@pytest.mark.skipif(not LIGHT, reason="only in an environment of its own: MANDRELGEN_LIGHT=1")
def test_the_environment_is_light() -> None:
    assert importlib.util.find_spec("cadquery") is None
    assert importlib.util.find_spec("OCP") is None


# `python -c` with the kernel hidden from import, as if it were not installed.
HIDDEN = (
    "import sys\n"
    "class Hidden:\n"
    "    def find_spec(self, name, path=None, target=None):\n"
    "        if name.partition('.')[0] in ('cadquery', 'OCP'):\n"
    "            raise ModuleNotFoundError(f'No module named {name!r}', name=name)\n"
    "sys.meta_path.insert(0, Hidden())\n"
)
MAIN = "from mandrelgen.__main__ import main\nmain()\n"
PEN = str(TEMPLATES / "pens" / "heron.toml")
SHOP = ("--shop", str(TEMPLATES / "shops" / "bench.toml"))


def run(folder: Path, script: str, *args: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", HIDDEN + script, *args],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_main_job_needs_no_kernel(tmp_path: Path) -> None:
    checked = run(tmp_path, MAIN, "check", PEN, *SHOP)
    assert checked.returncode == 0, checked.stderr
    made = run(tmp_path, MAIN, "make", PEN, *SHOP, "--to", "out")
    assert made.returncode == 0, made.stderr
    endings = {p.suffix for p in (tmp_path / "out" / "MG-0001" / "A").iterdir()}
    assert endings >= {".pdf", ".dxf", ".svg", ".png", ".step", ".stl", ".3mf", ".json"}
    assert "No module" not in made.stderr


@pytest.mark.parametrize(
    ("args", "what"),
    [
        (("--prove",), "--prove"),
        (("--prove", "--workers", "1"), "--prove"),
        (("--only", "step,assembly"), "the format assembly"),
    ],
)
def test_what_needs_the_kernel_says_in_one_line_how_to_install_it(
    tmp_path: Path, args: tuple[str, ...], what: str
) -> None:
    done = run(tmp_path, MAIN, "make", PEN, *SHOP, "--to", "out", *args)
    assert done.returncode == 2
    assert done.stderr.splitlines() == [
        f"error: {what}: {what} needs the CAD kernel, which is not installed → {INSTALL}"
    ]
    assert not (tmp_path / "out").exists()


def test_a_library_of_the_system_that_is_missing_is_told_too(tmp_path: Path) -> None:
    broken = (
        "import types\n"
        "class Broken:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'cadquery':\n"
        "            raise ImportError('libGL.so.1: cannot open shared object file')\n"
        "sys.meta_path.insert(0, Broken())\n"
    )
    done = run(tmp_path, broken + MAIN, "make", PEN, *SHOP, "--prove")
    assert done.returncode == 2
    (line,) = done.stderr.splitlines()
    assert "libGL.so.1" in line
    assert "apt-get install libgl1 libx11-6" in line


# Flats through a cone are the one shape that no writer of ours describes.
CONE = """
from mandrelgen.core.errors import InputError
from mandrelgen.files.writers import step, stl
from mandrelgen.geometry.mesh.build import build
from mandrelgen.model.half_section import chain
from mandrelgen.model.mandrel import Flats, Stretch
part = chain((Stretch("a", 0, 5, 10, 10), Stretch("b", 5, 9, 10, 14)), (), Flats(2, 7, 9))
print(len(stl.write(build(part), "part")) > 1000)
try:
    step.write(part, number="X", description="x", timestamp="2026-05-31T00:00:00")
except InputError as e:
    print(e)
"""


def test_flats_through_a_cone_are_meshed_without_the_kernel_and_told_for_step(
    tmp_path: Path,
) -> None:
    meshed, said = run(tmp_path, CONE).stdout.splitlines()
    assert meshed == "True"
    assert said.startswith("error: flats through a cone or a bore")
    assert said.endswith(INSTALL)


def test_to_cadquery_without_the_kernel_says_how_to_install_it(tmp_path: Path) -> None:
    script = (
        "import mandrelgen\n"
        f"pen = mandrelgen.read_pen({PEN!r}, {SHOP[1]!r})\n"
        "try:\n"
        "    mandrelgen.to_cadquery(mandrelgen.design_pen(pen)[0])\n"
        "except mandrelgen.InputError as e:\n"
        "    print(e)\n"
    )
    assert run(tmp_path, script).stdout.strip().endswith(INSTALL)
