"""Joints and other short forms: the same pen as its long form, told at the keys as written."""

from __future__ import annotations

import contextlib
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from mandrelgen.assess.settled import settled
from mandrelgen.core.errors import Change, InputError
from mandrelgen.spec.expand import expand
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.starters import starter, starter_names
from mandrelgen.workflows.mend import mend
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workflows.remedies import tried
from mandrelgen.workflows.trial import Bench

SHORT = """schema = 1
pen = { id = "avocet", name = "Avocet" }

[parts.cap]
length = 48.0
diameter = 13.4
ends.mouth.bore = [{ diameter = 10.25, depth = 41.0 }]

[parts.barrel]
length = 58.0
diameter = 12.4
ends.mouth.bore = [{ diameter = 6.8, depth = 46.0 }]

[parts.section]
length = 24.0
diameter = 9.9
through = 5.2

[joints.cap]
thread = "M11x0.75-6H/6g"
external = "barrel.mouth"
internal = "cap.mouth"
tenon = 6.0
depth = 8.0

[joints.section]
thread = "M7.6x0.75"
external = "section.rear"
internal = "barrel.mouth"
shoulder = 9.8
tenon = 7.0
tenon_full_thread = 6.0
chamfer_diameter = 6.4
depth = 7.5
depth_from = "floor"
counterbore = { diameter = 7.8, depth = 1.0, upper = 0.05, lower = 0.0 }
"""

LONG = """schema = 1
pen = { id = "avocet", name = "Avocet" }

[parts.cap]
length = 48.0
diameter = 13.4

[parts.cap.ends.mouth]
diameter = 13.4
bore = [{ diameter = 10.25, depth = 41.0 }]
internal = { thread = "M11x0.75-6H", mates = "barrel.mouth", depth = 8.0 }

[parts.barrel]
length = 58.0
diameter = 12.4

[parts.barrel.ends.mouth]
diameter = 12.4
bore = [{ diameter = 6.8, depth = 46.0 }]
external = { thread = "M11x0.75-6g", mates = "cap.mouth", length = 6.0 }

[parts.barrel.ends.mouth.internal]
thread = "M7.6x0.75"
mates = "section.rear"
depth = 8.5
counterbore = { diameter = 7.8, depth = 1.0, upper = 0.05, lower = 0.0 }

[parts.section]
length = 24.0
diameter = 9.9

[parts.section.ends.rear]
diameter = 9.8
bore = [{ diameter = 5.2, depth = 24.0 }]
bottom = "through"

[parts.section.ends.rear.external]
thread = "M7.6x0.75"
mates = "barrel.mouth"
length = 7.0
unformed = 1.0
chamfer = 0.6
"""


def _findings(text: str) -> dict[tuple[str, str], tuple[object, ...]]:
    pen = read_pen(text.encode(), "pen.toml")
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    found = tried(settled(pen, effective_shop(shop, pen)).findings, Bench(text.encode(), shop))
    return {f.key: (f.level, f.message, f.remedies) for f in found}


def test_both_spellings_are_the_same_pen_with_the_same_findings() -> None:
    short, long = (read_pen(t.encode(), "pen.toml") for t in (SHORT, LONG))
    for name, part in long.parts.items():
        theirs = short.parts[name]
        for end, said in part.ends.items():
            assert theirs.ends[end].model_dump() == said.model_dump(), (name, end)
    a, b = _findings(SHORT), _findings(LONG)
    assert a.keys() == b.keys()
    for key in a:
        assert a[key][:2] == b[key][:2]


def test_a_remedy_names_the_key_where_the_value_stands() -> None:
    """On both spellings; what has the same remedy says it in the same words."""
    a, b = _findings(SHORT), _findings(LONG)
    places = {"short": set(), "long": set()}
    for key in a:
        short, long = a[key][2], b[key][2]
        assert [r.says for r in short] == [r.says for r in long], key  # type: ignore[attr-defined]
        for which, rows in (("short", short), ("long", long)):
            places[which] |= {c.path for r in rows for c in r.changes}  # type: ignore[attr-defined]
    assert any(p[0] == "joints" for p in places["short"])
    assert all(p[0] == "parts" for p in places["long"])


def test_mend_writes_the_joints_own_key(tmp_path: Path) -> None:
    file = tmp_path / "pen.toml"
    file.write_text(SHORT)
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    done = mend(file, read_inputs(file, None), ["pen.shoulder@barrel.mouth-cap.mouth"])
    new = tomllib.loads(done.text.decode())
    before = tomllib.loads(SHORT)
    assert new["parts"] == before["parts"]
    changed = {
        (name, key)
        for name, joint in new["joints"].items()
        for key in joint
        if joint[key] != before["joints"][name].get(key)
    }
    assert {name for name, _ in changed} == {"cap"}
    read_pen(done.text, "pen.toml")


def test_a_depth_from_the_floor_is_mended_from_the_floor() -> None:
    _, origins = expand(tomllib.loads(SHORT))
    path = ("parts", "barrel", "ends", "mouth", "internal", "depth")
    assert origins.change(Change(path, 9.5)) == Change(("joints", "section", "depth"), 8.5)


def test_what_an_end_says_itself_wins() -> None:
    own = "ends.mouth.external = { length = 6.5 }\n"
    text = SHORT.replace("diameter = 12.4\n", "diameter = 12.4\n" + own)
    pen = read_pen(text.encode(), "pen.toml")
    thread = pen.parts["barrel"].ends["mouth"].external
    assert thread is not None
    assert (float(thread.length), thread.thread) == (6.5, "M11x0.75-6g")
    _, origins = expand(tomllib.loads(text))
    path = ("parts", "barrel", "ends", "mouth", "external", "length")
    assert origins.place(path) == path


@pytest.mark.parametrize(
    ("said", "instead", "where"),
    [
        ("tenon = 6.0\n", "", "joints.cap.tenon"),
        ("depth = 8.0\n", "", "joints.cap.depth"),
        ("depth = 8.0\n", "depth = -8.0\n", "joints.cap.depth"),
        ('"M11x0.75-6H/6g"', '"M11 by what"', "joints.cap.thread"),
        ('"cap.mouth"', '"cup.mouth"', "joints.cap.internal"),
        ('"cap.mouth"', '"cap"', "joints.cap.internal"),
        ("tenon = 7.0", "tenon = 70.0", "joints.section.tenon"),
        ("tenon_full_thread = 6.0", "tenon_full_thread = 7.5", "joints.section.tenon_full_thread"),
        ("chamfer_diameter = 6.4", "chamfer_diameter = 9.0", "joints.section.chamfer_diameter"),
        ("through = 5.2", "through = -1", "parts.section.through"),
    ],
)
def test_a_fault_is_told_once_at_its_line_in_the_joint(said: str, instead: str, where: str) -> None:
    text = SHORT.replace(said, instead)
    with pytest.raises(InputError) as caught:
        read_pen(text.encode(), "pen.toml")
    places = [f.where.split(" ", 1)[1] for f in caught.value.findings]
    assert places.count(where) == 1
    assert all(p == where or "bore" in where for p in places), places
    line = int(caught.value.findings[0].where.split(":")[1].split(" ")[0])
    assert 0 < line <= len(text.splitlines())


def test_a_depth_from_a_floor_that_is_not_there_is_told() -> None:
    text = SHORT.replace("counterbore = ", "# counterbore = ")
    with pytest.raises(InputError, match="counterbore's floor"):
        read_pen(text.encode(), "pen.toml")


@pytest.mark.parametrize("name", starter_names("pen"))
def test_written_out_twice_a_pen_stays_the_same(name: str) -> None:
    once, _ = expand(tomllib.loads(starter("pen", name).decode()))
    assert expand(once)[0] == once
    short, _ = expand(tomllib.loads(SHORT))
    assert expand(short)[0] == short


def test_a_bore_right_through_is_described_from_one_side() -> None:
    text = SHORT.replace(
        "through = 5.2\n",
        'ends.front = { bottom = "through", bore = [{ diameter = 5.5, depth = 10.0 }, '
        "{ diameter = 5.0, depth = 24.0 }] }\n",
    )
    rear = read_pen(text.encode(), "pen.toml").parts["section"].ends["rear"]
    assert [(float(s.diameter), float(s.depth), s.undercut) for s in rear.bore] == [
        (5.0, 14.0, False),
        (5.5, 24.0, True),
    ]


KEYS = st.sampled_from(["tenon", "depth", "shoulder", "counterbore", "chamfer_diameter", "thread"])
VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=9), st.just([{}]),
    st.just({}),
)  # fmt: skip


@given(st.dictionaries(KEYS, VALUES), st.dictionaries(st.text(max_size=4), VALUES), VALUES)
def test_nothing_a_joint_holds_breaks_the_writing_out(
    joint: dict[str, object], more: dict[str, object], part: object
) -> None:
    tree = tomllib.loads(SHORT)
    tree["joints"]["cap"] |= joint | more
    tree["parts"]["cap"]["ends"] = part
    once, origins = expand(tree)
    for path in (("parts", "cap", "ends", "mouth", "internal", "depth"), ("parts",), ()):
        assert isinstance(origins.place(path), tuple)
    with contextlib.suppress(ValidationError):
        Pen.model_validate(once)
