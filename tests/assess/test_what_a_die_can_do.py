"""Advice that a maker can follow with the tap and die he has: nothing asks for less than they
leave, and what is cut deeper leaves room. Worked by hand from the sizes in support/plover."""

from __future__ import annotations

import pytest

from mandrelgen.core.errors import Finding, Remedy
from mandrelgen.spec.patch import patched_text
from mandrelgen.workflows.bench_look import inputs_of
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.check import check as checked
from tests.support.plover import PLOVER

CAP, SECTION = "barrel.mouth-cap.mouth", "section.rear-barrel.mouth"
DEEP = PLOVER.replace("depth = 9\n", "depth = 9.3\n")


def seen(text: str) -> Checked:
    return checked(inputs_of(text.encode(), "plover.toml", None))


def found(text: str, code: str, where: str) -> Finding:
    (one,) = (f for f in seen(text).findings if (f.code, f.where) == (code, where))
    return one


def sizes(r: Remedy) -> dict[str, object]:
    return {".".join(map(str, c.path)): c.value for c in r.changes}


@pytest.mark.parametrize(("where", "pitch"), [(CAP, 0.8), (SECTION, 0.75)])
def test_no_thread_is_asked_for_nearer_to_its_shoulder_than_a_die_cuts_it(
    where: str, pitch: float
) -> None:
    """A countersink of 0.5 would ask for 0.5; a die turned round leaves a pitch."""
    rows = found(DEEP, "pen.shoulder", where).remedies
    assert rows
    asked = [v for r in rows for k, v in sizes(r).items() if k.endswith("unformed")]
    assert all(float(str(v)) >= pitch for v in asked)
    # A mouth without thread as deep as what the die leaves: two pitches.
    depths = [v for r in rows for k, v in sizes(r).items() if k.endswith("counterbore.depth")]
    assert depths
    assert all(float(str(v)) >= 2 * pitch for v in depths)


def test_a_die_turned_round_is_offered_where_it_is_enough() -> None:
    """A counterbore of 0.4 and its countersink of 0.5 let 0.9 of P 0.75 stand: more than one
    pitch, less than two."""
    wide = "depth = 9.3\ncounterbore = { diameter = 10.2, depth = 0.4 }\n"
    text = wide.join(DEEP.rsplit("depth = 9.3\n", 1))
    rows = found(text, "pen.shoulder", SECTION).remedies
    (unformed,) = [v for r in rows for k, v in sizes(r).items() if k.endswith("unformed")]
    assert 0.75 <= float(str(unformed)) < 1.5


def test_a_lip_that_a_counterbore_would_thin_is_made_wider_with_it() -> None:
    (way,) = found(DEEP, "pen.shoulder", CAP).remedies
    assert sizes(way) == {
        "parts.cap.ends.mouth.internal.counterbore.diameter": 13.7,
        "parts.cap.ends.mouth.internal.counterbore.depth": 1.6,
        "parts.cap.diameter": 15.5,
    }
    after = seen(patched_text(DEEP, way.changes)).findings
    assert not [f for f in after if f.where == CAP and f.code != "pen.turns"]


def test_a_thread_made_deeper_leaves_something_in_hand() -> None:
    """7.68 of thread in 7.6 (9 less two pitches, less 0.2 by hand): 0.08 short, and 0.2 to spare
    is 0.28, by tenths 0.3."""
    rows = found(PLOVER, "pen.bottoms", CAP).remedies
    assert "parts.cap.ends.mouth.internal.depth" in sizes(rows[0])
    assert set(sizes(rows[0]).values()) == {9.3}
    after = seen(patched_text(PLOVER, rows[0].changes)).resolved.joints
    assert min(j.closing.thread_room for j in after if j.joint.id == CAP) >= 0.2


def test_a_tapping_hole_is_deeper_than_the_tap_goes() -> None:
    rows = found(PLOVER, "pen.tight_hole", "section.front").remedies
    assert rows[0].says == "drill its tapping hole first: ⌀6.9, 10.5 deep"  # a pitch of 0.5
    (barrel,) = [r.says for r in found(PLOVER, "pen.tight_hole", "barrel.mouth").remedies][:1]
    assert barrel == "drill its tapping hole first: ⌀9.2, 9.8 deep"  # 9 and a pitch of 0.75


def test_a_hole_deepened_for_its_tap_has_room_behind_it() -> None:
    short = PLOVER.replace("diameter = 8.8, depth = 60", "diameter = 9.2, depth = 8.5")
    (bored,) = found(short, "pen.short_hole", "barrel.mouth").remedies
    assert set(sizes(bored).values()) == {9.5}  # less thread would bottom the section's tenon


def test_a_bore_for_a_cap_that_has_none_takes_section_and_nib() -> None:
    """The section reaches 24 and a nib is taken as 26 with its room; M13.5 with P 0.8 is drilled
    12.7 for its thread, which lets ⌀11.5 pass. In a cap of 45, 1 is left beyond the drill's point
    of 3.81: 40.1 deep."""
    bare = DEEP.replace("bore = [{ diameter = 12.6, depth = 52 }]\n", "")
    for text, depth in ((bare, 50.0), (bare.replace("length = 62", "length = 45"), 40.1)):
        (way,) = found(text, "pen.cap_bore", "cap.mouth").remedies
        bore = "parts.cap.ends.mouth.bore.0"
        assert sizes(way) == {f"{bore}.diameter": 12.7, f"{bore}.depth": depth}
        assert "the nib taken as" in way.says
        after = seen(patched_text(text, way.changes)).findings
        assert not [f for f in after if f.code in ("pen.cap_bore", "pen.crown", "pen.passage")]


def test_a_maker_who_sees_it_shut_says_so_with_one_button() -> None:
    """0.08 short with two pitches of 0.8 left at the bottom, which nobody said: what shuts leaves
    at most 1.52, by twentieths 1.5, and 0.02 in hand."""
    rows = found(PLOVER, "pen.bottoms", CAP).remedies
    way = rows[-1]
    assert way.says.startswith(
        "it shuts on my bench: cap.mouth has at most 1.5 of incomplete thread at its bottom"
    )
    assert sizes(way) == {"parts.cap.ends.mouth.internal.tap_lead": 1.5}
    said = patched_text(PLOVER, way.changes)
    assert not [f for f in seen(said).findings if (f.code, f.where) == ("pen.bottoms", CAP)]
    # Who said how much his tap leaves is not asked again.
    worse = said.replace("tap_lead = 1.5", "tap_lead = 2")
    assert not [r for r in found(worse, "pen.bottoms", CAP).remedies if "my bench" in r.says]
