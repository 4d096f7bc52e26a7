"""The fewest mandrels, against plain enumeration of every choice of ends."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.assess.fewest import choose, fewest, key_of
from mandrelgen.assess.settled import settled
from mandrelgen.assess.words import Word, answers
from mandrelgen.design.plan import Hold, plan
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop

SHOP = Shop.model_validate(
    {"schema": 1, "collets": [{"system": "ISO 15488-25", "sizes": [8, 10, 12, 14, 16]}]}
)


@given(st.lists(st.lists(st.integers(0, 4), min_size=1, max_size=3), min_size=1, max_size=4))
def test_no_choice_of_ends_needs_fewer(rows: list[list[int]]) -> None:
    """Keys are numbers here; 0 stands for an end by which nothing can be made."""
    ways = [[Hold(f"p{i}", f"e{j}", "internal") for j in range(len(r))] for i, r in enumerate(rows)]
    keys = {h: (k,) if k else () for row, r in zip(ways, rows, strict=True)
            for h, k in zip(row, r, strict=True)}  # fmt: skip
    found = choose(ways, keys)
    mine = [keys[h] for h in found if keys[h]]
    best = min(
        (len(c) - len([k for k in c if k]), len({k for k in c if k})) for c in product(*rows)
    )
    assert (len(found) - len(mine), len(set(mine))) == best


def _pen(front: str) -> Pen:
    """A cap and a barrel with like mouths; the barrel's other end has a thread of its own."""

    def mouth(thread: str) -> dict[str, object]:
        return {
            "diameter": 13.0,
            "face_made": "single-point",
            "internal": {"thread": thread, "depth": 10.0, "tap_lead": 1.0, "countersink": 10.2,
                         "made": "single-point"},
            "bore": [{"diameter": 9.3, "depth": 30.0, "made": "reamed"}],
        }  # fmt: skip

    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "grebe", "name": "Grebe"},
            "parts": {
                "cap": {"length": 60.0, "diameter": 13.0, "ends": {"mouth": mouth("M10x0.7")}},
                "barrel": {
                    "length": 80.0,
                    "diameter": 13.0,
                    "ends": {"front": {**mouth(front), "diameter": 13.4}, "rear": mouth("M10x0.7")},
                },
            },
        }
    )


def test_an_end_that_shares_its_mandrel_is_taken_instead_of_the_usual_one() -> None:
    pen = _pen("M9.8x0.6")
    assert [p.hold.text for p in plan(pen)] == ["cap.mouth", "barrel.front"]
    planned = fewest(pen, SHOP)
    assert [p.hold.text for p in planned] == ["cap.mouth", "barrel.rear"]
    found = settled(pen, SHOP)
    one, two = found.designed
    assert key_of(one.mandrel) == key_of(two.mandrel) != ()
    words = answers(pen, SHOP, found.designed, (), {})
    assert [a.word for a in words] == [Word.ORDER, Word.SKIP]
    assert words[1].uses == one.planned.id


def test_a_pen_that_shares_no_thread_keeps_its_usual_ends() -> None:
    text = _pen("M9.8x0.6").model_dump(by_alias=True, exclude_unset=True)
    text["parts"]["barrel"]["ends"]["rear"]["internal"]["thread"] = "M9.6x0.6"
    pen = Pen.model_validate(text)
    assert fewest(pen, SHOP) == plan(pen)
