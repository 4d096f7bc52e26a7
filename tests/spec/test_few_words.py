"""The smallest useful file, measured: its values and lines, for one mandrel and for a full pen."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from mandrelgen.assess.settled import settled
from mandrelgen.core.errors import InputError, Level
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.starters import starter

ONE = """schema = 1
pen = { id = "avocet", name = "Avocet" }
[parts.barrel]
length = 82
diameter = 13.2
[parts.barrel.ends.mouth.internal]
thread = "M9x0.75"
depth = 11
"""

PEN = """schema = 1
pen = { id = "avocet", name = "Avocet" }
[parts.cap]
length = 48
diameter = 13.4
ends.mouth.bore = [{ diameter = 10.25, depth = 41 }]
[parts.barrel]
length = 58
diameter = 12.4
ends.mouth.bore = [{ diameter = 6.8, depth = 46 }]
[parts.section]
length = 24
diameter = 9.9
through = 5.2
[joints.cap]
thread = "M11x0.75"
external = "barrel.mouth"
internal = "cap.mouth"
tenon = 6
depth = 8
[joints.section]
thread = "M7.6x0.75"
external = "section.rear"
internal = "barrel.mouth"
tenon = 7
depth = 9.5
"""


def _values(tree: Any) -> int:
    rows = tree.values() if isinstance(tree, dict) else tree if isinstance(tree, list) else ()
    return sum(_values(v) for v in rows) if isinstance(tree, dict | list) else 1


@pytest.mark.parametrize(
    ("what", "text", "mandrels", "most"), [("one mandrel", ONE, 1, 11), ("a full pen", PEN, 3, 30)]
)
def test_the_smallest_useful_file(what: str, text: str, mandrels: int, most: int) -> None:
    pen = read_pen(text.encode(), "pen.toml")
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    found = settled(pen, effective_shop(shop, pen))
    values, lines = _values(tomllib.loads(text)), len(text.splitlines())
    print(f"{what}: {values} values (at most {most}), {lines} lines, {mandrels} mandrels")
    assert values <= most
    assert len([d for d in found.designed if d.mandrel is not None]) == mandrels
    assert not [f for f in found.findings if f.level is Level.ERROR]


def test_no_value_of_the_smallest_file_can_be_left_out() -> None:
    """Else it would not be the smallest."""
    for line in [n for n in ONE.splitlines() if " = " in n and not n.startswith("pen")]:
        with pytest.raises(Exception, match=r"missing|neither|add"):
            read_pen(ONE.replace(line + "\n", "").encode(), "pen.toml")


def test_the_single_starter_is_short() -> None:
    text = starter("pen", "avocet").decode()
    assert len(text.splitlines()) <= 15
    assert _values(tomllib.loads(text)) <= 11


def test_one_material_goes_for_every_part_that_does_not_say_its_own() -> None:
    """By hand: three parts, one of which says its own."""
    text = PEN.replace('name = "Avocet" }', 'name = "Avocet", material = "hard rubber" }')
    text = text.replace("length = 24", 'length = 24\nmaterial = "cast-acrylic"')
    pen = read_pen(text.encode(), "avocet.toml")
    assert {n: p.material for n, p in pen.parts.items()} == {
        "cap": "ebonite", "barrel": "ebonite", "section": "cast-acrylic",
    }  # fmt: skip
    with pytest.raises(InputError, match=r"avocet.toml:2 pen.material") as told:
        read_pen(text.replace("hard rubber", "moonstone").encode(), "avocet.toml")
    assert "moonstone" in str(told.value)
