"""Completion as the README tells it, and the commands grouped by what a person is doing."""

from __future__ import annotations

import importlib
import os
import pkgutil
import subprocess
import sys

import click
import pytest

from mandrelgen.cli import commands
from mandrelgen.cli.app import BY_PURPOSE, main
from tests.paths import ROOT
from tests.support.commands import here


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_readme_tells_how_a_shell_completes(shell: str) -> None:
    told = f"_MANDRELGEN_COMPLETE={shell}_source mandrelgen"
    assert told in (ROOT / "README.md").read_text("utf-8")
    words = {"COMP_WORDS": "mandrelgen ch", "COMP_CWORD": "1"}
    if shell == "fish":
        words = {"COMP_WORDS": "mandrelgen", "COMP_CWORD": "ch"}
    begun = "import sys; sys.argv = ['mandrelgen']; from mandrelgen.__main__ import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", begun], capture_output=True, text=True, check=False, timeout=60,
        env={**os.environ, "_MANDRELGEN_COMPLETE": f"{shell}_complete", **words},
    )  # fmt: skip
    assert "check" in done.stdout


def test_every_command_stands_once_under_what_it_is_for() -> None:
    written = []
    for module in pkgutil.iter_modules(commands.__path__):
        held = vars(importlib.import_module(f"{commands.__name__}.{module.name}")).values()
        written += [c.name for c in held if isinstance(c, click.Command)]
    grouped = [name for _, named in BY_PURPOSE for name in named]
    assert sorted(grouped) == sorted(written)
    context = click.Context(main)
    for name in grouped:
        found = main.get_command(context, name)
        assert found is not None
        assert found.name == name
    assert main.get_command(context, "no-such-command") is None
    shown = here("--help").stdout
    assert all(f"{title}:" in shown for title, _ in BY_PURPOSE)


def test_no_printer_named_offers_those_there_are() -> None:
    done = here("coupon")
    assert done.returncode == 2
    assert "fdm-04, fdm-025, resin" in done.stderr
