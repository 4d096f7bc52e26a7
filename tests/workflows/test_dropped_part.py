"""A part taken out of any starter leaves a pen that can be read and names the part nowhere; the
other side of its joint keeps its thread with every size."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from mandrelgen.spec.cross import check_pen
from mandrelgen.spec.expand import expand
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.starters import starter, starter_names
from mandrelgen.workflows.dropped_part import drop_part


def text_of(name: str) -> str:
    return starter("pen", name).decode("utf-8")


EVERY = [
    (name, part)
    for name in starter_names("pen")
    for part in tomllib.loads(text_of(name))["parts"]
    if len(tomllib.loads(text_of(name))["parts"]) > 1
]


def texts(tree: Any) -> Iterator[str]:
    if isinstance(tree, dict):
        for key, value in tree.items():
            yield from (key, *texts(value))
    elif isinstance(tree, list):
        for value in tree:
            yield from texts(value)
    else:
        yield str(tree)


def without_mates(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {k: without_mates(v) for k, v in tree.items() if k != "mates"}
    return [without_mates(v) for v in tree] if isinstance(tree, list) else tree


@pytest.mark.parametrize(("name", "part"), EVERY)
def test_every_part_of_every_starter_can_be_taken_out(name: str, part: str) -> None:
    before = tomllib.loads(text_of(name))
    after_text = drop_part(part)(text_of(name))
    pen = read_pen(after_text.encode("utf-8"), f"{name}.toml")
    assert not [r for r in check_pen(pen) if r.level.value == "error"]
    after = tomllib.loads(after_text)
    assert not [t for t in texts(after) if t == part or t.startswith(f"{part}.")]
    kept = without_mates(expand(before)[0])["parts"]
    del kept[part]
    assert without_mates(expand(after)[0])["parts"] == kept


def test_what_else_names_the_part_goes_with_it() -> None:
    more = """
[mandrels]
skip = ["finial", "cap"]
hold = { section = "front", finial = "root" }
[[mandrels.requests]]
holds = "finial.root"
[[mandrels.requests]]
holds = "section.rear"
also_holds = "finial.root"
[inside]
clip_ring = { on = "finial.root", hole = 7.1, thickness = 0.6 }
[[accept]]
code = "pen.shoulder"
where = "finial.root-cap.crown"
reason = "seen"
[[accept]]
code = "pen.wall-crown"
where = "cap.crown"
reason = "seen"
"""
    tree = tomllib.loads(drop_part("finial")(text_of("heron") + more))
    assert tree["mandrels"]["skip"] == ["cap"]
    assert tree["mandrels"]["hold"] == {"section": "front"}
    assert tree["mandrels"]["requests"] == [{"holds": "section.rear"}]
    assert tree["inside"] == {}
    assert [a["where"] for a in tree["accept"]] == ["cap.crown"]
    assert tree["parts"]["cap"]["ends"]["crown"]["internal"]["thread"] == "M7x0.5-6H"
    assert "# the finial covers it" in drop_part("finial")(text_of("heron"))
