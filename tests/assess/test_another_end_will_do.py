"""Where the usual end of a part gives no mandrel, another that does is taken, however few it is of;
one that the maker asked for stays."""

from __future__ import annotations

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.design.plan import best_hold
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from tests.assess.test_what_a_die_can_do import DEEP, seen
from tests.support.plover import PLOVER


def ends(text: str) -> dict[str, bool]:
    """The mandrels, and whether each can be made."""
    return {d.planned.id: d.mandrel is not None for d in seen(text).designed}


def held(part: str, end: str) -> str:
    return DEEP.replace("[parts.cap]", f'[mandrels.hold]\n{part} = "{end}"\n[parts.cap]', 1)


def test_a_section_whose_tenon_leaves_a_cup_no_wall_is_held_by_its_front() -> None:
    """⌀11.5 over a tenon of M10 leaves 0.75 a side, and the thread's clearance goes off that."""
    assert best_hold(seen(DEEP).inputs.pen, "section").end == "rear"  # type: ignore[union-attr]
    assert ends(held("section", "rear"))["section-rear-cup"] is False
    assert ends(DEEP)["section-front-plug"] is True


@pytest.mark.parametrize("pens", ["", "pens = 40\n"])
def test_how_many_pens_are_made_changes_no_end(pens: str) -> None:
    text = DEEP.replace("[parts.cap]", f"[mandrels.defaults]\n{pens}[parts.cap]", 1)
    assert ends(text) == ends(DEEP)


def test_the_usual_end_stays_where_no_other_is_better() -> None:
    """The front's thread cut over a bore so wide that none holds there either."""
    wide = DEEP.replace('thread = "M7.4x0.5-6H"\ndepth = 10', 'thread = "M7.4x0.5-6H"\ndepth = 1')
    found = ends(wide)
    assert found["section-rear-cup"] is False


def test_a_cap_is_not_held_by_its_small_crown_because_its_mouth_lacks_a_tenth() -> None:
    """Heron's cap with M12.5 in a mouth of ⌀14.2: its face leaves a seat too narrow by 0.05."""
    text = starter("pen", "heron").decode().replace("M12xPh", "M12.5xPh")
    pen = text.replace("= 12.4, depth", "= 12.6, depth")
    found = designs(read_pen(pen.encode(), "pen"), read_shop(starter("shop", "bench"), "shop"))
    assert [d.planned.id for d in found if d.mandrel is None] == ["cap-mouth-plug"]


def test_of_two_threads_in_joints_the_larger_is_the_usual_one() -> None:
    """The crown is as wide as the cap, its thread for a finial small."""
    finial = (
        '[parts.finial]\nlength = 14\ndiameter = 14\n[parts.finial.ends.root]\nside = "tail"\n'
        '[parts.finial.ends.root.external]\nthread = "M8x0.75"\nlength = 5\n'
    )
    crown = (
        '[parts.cap.ends.crown.internal]\nthread = "M8x0.75"\ndepth = 7\nmates = "finial.root"\n'
    )
    mouth = '[parts.cap.ends.mouth]\nside = "tail"\n'
    text = PLOVER.replace(mouth, f"{mouth}diameter = 14.6\n").replace(
        "[parts.barrel]", f"{crown}{finial}[parts.barrel]", 1
    )
    usual = best_hold(seen(text).inputs.pen, "cap")
    assert usual is not None
    assert usual.end == "mouth"
