"""START-HERE.html: made by whatever changes the archive, true to it, sealed, nobody else's file."""

from __future__ import annotations

import shutil
from pathlib import Path
from urllib.parse import unquote

import html5lib
import pytest
from click.testing import CliRunner, Result

from mandrelgen.archive import front as sealing
from mandrelgen.archive.naming import FRONT
from mandrelgen.cli.app import main
from mandrelgen.core.errors import DiskError
from mandrelgen.workflows.catalogue import front
from tests.paths import ROOT
from tests.support.killing import without_drawings

WREN = (ROOT / "templates/pens/wren.toml").read_text("utf-8")
DAY = "2026-05-31"


def run(*args: object) -> Result:
    done = CliRunner().invoke(main, [str(a) for a in args])
    assert done.exit_code in (0, 1), done.output
    return done


def make(folder: Path, text: str = WREN) -> Result:
    (folder / "wren.toml").write_text(text, "utf-8")
    return run("make", folder / "wren.toml", "--to", folder / "a", "--date", DAY, "--workers", 1)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("front")
    shutil.copy(ROOT / "templates/shops/bench.toml", folder / "shop.toml")
    with pytest.MonkeyPatch.context() as patch:
        without_drawings(patch)
        make(folder)
    return folder


@pytest.fixture
def folder(whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(whole, tmp_path / "f")
    without_drawings(monkeypatch)
    return tmp_path / "f"


def page(folder: Path) -> str:
    return (folder / "a" / FRONT).read_text("utf-8")


def order_of(folder: Path) -> str:
    return sorted(p.name for p in (folder / "a/orders").iterdir() if p.is_dir())[-1]


def test_make_writes_it_and_every_link_leads_somewhere(whole: Path) -> None:
    """html5lib follows the HTML standard's parsing rules; strict: every parse error raises."""
    data = (whole / "a" / FRONT).read_bytes()
    html5lib.HTMLParser(strict=True).parse(data)
    tree = html5lib.parse(data, namespaceHTMLElements=False)
    links = [i.get("href") for i in tree.iter("a")] + [i.get("src") for i in tree.iter("img")]
    ids = {i.get("id") for i in tree.iter() if i.get("id")}
    for link in links:
        if link.startswith("#"):
            assert link[1:] in ids
        elif not link.endswith("request.txt"):  # the orders of this test have none
            assert (whole / "a" / unquote(link)).exists(), link
    assert {"MG-0001", "MG-0002", "MG-0003"} <= ids
    assert len({x for x in links if x.endswith("_drawing.pdf")}) == 3
    assert page(whole).count(">designed<") == 3
    assert f"mandrelgen book {order_of(whole)} asked" not in page(whole)  # it has no zip here


def test_a_booked_state_stands_on_it_at_once(folder: Path) -> None:
    order = order_of(folder)
    run("book", order, "asked", "--whom", "K. <Tern>", "--date", DAY, "--to", folder / "a")
    assert page(folder).count(">asked<") == 3
    assert "asked since 2026-05-31, K. &lt;Tern&gt;" in page(folder)
    run("book", order, "ordered", "--promised", "2026-07-01", "--date", DAY, "--to", folder / "a")
    assert "promised for 2026-07-01" in page(folder)
    for state in ("arrived", "in-use"):
        run("book", order, state, "--date", DAY, "--to", folder / "a")
    assert page(folder).count(">in use<") == 3
    assert "Nothing is outstanding." in page(folder)
    run("withdraw", "mg-2", "--date", DAY, "--to", folder / "a")
    assert page(folder).count(">withdrawn<") == 1


def test_an_order_whose_place_another_took_says_so_beside_itself_and_on_the_page(
    folder: Path,
) -> None:
    first = order_of(folder)
    make(folder, WREN.replace("quantity = 2", "quantity = 3"))
    (second,) = {p.name for p in (folder / "a/orders").iterdir() if p.is_dir()} - {first}
    note = folder / "a/orders" / f"{first}_SUPERSEDED.txt"
    assert note.read_text("utf-8") == f"Do not send {first}: {second} took its place.\n"
    assert f'superseded by <a href="orders/{second}/">' in page(folder)
    assert run("verify", folder / "a").output == "sound\n"
    note.write_text("send it", "utf-8")
    (folder / "a/orders" / f"{second}_SUPERSEDED.txt").write_text("?", "utf-8")
    said = run("verify", folder / "a").output
    assert f"{first}_SUPERSEDED.txt: changed" in said
    assert f"{second}_SUPERSEDED.txt: extra" in said
    note.unlink()
    run("reindex", folder / "a")
    assert note.exists()
    assert run("verify", folder / "a").output == "sound\n"


def test_an_old_archive_gets_it_with_the_next_run_to_the_same_bytes(folder: Path) -> None:
    before = (folder / "a" / FRONT).read_bytes()
    (folder / "a" / FRONT).unlink()
    assert run("verify", folder / "a").output == "sound\n"
    make(folder)
    assert (folder / "a" / FRONT).read_bytes() == before
    shutil.rmtree(folder / "a/.cache")
    run("reindex", folder / "a")
    assert (folder / "a" / FRONT).read_bytes() == before


@pytest.mark.parametrize("harm", ["cut", "word"])
def test_verify_knows_a_damaged_page_and_the_next_run_mends_it(folder: Path, harm: str) -> None:
    path = folder / "a" / FRONT
    whole = path.read_bytes()
    path.write_bytes(whole[:-9] if harm == "cut" else whole.replace(b"designed", b"arrived.", 1))
    assert f"{FRONT}: changed" in run("verify", folder / "a").output
    make(folder)
    assert path.read_bytes() == whole


def test_a_file_of_that_name_that_is_not_ours_stays_and_is_told(folder: Path) -> None:
    path = folder / "a" / FRONT
    path.write_text("my own notes", "utf-8")
    assert "move it away" in make(folder).output
    assert path.read_text("utf-8") == "my own notes"
    assert run("verify", folder / "a").output == "sound\n"


def test_a_disk_that_refuses_the_page_takes_nothing_of_the_work_away(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise DiskError("The disk is full.", "Make room.")

    before = page(folder)
    monkeypatch.setattr(sealing, "write_page", full)
    done = run("book", order_of(folder), "asked", "--whom", "K. Tern", "--date", DAY, "--to",
               folder / "a")  # fmt: skip
    assert done.exit_code == 0
    assert "The disk is full." in done.output
    assert page(folder) == before
    assert run("orders", folder / "a").output.count("asked since") == 3


def test_loose_files_make_no_page_and_no_archive(folder: Path) -> None:
    run("make", folder / "wren.toml", "--only", "step", "--to", folder / "loose", "--workers", 1)
    assert not (folder / "loose" / FRONT).exists()
    assert front.refresh(folder / "nowhere") == ()
    assert not (folder / "nowhere").exists()


def test_a_seal_needs_its_place() -> None:
    with pytest.raises(ValueError, match="no place"):
        sealing.sealed(b"<html>")
    assert not sealing.sound(b"<html>")


def test_the_cards_for_one_s_own_lathe_are_linked(folder: Path) -> None:
    text = page(folder)
    assert 'href="cards/wren/route-card.pdf"' in text
    assert (folder / "a" / "cards" / "wren" / "route-card.pdf").is_file()
    assert "test-pieces.pdf" not in text  # that one was not written here
    shutil.rmtree(folder / "a" / "cards")
    front.refresh(folder / "a")
    assert "your own lathe" not in page(folder)
