"""A thread in a spelling that the border accepts is read alike by all that comes after it."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.spec.starters import starter
from mandrelgen.standards.thread_spelling import read_thread
from tests.support.commands import here

AS_TYPED = ("M9x-.75", "9 mm x 0,75 mm", "m 9 by .75", "M9 X 0.75")


@pytest.mark.parametrize("text", AS_TYPED)
def test_a_pen_of_one_free_thread(tmp_path: Path, text: str) -> None:
    """Found by damaged files: M9x-.75, not joined to another, ended in a traceback."""
    assert read_thread(text).text == "M9x0.75"
    pen = starter("pen", "avocet").decode().replace('thread = "M9x0.75"', f'thread = "{text}"')
    assert text in pen
    (tmp_path / "avocet.toml").write_text(pen, "utf-8")
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    plain = tmp_path / "plain"
    plain.mkdir()
    (plain / "avocet.toml").write_bytes(starter("pen", "avocet"))
    (plain / "shop.toml").write_bytes(starter("shop", "bench"))
    for words in (("check", "avocet.toml", "--all"), ("draw", "avocet.toml", "--to", "drawn.svg")):
        found, usual = here(*words, cwd=tmp_path), here(*words, cwd=plain)
        assert found.returncode == usual.returncode == 0, found.stderr
        assert found.stdout == usual.stdout


@pytest.mark.parametrize("text", ["M7.6x-.75", "7,6 by 0,75"])
def test_a_pen_whose_joint_is_spelled_so(tmp_path: Path, text: str) -> None:
    pen = starter("pen", "wren").decode()
    assert pen.count("M7.6x0.75") > 1
    (tmp_path / "wren.toml").write_text(pen.replace("M7.6x0.75", text), "utf-8")
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    found = here("check", "wren.toml", "--all", cwd=tmp_path)
    assert found.returncode == 0, found.stderr
    assert "M7.6x0.75-6g" in found.stdout
