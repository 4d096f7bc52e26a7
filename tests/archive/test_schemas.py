"""What the archive's commands print with --json, against the published schemas (jsonschema,
2020-12); every required key is missed when it is gone, wherever it stands."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from mandrelgen.archive import events, root
from mandrelgen.cli.app import main
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import receive
from mandrelgen.workshop.receipt.readings import parse as reading
from tests.cli.test_json_schemas import judge, schema
from tests.support.archived import DAY, OLD_CUP, OLD_PLUG, publish_pen
from tests.support.renamed import renamed
from tests.support.schemas import damaged

NAMES = ("find", "reuse", "holds", "compare", "adopt", "import", "verify")


@pytest.fixture(scope="module")
def views(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[dict[str, Any]]]:
    """Real outputs of every command, some of each kind."""
    folder = tmp_path_factory.mktemp("schemas")
    archive, other = folder / "a", folder / "b"
    publish_pen(archive, "heron")
    events.release(root.open_root(archive), "MG-0003", DAY)
    given = [reading("thread.pitch_diameter=7.985@thread-micrometer")]
    receive.receive(archive, "MG-0003", given, DAY)
    (folder / "plug.toml").write_text(OLD_PLUG, "utf-8")
    (folder / "cup.toml").write_text(OLD_CUP, "utf-8")
    pen = renamed("heron", "heron2").encode()
    (folder / "pen.toml").write_bytes(pen)
    (folder / "shop.toml").write_bytes(starter("shop", "bench"))

    def run(*args: str, code: int = 0) -> dict[str, Any]:
        done = CliRunner().invoke(main, [*args, "--json"])
        assert done.exit_code == code, done.output
        found: dict[str, Any] = json.loads(done.stdout)
        return found

    to = ("--to", str(archive))
    found = {
        "adopt": [run("adopt", str(folder / name), *to) for name in
                  ("plug.toml", "cup.toml", "plug.toml")],
        "find": [run("find", *to), run("find", "M30x1", *to)],
        "reuse": [run("reuse", str(folder / "pen.toml"), *to)],
        "holds": [run("holds", "MG-0003", *to), run("holds", "MG-0006", *to)],
        "compare": [run("compare", "MG-0003", "MG-0005", *to)],
        "verify": [run("verify", str(archive))],
    }  # fmt: skip
    CliRunner().invoke(main, ["export", str(folder / "x.zip"), *to])
    found["import"] = [run("import", str(folder / "x.zip"), "--to", str(other)) for _ in range(2)]
    (archive / "MG-0001" / "A" / "pen.toml").write_bytes(b"changed")
    (archive / "MG-0002" / "A" / "more.txt").write_bytes(b"extra")
    found["verify"].append(run("verify", str(archive), code=1))
    return found


def _paths(value: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every key of every object, of lists the first item."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield (*way, key)
            yield from _paths(inner, (*way, key))
    elif isinstance(value, list) and value:
        yield from _paths(value[0], (*way, 0))


@pytest.mark.parametrize("name", NAMES)
def test_real_outputs_are_as_published(name: str, views: dict[str, list[dict[str, Any]]]) -> None:
    whole = schema(name)
    jsonschema.Draft202012Validator.check_schema(whole)
    assert whole["title"] == name
    for view in views[name]:
        judge(name, "result").validate(view)
        assert not judge(name, "failure").is_valid(view)


@pytest.mark.parametrize("name", NAMES)
def test_a_missing_or_wrong_value_is_seen_everywhere(
    name: str, views: dict[str, list[dict[str, Any]]]
) -> None:
    validator, seen = judge(name, "result"), 0
    for view in views[name]:
        for bad, what in damaged(view, _paths(view)):
            assert not validator.is_valid(bad), what
            seen += 1
    assert seen >= 4


def test_the_outputs_say_something(views: dict[str, list[dict[str, Any]]]) -> None:
    assert len(views["find"][0]["fixtures"]) == 6
    assert views["find"][1]["fixtures"] == []
    best = next(o for o in views["reuse"][0]["offers"] if o["mandrel"] == "barrel-mouth-plug")
    assert (best["readings"], best["last_check"]) == (["thread.pitch_diameter"], DAY)
    assert views["reuse"][0]["left_out"] == ["barrel-mouth-plug"]
    assert [a["existed"] for a in views["adopt"]] == [False, False, True]
    assert [h["part"] for h in views["holds"][0]["holds"]] == ["barrel"]
    assert views["verify"][0] == {"sound": True, "faults": []}
    assert {(f["path"], f["damage"]) for f in views["verify"][1]["faults"]} == {
        ("MG-0001/A/pen.toml", "truncated"), ("MG-0002/A/more.txt", "extra")
    }  # fmt: skip
    assert {t["what"] for t in views["import"][1]["taken"]} == {"already here"}


@pytest.mark.parametrize("name", NAMES)
def test_failures_have_their_own_form(name: str, tmp_path: Path) -> None:
    args = {"find": [], "compare": ["MG-0001", "MG-0002"], "verify": [str(tmp_path)]}
    where = [] if name == "verify" else ["--to", str(tmp_path)]
    done = CliRunner().invoke(main, [name, *args.get(name, ["none.toml"]), *where, "--json"])
    assert done.exit_code == 2, done.output
    view = json.loads(done.stdout)
    judge(name, "failure").validate(view)
    assert not judge(name, "result").is_valid(view)
