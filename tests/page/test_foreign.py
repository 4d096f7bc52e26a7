"""An archive that came from elsewhere is foreign input: script in its names, its SVG, its HTML
never runs on the page; its files go out, if at all, as downloads with the headers that close
them."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

import pytest

from mandrelgen.archive import design_hash, numbering, root
from mandrelgen.archive import publish as publishing
from mandrelgen.assess.settled import designs
from mandrelgen.workflows import exchange
from tests.support.archived import DAY, starters
from tests.support.bench_hands import quiet, settled
from tests.support.bench_page import Served, folder_with, served
from tests.support.page_client import Tags

EVIL = "<script>window.evil = 1</script><img src=x onerror='window.evil=1'>"
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" onload="window.evil=1"><script>window.evil=1</script>'
    "<foreignObject><body xmlns='http://www.w3.org/1999/xhtml' onload='window.evil=1'/>"
    "</foreignObject></svg>"
)  # fmt: skip
HTML = f"<!doctype html><html><body onload='window.evil=1'>{EVIL}</body></html>"


def imported(folder: Path) -> Path:
    """The heron's folder with an archive in it that was made elsewhere to hurt, and imported."""
    foreign, made = folder / "foreign", folder_with(folder / "pens", "heron")
    pen, shop, pen_bytes, shop_bytes = starters("heron")
    archive = root.open_root(foreign)
    for d in designs(pen, shop):
        if d.mandrel is None:
            continue
        bad = dataclasses.replace(d.mandrel, title=EVIL, purpose=EVIL, notes=(EVIL,))
        plan = numbering.assign(
            archive, design_hash.slot_of(bad), design_hash.design_hash(bad), EVIL
        )
        files = dict(publishing.input_files(bad, pen_bytes, shop_bytes))
        record = publishing.make_record(plan, bad, DAY, EVIL)
        files |= {"drawing.svg": SVG.encode(), "sheet.html": HTML.encode()}
        publishing.publish(archive, plan, files, record)
    exchange.export_to(foreign, (), folder / "gift.zip")
    exchange.take(made / "output", folder / "gift.zip")
    stored = list((made / "output").rglob("drawing.svg"))
    assert stored
    assert stored[0].read_text("utf-8") == SVG
    return made


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return imported(tmp_path_factory.mktemp("gift"))


@pytest.fixture(scope="module")
def gift(folder: Path) -> Any:
    with served(str(folder)) as found:
        yield found


AT = ("/", "/archive", "/archive?words=script", "/pens/heron/arrived", "/pens/heron/order",
      "/pens/heron/mandrels", "/pens/heron/arrived?piece=MG-0001-A",
      "/pens/heron/ways/cap-mouth-plug", "/pens/heron/sheets/cap-mouth-plug",
      "/pens/heron/sheet/cap-mouth-plug")  # fmt: skip


@pytest.mark.parametrize("path", AT)
def test_nothing_of_a_foreign_archive_becomes_markup(gift: Served, path: str) -> None:
    with gift.client() as client:
        answer = client.get(path)
    assert answer.status_code == 200
    found = Tags(answer.text)
    assert [a for t, a in found.tags if t == "script" and "src" not in a] == []
    assert not [t for t, _ in found.tags if t in ("foreignobject", "iframe", "object", "embed")]
    assert not [a for _, a in found.tags if any(n.startswith("on") or n == "style" for n in a)]
    assert not [a for t, a in found.tags if t == "img" and a.get("src") == "x"]
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_the_attack_reaches_the_page_as_plain_text(gift: Served) -> None:
    """Else the other tests would attack nothing."""
    with gift.client() as client:
        assert "window.evil" in Tags(client.get("/archive").text).text
        assert "window.evil" in Tags(client.get("/pens/heron/arrived").text).text


def test_no_address_serves_a_stored_file(gift: Served, folder: Path) -> None:
    names = {p.name for p in (folder / "output").rglob("*") if p.is_file()}
    assert {"drawing.svg", "sheet.html"} <= names
    places = ("/{}", "/assets/{}", "/archive/{}", "/archive/MG-0001/A/{}", "/output/MG-0001/A/{}",
              "/pens/heron/orders/{}", "/pens/heron/drawing/{}", "/pens/heron/sheet/{}",
              "/pens/heron/model/{}", "/pens/heron/arrived/{}", "/pens/heron/{}")  # fmt: skip
    with gift.client() as client:
        for place in places:
            for name in ("drawing.svg", "sheet.html", "mandrel.json"):
                assert client.get(place.format(name)).status_code in (404, 405), place


def test_what_goes_out_as_a_file_is_a_download_with_the_headers_that_close_it(
    gift: Served,
) -> None:
    """What the page gives as files is drawn again by us; each is an attachment but pictures that
    stand in an <img>, which run nothing."""
    with gift.client() as client:
        for path in ("/pens/heron/sheet/cap-mouth-plug/pdf", "/pens/heron/drawing/svg",
                     "/pens/heron/drawing/pdf"):  # fmt: skip
            answer = client.get(path)
            assert answer.headers["content-disposition"].startswith("attachment"), path
            assert answer.headers["x-content-type-options"] == "nosniff"
            assert "script-src 'self'" in answer.headers["content-security-policy"]
            assert b"window.evil" not in answer.content
        model = client.get("/pens/heron/model/cap-mouth-plug")
        assert model.headers["content-type"].startswith("application/json")
        json.loads(model.text)


def test_in_a_browser_nothing_of_it_runs(gift: Served, chromium: Any) -> None:
    chromium.get_log("browser")
    chromium.get_log("performance")
    chromium.get(gift.address)
    for path in (*AT[4:7], AT[8], *AT[1:4]):
        chromium.get(gift.base + path)
        settled(chromium)
        assert chromium.execute_script("return window.evil") is None
        assert chromium.execute_script("return document.querySelectorAll('img[src=x]').length") == 0
    assert "window.evil" in chromium.find_element("tag name", "body").get_attribute("textContent")
    quiet(chromium)
