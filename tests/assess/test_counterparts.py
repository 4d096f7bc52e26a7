"""Where the counterpart of a thread could be cut: which ends, in which order, and which changes.

Sizes by hand; the rules are common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.counterparts import counterparts
from mandrelgen.core.errors import Change, Remedy
from mandrelgen.spec.joints import EndRef
from mandrelgen.spec.pen import Pen

Ends = dict[str, dict[str, Any]]


def part(diameter: float, **ends: dict[str, Any]) -> dict[str, Any]:
    named = {name: {"diameter": diameter} | end for name, end in ends.items()}
    return {"length": 60.0, "diameter": diameter, "ends": named}


def pen(**parts: dict[str, Any]) -> Pen:
    return Pen.model_validate({"schema": 1, "pen": {"id": "reed", "name": "Reed"}, "parts": parts})


def nut(thread: str = "M12x0.8", depth: float = 9.0, **more: Any) -> dict[str, Any]:
    return {"internal": {"thread": thread, "depth": depth, **more}}


def screw(thread: str, length: float = 6.0, **more: Any) -> dict[str, Any]:
    return {"external": {"thread": thread, "length": length, **more}}


def ways(of: Pen, place: str, other: str) -> list[Remedy]:
    return list(counterparts(of, EndRef(*place.split(".")), other))


def changes(key: str, **values: float | str) -> tuple[Change, ...]:
    place, end, side = key.split(".")
    return tuple(Change(("parts", place, "ends", end, side, k), v) for k, v in values.items())


CAP = part(14.5, mouth=nut(), crown={})


def test_a_tenon_is_cut_as_long_as_the_tap_leaves_full_thread() -> None:
    """Two pitches of 0.8 off 9.0 leave 7.4; the class of the nut is none for the screw."""
    cap = part(14.5, mouth=nut("M12x0.8-6H"), crown={})
    (way,) = ways(pen(cap=cap, barrel=part(13.5, mouth={})), "cap.mouth", "external")
    assert way == Remedy(
        changes("barrel.mouth.external", thread="M12x0.8", length=7.4, mates="cap.mouth"),
        "cut M12x0.8 on barrel.mouth, 7.4 long, and screw it into cap.mouth",
        reveals=True,
    )


@pytest.mark.parametrize(
    ("thread", "length"),
    [
        ({"depth": 9.05}, 7.4),
        ({"depth": 8.99}, 7.3),
        # The full thread counts before the tapped depth where it is said.
        ({"depth": 9.0, "full_thread": 8.27}, 8.2),
        ({"depth": None, "full_thread": 6.0}, 6.0),
    ],
)
def test_the_tenon_s_length_is_brought_down_to_a_tenth(
    thread: dict[str, float | None], length: float
) -> None:
    cap = part(14.5, mouth={"internal": {"thread": "M12x0.8", **thread}}, crown={})
    (way,) = ways(pen(cap=cap, barrel=part(13.5, mouth={})), "cap.mouth", "external")
    assert [c.value for c in way.changes if c.path[-1] == "length"] == [length]


def test_a_thread_no_deeper_than_the_tap_s_lead_takes_no_tenon() -> None:
    for depth, found in ((1.6, 0), (1.7, 1)):
        cap = part(14.5, mouth=nut(depth=depth), crown={})
        of = pen(cap=cap, barrel=part(13.5, mouth={}))
        assert len(ways(of, "cap.mouth", "external")) == found


def test_a_hole_is_tapped_two_pitches_deeper_than_the_tenon_is_long() -> None:
    finial = part(11.0, root=screw("M7x0.5-6g", 6.03))
    cap = part(14.5, mouth={"diameter": 8.0}, crown={})
    (way,) = ways(pen(cap=cap, finial=finial), "finial.root", "internal")
    assert way == Remedy(
        changes("cap.crown.internal", thread="M7x0.5", depth=7.1, mates="finial.root"),
        "tap cap.crown M7x0.5, 7.1 deep, and screw finial.root into it",
        reveals=True,
    )


def test_a_thread_that_the_end_does_not_have_has_no_counterpart() -> None:
    of = pen(cap=CAP, barrel=part(13.5, mouth=screw("M9x0.75")))
    assert ways(of, "cap.mouth", "internal") == []
    assert ways(of, "barrel.mouth", "external") == []


def places(found: list[Remedy]) -> list[str]:
    return [f"{r.changes[0].path[1]}.{r.changes[0].path[3]}" for r in found]


def test_the_part_it_usually_screws_to_comes_alone_and_by_its_kind() -> None:
    """A finial goes into a cap rather than a barrel; two barrels are one kind; a thing that no
    rule names is left out beside them and taken without them."""
    finial = part(11.0, root=screw("M7x0.5"))
    mine = {"finial": finial, "ring": part(11.0, face={}, back={})}
    barrel = part(11.2, tail={}, mouth={})
    of = pen(**mine, barrel2=barrel, cap=CAP | {"ends": {"crown": {"diameter": 14.5}}})
    # A cap of which the file names the crown alone has another end, that it does not.
    assert places(ways(of, "finial.root", "internal")) == [
        "cap.crown", "cap.other", "barrel2.tail", "barrel2.mouth"
    ]  # fmt: skip
    assert places(ways(pen(**mine), "finial.root", "internal")) == ["ring.face", "ring.back"]


def test_of_one_kind_the_nearest_outside_comes_first() -> None:
    """From the section's ⌀12.6 by hand: 0.3, 0.4, 1.4 and 1.6, whether larger or smaller."""
    section = part(12.6, rear=screw("M9x0.75"), front={})
    of = pen(
        section=section,
        barrel=part(13.0, mouth={}, tail={"diameter": 14.0}),
        barrel2=part(12.3, mouth={}, tail={"diameter": 11.0}),
    )
    assert places(ways(of, "section.rear", "internal")) == [
        "barrel2.mouth", "barrel.mouth", "barrel.tail", "barrel2.tail"
    ]  # fmt: skip


@pytest.mark.parametrize(("diameter", "found"), [(12.5, 1), (12.49, 0)])
def test_a_tenon_needs_a_shoulder_of_a_quarter_a_side(diameter: float, found: int) -> None:
    of = pen(cap=CAP, barrel=part(diameter, mouth={}, tail={"diameter": 12.0}))
    assert len(ways(of, "cap.mouth", "external")) == found


@pytest.mark.parametrize(("diameter", "found"), [(8.6, 1), (8.59, 0)])
def test_a_tapped_hole_needs_a_wall_of_0_8_a_side(diameter: float, found: int) -> None:
    finial = part(11.0, root=screw("M7x0.5"))
    cap = part(8.0, mouth={}, crown={"diameter": diameter})
    assert len(ways(pen(cap=cap, finial=finial), "finial.root", "internal")) == found


@pytest.mark.parametrize(("bore", "found"), [(6.9, 1), (7.0, 0), (7.4, 0)])
def test_a_bore_as_wide_as_the_thread_leaves_nothing_to_tap(bore: float, found: int) -> None:
    """The first step of the bore counts, whatever is behind it."""
    steps = [{"diameter": bore, "depth": 8.0}, {"diameter": 3.0, "depth": 20.0}]
    cap = part(14.5, mouth={"diameter": 7.5}, crown={"bore": steps})
    finial = part(11.0, root=screw("M7x0.5"))
    assert len(ways(pen(cap=cap, finial=finial), "finial.root", "internal")) == found
    # A tenon round a bore is another matter.
    section = part(13.5, rear={"bore": [{"diameter": 13.0, "depth": 8.0}]}, front={"diameter": 9.0})
    assert len(ways(pen(cap=CAP, section=section), "cap.mouth", "external")) == 1


@pytest.mark.parametrize(
    ("mine", "theirs", "found"),
    [("nib", "nib", 0), ("nib", "tail", 1), ("tail", "nib", 1), (None, "nib", 1), ("nib", None, 1)],
)
def test_two_ends_that_look_the_same_way_do_not_meet(
    mine: str | None, theirs: str | None, found: int
) -> None:
    cap = part(14.5, mouth={**nut(), "side": mine}, crown={})
    of = pen(cap=cap, barrel=part(13.5, mouth={"side": theirs}, tail={"diameter": 9.0}))
    assert len(ways(of, "cap.mouth", "external")) == found


@pytest.mark.parametrize(("side", "found"), [("nib", ["cap.crown"]), ("tail", []),
                                             (None, ["cap.crown"])])  # fmt: skip
def test_an_end_that_the_file_does_not_name_looks_away_from_the_other(
    side: str | None, found: list[str]
) -> None:
    """The finial's root looks to the nib; a cap's mouth that does too has its crown at the tail."""
    finial = part(11.0, root={**screw("M7x0.5"), "side": "nib"})
    cap = part(14.5, mouth={"side": side, "diameter": 8.0})
    assert places(ways(pen(cap=cap, finial=finial), "finial.root", "internal")) == found
    # Nobody leaves a tenon on an end that the file does not name.
    of = pen(cap=CAP, barrel=part(13.5, mouth={"diameter": 9.0}))
    assert ways(of, "cap.mouth", "external") == []


def test_an_end_that_is_screwed_to_something_else_is_not_taken() -> None:
    section = part(13.5, rear=screw("M9x0.75", mates="barrel.mouth"), front={"diameter": 9.0})
    barrel = part(13.5, mouth=nut("M9x0.75"), tail={"diameter": 9.0})
    of = pen(cap=CAP, barrel=barrel, section=section)
    # The barrel's mouth is tapped and free outside; the section's rear has its screw in it.
    assert places(ways(of, "cap.mouth", "external")) == ["barrel.mouth"]
    other = part(14.5, mouth={}, crown=nut("M7x0.5", mates="finial2.root"))
    tops = {"finial": part(11.0, root=screw("M7x0.5")), "finial2": part(11.0, root=screw("M7x0.5"))}
    assert places(ways(pen(cap=other, **tops), "finial.root", "internal")) == ["cap.mouth"]


def test_a_thread_that_nothing_screws_to_is_made_alike_and_joined() -> None:
    """Of the one it had it keeps the class, where both are of one system."""
    barrel = part(13.5, mouth=screw("M11x0.75-6g"), tail={"diameter": 9.0})
    (way,) = ways(pen(cap=CAP, barrel=barrel), "cap.mouth", "external")
    assert way == Remedy(
        changes("barrel.mouth.external", thread="M12x0.8-6g", mates="cap.mouth"),
        "M12x0.8 at barrel.mouth too, and screw barrel.mouth into cap.mouth",
        reveals=True,
    )
    cap = part(14.5, mouth={"diameter": 8.0}, crown=nut("M8x0.75-6H", 8.0))
    finial = part(11.0, root=screw("M7x0.5-6g"))
    (way,) = ways(pen(cap=cap, finial=finial), "finial.root", "internal")
    assert way == Remedy(
        changes("cap.crown.internal", thread="M7x0.5-6H", mates="finial.root"),
        "M7x0.5 at cap.crown too, and screw finial.root into cap.crown",
        reveals=True,
    )


def test_a_class_of_another_system_is_not_kept() -> None:
    barrel = part(13.5, mouth=screw("7/16-28 UN-2A"), tail={"diameter": 9.0})
    (way,) = ways(pen(cap=CAP, barrel=barrel), "cap.mouth", "external")
    assert way.changes[0].value == "M12x0.8"


def test_another_thread_is_changed_only_where_the_parts_usually_screw_together() -> None:
    ring = part(13.5, mouth=screw("M11x0.75"), tail={"diameter": 9.0})
    assert ways(pen(cap=CAP, ring=ring), "cap.mouth", "external") == []
    bare = part(13.5, mouth={}, tail={"diameter": 9.0})
    assert places(ways(pen(cap=CAP, ring=bare), "cap.mouth", "external")) == ["ring.mouth"]
