"""Every mandrel could be made at home, and the maker has a turner make one all the same."""

from __future__ import annotations

import datetime
import json
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.page.runs import MakeRun
from tests.support.bench_page import folder_with
from tests.support.killing import without_drawings
from tests.support.page_client import client_of, words

DAY = str(datetime.date.today())
DIE = '\n[[dies]]\nthread = "M9x0.75"\n'


def make(page: TestClient, pen: str = "avocet", *take: str) -> str:
    """Press "Make" and wait; the step then."""
    page.post(f"/pens/{pen}/make", data={"take": take or ("barrel-mouth-plug",)})
    run = page.app.app.state.desk.runs[pen]  # type: ignore[attr-defined]
    assert isinstance(run, MakeRun)
    assert run.thread is not None
    run.thread.join(120)
    return page.get(f"/pens/{pen}/order").text


def test_what_could_be_made_at_home_is_ordered_from_a_turner_once_ticked(
    tmp_path: Path,
) -> None:
    folder = folder_with(tmp_path / "pens", "avocet")
    shop = folder / "shop.toml"
    shop.write_text(shop.read_text("utf-8") + DIE, "utf-8")
    page = client_of(folder)
    assert "Have a turner make them all the same" in words(page.get("/pens/avocet/order").text)
    text = make(page)
    (order,) = (folder / "output" / "orders").iterdir()
    assert "made: MG-0001 A (barrel-mouth-plug)" in words(text)
    assert f"Order of {DAY}: {order.name}" in words(text)
    assert "I have sent this" in text
    assert "1. MG-0001 A: Plug mandrel" in (order / "request.txt").read_text("utf-8")
    # Pressed twice it is the same order.
    assert order.name in make(page)
    assert len(list((folder / "output" / "orders").iterdir())) == 1


def test_beside_what_is_ordered_only_what_is_ticked_goes_to_the_turner(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    without_drawings(monkeypatch)
    folder = folder_with(tmp_path / "pens", "heron")
    shop = folder / "shop.toml"
    shop.write_text(shop.read_text("utf-8") + DIE.replace("M9", "M8.5"), "utf-8")
    page = client_of(folder)
    text = page.get("/pens/heron/order").text
    assert 'value="barrel-mouth-plug">' in text
    text = make(page, "heron", "cap-mouth-plug", "barrel-mouth-plug")
    (order,) = (folder / "output" / "orders").iterdir()
    held = json.loads((order / "order.json").read_text("utf-8"))["items"]
    assert len(held) == 2
