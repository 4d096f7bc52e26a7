"""Eight processes at once, a clock that goes back, a folder that goes, one that is read-only:
commands as a person gives them, on real files, drawings left out."""

from __future__ import annotations

import os
import shutil
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from mandrelgen.archive.disk.files import temp_path
from mandrelgen.archive.query import Query
from mandrelgen.cli.app import main
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import exchange, search
from tests.support.archived import DAY, publish_pen
from tests.support.disk_calls import in_child
from tests.support.killing import check_whole, kept_tree, records, run, without_drawings
from tests.support.renamed import renamed

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An archive ``to`` with the bittern's fixtures, the wren's pen file, a shop, an export."""
    without_drawings(monkeypatch)
    publish_pen(tmp_path / "to", "bittern")
    publish_pen(tmp_path / "other", "heron")
    exchange.export_to(tmp_path / "other", (), tmp_path / "other.zip")
    (tmp_path / "pen.toml").write_bytes(starter("pen", "wren"))
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    return tmp_path


def make(house: Path, pen: str = "pen.toml") -> list[str]:
    return ["make", str(house / pen), "--again", "--date", DAY, "--to", str(house / "to")]


def test_eight_processes_give_no_number_twice_and_lose_nothing(house: Path) -> None:
    before = kept_tree(house / "to")
    for n in range(6):
        text = renamed("wren", f"wren{n}")
        (house / f"{n}.toml").write_text(text, encoding="utf-8")
    jobs = [make(house, f"{n}.toml") for n in range(6)]
    jobs += [["import", str(house / "other.zip"), "--to", str(house / "to")]]
    jobs += [["reindex", str(house / "to")]]
    codes: list[int] = []
    threads = [threading.Thread(target=lambda j=job: codes.append(run(j))) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert codes == [0] * 8
    check_whole(house / "to", before)
    pens = [r["slot"]["pen"] for _, r in records(house / "to")]
    each = {pens.count(f"wren{n}") for n in range(6)}
    assert len(each) == 1
    assert each.pop() >= 3
    assert len(pens) == len(search.find(house / "to", Query()).rows)


def test_a_clock_that_goes_back_changes_nothing(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = house / "to"
    search.reindex(root)
    before = kept_tree(root)
    monkeypatch.setattr(time, "time", lambda: 1e9)  # 2001: everything there is from the future
    assert run(["release", "MG-0001", "--date", "2001-09-09", "--to", str(root)]) == 0
    assert run(make(house)) == 0
    os.utime(root, (1e9, 1e9))
    for path in root.glob("MG-*"):
        os.utime(path, (1e9, 1e9))
    check_whole(root, before)
    rows = search.find(root, Query()).rows
    assert len(rows) == len(list(records(root)))
    assert {r.status for r in rows if r.name == "MG-0001 A"} == {"released"}


def _command(name: str, house: Path, root: Path) -> list[str]:
    return {
        "make": [*make(house)[:-1], str(root)],
        "import": ["import", str(house / "other.zip"), "--to", str(root)],
        "release": ["release", "MG-0001", "--date", DAY, "--to", str(root)],
        "reindex": ["reindex", str(root)],
    }[name]


@pytest.fixture
def open_house(house: Path) -> Iterator[Path]:
    """The same where another user may come: pytest shuts its own folders again whenever another run
    of tests begins on the machine."""
    with tempfile.TemporaryDirectory() as place:
        shutil.copytree(house, Path(place) / "house")
        yield Path(place) / "house"


@pytest.mark.parametrize("command", ["make", "import", "release", "reindex"])
def test_a_read_only_archive_is_told_and_stays(open_house: Path, command: str) -> None:
    house = open_house
    root = house / "to"
    before = kept_tree(root)
    args = _command(command, house, root)
    shutil.copytree(root, house / "loaded")
    folders = [root, *(p for p in root.rglob("*") if p.is_dir())]
    for folder in folders:
        folder.chmod(0o555)
    home = house
    while home.stat().st_mode & 0o005 != 0o005:  # let another user come this far
        home.chmod(home.stat().st_mode | 0o055)
        home = home.parent

    # What the command imports late is loaded first: the other user may not read our Python.
    loaded = CliRunner().invoke(main, _command(command, house, house / "loaded"))
    assert loaded.exit_code == 0, loaded.output

    def as_nobody() -> None:
        if os.getuid() == 0:  # root may write everywhere
            os.setuid(65534)
        os._exit(run(args))

    try:
        assert in_child(as_nobody) == 3  # the exit code for the disk, so no traceback (1)
    finally:
        for folder in folders:
            folder.chmod(0o755)
    assert kept_tree(root) == before


@pytest.mark.parametrize("at", [0.01, 0.1, 0.3, 0.6])
@pytest.mark.parametrize("command", ["make", "import", "reindex"])
def test_an_archive_removed_while_running_is_told(house: Path, command: str, at: float) -> None:
    """Whatever the moment: done, or told with the disk's exit code (2: gone before it began); never
    a traceback (1)."""
    args = {
        "make": make(house),
        "import": ["import", str(house / "other.zip"), "--to", str(house / "to")],
        "reindex": ["reindex", str(house / "to")],
    }[command]
    codes: list[int] = []
    worker = threading.Thread(target=lambda: codes.append(run(args)))
    worker.start()
    time.sleep(at)
    shutil.rmtree(house / "to", ignore_errors=True)
    worker.join()
    assert codes[0] in ((0, 2, 3) if command == "reindex" else (0, 3))


@pytest.mark.parametrize(
    "command", ["make", "make, all there", "import", "release", "withdraw", "receive", "reindex"]
)
def test_what_a_killed_run_left_is_swept_by_whatever_writes_next(house: Path, command: str) -> None:
    """The temporary files of dead runs; those of a run that lives stay."""
    root = house / "to"
    reading = ["--reading", "shank.diameter=12@micrometer"]
    args = {
        "make": make(house),
        "make, all there": make(house),
        "import": ["import", str(house / "other.zip"), "--to", str(root)],
        "release": ["release", "MG-0001", "--date", DAY, "--to", str(root)],
        "withdraw": ["withdraw", "MG-0001", "--note", "lost", "--date", DAY, "--to", str(root)],
        "receive": ["receive", "MG-0001", *reading, "--date", DAY, "--to", str(root)],
        "reindex": ["reindex", str(root)],
    }[command]
    if command == "make, all there":
        assert run(make(house)) == 0
    pid = os.fork()
    if pid == 0:
        os._exit(0)
    os.waitpid(pid, 0)
    living = temp_path(root)
    dead = living.with_name(living.name.replace(f"-{os.getpid()}-", f"-{pid}-"))
    living.mkdir()
    dead.mkdir()
    (dead / "half.pdf").write_bytes(b"%PDF")
    assert run(args) in (0, 1)  # 1: a reading says that the fixture is not as ordered
    assert not dead.exists()
    assert living.exists()


ODD = ("with two  blanks", "Häkelstübchen Ørsted", "pen 🖋 ✒ 笔", "x" * 200, "-rf", "100%~$HOME;'\"")


@pytest.mark.parametrize("name", ODD)
def test_a_folder_may_have_any_name(house: Path, name: str) -> None:
    """Blanks, letters beyond ASCII, an emoji, 200 characters, what a shell would take for its own:
    all the files in it are read, written, found and sound."""
    folder = house / name
    shutil.copytree(house / "to", folder / "to")
    for file in ("pen.toml", "shop.toml"):
        shutil.copy(house / file, folder / file)
    (folder / "shop.toml").rename(folder / f"{name[:80]} shop.toml")
    to = str(folder / "to")
    shop = ["--shop", str(folder / f"{name[:80]} shop.toml")]
    made = ["make", str(folder / "pen.toml"), *shop, "--date", DAY, "--to", to]
    for words in (
        made,
        ["book", "MG-0001", "asked", "--whom", "K. Tern", "--date", DAY, "--to", to],
        ["export", str(folder / f"{name[:80]}.zip"), "--to", to],
        ["import", str(folder / f"{name[:80]}.zip"), "--to", str(folder / "second")],
        ["find", "--to", str(folder / "second")],
        ["catalogue", to],
        ["verify", to],
    ):
        done = CliRunner().invoke(main, words)
        assert done.exit_code == 0, (words, done.output)
    check_whole(folder / "to", kept_tree(house / "to"))
