"""A mandrel's card: other ways are tried before they are offered, what the archive has is told, the
sheet and the model are those of the pen as it is now."""

from __future__ import annotations

import base64
import io
import re
import tomllib
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from mandrelgen.assess.settled import designs
from tests.support.archived import SPIGOT, publish_pen, starters
from tests.support.page_client import client_of
from tests.workflows.test_reuse import PLUG, enter

AT = "/pens/heron/mandrels"


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client


def words(page: TestClient) -> dict[str, str]:
    """The word on each card."""
    text = page.get(AT).text
    rows = re.findall(r'<span class="word">([^<]+)</span> ([\w-]+)</h2>', text)
    return {id: unescape(said) for said, id in rows}


def ways(page: TestClient, mandrel: str) -> dict[str, str]:
    """The ways offered by kind, each with the word that it promises."""
    text = page.get(f"/pens/heron/ways/{mandrel}").text
    kinds = re.findall(r'name="kind" value="([\w-]+)"', text)
    return dict(zip(kinds, re.findall(r'<span class="word">([^<]+)</span>', text), strict=True))


@pytest.mark.parametrize("mandrel", ["cap-mouth-plug", "finial-root-cup"])
def test_every_way_that_is_offered_leads_to_the_word_it_promises_and_undo_back(
    page: TestClient, folder: Path, mandrel: str
) -> None:
    before = words(page)[mandrel]
    offered = ways(page, mandrel)
    assert offered
    assert before not in offered.values()
    for kind, promised in offered.items():
        shop, pen = ((folder / n).read_bytes() for n in ("shop.toml", "heron.toml"))
        page.post(f"{AT}/take", data={"mandrel": mandrel, "kind": kind, "end": ""})
        assert words(page)[mandrel] == promised, kind
        where = "/shop" if (folder / "shop.toml").read_bytes() != shop else AT
        page.post(f"{where}/undo")
        assert [(folder / n).read_bytes() for n in ("shop.toml", "heron.toml")] == [shop, pen]


def test_a_die_of_ones_own_is_a_way_to_make_it_oneself(page: TestClient, folder: Path) -> None:
    assert ways(page, "cap-mouth-plug")["die"] == "make yourself"
    page.post(f"{AT}/take", data={"mandrel": "cap-mouth-plug", "kind": "die"})
    dies = tomllib.loads((folder / "shop.toml").read_text("utf-8"))["dies"]
    assert dies[-1]["thread"] == "M12xPh2.4P0.8"


def test_a_way_that_was_never_offered_changes_nothing(page: TestClient, folder: Path) -> None:
    before = (folder / "heron.toml").read_bytes()
    answer = page.post(f"{AT}/take", data={"mandrel": "cap-mouth-plug", "kind": "hold", "end": "x"})
    assert "not open any more" in answer.text
    assert (folder / "heron.toml").read_bytes() == before


def test_a_groove_behind_the_thread_is_a_box_of_the_wishes(page: TestClient, folder: Path) -> None:
    key = "mandrels.defaults.thread_relief"
    assert key in page.get(AT).text
    for value, written in (("groove", ["groove"]), ("", [])):
        page.post(f"{AT}/set", data={"key": key, "value": value})
        text = (folder / "heron.toml").read_text("utf-8")
        assert re.findall(r'^thread_relief = "(\w+)"', text, re.M) == written


def test_a_part_is_left_out_and_put_back(page: TestClient, folder: Path) -> None:
    page.post(f"{AT}/leave", data={"part": "cap", "out": "1"})
    assert "cap-mouth-plug" not in words(page)
    assert tomllib.loads((folder / "heron.toml").read_text("utf-8"))["mandrels"]["skip"] == ["cap"]
    page.post(f"{AT}/leave", data={"part": "cap", "out": "0"})
    assert "cap-mouth-plug" in words(page)
    assert page.post(f"{AT}/leave", data={"part": "../x", "out": "1"}).status_code == 404


def test_a_fixture_of_another_pen_that_fits_is_told_on_the_card(
    page: TestClient, folder: Path
) -> None:
    publish_pen(folder / "output", "heron")
    pen = (folder / "heron.toml").read_text("utf-8")
    (folder / "heron.toml").write_text(pen.replace('id = "heron"', 'id = "egret"'), "utf-8")
    card = page.get(AT).text.split('id="m-cap-mouth-plug"')[1].split("</article>")[0]
    assert re.search(r"MG-\d{4} A for heron cap would", card)


def test_a_fixture_with_the_thread_that_does_not_fit_is_told_with_the_reason(
    page: TestClient, folder: Path
) -> None:
    """A collar of 13.4 on a ring that ends under 11."""
    publish_pen(folder / "output", "heron", SPIGOT)
    text = re.sub(r'(?m)^id = ".*"$', 'id = "jar"', PLUG)
    number = enter(folder / "output", text.replace("diameter = 10.5", "diameter = 13.4"))
    said = page.get("/pens/heron/ways/barrel-mouth-plug").text
    assert re.search(rf"{number} A, which has this thread, would not do: .*13\.4", said)


def test_the_sheets_stand_large_on_a_page_of_their_own_and_as_pdf(page: TestClient) -> None:
    text = page.get("/pens/heron/sheets/cap-mouth-plug").text
    count = len(re.findall(r"/pens/heron/sheet/cap-mouth-plug\?sheet=\d", text))
    answer = page.get("/pens/heron/sheet/cap-mouth-plug/pdf")
    assert len(PdfReader(io.BytesIO(answer.content)).pages) == count
    assert page.get("/pens/heron/sheet/cap-mouth-plug", params={"sheet": count}).status_code == 200
    for wrong in (str(count + 1), "0", "-1", "x", "1e3"):
        got = page.get("/pens/heron/sheet/cap-mouth-plug", params={"sheet": wrong})
        assert got.status_code == 404, wrong


@pytest.mark.parametrize("where", ["sheet/{}", "sheet/{}/pdf", "sheets/{}", "model/{}"])
def test_of_a_mandrel_that_there_is_none_there_is_no_picture(page: TestClient, where: str) -> None:
    for name in ("no-such", "..%2F..%2Fheron", "%2e%2e"):
        assert page.get(f"/pens/heron/{where.format(name)}").status_code == 404


def test_the_model_is_as_long_and_thick_as_the_mandrel_that_is_designed(page: TestClient) -> None:
    pen, shop, _, _ = starters("heron")
    mandrel = next(
        d.mandrel for d in designs(pen, shop) if d.planned.id == "cap-mouth-plug" and d.mandrel
    )
    data = page.get("/pens/heron/model/cap-mouth-plug").json()
    raw = np.frombuffer(base64.b64decode(data["points"]), "<u2").reshape(-1, 3)
    points = raw * data["step"] + np.array(data["low"])
    length = mandrel.outer[-1].z1 - mandrel.outer[0].z0
    widest = max(max(s.d0, s.d1) for s in mandrel.outer)
    assert np.ptp(points[:, 2]) == pytest.approx(length, abs=0.01)
    assert np.ptp(points[:, 0]) == pytest.approx(widest, abs=0.1)
