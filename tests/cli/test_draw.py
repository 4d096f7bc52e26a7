"""``draw``: the file asked for, or a sentence that says what is allowed."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from mandrelgen.cli.app import main
from mandrelgen.spec.starters import starter


@pytest.fixture
def pen(tmp_path: Path) -> Path:
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    path = tmp_path / "heron.toml"
    path.write_bytes(starter("pen", "heron"))
    return path


@pytest.mark.parametrize(("ending", "head"), [(".svg", b"<?xml"), (".pdf", b"%PDF")])
def test_draw_writes_the_file_that_is_asked_for(pen: Path, ending: str, head: bytes) -> None:
    target = pen.with_name(f"picture{ending}")
    done = CliRunner().invoke(main, ["draw", str(pen), "--to", str(target)])
    assert done.exit_code == 0, done.output
    assert target.read_bytes().startswith(head)
    assert "turns to close" in done.output


def test_a_state_that_the_file_does_not_know_is_told(pen: Path) -> None:
    done = CliRunner().invoke(main, ["draw", str(pen), "--state", "posted"])
    assert done.exit_code == 2
    assert "choose one of: apart, capped" in done.output
    assert not pen.with_suffix(".svg").exists()


def test_another_ending_is_told(pen: Path) -> None:
    done = CliRunner().invoke(main, ["draw", str(pen), "--to", str(pen.with_name("x.png"))])
    assert done.exit_code == 2
    assert ".svg or .pdf" in done.output
