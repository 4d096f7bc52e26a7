"""A pen that leads to no mandrel says so, and why; a part that gets none is named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mandrelgen.cli.app import main

HEAD = """schema = 1
[pen]
id = "bare"
name = "Bare"
[parts.cap]
length = 65.0
diameter = 14.6
[parts.cap.ends.mouth]
diameter = 14.2
"""
BORED = '[[parts.cap.ends.mouth.bore]]\ndiameter = 10.0\ndepth = 40.0\nmade = "reamed"\n'
FINIAL = "[parts.finial]\nlength = 12.0\ndiameter = 14.0\n"
OTHER = FINIAL + "[parts.finial.ends.root]\ndiameter = 14.0\n"


def said(tmp_path: Path, text: str, *command: str) -> Result:
    file = tmp_path / "pen.toml"
    file.write_text(text, encoding="utf-8")
    return CliRunner().invoke(main, [command[0], str(file), *command[1:]])


@pytest.mark.parametrize("command", ["check", "make"])
def test_a_pen_without_thread_or_bore_is_refused_in_words(tmp_path: Path, command: str) -> None:
    more = ["--to", str(tmp_path / "to")] if command == "make" else []
    result = said(tmp_path, HEAD + OTHER, command, *more)
    assert result.exit_code == 1
    assert "nothing to hold any part by (cap, finial)" in result.output
    assert "thread" in result.output.split("→")[1]
    assert not (tmp_path / "to").exists()


def test_a_pen_that_forbids_every_mandrel_is_refused_in_words(tmp_path: Path) -> None:
    result = said(tmp_path, HEAD + BORED + "[mandrels]\nall_needed = false\n", "check")
    assert result.exit_code == 1
    assert "all_needed" in result.output.split("→")[1]


def test_a_part_without_a_mandrel_is_named_and_the_others_are_made(tmp_path: Path) -> None:
    result = said(tmp_path, HEAD + BORED + OTHER, "check", "--json")
    assert result.exit_code == 0, result.output
    found = json.loads(result.stdout)
    assert [m["id"] for m in found["mandrels"]] == ["cap-mouth-spigot"]
    named = [f for f in found["findings"] if f["code"] == "pen.not_held"]
    assert [(f["level"], f["where"]) for f in named] == [("note", "parts.finial")]


def test_a_part_that_nobody_asked_to_hold_is_not_blamed(tmp_path: Path) -> None:
    asked = '[[mandrels.requests]]\nholds = "cap.mouth"\n'
    result = said(tmp_path, HEAD + BORED + OTHER + asked, "check", "--json")
    assert result.exit_code == 0, result.output
    assert not [f for f in json.loads(result.stdout)["findings"] if f["code"] == "pen.not_held"]


def test_a_part_that_is_left_out_is_not_blamed_either(tmp_path: Path) -> None:
    skipped = '[mandrels]\nskip = ["finial"]\n'
    result = said(tmp_path, HEAD + BORED + OTHER + skipped, "check", "--json")
    assert result.exit_code == 0, result.output
    assert not [f for f in json.loads(result.stdout)["findings"] if f["code"] == "pen.not_held"]
    result = said(tmp_path, HEAD + BORED + '[mandrels]\nskip = ["cap"]\n', "check")
    assert result.exit_code == 1
    assert "every part is left out" in result.output
