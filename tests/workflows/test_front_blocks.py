"""A larger archive's cards stand in blocks beside the page: a change makes one anew and no more."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from mandrelgen.archive import front as sealing
from mandrelgen.archive import index_schema, root
from mandrelgen.archive.naming import FRONT
from mandrelgen.archive.verify import verify
from mandrelgen.cli.app import main
from mandrelgen.workflows.catalogue import front
from tests.support.archived import DAY, SPIGOT, publish_pen
from tests.support.cataloguing import browser

NUMBERS = [f"MG-{n:04d}" for n in range(1, 8)]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("blocks") / "a"
    publish_pen(folder, "heron", SPIGOT)
    publish_pen(folder, "wren", "")
    return folder


@pytest.fixture
def archive(whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Seven fixtures, three to a block: numbers 1 and 2, 3 to 5, 6 and 7."""
    for module in (index_schema, front):
        monkeypatch.setattr(module, "BLOCK", 3)
    shutil.copytree(whole, tmp_path / "a")
    assert front.refresh(tmp_path / "a") == ()
    return tmp_path / "a"


def blocks(archive: Path) -> dict[str, list[str]]:
    """The blocks that the page names, in its order, and the numbers in each, read as the browser
    does."""
    page = (archive / FRONT).read_text("utf-8")
    found = {}
    for name in re.findall(r'<script src="catalogue/blocks/([^"]+)">', page):
        text = (archive / sealing.BLOCKS / name).read_text("utf-8")
        match = re.fullmatch(r"mandrelgenBlock\((.*)\);\n", text, re.DOTALL)
        assert match
        value = json.loads(match[1])
        found[name] = [d["number"] for d in value["data"]]
        assert re.findall(r'<li class="card" id="([^"]+)">', value["html"]) == found[name]
    return found


def book(archive: Path, number: str, state: str) -> None:
    words = ["book", number, state, "--to", str(archive), "--date", DAY]
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 0, done.output


def test_every_fixture_is_in_one_block_and_none_in_the_page(archive: Path) -> None:
    assert list(blocks(archive).values()) == [NUMBERS[:2], NUMBERS[2:5], NUMBERS[5:]]
    page = (archive / FRONT).read_text("utf-8")
    assert '<li class="card"' not in page
    assert "7 mandrels, MG-0001 to MG-0007" in page
    assert verify(root.open_root(archive)) == ()


def test_a_state_makes_its_block_anew_and_leaves_the_others(archive: Path) -> None:
    before = blocks(archive)
    marks = {n: (archive / sealing.BLOCKS / n).stat().st_mtime_ns for n in before}
    book(archive, "MG-0004", "ordered")
    after = blocks(archive)
    kept = [a == b for a, b in zip(before, after, strict=True)]
    assert kept == [True, False, True]
    there = {p.name: p.stat().st_mtime_ns for p in (archive / sealing.BLOCKS).iterdir()}
    assert set(there) == set(after), "the old one is gone"
    assert all(there[n] == marks[n] for n in before if n in there)
    changed = (archive / sealing.BLOCKS / list(after)[1]).read_text("utf-8")
    assert changed.count(">ordered<") == 1


def test_nothing_is_written_when_nothing_changed(archive: Path) -> None:
    def marks() -> dict[Path, int]:
        files = [archive / FRONT, *(archive / sealing.BLOCKS).iterdir()]
        return {p: p.stat().st_mtime_ns for p in files}

    before = marks()
    assert front.refresh(archive) == ()
    assert marks() == before


def test_the_index_may_go_and_the_bytes_stay_the_same(archive: Path) -> None:
    before = (archive / FRONT).read_bytes()
    shutil.rmtree(archive / ".cache")
    assert front.refresh(archive) == ()
    assert (archive / FRONT).read_bytes() == before


def test_another_edition_of_the_program_makes_every_block_anew(
    archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = []
    block = front.Templates.block
    monkeypatch.setattr(front.Templates, "block", lambda s, c: made.append(1) or block(s, c))
    assert front.refresh(archive) == ()
    assert made == []
    monkeypatch.setattr(front.Templates, "edition", "another0")
    assert front.refresh(archive) == ()
    assert len(made) == 3


def test_a_lost_or_damaged_block_is_told_and_made_again(archive: Path) -> None:
    lost, cut, _ = (archive / sealing.BLOCKS / n for n in blocks(archive))
    before = cut.read_bytes()
    lost.unlink()
    cut.write_bytes(before[:-9])
    said = sorted(f.line() for f in verify(root.open_root(archive)))
    assert len(said) == 2
    assert any(f"{lost.name}: missing" in x for x in said)
    assert any(f"{cut.name}: changed" in x for x in said)
    assert front.refresh(archive) == ()
    assert lost.exists(), "the next run brings back what is lost"
    assert CliRunner().invoke(main, ["catalogue", str(archive)]).exit_code == 0
    assert verify(root.open_root(archive)) == ()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    yield from browser()


def test_a_browser_shows_and_finds_what_stands_in_blocks(archive: Path, chromium: Any) -> None:
    chromium.get((archive / FRONT).as_uri())
    shown = "return [...document.querySelectorAll('.card')].filter(c => !c.hidden).map(c => c.id)"
    assert chromium.execute_script(shown) == NUMBERS
    assert not chromium.find_element("id", "lost").is_displayed()
    chromium.find_element("id", "words").send_keys("finial")
    # By eye from the starter: the heron's finial is its second mandrel.
    assert chromium.execute_script(shown) == ["MG-0002"]
    (archive / sealing.BLOCKS / list(blocks(archive))[1]).unlink()
    chromium.get((archive / FRONT).as_uri())
    assert chromium.execute_script(shown) == NUMBERS[:2] + NUMBERS[5:]
    assert chromium.find_element("id", "lost").is_displayed()
    chromium.get_log("browser")  # it notes the file it did not find
