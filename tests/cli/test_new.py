"""``new``: asks on a terminal (driven through a pseudo-terminal), takes options from scripts."""

from __future__ import annotations

import os
import re
import select
import sys
import time
import tomllib
from pathlib import Path

import pytest

from mandrelgen.core.errors import InputError
from mandrelgen.spec.placeholders import STARTERS_NAMES
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.starters import starter_names
from mandrelgen.workflows import new_pen
from tests.cli.test_cli import run

pty = pytest.importorskip("pty", reason="no pseudo-terminals on this system")


def session(folder: Path, name: str, answers: list[tuple[str, str]]) -> str:
    """Run ``new NAME`` on a terminal of its own; each answer is typed once its question stands
    there. What the screen showed. Raises AssertionError for a question that does not come."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(folder)
        os.environ["PYTHONIOENCODING"] = "utf-8"
        os.execv(sys.executable, [sys.executable, "-m", "mandrelgen", "new", name])
    seen, at = "", 0
    try:
        for question, answer in answers:
            seen = _until(terminal, seen, at, question)
            at = len(seen)
            os.write(terminal, answer.encode() + b"\n")
        seen = _until(terminal, seen, at, "next: mandrelgen check")
    finally:
        os.close(terminal)
        os.waitpid(pid, 0)
    return seen


def _until(terminal: int, seen: str, at: int, wanted: str) -> str:
    end = time.monotonic() + 60
    while not re.search(wanted, seen[at:]):
        assert time.monotonic() < end, f"{wanted!r} did not come; the screen showed:\n{seen}"
        if select.select([terminal], [], [], 1)[0]:
            try:
                seen += os.read(terminal, 4096).decode("utf-8", "replace")
            except OSError:
                break
    assert re.search(wanted, seen[at:]), seen
    return seen


def test_a_maker_is_asked_in_the_order_of_the_work(tmp_path: Path) -> None:
    seen = session(
        tmp_path, "my-pen",
        [
            (r"Name of the pen \[My pen\]", "Evening pen"),
            (r"Which parts \[cap, barrel, section\]", ""),
            (r"Thread, cap on the barrel \[\?\]", "12.5 x"),       # refused, and asked again
            (r"Thread, cap on the barrel \[\?\]", "11x0.75"),
            (r"read as", ""),
            (r"How long is its tenon.*\]", "6"),
            (r"Thread, section into barrel \[\?\]", "?"),           # not known
            (r"How deep.*\]", ""),
            (r"How long.*\]", "7"),
            (r"Length of the cap.*\]", "480"),                      # a 480 for a 48
            (r"480 mm\? Not 48.*\]", "n"),
            (r"Length of the cap.*\]", "48"),
            (r"Diameter of the cap.*\]", "13,4"),
            (r"Which hole does the cap.*\]", "10.25"),
            (r"How deep is the cap's hole.*\]", "41"),
            (r"Length of the barrel.*\]", "58"),
            (r"Diameter of the barrel.*\]", "12.4"),
            (r"Which hole does the barrel.*\]", "?"),
            (r"Length of the section.*\]", "24"),
            (r"Diameter of the section.*\]", "9.9"),
            (r"Which hole does the section.*\]", "5.2"),
        ],
    )  # fmt: skip
    assert "I don't know" in seen
    text = (tmp_path / "my-pen.toml").read_text("utf-8")
    written = tomllib.loads(text)
    assert written["pen"] == {"id": "my-pen", "name": "Evening pen"}
    assert list(written["joints"]) == ["cap", "section"]
    assert written["joints"]["cap"]["thread"] == "11x0.75"
    assert written["parts"]["cap"]["diameter"] == 13.4
    assert written["parts"]["section"]["through"] == 5.2
    assert "thread" not in written["joints"]["section"]
    assert "# thread = " in text
    assert not any(name in text for name in STARTERS_NAMES)
    with pytest.raises(InputError) as caught:
        read_pen(text.encode(), "my-pen.toml")
    assert "joints.section.thread" in {f.where.split()[-1] for f in caught.value.findings}


FULL = (
    "--parts", "cap,barrel,section", "--thread", "cap=M11x0.75", "--thread", "section=7.6 x 0.75",
    "--tenon", "cap=6", "--tenon", "section=7", "--depth", "cap=8", "--depth", "section=9.5",
    "--size", "cap=48x13.4", "--size", "barrel=58x12.4", "--size", "section=24x9.9",
    "--hole", "cap=10.25x41", "--hole", "barrel=6.8x46", "--hole", "section=5.2",
)  # fmt: skip


def test_a_script_says_it_in_options_and_the_pen_can_be_checked(tmp_path: Path) -> None:
    done = run("new", "my-pen", *FULL, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    lines = (tmp_path / "my-pen.toml").read_text("utf-8").splitlines()
    assert lines[0] == "#:schema ./schema/pen.schema.json"
    assert (tmp_path / "schema" / "pen.schema.json").exists()
    assert all("#" in line or not line or line.startswith("[") for line in lines)
    checked = run("check", cwd=tmp_path)  # the one pen here
    assert checked.returncode == 0, checked.stdout + checked.stderr
    assert "My pen: 3 to order" in checked.stdout


def test_one_thread_alone_is_a_pen_of_one_part(tmp_path: Path) -> None:
    done = run("new", "one", "--thread", "barrel=M9x0.75", "--depth", "barrel=11",
               "--size", "barrel=80x13", cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    pen = read_pen((tmp_path / "one.toml").read_bytes(), "one.toml")
    assert pen.parts["barrel"].ends["mouth"].internal is not None


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--parts", "cap,barrel", "--thread", "section=M9x0.75"), "there is no such joint"),
        (("--thread", "barrel=M9 by what"), "M9 by what"),
        (("--thread", "M9x0.75"), "is not NAME=VALUE"),
        (("--parts", "Cap Top"), "is not a name for a part"),
        (("--parts", "cap,barrel", "--size", "cap=60"), "is not two sizes"),
        (("--parts", "cap,barrel", "--depth", "cap=-3"), "-3"),
        (("--parts", "cap,barrel", "--hole", "lid=3x4"), "there is no such part"),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_written(
    tmp_path: Path, args: tuple[str, ...], words: str
) -> None:
    done = run("new", "my-pen", *args, cwd=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", starter_names("pen"))
def test_a_starter_under_another_name_carries_nobodys_name(tmp_path: Path, name: str) -> None:
    new_pen.start("my-own", name, tmp_path)
    for file in ("my-own.toml", "shop.toml"):
        text = (tmp_path / file).read_text("utf-8")
        assert not any(n in text for n in STARTERS_NAMES), file
    assert read_pen((tmp_path / "my-own.toml").read_bytes(), "x").pen.id == "my-own"


def test_an_old_fixture_has_a_starter_that_adopt_takes(tmp_path: Path) -> None:
    assert run("new", "drawer-plug", "--starter", "old-fixture", cwd=tmp_path).returncode == 0
    assert not (tmp_path / "shop.toml").exists()
    done = run("adopt", "drawer-plug.toml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "MG-0001" in done.stdout
