"""What goes inside: cap depth, converter room, clip ring, posted length; expected by plain sums."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from mandrelgen.assess.settled import settled
from mandrelgen.core.errors import Finding, Level
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.remedies import tried
from mandrelgen.workflows.trial import Bench

# Dunlin: cap bored 52 deep, tenon into it 6.5, section 28 with a tenon of 8: it reaches 26.5.
REACH = 6.5 + 28.0 - 8.0
CAP = 52.0
BARREL_DEPTH, BARREL_BORE = 66.0, 7.5


def _found(inside: str, change: tuple[str, str] = ("", "")) -> dict[str, Finding]:
    text = starter("pen", "dunlin").decode()
    head, tail = text.split("[inside]\n")
    rest = tail[tail.index("# clip_ring") :]
    text = (head + "[inside]\n" + inside + "\n" + rest).replace(*change)
    pen = read_pen(text.encode(), "pen.toml")
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    found = settled(pen, effective_shop(shop, pen)).findings
    mine = ("pen.nib_room", "pen.reservoir", "pen.ring", "pen.posted")
    return {
        f.code: f
        for f in tried(tuple(f for f in found), Bench(text.encode(), shop))
        if f.code.startswith(mine)
    }


@pytest.mark.parametrize(
    ("stick_out", "floor", "level"),
    [
        (CAP - REACH - 1.0, 0.0, None),
        (CAP - REACH - 1.0 + 0.05, 0.0, Level.WARNING),
        (CAP - REACH + 0.05, 0.0, Level.ERROR),
        (CAP - REACH - 1.0 - 2.0, 2.0, None),
        (CAP - REACH - 1.0 - 2.0 + 0.05, 2.0, Level.WARNING),
    ],
)
def test_the_cap_takes_section_nib_and_inner_cap(
    stick_out: float, floor: float, level: Level | None
) -> None:
    cup = f"\ninner_cap = {{ floor = {floor} }}" if floor else ""
    found = _found(f"nib_unit = {{ stick_out = {stick_out} }}{cup}").get("pen.nib_room")
    assert (found.level if found else None) == level
    if found is not None:
        assert found.remedies
        assert found.remedies[0].changes[0].path[-1] == "depth"


@pytest.mark.parametrize(
    ("behind", "code", "level"),
    [
        (BARREL_DEPTH - 8.0 - 1.0, None, None),
        (BARREL_DEPTH - 8.0 - 0.9, "pen.reservoir_depth", Level.WARNING),
        (BARREL_DEPTH - 8.0 + 0.1, "pen.reservoir_depth", Level.ERROR),
    ],
)
def test_the_barrel_is_deep_enough_for_the_converter(
    behind: float, code: str | None, level: Level | None
) -> None:
    found = _found(f"reservoir = {{ diameter = 7.0, behind = {behind} }}")
    assert {f.code: f.level for f in found.values()} == ({code: level} if code else {})
    assert all(f.remedies for f in found.values())


@pytest.mark.parametrize(
    ("wide", "level"), [(7.3, None), (7.35, Level.WARNING), (7.55, Level.ERROR)]
)
def test_the_barrel_is_wide_enough_for_the_converter(wide: float, level: Level | None) -> None:
    """0.2 on the diameter to spare: common practice, no source."""
    found = _found(f"reservoir = {{ diameter = {wide}, behind = 45.0 }}").get("pen.reservoir_width")
    assert (found.level if found else None) == level


def test_the_clips_ring_goes_over_the_tenon_and_leaves_it_thread() -> None:
    """As if a ring sat on the section's tenon: 8 long, P 0.75, 0.4 unformed, in a nut that begins
    0.7 deep (countersink ⌀8.4 over D1 7.388, at 90°: 0.5)."""
    fine = _found('clip_ring = { on = "section.rear", hole = 8.3, thickness = 0.6 }')
    assert fine == {}
    tight = _found('clip_ring = { on = "section.rear", hole = 8.1, thickness = 0.6 }')
    assert set(tight) == {"pen.ring_hole"}
    assert tight["pen.ring_hole"].level is Level.ERROR
    thick = _found('clip_ring = { on = "section.rear", hole = 8.3, thickness = 6.0 }')
    assert set(thick) == {"pen.ring_thread"}
    # At most 7.8 - 0.2 - 0.45 (chamfer) - 6.5 of full thread is left: about one pitch.
    assert 0.5 < (thick["pen.ring_thread"].value or 0) < 1.7


@pytest.mark.parametrize(("longest", "level"), [(136.0, Level.NOTE), (135.0, Level.WARNING)])
def test_the_posted_length_is_added_up(longest: float, level: Level) -> None:
    """Barrel 76, section seen 28 - 8, cap 58 less 18 over the tail: 136."""
    found = _found(f'posting = {{ end = "barrel.tail", depth = 18.0, longest = {longest} }}')[
        "pen.posted"
    ]
    assert found.level is level
    assert "136" in found.message
    if level is Level.WARNING:
        assert found.remedies[0].changes[0].value == 19.0


@pytest.mark.parametrize(
    ("inside", "where"),
    [
        ({"posting": {"end": "barrel.tial", "depth": 3}}, "inside.posting.end"),
        ({"clip_ring": {"on": "barrel.tail", "hole": 7, "thickness": 1}}, "inside.clip_ring.on"),
        ({"inner_cap": {"floor": 1}}, "inside.inner_cap"),
    ],
)
def test_what_is_inside_names_what_is_there(inside: dict[str, Any], where: str) -> None:
    from mandrelgen.spec.cross import check_pen
    from mandrelgen.spec.remark import dotted

    tree = tomllib.loads(starter("pen", "dunlin").decode()) | {"inside": inside}
    assert where in [dotted(r.path) for r in check_pen(Pen.model_validate(tree))]
