"""What ``make`` leaves for a mandrel whose word is *make yourself*: the card, named on the first
screen and in JSON, and not sent to the turner."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from mandrelgen.cli.app import main
from mandrelgen.core.resources import template_path
from mandrelgen.spec.starters import starter
from tests.support.archived import DAY
from tests.support.killing import without_drawings

DIE = '\n[[dies]]\nthread = "M8.5x0.75"\n'


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    (tmp_path / "pen.toml").write_bytes(starter("pen", "heron"))
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench") + DIE.encode())
    return tmp_path


def run(folder: Path, *args: str) -> str:
    done = CliRunner().invoke(
        main, ["make", str(folder / "pen.toml"), "--to", str(folder / "a"), "--date", DAY,
               "--workers", "1", *args]
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    return done.stdout


def test_the_card_stands_beside_the_drawing_and_stays_at_home(bench: Path) -> None:
    said = run(bench)
    own = [line for line in said.splitlines() if line.startswith("  the card: ")]
    assert len(own) == 1
    card = Path(own[0].removeprefix("  the card: "))
    assert card.name.endswith("_make-yourself.pdf")
    assert card.read_bytes().startswith(b"%PDF")
    (order,) = (bench / "a" / "orders").iterdir()
    sent = zipfile.ZipFile(io.BytesIO((order / f"{order.name}.zip").read_bytes())).namelist()
    assert not [n for n in sent if "yourself" in n]
    view: Any = json.loads(run(bench, "--json"))
    schema = json.loads(template_path("schema/make.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(schema).validate(view)
    found = {m["id"]: m["files"].get("card") for m in view["mandrels"]}
    assert {k for k, v in found.items() if v} == {"barrel-mouth-plug"}
    record = json.loads((card.parent / "record.json").read_text("utf-8"))
    assert record["papers"]["card"]


def test_the_card_alone(bench: Path) -> None:
    run(bench, "--only", "card")
    found = [p.name for p in (bench / "a").rglob("*") if p.is_file()]
    assert found == ["not-issued_barrel-mouth-plug_make-yourself.pdf"]


def of(view: Any, id: str = "barrel-mouth-plug") -> Any:
    return next(m for m in view["mandrels"] if m["id"] == id)


def test_a_draft_that_is_to_be_made_at_home_after_all_gets_its_card(
    bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A die is bought before anybody was asked: the next draft of the same revision has it."""
    without_drawings(monkeypatch)
    (bench / "shop.toml").write_bytes(starter("shop", "bench"))
    before = of(json.loads(run(bench, "--json")))
    assert "card" not in before["files"]
    (bench / "shop.toml").write_bytes(starter("shop", "bench") + DIE.encode())
    after = of(json.loads(run(bench, "--json")))
    assert (after["number"], after["revision"]) == (before["number"], before["revision"])
    assert after["files"]["card"] == f"{after['number']}_A_make-yourself.pdf"
    assert (Path(after["folder"]) / after["files"]["card"]).is_file()
    assert of(json.loads(run(bench, "--json")))["folder"] == after["folder"]


def test_what_a_turner_was_asked_for_keeps_its_papers_and_the_card_is_told_of(
    bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A die is bought because the price was too high."""
    without_drawings(monkeypatch)
    (bench / "shop.toml").write_bytes(starter("shop", "bench"))
    number = of(json.loads(run(bench, "--json")))["number"]
    for words in (("asked", "--whom", "the turner"), ("declined",)):
        done = CliRunner().invoke(main, ["book", number, *words, "--to", str(bench / "a")])
        assert done.exit_code == 0, done.output
    (bench / "shop.toml").write_bytes(starter("shop", "bench") + DIE.encode())
    view = json.loads(run(bench, "--json"))
    told = [f for f in view["findings"] if f["code"] == "make.card"]
    assert [f["where"] for f in told] == ["barrel-mouth-plug"]
    assert "--only card" in told[0]["remedy"]
    assert "card" not in of(view)["files"]
