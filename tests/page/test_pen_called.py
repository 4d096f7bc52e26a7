"""A pen's id follows its name until something is made of it, and is no other pen's."""

from __future__ import annotations

import tomllib
from pathlib import Path

from tests.support.archived import publish_pen
from tests.support.bench_page import folder_with
from tests.support.page_client import client_of, first_part, put, words


def titled(path: Path) -> tuple[str, str]:
    title = tomllib.loads(path.read_text("utf-8"))["pen"]
    return title["id"], title["name"]


def test_the_id_follows_the_name_and_undo_brings_both_back(folder: Path) -> None:
    path = folder / "heron.toml"
    before = path.read_bytes()
    with client_of(folder) as page:
        assert "call it “heron”. That follows the name" in words(page.get("/pens/heron/pen").text)
        for typed in ("Kestrel", "Kestrel 62"):
            shown = put(page, "pen.name", typed).text
        assert titled(path) == ("kestrel-62", "Kestrel 62")
        assert "call it “kestrel-62”" in words(shown)
        assert b"# short name" in path.read_bytes()
        page.post("/pens/heron/pen/undo")
    assert path.read_bytes() == before


def test_the_sheet_says_the_id_that_follows_the_name(folder: Path) -> None:
    with client_of(folder) as page:
        put(page, "pen.name", "Kestrel 62")
        sheet = words(page.get("/pens/heron/sheet/barrel-mouth-plug").text)
    assert "kestrel-62, barrel, mouth" in sheet
    assert "heron" not in sheet


def test_the_id_stays_once_something_was_made_and_the_page_says_so(folder: Path) -> None:
    publish_pen(folder / "output", "heron")
    with client_of(folder) as page:
        shown = words(put(page, "pen.name", "Kestrel 62").text)
    assert titled(folder / "heron.toml") == ("heron", "Kestrel 62")
    assert "the archive call it “heron”: things were made under that" in shown


def test_the_id_is_none_of_another_pen_in_the_folder_or_in_the_archive(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "pens", "heron", "wren")
    publish_pen(folder / "output", "avocet")  # of a file that is no longer here
    with client_of(folder) as page:
        put(page, "pen.name", "Wren")
        assert titled(folder / "heron.toml") == ("wren-2", "Wren")
        put(page, "pen.name", "Avocet")
        assert titled(folder / "heron.toml") == ("avocet-2", "Avocet")
        put(page, "pen.name", "Heron")  # its own again
        assert titled(folder / "heron.toml") == ("heron", "Heron")


def test_a_second_pen_of_a_starter_is_none_that_the_archive_knows(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "pens", "heron")
    publish_pen(folder / "output", "wren")
    with client_of(folder) as page:
        put(page, "pen.name", "Kestrel 62")
        page.post("/pens", data={"whole": "heron"})
        page.post("/pens", data={"whole": "wren"})
        first_part(page, "cap", "M12x0.8", 14.5, 60, "Kestrel 62 b")
        first_part(page, "cap", "M12x0.8", 14.5, 60, "Kestrel-62")
    ids = {p.stem: titled(p)[0] for p in folder.glob("*.toml") if p.name != "shop.toml"}
    assert ids == {
        "heron": "kestrel-62", "heron-2": "heron-2", "wren-2": "wren-2",
        "kestrel-62-b": "kestrel-62-b", "kestrel-62-2": "kestrel-62-2",
    }  # fmt: skip


def test_a_name_that_cannot_stand_leaves_the_id_too(folder: Path) -> None:
    before = (folder / "heron.toml").read_bytes()
    with client_of(folder) as page:
        shown = put(page, "pen.name", " ").text
    assert "a value is needed here" in words(shown)
    assert (folder / "heron.toml").read_bytes() == before
