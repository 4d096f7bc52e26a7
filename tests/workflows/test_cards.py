"""The maker's cards of a pen in its archive: written by each ``make``, whatever is ordered; never a
record, never over what stands in their place."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from mandrelgen.cli.app import main
from mandrelgen.spec.starters import starter
from tests.support.archived import DAY
from tests.support.killing import without_drawings
from tests.support.own_mandrels import starter_pen, with_tools


def run(folder: Path, *args: str) -> Result:
    return CliRunner().invoke(
        main, ["make", str(folder / "pen.toml"), "--to", str(folder / "a"), "--date", DAY,
               "--workers", "1", *args]
    )  # fmt: skip


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """The heron, whose maker owns every tap and die: nothing is ordered."""
    (tmp_path / "pen.toml").write_bytes(starter("pen", "heron"))
    own = with_tools(*starter_pen("heron"))
    tools = [f'\n[[{k}]]\nthread = "{t.thread}"' for k, row in
             (("taps", own.taps), ("dies", own.dies)) for t in row]  # fmt: skip
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench") + "\n".join(tools).encode())
    return tmp_path


def state(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {p.name: (p.read_bytes(), p.stat().st_mtime_ns) for p in folder.iterdir()}


def test_the_route_is_written_although_nothing_is_ordered(bench: Path) -> None:
    done = run(bench, "--json")
    assert done.exit_code == 0, done.output
    view: Any = json.loads(done.stdout)
    assert view["order"] is None
    folder = Path(view["cards"])
    assert folder == bench / "a" / "cards" / "heron"
    reader = PdfReader(io.BytesIO((folder / "route-card.pdf").read_bytes()))
    assert len(reader.pages) == 1
    text = " ".join(reader.pages[0].extract_text().split())
    assert "Route card: Heron" in text
    pieces = PdfReader(io.BytesIO((folder / "test-pieces.pdf").read_bytes()))
    assert len(pieces.pages) == 1
    for m in view["mandrels"]:
        assert f"{m['number']} {m['revision']}" in text
    before = state(folder)
    again = run(bench)
    assert again.exit_code == 0, again.output
    assert f"): {folder}" in again.stdout
    assert state(folder) == before  # what did not change is left as it is
    sound = CliRunner().invoke(main, ["verify", str(bench / "a")])
    assert sound.exit_code == 0, sound.output


def test_a_card_that_was_lost_comes_again_and_a_foreign_one_beside_it_stays(
    bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    without_drawings(monkeypatch)
    assert run(bench).exit_code == 0
    folder = bench / "a" / "cards" / "heron"
    (folder / "route-card.pdf").unlink()
    (folder / "my-notes.txt").write_text("wax the thread", "utf-8")
    assert run(bench).exit_code == 0
    assert (folder / "route-card.pdf").is_file()
    assert (folder / "my-notes.txt").read_text("utf-8") == "wax the thread"


@pytest.mark.parametrize("what", ["file", "link"])
def test_what_stands_in_the_cards_place_is_told_and_left(
    bench: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    without_drawings(monkeypatch)
    (bench / "a").mkdir()
    (bench / "elsewhere").mkdir()
    place = bench / "a" / "cards"
    if what == "file":
        place.write_text("mine", "utf-8")
    else:
        place.symlink_to(bench / "elsewhere")
    done = run(bench)
    assert done.exit_code == 3
    assert "where the cards' folder belongs" in done.output
    assert list((bench / "elsewhere").iterdir()) == []
    if what == "file":
        assert place.read_text("utf-8") == "mine"
