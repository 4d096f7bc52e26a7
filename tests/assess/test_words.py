"""The word for each mandrel and why, at each limit: mandrels that are planned and not designed are
enough for it, since the words ask for the parts alone."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.words import (
    Answer,
    Owned,
    Word,
    answers,
    held_back,
    needless,
    on_its_neighbour,
    order_or_make,
    parts_held_back,
    summary,
    word_alone,
)
from mandrelgen.core.errors import Finding, Level
from mandrelgen.design.designed import Designed
from mandrelgen.design.options import Wishes, merge
from mandrelgen.design.plan import Hold, Planned
from mandrelgen.spec.pen import MandrelRequest, MandrelType, Options, Pen
from mandrelgen.spec.shop import Shop
from tests.support.judged_pens import fixed, plug_pen

TOOLLESS = Shop.model_validate({"schema": 1})
SHOP = Shop.model_validate(
    {
        "schema": 1,
        "collets": [{"system": "ISO 15488-25", "sizes": [8, 12, 13]}],
        "taps": [{"thread": "M10x0.75"}],
        "dies": [{"thread": "M8x0.5"}],
    }
)
BODY = Hold("body", "mouth", "internal")
TENON = Hold("finial", "root", "external")


def pen(parts: dict[str, Any], **mandrels: Any) -> Pen:
    return Pen.model_validate(
        {"schema": 1, "pen": {"id": "reed", "name": "Reed"}, "parts": parts, "mandrels": mandrels}
    )


def body(**more: Any) -> dict[str, Any]:
    """A long part with a hole at its mouth; M8x0.5 goes in."""
    mouth = {"diameter": 14.0, "internal": {"thread": "M8x0.5", "depth": 10.0}}
    part = {"length": 60.0, "diameter": 14.0, "ends": {"mouth": mouth}}
    part["ends"] |= more.pop("ends", {})
    return part | more


def finial(length: float = 18.0, **more: Any) -> dict[str, Any]:
    """A part with a tenon of 6 mm, which screws into the body."""
    tenon = {"thread": "M8x0.5", "length": 6.0, "mates": "body.mouth"}
    root = {"diameter": 11.0, "external": tenon}
    part = {"length": length, "diameter": 11.0, "ends": {"root": root}}
    part["ends"] |= more.pop("ends", {})
    return part | more


def wish(**said: Any) -> Wishes:
    return merge(None, Options.model_validate(said), SHOP)


def planned(hold: Hold, **more: Any) -> Designed:
    """A mandrel of the plan, ``<part>-<end>``; ``wishes`` and the plan's own fields as said."""
    wishes = more.pop("wishes", wish())
    given = {"id": f"{hold.part}-{hold.end}", "kind": MandrelType.PLUG, "hold": hold, "other": None,
             "request": None, "why": ""} | more  # fmt: skip
    return Designed(planned=Planned(**given), mandrel=None, findings=(), wishes=wishes)


def fault(where: str, *parts: str, level: Level = Level.ERROR, says: str = "too thin") -> Finding:
    return Finding(level=level, code="x", where=where, message=says, parts=parts)


REQUEST = MandrelRequest.model_validate({"holds": "body.mouth"})


# -- not needed ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("length", "alone"),
    # 6 mm of tenon; the head of 12 is the most, by rule of thumb.
    [(18.0, "12"), (17.46, "11.5"), (18.1, None)],
)
def test_a_small_head_is_turned_on_its_neighbour(length: float, alone: str | None) -> None:
    two = pen({"body": body(), "finial": finial(length)})
    d = planned(TENON)
    said = on_its_neighbour(two, d, [d, planned(BODY)])
    if alone is None:
        assert said is None
    else:
        assert said == (
            f"turn it screwed into its body: only {alone} stand out (12 at most, rule of thumb)"
        )
        assert needless(two, SHOP, d, [d, planned(BODY)]) == said


def test_a_neighbour_without_a_mandrel_of_its_own_holds_nothing() -> None:
    """Also where it is the second end of a double one that holds it."""
    two = pen({"body": body(), "finial": finial()})
    d = planned(TENON)
    assert on_its_neighbour(two, d, [d]) is None
    double = planned(Hold("other", "mouth", "internal"), other=BODY)
    assert on_its_neighbour(two, d, [d, double]) is not None


def test_no_neighbour_for_a_hole_for_more_threads_or_for_what_was_asked_for() -> None:
    two = pen({"body": body(), "finial": finial()})
    near = [planned(BODY)]
    assert on_its_neighbour(two, planned(BODY), near) is None
    assert on_its_neighbour(two, planned(TENON, request=REQUEST), near) is None
    assert on_its_neighbour(two, planned(TENON, other=BODY), near) is None
    assert on_its_neighbour(two, planned(TENON), near) is not None
    for thread in (
        {"internal": {"thread": "M5x0.5", "depth": 4.0}},
        {"external": {"thread": "M5x0.5", "length": 4.0}},
        {"bore": [{"diameter": 4.0, "depth": 4.0}]},
    ):
        more = finial(ends={"top": {"diameter": 11.0, **thread}})
        busy = pen({"body": body(), "finial": more})
        assert on_its_neighbour(busy, planned(TENON), near) is None
    bare = finial(ends={"top": {"diameter": 9.0}})
    assert on_its_neighbour(pen({"body": body(), "finial": bare}), planned(TENON), near)


def test_the_neighbour_is_the_one_it_screws_into() -> None:
    """Another tenon of the same thread, which the body holds too, says nothing of this one."""
    third = {"length": 30.0, "diameter": 12.0, "ends": {"root": {
        "diameter": 12.0, "external": {"thread": "M9x0.75", "length": 6.0}}}}  # fmt: skip
    three = pen({"body": body(), "other": finial(), "third": third})
    d = planned(Hold("third", "root", "external"))
    assert on_its_neighbour(three, d, [planned(BODY), d]) is None


@pytest.mark.parametrize(("length", "ratio"), [(28.0, "2"), (20.5, "1.5"), (28.2, None)])
def test_a_part_up_to_twice_its_diameter_is_made_in_one_chucking(
    length: float, ratio: str | None
) -> None:
    d = planned(BODY)
    said = needless(pen({"body": body(length=length)}), TOOLLESS, d, [d])
    assert said == (
        None if ratio is None else
        "shape, drill and thread it in one chucking at the rod's end and part it off: it is "
        f"{ratio} × its diameter long (2 at most, rule of thumb)"
    )  # fmt: skip


def test_no_one_chucking_for_a_bore_or_for_work_at_both_ends() -> None:
    ends = {"mouth": {"diameter": 13.0, "bore": [{"diameter": 8.0, "depth": 10.0}]}}
    bored = pen({"body": {"length": 20.0, "diameter": 14.0, "ends": ends}})
    d = planned(Hold("body", "mouth", "bore"))
    assert needless(bored, SHOP, d, [d]) is None
    tail = {"tail": {"diameter": 13.0, "bore": [{"diameter": 4.0, "depth": 4.0}]}}
    both = pen({"body": body(length=20.0, ends=tail)})
    assert needless(both, SHOP, planned(BODY), []) is None


@pytest.mark.parametrize(
    ("size", "end", "held"),
    [
        (13.0, 13.0, True), (14.0, 14.0, False),  # no collet of 14
        (13.005, 13.005, True), (13.02, 13.02, False),  # a hundredth is within what a collet takes
        (13.0, 12.995, True), (13.0, 12.98, False),  # and within what is straight
    ],
)  # fmt: skip
def test_a_straight_part_goes_into_a_plain_collet(size: float, end: float, held: bool) -> None:
    part = body(diameter=size)
    part["ends"]["mouth"]["diameter"] = end
    said = needless(pen({"body": part}), SHOP, planned(BODY), [])
    if not held:
        assert said is None
        return
    wanted = "13" if size == 13.0 else "13.005"
    assert said == (
        "it is straight: turn it between centres, then hold it in the collet of "
        f"{wanted} with paper between"
    )


def test_a_tenon_keeps_a_part_out_of_a_plain_collet() -> None:
    part = body(diameter=13.0, ends={"tail": {
        "diameter": 13.0, "external": {"thread": "M6x0.5", "length": 5.0}}})  # fmt: skip
    part["ends"]["mouth"]["diameter"] = 13.0
    assert needless(pen({"body": part}), SHOP, planned(BODY), []) is None


def test_what_is_asked_for_is_needed() -> None:
    """By name, as one end of a double one, or because all are."""
    short = {"body": body(length=20.0)}
    assert needless(pen(short), SHOP, planned(BODY), []) is not None
    assert needless(pen(short), SHOP, planned(BODY, request=REQUEST), []) is None
    assert needless(pen(short), SHOP, planned(BODY, other=TENON), []) is None
    assert needless(pen(short, all_needed=True), SHOP, planned(BODY), []) is None


# -- order or make ---------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("wishes", "reason"),
    [
        (None, "as designed"),
        (wish(thread_order="blank"), "as a blank, as you asked: you cut the thread"),
        (wish(thread_order="my-tool"), "cut with your own tool, as you asked: it goes along"),
        (wish(thread_order="stock-tap"), "cut with the turner's own tools, as you asked"),
        (wish(quantity=2), "2 off, as you asked"),
    ],
)
def test_what_was_asked_of_the_turner_is_ordered(wishes: Wishes | None, reason: str) -> None:
    own = Shop.model_validate({"schema": 1, "dies": [{"thread": "M8x0.5"}]})
    found = order_or_make(pen({"body": body()}), own, BODY, wishes)
    assert found == (Word.ORDER, reason)


def test_a_bore_has_no_thread_to_cut() -> None:
    bored = Hold("body", "mouth", "bore")
    word, reason = order_or_make(pen({"body": body()}), SHOP, bored, wish())
    assert (word, reason) == (
        Word.ORDER, "no thread to cut: any turner makes it from the drawing",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("pens", "word"), [(5, Word.MAKE), (6, Word.ORDER), (1, Word.MAKE), (None, Word.MAKE)]
)
def test_a_home_made_mandrel_serves_five_pens(pens: int | None, word: Word) -> None:
    wishes = wish() if pens is None else wish(pens=pens)
    found, reason = order_or_make(pen({"body": body()}), SHOP, BODY, wishes)
    assert found is word
    if word is Word.ORDER:
        assert reason == (
            "6 pens on this thread: a mandrel you cut yourself is worn out after about 5 (rule of "
            "thumb)"
        )
    else:
        start = "your own die for M8x0.5 cuts it, for up to about 5 pens (rule of thumb)"
        assert reason.startswith(start)
        taken = "; taken as few pens: say pens = …" if pens is None else ""
        assert reason.endswith(f"the card says of what and how{taken}")


def test_a_plug_needs_the_die_and_a_cup_the_tap() -> None:
    """A die for the plug's thread, which enters the part's hole; a tap for the cup's."""
    two = pen({"body": body(), "finial": finial()})
    assert order_or_make(two, SHOP, BODY, wish())[0] is Word.MAKE
    word, reason = order_or_make(two, SHOP, TENON, wish())
    assert (word, reason) == (Word.ORDER, "no tap for M8x0.5 is listed in the shop file")
    swapped = Shop.model_validate({"schema": 1, "taps": [{"thread": "M8x0.5"}]})
    word, reason = order_or_make(two, swapped, BODY, wish())
    assert (word, reason) == (Word.ORDER, "no die for M8x0.5 is listed in the shop file")
    word, reason = order_or_make(two, swapped, TENON, wish())
    assert word is Word.MAKE
    assert reason.startswith("your own tap for M8x0.5 cuts it")


def test_where_no_tool_is_listed_it_is_asked_which_there_are() -> None:
    two = pen({"body": body(), "finial": finial()})
    for hold, kind in ((BODY, "die"), (TENON, "tap")):
        word, reason = order_or_make(two, TOOLLESS, hold, wish())
        assert word is Word.ORDER
        assert reason == (
            f"say which {kind}s you own ([[{kind}s]] in the shop file): with the one for M8x0.5 "
            "you can make it yourself"
        )


# -- the word --------------------------------------------------------------------------------------
def test_an_error_of_its_own_or_of_a_part_it_holds_stands_in_its_way() -> None:
    d = planned(BODY, other=TENON)
    own, end_b = fault("body-mouth"), fault("body-mouth, end B")
    first, second = fault("x", "body"), fault("x", "cap", "finial")
    by_name = fault("x", "body-mouth")
    others = [fault("x", "cap"), fault("cap-mouth"), fault("body.mouth"), fault("x")]
    mild = [fault("body-mouth", "body", level=level) for level in (Level.WARNING, Level.NOTE)]
    stands = (own, end_b, first, second, by_name)
    assert held_back(d, [*others, *stands, *mild]) == stands


def test_parts_are_held_back_by_errors_alone() -> None:
    found = [fault("x", "cap", "barrel"), fault("y", "finial", level=Level.WARNING), fault("z")]
    assert parts_held_back(found) == {"cap", "barrel"}


def test_an_error_comes_before_what_is_owned_and_says_how_many_more() -> None:
    two = pen({"body": body(), "finial": finial()})
    d = planned(BODY)
    owned = {"body-mouth": Owned("M-7", "fits")}
    one = [fault("body-mouth", says="too thin")]
    (a,) = answers(two, SHOP, [d], one, owned)
    assert a == Answer("body-mouth", Word.CHANGE, "too thin")
    (a,) = answers(two, SHOP, [d], [*one, fault("x", "body", says="other")], owned)
    assert a.reason == "too thin (and 1 more)"
    (a,) = answers(two, SHOP, [d], [*one, *one, *one], {})
    assert a.reason == "too thin (and 2 more)"


def test_what_is_owned_comes_before_what_is_not_needed() -> None:
    short = pen({"body": body(length=20.0)})
    d = planned(BODY)
    there = Owned("M-7", "fits in every size", own=True, state="ordered")
    (a,) = answers(short, SHOP, [d], [], {"body-mouth": there})
    assert a == Answer(
        "body-mouth", Word.HAVE, "fits in every size", uses="M-7", own=True, state="ordered"
    )
    assert a.said == "ordered"
    (a,) = answers(short, SHOP, [d], [], {"other": there})
    assert (a.word, a.said) == (Word.SKIP, "not needed")
    assert a.reason.startswith("shape, drill and thread it in one chucking")


def test_a_double_one_is_never_made_at_home() -> None:
    two = pen({"body": body(), "finial": finial()})
    (a,) = answers(two, SHOP, [planned(BODY)], [], {})
    assert a.word is Word.MAKE
    (a,) = answers(two, SHOP, [planned(BODY, other=TENON)], [], {})
    assert a.word is Word.ORDER
    assert a.reason.startswith("double-ended")
    (a,) = answers(two, SHOP, [planned(BODY, other=TENON, wishes=wish(quantity=3))], [], {})
    assert a.reason == "3 off, as you asked"


def test_one_piece_for_two_parts_is_had_once() -> None:
    """The first of them to be ordered or made serves; not one that is held back, and one asked for
    by name is made for its own."""
    (plug, *_) = fixed(plug_pen(), SHOP)
    several = pen(
        {name: body() for name in ("a", "b", "c", "d", "e", "f")} | {"s": body(length=20)}
    )

    def for_(part: str, **more: Any) -> Designed:
        return replace(planned(Hold(part, "mouth", "internal"), **more), mandrel=plug.mandrel)

    unmade = [replace(for_(name), mandrel=None) for name in "ef"]
    row = [for_("a"), for_("s"), for_("b"), for_("c", request=REQUEST), for_("d"), *unmade]
    found = answers(several, SHOP, row, [fault("a-mouth")], {})
    assert [a.planned for a in found] == [d.planned.id for d in row]
    assert [a.word.value for a in found] == [
        "change", "skip", "make", "make", "skip", "make", "make",
    ]  # fmt: skip
    assert found[4] == Answer("d-mouth", Word.SKIP, "b-mouth is the same piece", uses="b-mouth")
    assert [a.uses for a in found if a is not found[4]] == [""] * 6
    ordered = [a.word for a in answers(several, TOOLLESS, [row[2], row[4]], [], {})]
    assert ordered == [Word.ORDER, Word.SKIP]
    (there, other) = answers(several, SHOP, row[2:5:2], [], {"b-mouth": Owned("M-7", "fits")})
    assert (there.word, other.word) == (Word.HAVE, Word.MAKE)  # what is there is judged by itself


def test_the_set_beside_it_decides_whether_a_neighbour_holds_it() -> None:
    two = pen({"body": body(), "finial": finial()})
    found = answers(two, SHOP, [planned(BODY), planned(TENON)], [], {})
    assert [(a.planned, a.word) for a in found] == [
        ("body-mouth", Word.MAKE), ("finial-root", Word.SKIP),
    ]  # fmt: skip
    (double,) = answers(two, SHOP, [planned(BODY, other=TENON)], [], {})
    assert double.planned == "body-mouth"


def test_a_mandrel_by_itself_is_ordered_made_or_left_out() -> None:
    two = pen({"body": body(), "finial": finial()})
    d = planned(TENON)
    assert word_alone(two, SHOP, planned(BODY), []) is Word.MAKE
    assert word_alone(two, TOOLLESS, planned(BODY), []) is Word.ORDER
    assert word_alone(two, SHOP, d, [d, planned(BODY)]) is Word.SKIP
    long = pen({"body": body(), "finial": finial(40.0)})
    assert word_alone(long, SHOP, d, [d, planned(BODY)]) is Word.ORDER


def test_one_line_for_the_pen() -> None:
    """In the order change, order, make, have, not needed; what is on its way by its state."""
    row = [Answer(str(i), w, "") for i, w in enumerate(
        (Word.SKIP, Word.ORDER, Word.HAVE, Word.ORDER, Word.CHANGE, Word.MAKE))]  # fmt: skip
    assert summary(row) == (
        "1 to change first, 2 to order, 1 to make yourself, 1 you have, 1 not needed"
    )
    waits = [Answer(s, Word.HAVE, "", state=s) for s in ("ordered", "asked", "ordered")]
    assert summary([*waits, Answer("x", Word.HAVE, "")]) == "1 you have, 2 ordered, 1 asked"
    assert summary([]) == "no mandrel"
