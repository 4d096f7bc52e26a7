"""A pen's walls and closed ends told whole: the level at each limit, what is said of it, the sizes
that leave what is recommended and, under the least, those that leave the least. Of a wall 0.4 is
the least here and 0.6 recommended, of a closed end 0.7 and 1."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess import pen_findings
from mandrelgen.assess.pen_places import Bored, Place
from mandrelgen.assess.pen_walls import Crown, PenWall
from mandrelgen.core.errors import Finding, Level, Path
from mandrelgen.core.tolerance import Toleranced
from mandrelgen.design.designed import Designed
from mandrelgen.design.ends import Hole
from mandrelgen.design.plan import Hold, Planned
from mandrelgen.mechanics.walls import LeastWall
from mandrelgen.mechanics.walls import Place as Kind
from mandrelgen.spec.choices import MandrelType
from tests.support.gadwall import gadwall, resolved

W, E, N = Level.WARNING, Level.ERROR, Level.NOTE
GOOD = resolved()
MOUTH = Place("cap", "mouth")
BORE: Path = ("parts", "cap", "ends", "mouth", "bore", 1)
BODY: Path = ("parts", "cap", "ends", "mouth", "diameter")
COUNTERBORE: Path = ("parts", "cap", "ends", "mouth", "internal", "counterbore", "diameter")


def bored(over: float = 0.05, assumed: bool = False, drilled: bool = True) -> Bored:
    hole = Hole(Toleranced(9.0, 9.0, 9.0 + over), 0.0, 50.0, False, "drilled")
    return Bored(hole, BORE, drilled, assumed, False)


def wall(value: float, **more: Any) -> PenWall:
    """Inside 9, outside as much as leaves ``value``."""
    row: dict[str, Any] = {
        "place": MOUTH, "kind": Kind.BODY, "between": "this and that", "outside": 9 + 2 * value,
        "inside": 9.0, "asked": LeastWall(0.4, 0.6, "by rule"),
    }  # fmt: skip
    return PenWall(**(row | more))


def told(*walls: PenWall, crowns: Any = ()) -> list[Finding]:
    empty: dict[str, Any] = {"joints": (), "tap_holes": (), "short_holes": (), "passages": ()}
    return list(pen_findings.check(GOOD._replace(walls=walls, crowns=crowns, **empty)))


def one(w: PenWall) -> Finding:
    (found,) = told(w)
    return found


def ways(found: Finding) -> list[list[tuple[Path, Any]]]:
    return [[(c.path, c.value) for c in r.changes] for r in found.remedies]


# -- walls -----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("value", "level"), [(0.596, None), (0.594, W), (0.396, W), (0.394, E), (-0.1, E)]
)
def test_a_wall_is_judged_by_what_is_asked_of_it(value: float, level: Level | None) -> None:
    assert [(f.code, f.level, f.where, f.parts) for f in told(wall(value))] == (
        [("pen.wall-body", level, "cap.mouth", ("cap",))] if level else []
    )


def test_a_thin_wall_says_what_is_recommended() -> None:
    found = one(wall(0.4626, kind=Kind.LIP))
    assert (found.code, found.value, found.less_is_worse, found.firm) == (
        "pen.wall-lip", 0.4626, True, False,
    )  # fmt: skip
    assert found.message == (
        "0.46 mm is left between this and that at worst limits; 0.6 is recommended (by rule)"
    )
    assert found.brief == "the wall thin (0.46, 0.6 recommended)"
    assert found.remedy
    assert found.remedies == ()


def test_a_wall_under_the_least_says_the_least_and_how_to_say_another() -> None:
    found = one(wall(0.2026))
    assert found.message == (
        "0.2 mm is left between this and that at worst limits; 0.4 is the least, 0.6 recommended "
        "(by rule; or say your own least_wall)"
    )
    assert found.brief == "the wall too thin (0.2, 0.4 is the least)"
    own = one(wall(0.2, asked=LeastWall(0.416, 0.624, "pen file")))
    assert own.message.endswith("0.42 is the least, 0.62 recommended (pen file)")
    assert own.brief == "the wall too thin (0.2, 0.42 is the least)"
    assert one(wall(0.5, asked=LeastWall(0.416, 0.624, "x"))).brief.endswith("0.62 recommended)")


@pytest.mark.parametrize(("value", "nothing"), [(0.0, True), (-0.2, True), (0.02, False)])
def test_where_nothing_is_left_nobody_can_accept_it(value: float, nothing: bool) -> None:
    found = one(wall(value))
    assert found.firm is nothing
    assert found.message.startswith("nothing is left") is nothing


def test_of_one_place_the_thinnest_wall_of_each_kind_is_told() -> None:
    rows = (wall(0.5), wall(0.3, between="the thinnest"), wall(0.45), wall(0.55, kind=Kind.LIP),
            wall(0.52, place=Place("cap", "tail")))  # fmt: skip
    assert [(f.where, f.code, f.value) for f in told(*rows)] == [
        ("cap.mouth", "pen.wall-body", 0.3),
        ("cap.mouth", "pen.wall-lip", 0.55),
        ("cap.tail", "pen.wall-body", 0.52),
    ]
    # Of two that are equal, the first.
    same = told(wall(0.5, between="first"), wall(0.5, between="second"))
    assert [f.message.split(" at ")[0] for f in same] == ["0.5 mm is left between first"]


def test_a_bore_taken_larger_than_said_is_asked_for_only_if_it_decides() -> None:
    """Half of 0.3 more a side is 0.65: enough. Half of 0.1 is 0.55: still thin."""
    taken = one(wall(0.5, hole=bored(over=0.3, assumed=True)))
    assert taken.message.endswith(
        "(by rule); the bore is taken as up to 0.3 larger than said: say yours (upper = …)"
    )
    fine = one(wall(0.5, hole=bored(over=0.256, assumed=True)))
    assert "up to 0.26 larger" in fine.message
    assert "larger" not in one(wall(0.5, hole=bored(over=0.1, assumed=True))).message
    assert "larger" not in one(wall(0.5, hole=bored(over=0.3, assumed=False))).message
    # Under the least, and a warning with the bore as said.
    assert "larger" in one(wall(0.3, hole=bored(over=0.3, assumed=True))).message


def test_a_bore_is_drilled_as_small_as_leaves_what_is_recommended() -> None:
    """Outside 10: 10 − 1.2 − 0.05 = 8.75, drill 8.7; bored 8.75."""
    found = one(wall(0.5, hole=bored()))
    assert ways(found) == [[((*BORE, "diameter"), 8.7)]]
    assert ways(one(wall(0.5, hole=bored(drilled=False)))) == [[((*BORE, "diameter"), 8.75)]]
    assert [r.lesser for r in found.remedies] == [False]


def test_under_the_least_the_bore_that_leaves_the_least_comes_last() -> None:
    """Outside 9.6: 9.6 − 1.2 − 0.05 = 8.35 and 9.6 − 0.8 − 0.05 = 8.75."""
    found = one(wall(0.3, hole=bored()))
    assert [(w[0][1], r.lesser) for w, r in zip(ways(found), found.remedies, strict=True)] == [
        (8.3, False),
        (8.7, True),
    ]


def test_a_bore_that_would_not_get_smaller_is_left() -> None:
    """It is 9, and outside 9.4 + 1.25 leaves a bore of 9.4: the wall is thin by another side."""
    assert one(wall(0.5, outside=10.25, inside=9.25, hole=bored())).remedies == ()
    smaller = one(wall(0.5, outside=10.15, inside=9.15, hole=bored()))
    assert [w[0][1] for w in ways(smaller)] == [8.9]
    assert one(wall(-0.1, outside=1.0, inside=9.0, hole=bored())).remedies == ()


def test_a_counterbore_is_made_smaller_with_a_tenth_to_come_out_larger() -> None:
    """10 − 1.2 − 0.1 = 8.7."""
    found = one(wall(0.5, counterbore=COUNTERBORE))
    assert ways(found) == [[(COUNTERBORE, 8.7)]]
    assert [(r.says, r.lesser) for r in found.remedies] == [("counterbore ⌀8.7", False)]
    # 9.6 − 1.3 = 8.3; 9.6 − 0.9 = 8.7.
    under = one(wall(0.3, counterbore=COUNTERBORE))
    assert [(w[0][1], r.lesser) for w, r in zip(ways(under), under.remedies, strict=True)] == [
        (8.3, False),
        (8.7, True),
    ]


def test_a_counterbore_of_nothing_is_not_offered() -> None:
    """1.34 − 1.3 is by twentieths nothing; 1.34 − 0.9 is 0.4."""
    found = one(wall(0.3, outside=1.34, inside=1.0, counterbore=COUNTERBORE))
    assert ways(found) == [[(COUNTERBORE, 0.4)]]


def test_an_outside_is_made_larger_and_the_part_with_it() -> None:
    """9 + 1.2 = 10.2, 9 + 0.8 = 9.8."""
    found = one(wall(0.3, body=BODY, largest=10.0))
    assert ways(found) == [[(BODY, 10.2), (("parts", "cap", "diameter"), 10.2)], [(BODY, 9.8)]]
    assert [r.says for r in found.remedies] == [
        "cap ⌀10.2 at the mouth, and as its largest diameter",
        "cap ⌀9.8 at the mouth",
    ]
    assert [r.lesser for r in found.remedies] == [False, True]


def test_bore_counterbore_and_outside_are_offered_in_that_order() -> None:
    row = {"hole": bored(), "counterbore": COUNTERBORE, "body": BODY, "largest": 20.0}
    assert [w[0][0] for w in ways(one(wall(0.5, **row)))] == [
        (*BORE, "diameter"), COUNTERBORE, BODY,
    ]  # fmt: skip


# -- closed ends -----------------------------------------------------------------------------------
def crown(depth: float, **more: Any) -> Crown:
    """Of a part 60 long, with a point of 3.2 and 1 cut from the other side."""
    row: dict[str, Any] = {
        "place": MOUTH, "asked": LeastWall(0.7, 1.0, "by rule"), "length": 60.0, "depth": depth,
        "point": 3.2, "opposite": 1.0, "steps": 2,
    } | more  # fmt: skip
    left = row["length"] - row["depth"] - row["point"] - row["opposite"]
    return Crown(**({"left": left} | row))


@pytest.mark.parametrize(
    ("depth", "level"), [(54.8, None), (54.804, None), (54.806, W), (55.104, W), (55.106, E)]
)
def test_a_closed_end_is_judged_by_what_is_left(depth: float, level: Level | None) -> None:
    found = told(crowns=(crown(depth),))
    assert [(f.code, f.level, f.where, f.parts) for f in found] == (
        [("pen.crown", level, "cap.mouth", ("cap",))] if level else []
    )


def test_a_thin_closed_end_is_bored_less_deep_flat_or_made_longer() -> None:
    """55 deep leaves 0.8: 60 − 3.2 − 1 − 1 = 54.8 deep, or 60.2 long; flat it leaves 4."""
    (found,) = told(crowns=(crown(55.0),))
    assert (found.value, found.less_is_worse, found.firm) == (0.8, True, False)
    assert found.message == (
        "0.8 mm is left beyond the end of the bore; 1 is recommended (by rule)"
    )
    assert found.brief == "the closed end thin (0.8, 1 recommended)"
    assert found.remedy
    end = ("parts", "cap", "ends", "mouth")
    assert ways(found) == [
        [((*end, "bore", 1, "depth"), 54.8)],
        [((*end, "bottom"), "flat")],
        [(("parts", "cap", "length"), 60.2)],
    ]
    assert [(r.says, r.lesser) for r in found.remedies] == [
        ("bore cap.mouth 54.8 deep (now 55)", False),
        ("a flat-bottomed bore", False),
        ("the part 60.2 long", False),
    ]


def test_under_the_least_a_closed_end_gets_what_leaves_the_least_too() -> None:
    """55.6 deep leaves 0.2: 60.8 long, or for the least of 0.7 bored 55.1 deep or 60.5 long."""
    (found,) = told(crowns=(crown(55.6),))
    assert "0.7 is the least, 1 recommended (by rule; or say your own least_wall)" in found.message
    assert found.brief == "the closed end too thin (0.2, 0.7 is the least)"
    rows = [(w[0][1], r.lesser) for w, r in zip(ways(found), found.remedies, strict=True)]
    assert rows == [(54.8, False), ("flat", False), (60.8, False), (55.1, True), (60.5, True)]


@pytest.mark.parametrize(
    ("point", "flat"), [(0.0, False), (0.5, False), (0.79, False), (0.8, True)]
)
def test_a_flat_bottom_is_offered_where_it_leaves_enough(point: float, flat: bool) -> None:
    """0.2 is left; with the point's height 1 is enough (0.005 is forgiven)."""
    (found,) = told(crowns=(crown(58.8 - point, point=point),))
    assert ("flat" in [w[0][1] for w in ways(found)]) is flat


def test_a_bore_as_deep_as_its_part_goes_through_above_all() -> None:
    (found,) = told(crowns=(crown(60.0, point=0.0, opposite=0.0),))
    assert (found.level, found.firm) == (E, True)
    assert found.message.startswith("nothing is left beyond")
    assert ways(found)[0] == [(("parts", "cap", "ends", "mouth", "bottom"), "through")]
    assert found.remedies[0].says == "bore cap.mouth through the part"
    (near,) = told(crowns=(crown(59.9, point=0.0, opposite=0.0),))
    assert "through" not in [w[0][1] for w in ways(near)]


def test_a_part_too_short_for_any_bore_can_only_be_longer() -> None:
    """4.25 less 3.2 and 1 is 0.05, by tenths nothing."""
    (found,) = told(
        crowns=(crown(0.35, length=4.25, opposite=0.0, asked=LeastWall(1.0, 1.0, "x")),)
    )
    assert [w[0][0][-1] for w in ways(found)] == ["bottom", "length", "length"]


def test_a_good_closed_end_does_not_end_the_list() -> None:
    found = told(crowns=(crown(20.0), crown(55.0, place=Place("barrel", "mouth"))))
    assert [f.where for f in found] == ["barrel.mouth"]


def test_walls_closed_ends_and_joints_are_told_in_this_order() -> None:
    pen = GOOD._replace(walls=(wall(0.5),), crowns=(crown(55.0),))
    codes = [f.code for f in pen_findings.check(pen)]
    assert codes == ["pen.wall-body", "pen.crown", "pen.turns"]


# -- what nothing holds ----------------------------------------------------------------------------
def designed(*holds: str, other: str = "") -> tuple[Designed, ...]:
    def hold(part: str) -> Hold:
        return Hold(part, "mouth", "internal")

    second = hold(other) if other else None
    return tuple(
        Designed(
            planned=Planned(
                id=p, kind=MandrelType.PLUG, hold=hold(p), other=second, request=None, why=""
            ),
            mandrel=None,
            findings=(),
        )
        for p in holds
    )


def held(changes: dict[str, Any], row: tuple[Designed, ...] = ()) -> list[tuple[Level, str, str]]:
    found = list(pen_findings.held(gadwall(changes), row))
    assert all(f.message and f.remedy for f in found)
    return [(f.level, f.code, f.where) for f in found]


def test_a_pen_without_any_mandrel_says_whose_word_that_is() -> None:
    assert held({"mandrels.all_needed": False}) == [(E, "pen.no_mandrel", "mandrels")]
    every = {"mandrels.skip": ["cap", "barrel", "section"]}
    assert held(every) == [(E, "pen.no_mandrel", "mandrels.skip")]
    assert held({"mandrels.skip": ["cap", "barrel"]}) == [(E, "pen.no_mandrel", "parts")]
    assert held({}) == [(E, "pen.no_mandrel", "parts")]
    (one,) = pen_findings.held(gadwall(), ())
    assert one.message == (
        "nothing to hold any part by (cap, barrel, section): no end has a thread or a bore"
    )


def test_a_part_that_no_mandrel_holds_is_noted() -> None:
    assert held({}, designed("cap", "section")) == [(N, "pen.not_held", "parts.barrel")]
    assert held({}, designed("cap", other="barrel")) == [(N, "pen.not_held", "parts.section")]
    assert held({"mandrels.skip": ["barrel"]}, designed("cap", "section")) == []
    assert held({"mandrels.skip": ["cap"]}, designed("section")) == [
        (N, "pen.not_held", "parts.barrel")
    ]


def test_where_single_mandrels_are_asked_for_the_other_parts_are_nobodys_fault() -> None:
    assert held({"mandrels.requests": [{"holds": "cap.mouth"}]}, designed("cap")) == []


# -- rods ------------------------------------------------------------------------------------------
def test_each_rod_that_is_named_says_once_what_to_take_care_of() -> None:
    """Brass asks nothing and ends nothing; what nobody named is not told."""
    rods = {"parts.cap.material": "CW614N", "parts.barrel.material": "cast-acrylic",
            "parts.section.material": "cast-acrylic"}  # fmt: skip
    (found,) = pen_findings.rods(gadwall(rods))
    assert (found.level, found.code, found.where) == (
        N, "material.caution", "parts.barrel.material",
    )  # fmt: skip
    assert found.message.startswith("cast acrylic")
    assert list(pen_findings.rods(gadwall())) == []
    two = {"parts.cap.material": "ebonite", "parts.section.material": "casein"}
    assert [f.where for f in pen_findings.rods(gadwall(two))] == [
        "parts.cap.material",
        "parts.section.material",
    ]
