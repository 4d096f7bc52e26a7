"""A centre in the nose, a neck and a counterbore's run-out are asked for only where they buy
something."""

from __future__ import annotations

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.design.slender import limpness
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.spec.pen import Pen
from mandrelgen.workshop.turning.operations import order_of_work
from tests.support.archived import starters
from tests.support.randompens import SHOP


def stretch(name: str, z0: float, z1: float, d: float) -> Stretch:
    return Stretch(feature=Feature(name), z0=z0, z1=z1, d0=d, d1=d)


def test_plain_bar_is_slender_from_four_diameters_on() -> None:
    """8 of shank stand out: with 24 in front of them ⌀8 is 4 diameters long; twice that bends 8
    times as far."""
    assert limpness([stretch("spigot1", 0, 24, 8)], 8.0) == pytest.approx(1.0)
    assert limpness([stretch("spigot1", 0, 56, 8)], 8.0) == pytest.approx(8.0)


def test_a_short_groove_bends_as_little_as_it_is_short() -> None:
    """By hand, a force at the nose: every stretch bends it by (b³ − a³)/d⁴, a and b its ends from
    there; plain ⌀4 of 16 by 16³/4⁴ = 16."""
    row = [
        stretch("collar", -2, 0, 6),
        stretch("relief", 0, 2, 3),
        stretch("spigot1", 2, 6, 4),
    ]
    by_hand = 4**3 / 4**4 + (6**3 - 4**3) / 3**4 + (8**3 - 6**3 + 16**3 - 8**3) / 6**4
    found = limpness([stretch("shank", -50, -2, 6), *row], 6.0)
    assert found == pytest.approx(by_hand / 16)
    assert found < 1 < 16 / (3 * 4), "by its slimmest diameter alone it would be slender"


def bored(diameter: float, deep: float, long: float) -> Mandrel:
    """A spigot ``long`` in a reamed bore."""
    (d,) = designs(
        Pen.model_validate(
            {
                "schema": 1,
                "pen": {"id": "reed", "name": "Reed"},
                "parts": {
                    "body": {
                        "length": deep + 20,
                        "diameter": diameter + 3,
                        "ends": {
                            "mouth": {
                                "diameter": diameter + 3,
                                "bore": [{"diameter": diameter, "depth": deep, "made": "reamed"}],
                            }
                        },
                    }
                },
                "mandrels": {
                    "requests": [{"holds": "body.mouth", "kind": "spigot", "spigot_length": long}]
                },
            }
        ),
        SHOP,
    )
    assert d.mandrel is not None, d.findings
    return d.mandrel


@pytest.mark.parametrize(("long", "centred"), [(12.0, False), (40.0, True)])
def test_only_a_slender_end_gets_a_centre(long: float, centred: bool) -> None:
    m = bored(7.0, 60.0, long)
    assert [h.at for h in m.centre_holes] == ["nose"] * centred
    said = " ".join(s.what for s in order_of_work(m))
    assert ("bring the tailstock up" in said) is centred
    if centred:
        # It stands in the nose's own face.
        hole = max((s for s in m.inner if s.feature == "centre.nose"), key=lambda s: s.z1)
        assert hole.z1 == pytest.approx(m.outer[-1].z1)
        assert m.centre_holes[0].mouth < m.outer[-1].d1


def plugs(pen: str, shop: str, more: str = "") -> dict[str, Mandrel]:
    made = designs(*starters(pen, shop, more=more)[:2])
    return {d.planned.id: d.mandrel for d in made if d.mandrel and d.mandrel.kind == "plug"}


def necked(m: Mandrel) -> bool:
    there = any(s.feature == "neck" for s in m.outer)
    assert there is ("neck.start" in m.stations)
    assert there is any(c.id == "neck.diameter" for c in m.characteristics)
    assert len([d for d in m.decisions if d.id == "neck.diameter"]) == 1
    return there


def test_no_neck_where_the_shank_is_one() -> None:
    """The bittern's shank ⌀9.525 is below its collars ⌀11.05 and 14.6 by more than the 0.5 a side
    that a neck would be; the seat stands as far from the nut as ever."""
    for m in plugs("bittern", "small").values():
        assert not necked(m)
        shank = next(s for s in m.outer if s.feature == "shank")
        collar = next(s for s in m.outer if s.feature == "collar")
        assert shank.z1 == collar.z0 == -1.5
        assert collar.d0 - shank.d0 >= 1.0
        assert any(c.id == "shank.length" and c.nominal == 36.0 for c in m.characteristics)


@pytest.mark.parametrize("more", ["flats = true", "stand_off = 5"])
def test_a_neck_where_flats_or_the_tool_need_its_room(more: str) -> None:
    """A spanner's flats stand on it; and with the nut near the tool would run into that."""
    for m in plugs("bittern", "small", f"\n[mandrels.defaults]\n{more}\n").values():
        assert necked(m)


def test_a_neck_where_the_shank_is_the_wider() -> None:
    assert all(necked(m) for pen in ("heron", "wren") for m in plugs(pen, "bench").values())
