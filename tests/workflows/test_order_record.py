"""What ``make`` files for the set: the order's record against its published schema (judged by
jsonschema), and the zip that is sent, against its manifest."""

from __future__ import annotations

import copy
import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from mandrelgen.archive import orders, root
from mandrelgen.cli.app import main
from mandrelgen.core.resources import template_path
from mandrelgen.spec.starters import starter

DAY = "2026-05-31"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive with the wren's set."""
    folder = tmp_path_factory.mktemp("order")
    (folder / "pen.toml").write_bytes(starter("pen", "wren"))
    (folder / "shop.toml").write_bytes(starter("shop", "bench"))
    done = run(folder, "--wanted-by", "2026-07-15")
    assert done.exit_code == 0, done.output
    return folder


def run(folder: Path, *args: str):  # type: ignore[no-untyped-def]
    return CliRunner().invoke(
        main, ["make", str(folder / "pen.toml"), "--to", str(folder / "a"), "--date", DAY, *args]
    )


def order_folders(folder: Path) -> list[Path]:
    return sorted((folder / "a" / "orders").iterdir())


def validator() -> jsonschema.Draft202012Validator:
    whole = json.loads(template_path("schema/order.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(whole)
    return jsonschema.Draft202012Validator(whole)


def record(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((order_folders(folder)[0] / "order.json").read_text("utf-8"))
    return found


def test_the_record_says_what_was_asked(made: Path) -> None:
    order = record(made)
    validator().validate(order)
    facts = order["facts"]
    assert order["date"] == DAY
    assert facts["wanted_by"] == "2026-07-15"
    assert [(i["number"], i["revision"], i["quantity"]) for i in order["items"]] == [
        (i["number"], i["revision"], i["quantity"]) for i in facts["items"]
    ]
    assert set(facts["sent_along"]["samples"]) == {i["part"] for i in facts["items"]}
    for item in facts["items"]:
        raw = json.loads((made / "a" / item["number"] / "A" / "mandrel.json").read_text("utf-8"))
        every = raw.get("mandrel", raw)["characteristics"]
        # Counted here: what another's callout says has no balloon of its own.
        balloons = [c["id"] for c in every if not c["said_by"]]
        assert item["report"]
        assert all(balloons[r["balloon"] - 1] == r["id"] for r in item["report"])


def keys(value: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(value, dict):
        for k, v in value.items():
            yield (*way, k)
            yield from keys(v, (*way, k))
    elif isinstance(value, list) and value:
        yield from keys(value[0], (*way, 0))


def test_a_missing_key_or_a_strange_one_is_seen(made: Path) -> None:
    order, judge = record(made), validator()
    ways = list(keys(order))
    assert len(ways) > 30
    for *way, key in ways:
        bad = copy.deepcopy(order)
        at: Any = bad
        for step in way:
            at = at[step]
        value = at.pop(key)
        assert not judge.is_valid(bad), (*way, key)
        at[key] = value
        at["odd"] = 1
        assert not judge.is_valid(bad), (*way, "odd")


def test_the_zip_holds_everything_under_number_and_revision(made: Path) -> None:
    folder = order_folders(made)[0]
    data = zipfile.ZipFile(io.BytesIO((folder / f"{folder.name}.zip").read_bytes()))
    manifest = json.loads(data.read("manifest.json"))["files"]
    names = set(data.namelist()) - {"manifest.json"}
    assert names == set(manifest)
    for name in names:
        content = data.read(name)
        assert manifest[name]["sha256"] == hashlib.sha256(content).hexdigest()
        assert manifest[name]["size"] == len(content)
    assert {"request.pdf", "request.txt", "cover.pdf"} <= names
    for item in record(made)["items"]:
        stem = f"{item['number']}_{item['revision']}"
        for ending in ("_drawing.pdf", ".dxf", "_outline-mid-limits.dxf", ".step", "_plain.step"):
            assert f"{stem}/{stem}{ending}" in names
    # Nothing of the maker's own: no pen, no shop, no card.
    assert not [n for n in names if n.endswith(".toml") or "card" in n]
    assert "I need them by 2026-07-15." in data.read("request.txt").decode()


def test_the_same_request_is_the_same_order_and_another_day_another(made: Path) -> None:
    before = [p.name for p in order_folders(made)]
    assert run(made, "--wanted-by", "2026-07-15", "--again").exit_code == 0
    assert [p.name for p in order_folders(made)] == before
    assert run(made, "--wanted-by", "2026-08-01", "--again").exit_code == 0
    assert len(order_folders(made)) == len(before) + 1
    assert len(list(orders.orders(root.open_root(made / "a")))) == len(before) + 1


@pytest.mark.parametrize(
    ("day", "said"),
    [("soon", "'soon' is not a date"), ("2026-05-30", "2026-05-30 is over"),
     ("2025-06-01", "2026-05-31 or a later day, or leave it out")],
)  # fmt: skip
def test_a_day_that_is_none_or_over_is_refused_and_nothing_is_made(
    made: Path, day: str, said: str
) -> None:
    before = [p.name for p in order_folders(made)]
    done = run(made, "--again", "--wanted-by", day)
    assert done.exit_code == 2
    assert "--wanted-by: " in done.output
    assert said in " ".join(done.output.split())
    assert [p.name for p in order_folders(made)] == before
