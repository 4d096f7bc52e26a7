"""A pen begun on the page: any name will do, nobody else's name stands on its drawings, a thread
may be known by calipers alone, and it can be called otherwise later."""

from __future__ import annotations

import tomllib
from pathlib import Path

from mandrelgen.spec.placeholders import STARTERS_NAMES
from tests.support.page_client import client_of, first_part, refused, values, words


def begun(folder: Path) -> dict[str, str]:
    """The pens of a folder: by file, their names."""
    return {p.stem: tomllib.loads(p.read_text("utf-8"))["pen"]["name"] for p in
            sorted(folder.glob("*.toml"))}  # fmt: skip


def test_any_name_makes_a_pen_that_keeps_it(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        for name in ("Peter's pen 2", "PETERS  PEN 2", "Shop", "Ωμέγα"):
            assert "data-refused" not in first_part(page, "cap", "M12x0.8", 14.5, 60, name).text
        assert begun(tmp_path) == {
            "peters-pen-2": "Peter's pen 2", "peters-pen-2-2": "PETERS PEN 2", "pen-shop": "Shop",
            "pen": "Ωμέγα",
        }  # fmt: skip
        twice = first_part(page, "cap", "M12x0.8", 14.5, 60, "Peter's pen 2").text
    assert "there is a pen called Peter's pen 2 already" in words(twice)
    assert len(refused(twice)) == 1
    assert len(begun(tmp_path)) == 4


def test_a_whole_pen_carries_nobodys_name(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        for whole in ("heron", "wren", "bittern"):
            page.post("/pens", data={"whole": whole})
            text = (tmp_path / f"{whole}.toml").read_text("utf-8")
            assert not [n for n in STARTERS_NAMES if n in text]
            sheet = page.get(f"/pens/{whole}/pen").text
            assert values(sheet)["f-pen-drawn_by"] == ""


def test_a_pen_can_be_called_otherwise_and_have_its_makers_name(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        for key, value in (("name", "Sedge warbler"), ("drawn_by", "A. Maker")):
            page.post("/pens/reed/pen/set", data={"key": f"pen.{key}", "value": value})
        shown = page.get("/pens/reed/pen").text
        assert "<h1>Sedge warbler</h1>" in shown
        assert begun(tmp_path) == {"reed": "Sedge warbler"}
        assert values(shown)["f-pen-drawn_by"] == "A. Maker"
        assert (
            "<h1>Sedge warbler</h1>"
            in page.post("/pens/reed/pen/set", data={"key": "pen.name", "value": ""}).text
        )
        assert ">Sedge warbler</a>" in page.get("/").text


def test_a_first_thread_may_be_known_by_calipers_alone(tmp_path: Path) -> None:
    """A section's tenon of M9x0.75: 8.97 over the crests, ten pitches of 0.75 are 7.5."""
    sent = {"kind": "section", "thread": "", "diameter": "11", "length": "30", "name": "Reed",
            "crest": "8.97", "ten": "7.5", "starts": "1"}  # fmt: skip
    with client_of(tmp_path) as page:
        page.post("/pens", data=sent)
        assert 'thread = "M9x0.75"' in (tmp_path / "reed.toml").read_text("utf-8")
        sent["name"] = "Reed two"
        none = page.post("/pens", data=sent | dict.fromkeys(("crest", "ten", "starts"), "")).text
        assert "say its thread, or what your calipers read of it" in words(none)
        open_ = page.post("/pens", data=sent | {"ten": ""}).text
        assert len(refused(open_)) == 1
        assert values(open_)["n-crest"] == "8.97"


def test_the_start_says_what_the_program_does(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        said = words(page.get("/").text)
    assert "which threaded mandrels hold them on your lathe" in said
    assert "crest=" not in said


# -- my shop
def test_taps_and_dies_are_asked_for_at_the_first_mandrel_and_none_is_an_answer(
    tmp_path: Path,
) -> None:
    asked = "Which taps and dies do you have?"
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        at = "/pens/reed/mandrels"
        first = words(page.get(at).text)
        assert "Which collets do you have?" in first  # one thing at a time
        assert asked not in first
        page.post(
            "/shop", data={"system": "ISO 15488-25", "sizes": ["12"], "back": "reed/mandrels"}
        )
        assert asked in words(page.get(at).text)
        none = {"taps": "", "dies": "", "back": "reed/mandrels"}
        assert asked not in words(page.post("/shop", data=none).text)
        page.post("/shop", data={"taps": "", "dies": "M12x0.8"})
        shown = words(page.get(at).text)
        assert "make yourself cap-mouth-plug" in shown
        assert "your own die for M12x0.8 cuts it" in shown
        assert asked not in shown
        page.post("/shop", data={"taps": "M9x0.75", "dies": ""})
        shop = tomllib.loads((tmp_path / "shop.toml").read_text("utf-8"))
        assert (shop["taps"], shop["dies"]) == ([{"thread": "M9x0.75"}], [])


def test_my_shop_leads_back_to_the_pen_and_keeps_what_was_typed(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        came = {"referer": "http://127.0.0.1:8123/pens/reed/mandrels?state=apart"}
        back = '<a href="/pens/reed/mandrels">Back to reed</a>'
        assert back in page.get("/shop", headers=came).text
        for other in ("", "http://127.0.0.1:8123/pens/none/mandrels", "http://[::1"):
            lone = page.get("/shop", headers={"referer": other})
            assert lone.status_code == 200
            assert "Back to" not in lone.text
        wrong = {"lathe": "1", "came": "reed/mandrels", "name": "Mine", "system": "",
                 "taps": "M9 by", "dies": "", "chuck": "", "max_speed": "fast"}  # fmt: skip
        shown = page.post("/shop", data=wrong).text
        assert len(refused(shown)) == 1
        assert back in shown
        assert "M9 by</textarea>" in shown
        assert values(shown)["s-speed"] == "fast"
        assert values(shown)["s-name"] == "Mine"
