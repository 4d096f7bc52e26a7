"""The fewest mandrels, against plain enumeration of every choice of ends."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.assess.fewest import Way, choose, fewest
from mandrelgen.assess.same_piece import key_of
from mandrelgen.assess.settled import settled
from mandrelgen.assess.words import Word, answers
from mandrelgen.design.plan import Hold, plan
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop

SHOP = Shop.model_validate(
    {"schema": 1, "collets": [{"system": "ISO 15488-25", "sizes": [8, 10, 12, 14, 16]}]}
)


WORDS = {"o": Word.ORDER, "m": Word.MAKE, "s": Word.SKIP}
Row = list[tuple[int, str, int]]


def cost(choice: tuple[tuple[int, str, int], ...]) -> tuple[int, int, int, int]:
    """Plain counting: what cannot be made, pieces to order, pieces to make, what is left to feel.
    A piece is a number (0: it cannot be made); equal pieces are one, and are cut alike."""
    wanted = [(piece, word) for piece, word, _ in choice if word != "s"]
    pieces = {piece: word for piece, word in wanted if piece}
    return (
        sum(1 for piece, _ in wanted if not piece),
        sum(1 for word in pieces.values() if word == "o"),
        sum(1 for word in pieces.values() if word == "m"),
        sum(mismatch for _, _, mismatch in choice),
    )


@st.composite
def rows_of_ways(draw: st.DrawFn) -> list[Row]:
    """Up to four parts with up to three ways each; a piece has one word wherever it is met."""
    word = {k: draw(st.sampled_from("om")) for k in range(5)}
    way = st.tuples(st.integers(0, 4), st.booleans(), st.integers(0, 2))
    rows = draw(st.lists(st.lists(way, min_size=1, max_size=3), min_size=1, max_size=4))
    return [[(k, "s" if skip else word[k], m) for k, skip, m in r] for r in rows]


@given(rows_of_ways())
def test_no_choice_of_ends_serves_better(rows: list[Row]) -> None:
    """Against every choice there is: fewer to order, then to make, then less to feel, and of equal
    ones none nearer to the usual ends."""
    named = [[Hold(f"p{i}", f"e{j}", "internal") for j in range(len(r))]
             for i, r in enumerate(rows)]  # fmt: skip
    said = {h: w for row, r in zip(named, rows, strict=True) for h, w in zip(row, r, strict=True)}
    ways = {h: Way((k,) if k else (), WORDS[word]) for h, (k, word, _) in said.items()}
    found = choose(named, ways, lambda c: sum(said[h][2] for h in c))

    def whole(choice: tuple[Hold, ...]) -> tuple[int, ...]:
        rank = sum(row.index(h) for row, h in zip(named, choice, strict=True))
        return (*cost(tuple(said[h] for h in choice)), rank)

    assert whole(found) == min(whole(c) for c in product(*named))


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


def _closing(barrel: float, long: float = 32.0) -> Pen:
    """A cap that shuts on a barrel of that diameter; the barrel can be held by its front's tenon,
    or by the thread at its rear, into which a small tail screws: that is the usual end, for a plug
    comes before a cup."""
    text = _pen("M9.8x0.6").model_dump(by_alias=True, exclude_unset=True)
    ends = text["parts"]["barrel"]["ends"]
    ends["rear"]["internal"]["thread"] = "M9.6x0.6"
    ends["rear"]["diameter"] = 14.0
    ends["rear"]["bore"] = [{"diameter": 9.0, "depth": 12.0, "made": "reamed"}]
    text["parts"]["barrel"]["length"] = long
    ends["front"] = {
        "diameter": barrel, "face_made": "single-point",
        "external": {"thread": "M10x0.7", "length": 8.0, "made": "single-point",
                     "mates": "cap.mouth"},
    }  # fmt: skip
    root = {"thread": "M9.6x0.6", "length": 6.0, "made": "single-point", "mates": "barrel.rear"}
    text["parts"]["tail"] = {
        "length": 12.0, "diameter": 12.0, "ends": {"root": {"diameter": 12.0, "external": root}}
    }  # fmt: skip
    return Pen.model_validate(text)


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


def test_the_end_whose_tool_is_owned_is_taken_before_one_that_must_be_ordered() -> None:
    """The barrel's two mouths have threads of their own; with the die for the rear one its plug is
    made, and nothing but the cap's is ordered."""
    text = _pen("M9.8x0.6").model_dump(by_alias=True, exclude_unset=True)
    text["parts"]["barrel"]["ends"]["rear"]["internal"]["thread"] = "M9.6x0.6"
    pen = Pen.model_validate(text)
    owns = SHOP.model_dump(by_alias=True, exclude_unset=True) | {"dies": [{"thread": "M9.6x0.6"}]}
    shop = Shop.model_validate(owns)
    assert [p.hold.text for p in fewest(pen, shop)] == ["cap.mouth", "barrel.rear"]
    found = settled(pen, shop)
    words = answers(pen, shop, found.designed, (), {})
    assert [a.word for a in words] == [Word.ORDER, Word.MAKE]


def test_of_equal_numbers_the_choice_that_is_felt_least_is_taken() -> None:
    """What is left to feel is read off the budget of the two pens designed in full, each held the
    one way by the maker's wish: less by the barrel's front, and that is what is chosen."""
    pen = _closing(13.0)
    assert [p.hold.text for p in plan(pen)] == ["cap.mouth", "barrel.rear", "tail.root"]
    over = {}
    for end in ("front", "rear"):
        wish = pen.mandrels.model_copy(update={"hold": {"barrel": end}})
        held = settled(pen.model_copy(update={"mandrels": wish}), SHOP).designed
        joined = [d.verdict.truth.step.joined for d in held[:2] if d.verdict is not None]
        over[end] = sum(j.over for j in joined if j is not None)
    assert over["front"] < over["rear"]
    chosen = settled(pen, SHOP).designed
    assert [d.planned.hold.text for d in chosen] == ["cap.mouth", "barrel.front", "tail.root"]


def test_no_mismatch_is_worth_a_weaker_hold() -> None:
    """The long barrel's tenon bears 40 N at its far end, the thread at its rear a roughing cut."""
    pen = _closing(13.0, 80.0)
    assert fewest(pen, SHOP) == plan(pen)


def test_where_nothing_is_felt_the_usual_end_stays() -> None:
    """On a shoulder of 1.0 no finger feels a mismatch, whatever it is."""
    pen = _closing(15.0)
    assert fewest(pen, SHOP) == plan(pen)
