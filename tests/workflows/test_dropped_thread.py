"""A thread taken out of any starter leaves a pen that can be read, whose other threads all keep
their sizes and whose other joints stay; what has lost its counterpart is named."""

from __future__ import annotations

import tomllib

import pytest

from mandrelgen.spec.cross import check_pen
from mandrelgen.spec.joints import SIDES, EndRef, joints
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.starters import starter, starter_names
from mandrelgen.workflows.dropped_thread import drop_thread, left_over


def text_of(name: str) -> str:
    return starter("pen", name).decode("utf-8")


def read(text: str) -> Pen:
    return read_pen(text.encode("utf-8"), "pen.toml")


def threads(pen: Pen) -> dict[tuple[str, str, str], object]:
    """Every thread by part, end and side, without what it screws into."""
    return {
        (p, e, side): getattr(end, side).model_copy(update={"mates": None})
        for p, part in pen.parts.items()
        for e, end in part.ends.items()
        for side in SIDES
        if getattr(end, side) is not None
    }


EVERY = [(name, at) for name in starter_names("pen") for at in threads(read(text_of(name)))]


@pytest.mark.parametrize(("name", "at"), EVERY)
def test_every_thread_of_every_starter_can_be_taken_out(
    name: str, at: tuple[str, str, str]
) -> None:
    before = read(text_of(name))
    after = read(drop_thread(*at)(text_of(name)))
    assert not [r for r in check_pen(after) if r.level.value == "error"]
    kept = threads(before)
    del kept[at]
    assert threads(after) == kept
    ref = EndRef(at[0], at[1])
    stay = [j for j in joints(before) if (j.external if at[2] == "external" else j.internal) != ref]
    assert list(joints(after)) == stay
    sizes = {p: {e: (x.diameter, x.bore) for e, x in part.ends.items()}
             for p, part in before.parts.items()}  # fmt: skip
    assert sizes == {p: {e: (x.diameter, x.bore) for e, x in part.ends.items()}
                     for p, part in after.parts.items()}  # fmt: skip


JOINT = """schema = 1
[pen]
id = "reed"
name = "Reed"
[parts.cap]
length = 60
diameter = 14
[parts.barrel]
length = 80
diameter = 13
[joints.cap]
thread = "M12x0.8-6H/6g"
external = "barrel.mouth"
internal = "cap.mouth"
shoulder = 13
tenon = 8
depth = 9
[mandrels.hold]
cap = "mouth"
[[mandrels.requests]]
id = "cap-plug"
holds = "cap.mouth"
[[accept]]
code = "pen.shoulder"
where = "barrel.mouth-cap.mouth"
value = 1.0
reason = "a ring fills it"
[[accept]]
code = "pen.wall"
where = "barrel.mouth"
value = 0.5
reason = "seen"
"""


@pytest.mark.parametrize(
    ("at", "other"),
    [(("cap", "mouth", "internal"), ("barrel", "mouth", "external")),
     (("barrel", "mouth", "external"), ("cap", "mouth", "internal"))],
)  # fmt: skip
def test_a_thread_that_a_joint_says_goes_with_it_and_the_other_side_stays(
    at: tuple[str, str, str], other: tuple[str, str, str]
) -> None:
    before = read(JOINT)
    text = drop_thread(*at)(JOINT)
    after = read(text)
    assert threads(after) == {other: threads(before)[other]}
    assert "joints" not in tomllib.loads(text)
    assert {e.diameter for p in after.parts.values() for e in p.ends.values()} == {13.0}
    assert [a.where for a in after.accept] == ["barrel.mouth"]
    held = at[0] == "barrel"
    assert (after.mandrels.hold == {"cap": "mouth"}) is held
    assert bool(after.mandrels.requests) is held


def test_a_thread_that_screws_into_another_part_too_is_not_left_over() -> None:
    """A cap's thread fits the barrel's mouth and, posted, its tail."""
    posted = JOINT + (
        '[parts.barrel.ends.tail]\n[parts.barrel.ends.tail.external]\nthread = "M12x0.8"\n'
        'length = 6\nmates = "cap.mouth"\n'
    )
    pen = read(posted)
    mouth, tail = EndRef("barrel", "mouth"), EndRef("barrel", "tail")
    assert left_over(pen, lambda ref, _: ref == tail) == ()
    (left,) = left_over(pen, lambda ref, _: ref in (mouth, tail))
    assert (left.part, left.end, left.side, left.thread) == (
        "cap", "mouth", "internal", "M12x0.8-6H",
    )  # fmt: skip
    after = read(drop_thread("barrel", "mouth", "external")(posted))
    assert [str(j.external) for j in joints(after)] == ["barrel.tail"]
