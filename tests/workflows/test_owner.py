"""Whose the drawings are: the pen's owner, else the workshop of the shop file."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from mandrelgen.spec.pen import Title
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.build import signed
from tests.support.bench_page import folder_with
from tests.support.page_client import client_of, words


def shop(name: str) -> Shop:
    return Shop.model_validate({"schema": 1, "name": name})


@pytest.mark.parametrize(
    ("owner", "workshop", "printed"),
    [
        ("", "Sallow Lane", "Sallow Lane"),
        ("A. Person", "Sallow Lane", "A. Person"),
        ("", "", ""),
        ("", "Reedbed Bench, Withymere", ""),  # a starter's: nobody's who uses it
    ],
)
def test_the_workshop_owns_the_drawings_where_the_pen_names_nobody(
    owner: str, workshop: str, printed: str
) -> None:
    title = Title(id="reed", name="Reed", owner=owner)
    assert signed(title, shop(workshop)).owner == printed


def nobodys(folder: Path, workshop: str) -> Path:
    """The wren without an owner, in the shop of ``workshop``."""
    pens = folder_with(folder, "wren")
    text = starter("pen", "wren").decode("utf-8")
    (pens / "wren.toml").write_text(re.sub(r"(?m)^owner = .*$", "", text), "utf-8")
    there = (pens / "shop.toml").read_text("utf-8")
    (pens / "shop.toml").write_text(
        re.sub(r'(?m)^name = "Reedbed[^\n]*$', f'name = "{workshop}"', there), "utf-8"
    )
    return pens


def test_the_sheet_on_the_page_bears_the_workshops_name(tmp_path: Path) -> None:
    with client_of(nobodys(tmp_path, "Sallow Lane")) as page:
        mandrels = page.get("/pens/wren/mandrels").text
        (name, *_) = re.findall(r"/pens/wren/sheet/([\w-]+)", mandrels)
        assert "Sallow Lane" in words(page.get(f"/pens/wren/sheet/{name}").text)


def test_a_sheet_issued_before_that_stays_without_a_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was issued is shown as it was: its record's hash says which of both it printed."""
    from mandrelgen.workflows import arrived, make
    from mandrelgen.workflows.bench_look import look
    from mandrelgen.workflows.make_options import MakeOptions

    for old in (True, False):
        pens = nobodys(tmp_path / f"{old}", "Sallow Lane")
        checked = look(pens / "wren.toml", pens / "shop.toml", pens / "output").checked
        with monkeypatch.context() as m:
            if old:
                m.setattr(make, "signed", lambda title, _: title)
            made = make.make(checked, MakeOptions(folder=pens / "output"))
        assert made.made
        issue = arrived.issued(pens / "output", "MG-0001").issue
        assert issue.owner == ("" if old else "Sallow Lane")
