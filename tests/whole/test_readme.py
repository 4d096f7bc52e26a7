"""What the README shows is true: its commands run, its excerpt stands in the starter, its links
lead somewhere."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import click
import pytest

from mandrelgen.cli import app
from tests.paths import ROOT

CONTEXT = click.Context(app.main)
COMMANDS = {n: app.main.get_command(CONTEXT, n) for n in app.main.list_commands(CONTEXT)}
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", TEXT, re.S)


def _shell_lines() -> list[str]:
    return [
        line
        for kind, block in BLOCKS
        if kind == "sh"
        for line in block.splitlines()
        if line.strip()
    ]


def _ours(line: str) -> list[str]:
    """The arguments of the mandrelgen command in a shell line, or nothing."""
    words = shlex.split(line, comments=True)
    for n, word in enumerate(words):
        if word.rsplit("/", 1)[-1] == "mandrelgen":
            return words[n + 1 :]
    return []


def test_the_first_command_makes_the_packages_it_promises(tmp_path: Path) -> None:
    line = next(x for x in _shell_lines() if x.startswith("python3 -m venv") and "make" in x)
    shutil.copytree(ROOT / "templates", tmp_path / "templates")
    done = subprocess.run(
        [sys.executable, "-m", "mandrelgen", *_ours(line)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    folder = re.search(r"`(output/MG-\d+/A/)` holds", TEXT)
    assert folder is not None
    assert {p.suffix for p in (tmp_path / folder[1]).iterdir()} >= {".pdf", ".dxf", ".step", ".stl"}


def test_the_second_command_is_the_one_that_ci_runs() -> None:
    line = next(x for x in _shell_lines() if "pytest" in x)
    assert "pip install --quiet -e '.[test]'" in line
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "-e '.[test]'" in run
    assert "\npython -m pytest\n" in run + "\n"


@pytest.mark.parametrize("line", [x for x in _shell_lines() if _ours(x)])
def test_every_command_shown_is_one_with_those_options(line: str) -> None:
    words = _ours(line)
    command = COMMANDS[words[0]]
    options = {o for p in command.params if isinstance(p, click.Option) for o in p.opts}
    assert {w for w in words[1:] if w.startswith("--")} <= options


def test_every_command_is_in_the_readme() -> None:
    for name in COMMANDS:
        assert f"`{name} " in TEXT or f"`{name}`" in TEXT, name


def test_the_excerpt_stands_in_the_starter_as_shown() -> None:
    shown = tomllib.loads(next(block for kind, block in BLOCKS if kind == "toml"))
    starter = tomllib.loads((ROOT / "templates/pens/heron.toml").read_text(encoding="utf-8"))
    excerpt = shown["parts"]["barrel"]["ends"]["mouth"]["internal"]
    assert excerpt.items() <= starter["parts"]["barrel"]["ends"]["mouth"]["internal"].items()


def test_every_link_leads_somewhere() -> None:
    for target in re.findall(r"\]\(([^)#:]+)\)", TEXT):
        assert (ROOT / target).exists(), target


def test_the_shortest_file_stands_in_the_readme_as_the_starter_has_it() -> None:
    blocks = [block for kind, block in BLOCKS if kind == "toml"]
    starter = (ROOT / "templates/pens/avocet.toml").read_text(encoding="utf-8")
    assert starter.strip() in [b.strip() for b in blocks]


def test_the_screen_that_is_shown_is_what_check_prints(tmp_path: Path) -> None:
    (shown,) = re.findall(r"<!-- check of the heron -->\n```text\n(.*?)```", TEXT, re.S)
    pen, shop = ROOT / "templates/pens/heron.toml", ROOT / "templates/shops/bench.toml"
    done = subprocess.run(
        [sys.executable, "-m", "mandrelgen", "check", str(pen), "--shop", str(shop)],
        cwd=tmp_path, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout == shown
    assert len(shown.splitlines()) <= 30
