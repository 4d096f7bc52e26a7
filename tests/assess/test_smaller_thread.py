"""A joint's thread made smaller where its shoulder lacks room: M8x0.75 of support/gadwall between
section and barrel, whose hole is ⌀7.3. Threads by half millimetres, 0.05 for the collar."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.pen_joints import Passage
from mandrelgen.assess.smaller_thread import smaller_thread
from mandrelgen.core.errors import Remedy
from mandrelgen.design.plan import Hold
from tests.support.gadwall import gadwall, resolved

REAR = Hold("section", "rear", "external")
(PASSES,) = resolved().passages
TENON, NUT = "parts.section.ends.rear.external.thread", "parts.barrel.ends.mouth.internal.thread"
HOLE = "parts.barrel.ends.mouth.bore.0.diameter"


def offered(
    lacks: float,
    changes: dict[str, Any] | None = None,
    hold: Hold = REAR,
    passages: tuple[Passage, ...] = (),
) -> list[Remedy]:
    return list(smaller_thread(hold, gadwall(changes), lacks, passages))


def sizes(lacks: float, *args: Any, **more: Any) -> dict[str, object]:
    (way,) = offered(lacks, *args, **more)
    return {".".join(map(str, c.path)): c.value for c in way.changes}


def test_both_threads_and_the_hole_get_smaller_by_the_same() -> None:
    """8 − 2 × 0.3 − 0.05 = 7.35: M7, each with its class; its hole a millimetre smaller too."""
    assert sizes(0.3) == {TENON: "M7x0.75-6g", NUT: "M7x0.75-6H", HOLE: 6.3}
    (way,) = offered(0.3)
    assert way.says == "M7x0.75 for section.rear and barrel.mouth, drilled ⌀6.3"


@pytest.mark.parametrize(("lacks", "thread"), [(0.22, "M7.5x0.75-6g"), (0.23, "M7x0.75-6g")])
def test_the_collar_is_rounded_down_with_it(lacks: float, thread: str) -> None:
    """8 − 0.44 − 0.05 = 7.51 and 8 − 0.46 − 0.05 = 7.49."""
    assert sizes(lacks)[TENON] == thread


def test_hand_and_starts_stay() -> None:
    cap = {"parts.cap.ends.mouth.internal.thread": "M12xPh2.4P0.8-LH-6H",
           "parts.barrel.ends.mouth.external.thread": "M12xPh2.4P0.8-LH-6g"}  # fmt: skip
    (way,) = offered(0.2, cap, Hold("barrel", "mouth", "external"))
    assert [str(c.value) for c in way.changes] == [
        "M11.5xPh2.4P0.8-6g-LH", "M11.5xPh2.4P0.8-6H-LH", "10.8",
    ]  # fmt: skip


def test_a_part_that_does_not_pass_is_made_slimmer_with_its_thread() -> None:
    """Free 10.63 less 0.1, by twentieths 10.5: half a millimetre slimmer at its shoulder, so
    8 − 0.6 − 0.5 − 0.05 = 6.85 and the hole 1.5 smaller."""
    tight = PASSES._replace(free=10.63)
    assert sizes(0.3, passages=(tight,)) == {
        "parts.section.diameter": 10.5,
        "parts.section.ends.rear.diameter": 10.5,
        "parts.section.ends.front.diameter": 10.5,
        TENON: "M6.5x0.75-6g",
        NUT: "M6.5x0.75-6H",
        HOLE: 5.8,
    }
    (way,) = offered(0.3, passages=(tight,))
    assert way.says == (
        "M6.5x0.75 for section.rear and barrel.mouth, drilled ⌀5.8, and section ⌀10.5 or less"
    )


def test_only_what_does_not_pass_and_is_this_part_is_made_slimmer() -> None:
    """11.1 free lets ⌀11 pass with 0.1; the barrel's own passage is not the section's."""
    plain = sizes(0.3)
    assert sizes(0.3, passages=(PASSES._replace(free=11.1 + 1e-9),)) == plain
    assert sizes(0.3, passages=(PASSES._replace(free=10.63, part="barrel"),)) == plain
    assert len(sizes(0.3, passages=(PASSES._replace(free=11.09),))) == 6


def test_a_part_slim_enough_at_its_shoulder_keeps_the_same_thread() -> None:
    """Its rear is ⌀10 already: nothing more of the thread has to go for 10.5."""
    slim = PASSES._replace(free=10.63, ends=())
    got = sizes(0.3, {"parts.section.ends.rear.diameter": 10}, passages=(slim,))
    assert got == {
        "parts.section.diameter": 10.5, TENON: "M7x0.75-6g", NUT: "M7x0.75-6H", HOLE: 6.3,
    }  # fmt: skip


def test_of_several_passages_the_slimmest_counts() -> None:
    """10.5 by one key, 10 by another: a millimetre, so 8 − 0.6 − 1 − 0.05 = 6.35."""
    other = PASSES._replace(free=10.13, ends=(("parts", "section", "ends", "rear", "diameter"),))
    first = PASSES._replace(free=10.63, ends=())
    got = sizes(0.3, passages=(other, first))
    assert (got[TENON], got["parts.section.diameter"]) == ("M6x0.75-6g", 10.5)
    (way,) = offered(0.3, passages=(other, first))
    assert way.says.endswith("and section ⌀10 or less")


def test_five_pitches_are_the_smallest_thread() -> None:
    """Of P 1: M5. 8 − 2 × 1.47 − 0.05 = 5.01; 1.48 would be M4.5."""
    coarse = {TENON: "M8x1-6g", NUT: "M8x1-6H"}
    got = sizes(1.47, coarse)
    # So coarse for its diameter that the pitch alone could be read as a lead.
    assert got == {TENON: "M5xPh1P1-6g", NUT: "M5xPh1P1-6H", HOLE: 4.3}
    assert offered(1.48, coarse) == []


def test_a_hole_that_was_measured_or_not_said_is_left() -> None:
    bore = "parts.barrel.ends.mouth.bore"
    read = {bore: [{"diameter": 7.3, "depth": 50, "measured": {"value": 7.31}}]}
    for changes in (read, {bore: []}):
        assert sizes(0.3, changes) == {TENON: "M7x0.75-6g", NUT: "M7x0.75-6H"}
    (way,) = offered(0.3, read)
    assert way.says == "M7x0.75 for section.rear and barrel.mouth"
    odd = {bore: [{"diameter": 7.123456, "depth": 50}]}
    assert sizes(0.3, odd)[HOLE] == 6.1235


def test_an_end_without_an_outer_thread_in_a_joint_is_not_changed() -> None:
    assert offered(0.3, hold=Hold("barrel", "tail", "bore")) == []
    assert offered(0.3, hold=Hold("cap", "mouth", "internal")) == []
    assert offered(0.3, {"parts.barrel.ends.mouth.internal.mates": None}) == []


def test_an_inch_thread_is_not_made_smaller() -> None:
    """Its sizes are a series of their own."""
    inch = {TENON: "5/16-32 UNEF-2A", NUT: "5/16-32 UNEF-2B"}
    assert offered(0.3, inch) == []
