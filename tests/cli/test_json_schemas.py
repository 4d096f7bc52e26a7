"""What --json prints against the published JSON Schemas, judged by jsonschema (2020-12)."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from mandrelgen.cli.app import main
from mandrelgen.core.resources import template_path
from mandrelgen.spec.starters import starter
from tests.support.archived import publish_pen
from tests.support.schemas import damaged

NAMES = ("check", "make", "thread", "what-if", "receive")
STARTERS = {"heron": "bench", "wren": "bench", "bittern": "small"}
# What other programs were promised: the keys a script may rely on.
PROMISED = {
    "check": {"findings", "mandrels", "pen"},
    "make": {"findings", "mandrels", "order"},
    "thread": {
        "designation", "starts", "pitch", "lead", "lead_angle", "hand", "basic", "limits",
        "source", "extended",
    },
    "what-if": {"mandrel", "variants"},
    "receive": {"number", "revision", "verdict", "characteristics", "served", "event", "findings"},
}  # fmt: skip
VERDICT = {
    "joint_step", "thinnest_wall", "remount", "runout_seat", "runout_end", "deflection", "safety",
    "max_speed", "budget",
}  # fmt: skip


def schema(name: str) -> dict[str, Any]:
    """A published schema."""
    text = template_path(f"schema/{name}.schema.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def judge(name: str, part: str) -> jsonschema.Draft202012Validator:
    """A validator of one definition: ``result`` or ``failure`` alone, so that neither hides
    behind the other."""
    whole = schema(name)
    return jsonschema.Draft202012Validator({"$ref": f"#/$defs/{part}", "$defs": whole["$defs"]})


def printed(*args: str, code: int = 0) -> Any:
    """What a command prints on standard output."""
    done = CliRunner().invoke(main, [*args, "--json"])
    assert done.exit_code == code, done.output
    return json.loads(done.stdout)


def put(folder: Path, name: str) -> str:
    """A starter and its shop; returns the pen file."""
    (folder / "shop.toml").write_bytes(starter("shop", STARTERS[name]))
    (folder / "pen.toml").write_bytes(starter("pen", name))
    return str(folder / "pen.toml")


@pytest.mark.parametrize("name", NAMES)
def test_the_schemas_are_sound_and_keep_what_was_promised(name: str) -> None:
    whole = schema(name)
    jsonschema.Draft202012Validator.check_schema(whole)
    assert PROMISED[name] <= set(_result(whole)["required"])
    if "verdict" in whole["$defs"]:
        assert set(whole["$defs"]["verdict"]["required"]) >= VERDICT
    for other in NAMES:
        shared = set(whole["$defs"]) & set(schema(other)["$defs"]) - {"result"}
        assert all(whole["$defs"][k] == schema(other)["$defs"][k] for k in shared)


def _result(whole: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = whole["$defs"]["result"]
    return found


@pytest.mark.parametrize("pen", STARTERS)
def test_check_of_every_starter(pen: str, tmp_path: Path) -> None:
    view = printed("check", put(tmp_path, pen))
    judge("check", "result").validate(view)
    assert all(m["verdict"] for m in view["mandrels"])


def test_make_carries_the_verdict_that_check_gives(tmp_path: Path) -> None:
    pen = put(tmp_path, "heron")
    view = printed("make", pen, "--to", str(tmp_path / "out"), "--only", "outline")
    judge("make", "result").validate(view)
    checked = {m["id"]: m["verdict"] for m in printed("check", pen)["mandrels"]}
    assert {m["id"]: m["verdict"] for m in view["mandrels"]} == checked


def test_make_of_several_pens_is_a_list_that_names_its_files(tmp_path: Path) -> None:
    """One fine, one with a fault; then a disk that refuses (a file where the folder should be)."""
    good, bad = put(tmp_path, "wren"), tmp_path / "bad.toml"
    bad.write_text("schema = 1\n", encoding="utf-8")
    judged = judge("make", "list")
    args = ("make", str(bad), good, "--only", "outline", "--to")
    view = printed(*args, str(tmp_path / "out"), code=2)
    judged.validate(view)
    assert [o["file"] for o in view] == [str(bad), good]
    assert [judge("make", "result").is_valid(o) for o in view] == [False, True]
    assert [judge("make", "failure").is_valid(o) for o in view] == [True, False]
    for damage, what in damaged(view, [(0, "file"), (0, "findings"), (1, "file"), (1, "mandrels"),
                                       (1, "order")]):  # fmt: skip
        assert not judged.is_valid(damage), what
    assert not judged.is_valid([])
    assert not judged.is_valid(view[1])
    (tmp_path / "file").write_bytes(b"")
    view = printed("make", good, str(bad), "--to", str(tmp_path / "file"), code=3)
    judged.validate(view)
    assert [o["file"] for o in view] == [good]
    view = printed("make", good, str(bad), "--date", "soon", "--to", str(tmp_path / "out"), code=2)
    judge("make", "failure").validate(view)  # nothing was begun: no list


def test_what_if(tmp_path: Path) -> None:
    view = printed("what-if", put(tmp_path, "heron"), "cap-mouth-plug")
    judge("what-if", "result").validate(view)
    assert any(v["refused"] for v in view["variants"]) or all(
        v["verdict"] for v in view["variants"]
    )


@pytest.mark.parametrize("text", ["M12xPh2.4P0.8-6H", "M9x0.75-6g", "3/8-32 UNEF-2A"])
def test_thread(text: str) -> None:
    judge("thread", "result").validate(printed("thread", text))


@pytest.mark.parametrize(
    ("readings", "best", "decides"),
    [
        ("crest=9.32, ten=7.5, starts=1", "M9.5x0.75", None),
        ("crest=12.45±0.03, ten=7.5±0.05", "M12.5x0.75", "starts"),
        ("minor=9.2, ten=7.5, starts=1", "M10x0.75", None),
    ],
)
def test_thread_measured(readings: str, best: str, decides: str | None) -> None:
    view = printed("thread", "--measured", readings)
    judge("thread", "found").validate(view)
    assert view["candidates"][0]["designation"] == best
    assert view["decides"] == decides
    shown = CliRunner().invoke(main, ["thread", "--measured", readings]).stdout
    assert best in shown
    assert ("Cannot decide" in shown) == (decides is not None)
    assert ("usual uncertainty" in shown) == ("±" not in readings)


def test_thread_takes_a_text_or_readings_and_tells_every_fault() -> None:
    for args in ([], ["M9x0.75", "--measured", "crest=9"]):
        assert CliRunner().invoke(main, ["thread", *args]).exit_code == 2
    view = printed("thread", "--measured", "krest=9, ten=7.5, starts=1.5", code=2)
    judge("thread", "failure").validate(view)
    assert len(view["findings"]) == 2
    many = CliRunner().invoke(main, ["thread", "--measured", "crest=12, starts=7"])
    assert many.exit_code == 0
    assert "none of 7" in many.stdout


def test_receive(tmp_path: Path) -> None:
    publish_pen(tmp_path / "a", "heron")
    where = ("--to", str(tmp_path / "a"), "--date", "2026-05-31")
    args = ("receive", "MG-0003", *where, "--reading", "shank.diameter=13.4@micrometer",
            "--reading", "thread.minor_diameter=fail@ring-gauge")  # fmt: skip
    view = printed(*args, code=1)
    judge("receive", "result").validate(view)
    assert view["served"]["sides"][0]["figures"]
    for way in (("served", "sides", 0, "terms", 0, "made"), ("characteristics", 0, "limits"),
                ("served", "why_not"), ("date",)):  # fmt: skip
        bad = copy.deepcopy(view)
        at: Any = bad
        for step in way[:-1]:
            at = at[step]
        del at[way[-1]]
        assert not judge("receive", "result").is_valid(bad), way
    judge("receive", "failure").validate(printed("receive", "MG-0003", *where, code=2))


def test_failures_have_their_own_form(tmp_path: Path) -> None:
    for name, args in (
        ("check", (str(tmp_path / "none.toml"),)),
        ("make", (str(tmp_path / "none.toml"),)),
        ("what-if", (put(tmp_path, "heron"), "no-such-mandrel")),
        ("thread", ("M12x2.4P",)),
    ):
        view = printed(name, *args, code=2)
        judge(name, "failure").validate(view)
        assert not judge(name, "result").is_valid(view)


def test_a_missing_key_or_a_wrong_kind_of_value_is_seen(tmp_path: Path) -> None:
    """Each required key of each object that is printed: taken away, the schema objects."""
    whole = judge("check", "result")
    view = printed("check", put(tmp_path, "heron"))
    view["mandrels"] = view["mandrels"][:1]
    verdict = view["mandrels"][0]["verdict"]
    paths = [("mandrels", 0, "verdict", key) for key in verdict]
    paths += [("mandrels", 0, "verdict", "joint_step", key) for key in verdict["joint_step"]]
    paths += [("mandrels", 0, "verdict", "budget", 0, key) for key in verdict["budget"][0]]
    paths += [("pen", key) for key in view["pen"]]
    paths += [("mandrels", 0, "characteristics", 0, "unit")]
    for bad, what in damaged(view, paths):
        assert not whole.is_valid(bad), what
