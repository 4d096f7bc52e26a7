"""Several findings that one size mends get one answer, and no answer hides what it leaves.

Limits: least finished walls of a lip 0.5 and 0.8, a seat of 0.5 with 0.1 a side to the edge
(estimates, common practice, no source); sizes by plain arithmetic from them.
"""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mandrelgen.assess.words import Word
from mandrelgen.core.errors import Finding, Level, Remedy
from mandrelgen.spec.patch import patched, patched_text
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.bench_look import inputs_of
from mandrelgen.workflows.check import check, worded
from tests.judging.trees import Tree, toml
from tests.support.thin_caps import SHOP, cap, garganey

ABOUT_THE_WALL = ("pen.wall", "seat.", "wall.", "use.wall")
STEP = 0.05


def found(pen: bytes) -> dict[str, Finding]:
    """What is said of the cap's mouth and its mandrel, by code."""
    rows = check(inputs_of(pen, "pen.toml", SHOP)).findings
    return {
        f.code: f for f in rows
        if f.level is not Level.NOTE and f.where in ("cap.mouth", "cap-mouth-plug")
        and f.code.startswith(ABOUT_THE_WALL)
    }  # fmt: skip


def size(r: Remedy) -> float:
    (value,) = {c.value for c in r.changes}
    assert isinstance(value, float)
    return value


def test_a_thin_mouth_and_the_seat_on_it_get_one_size() -> None:
    """The thread's root is ⌀13.255 at most: 0.8 a side round it is ⌀14.855, on a step 14.9. The
    seat needs ⌀13.2 + 2 · (0.5 + 0.1) and its tolerance of 0.05 and an edge of 0.2: ⌀14.85."""
    said = found(garganey(14.2))
    assert {code: f.level for code, f in said.items()} == {
        "pen.wall-lip": Level.ERROR, "seat.none": Level.ERROR,
    }  # fmt: skip
    both = (
        "cap ⌀14.9 at the mouth, and as its largest diameter: mends both, at cap.mouth and "
        "cap-mouth-plug"
    )
    assert [f.remedies[0].says for f in said.values()] == [both, both]
    # 0.5 a side round ⌀13.255 is ⌀14.255, on a step 14.3; the seat alone needs 14.75.
    assert [size(f.remedies[1]) for f in said.values()] == [14.3, 14.75]


def test_a_lesser_size_says_what_it_leaves() -> None:
    """Applied, each lesser size leaves what its words name, and nothing else about the wall."""
    for f in found(garganey(14.2)).values():
        lesser = f.remedies[1]
        after = found(patched_text(garganey(14.2).decode(), lesser.changes).encode())
        assert after
        assert all(g.brief and g.brief in lesser.says for g in after.values())
    said = found(garganey(14.2))["pen.wall-lip"].remedies[1].says
    assert "mends this, leaves the wall thin (0.52, 0.8 recommended)" in said


@pytest.mark.parametrize("outside", [14.3, 14.75])
def test_whatever_was_taken_first_the_answer_stays(outside: float) -> None:
    said = found(garganey(outside))
    assert len(said) == 2
    assert {size(f.remedies[0]) for f in said.values()} == {14.9}
    assert found(garganey(14.9)) == {}


def test_the_least_means_the_hard_limit_alone() -> None:
    at = {d: found(garganey(d))["pen.wall-lip"].message for d in (14.2, 14.3)}
    assert "0.5 is the least, 0.8 recommended" in at[14.2]
    assert "say your own least_wall" in at[14.2]
    assert "0.8 is recommended" in at[14.3]
    assert "the least" not in at[14.3]


CAPS = st.builds(
    cap,
    thread=st.sampled_from(["M12x0.8", "M13xPh2.4P0.8", "M12.5xPh1.6P0.8"]),
    pitch=st.just(0.8),
    around=st.integers(6, 30).map(lambda n: round(n * STEP, 2)),
    material=st.sampled_from(["cast-acrylic", "ebonite"]),
    counterbore=st.sampled_from([0.0, 0.3]),
)


@settings(max_examples=12)
@given(CAPS)
def test_the_first_remedy_of_a_wall_is_enough_and_no_more(pen: Tree) -> None:
    """What is offered first leaves nothing about that wall; two steps less leave something."""
    wall = found(toml(pen).encode()).get("pen.wall-lip")
    assume(wall is not None)
    assert wall is not None
    first = wall.remedies[0]
    assert found(toml(patched(pen, first.changes)).encode()) == {}
    if first.changes[0].path[-2:] == ("counterbore", "diameter"):
        less = size(first) + 2 * STEP
    else:
        less = size(first) - 2 * STEP
    nearly = [type(c)(c.path, round(less, 2)) for c in first.changes]
    assert found(toml(patched(pen, nearly)).encode())


def test_a_pen_is_not_changed_for_a_mandrel_that_nobody_needs() -> None:
    """A finial of ⌀8 on M7 has a ring of 0.15 a side: no cup bears on that; but with 3 standing out
    of the cap it is turned there. Asked for all the same, it is a fault."""
    head, finial, rest = starter("pen", "heron").partition(b"[parts.finial]")
    slim = head + finial + rest.replace(b"diameter = 11.0", b"diameter = 8.0", 2)
    shop = starter("shop", "bench")
    for text, word in (
        (slim, Word.SKIP),
        (slim + b"\n[mandrels]\nall_needed = true\n", Word.CHANGE),
    ):
        checked = check(inputs_of(text, "heron.toml", shop))
        assert checked.failed is (word is Word.CHANGE)
        (answer,) = [a for a in worded(checked, {}) if a.planned.startswith("finial")]
        assert answer.word is word
        assert "turn it screwed into its cap" in answer.reason or word is Word.CHANGE
