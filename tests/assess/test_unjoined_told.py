"""Threads that nothing screws together: what is changed where, and which part is told so. Each
expected change is what one would type into the file by hand."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.unjoined_findings import check
from mandrelgen.core.errors import Finding, Level
from mandrelgen.spec.pen import Pen


def screw(thread: str, **more: Any) -> dict[str, Any]:
    return {"external": {"thread": thread, "length": 8.0, **more}}


def nut(thread: str, **more: Any) -> dict[str, Any]:
    return {"internal": {"thread": thread, "depth": 10.0, **more}}


def found(**parts: dict[str, dict[str, Any]]) -> tuple[Finding, ...]:
    """What is said of a pen of these parts, each its ends by name."""
    made = {name: {"length": 60.0, "diameter": 15.0, "ends": ends} for name, ends in parts.items()}
    return check(
        Pen.model_validate({"schema": 1, "pen": {"id": "reed", "name": "Reed"}, "parts": made})
    )


def changes(f: Finding) -> list[dict[str, Any]]:
    return [{".".join(map(str, c.path)): c.value for c in r.changes} for r in f.remedies]


def test_threads_that_fit_are_joined_by_one_key_at_the_screw() -> None:
    (told,) = found(cap={"mouth": nut("M12x0.8-6H")}, barrel={"front": screw("M12x0.8-6g")})
    assert (told.level, told.code, told.where) == (
        Level.WARNING, "pen.not_joined", "barrel.front",
    )  # fmt: skip
    assert told.message == (
        "the threads of barrel.front (M12x0.8-6g) and cap.mouth (M12x0.8-6H) fit one another and "
        "are not joined: how they close is not looked at"
    )
    assert changes(told) == [{"parts.barrel.ends.front.external.mates": "cap.mouth"}]
    assert [(r.says, r.reveals, r.lesser) for r in told.remedies] == [
        ("screw barrel.front into cap.mouth", True, False)
    ]
    assert told.remedy == "join them, or leave them apart on purpose"


def test_of_two_that_do_not_fit_either_may_become_the_other() -> None:
    """Each keeps the class it has, joined either way at the screw."""
    (told,) = found(cap={"mouth": nut("M12x0.8-5H")}, barrel={"front": screw("M12x1-4h")})
    assert (told.level, told.code, told.where) == (
        Level.WARNING, "pen.not_joined", "barrel.front",
    )  # fmt: skip
    assert told.message == (
        "barrel.front (M12x1-4h) and cap.mouth (M12x0.8-5H) have one diameter and do not screw "
        "together: they differ in pitch (1 and 0.8 mm)"
    )
    joined = {"parts.barrel.ends.front.external.mates": "cap.mouth"}
    assert changes(told) == [
        {"parts.barrel.ends.front.external.thread": "M12x0.8-4h"} | joined,
        {"parts.cap.ends.mouth.internal.thread": "M12x1-5H"} | joined,
    ]
    into = "and screw barrel.front into cap.mouth"
    assert [(r.says, r.reveals) for r in told.remedies] == [
        (f"M12x0.8 at barrel.front too, {into}", True),
        (f"M12x1 at cap.mouth too, {into}", True),
    ]
    assert told.remedy == "correct one of the two threads if they belong together"


def test_a_class_of_another_system_is_not_kept() -> None:
    """1/2 inch is 12.7 mm: M12.7 beside it has one diameter."""
    (told,) = found(cap={"mouth": nut("M12.7x0.8-6H")}, barrel={"front": screw("1/2-32 UN-2A")})
    first, second = (c[k] for c in changes(told) for k in c if k.endswith("thread"))
    assert first == "M12.7x0.8"
    assert "2A" not in second
    assert "6H" not in second


def test_a_part_that_nothing_screws_to_is_noted_at_its_first_thread() -> None:
    """The cap's 13 and the barrel's 12 do not meet; of the cap's two threads the first is told."""
    told = found(
        cap={"mouth": nut("M13x0.8"), "crown": screw("M9x0.75")},
        barrel={"front": screw("M12x0.8")},
    )
    assert [(f.level, f.code, f.where) for f in told] == [
        (Level.NOTE, "pen.no_counterpart", "cap.mouth"),
        (Level.NOTE, "pen.no_counterpart", "barrel.front"),
    ]
    assert told[0].message == (
        "no other part has an external thread for its M13x0.8: how it closes is not looked at"
    )
    assert told[0].remedy == "give the part it screws onto an external thread M13x0.8"
    assert told[1].message == (
        "no other part has an internal thread for its M12x0.8: how it closes is not looked at"
    )
    assert told[1].remedy == "give the part it screws into an internal thread M12x0.8"


@pytest.mark.parametrize("joined", [False, True])
def test_a_part_whose_thread_has_its_fellow_is_not_alone(joined: bool) -> None:
    """Nor is one that only nearly fits, nor one that has another thread in a joint."""
    mates = {"mates": "cap.mouth"} if joined else {}
    told = found(
        cap={"mouth": nut("M12x0.8"), "crown": nut("M7x0.5")},
        barrel={"front": screw("M12x0.8" if joined else "M12x1", **mates)},
        ring={"rear": {"bore": [{"diameter": 6.0, "depth": 9.0}]}},
    )
    assert [f.code for f in told] == ([] if joined else ["pen.not_joined"])


def test_a_part_alone_after_one_without_a_thread_is_still_told() -> None:
    told = found(
        ring={"rear": {"bore": [{"diameter": 6.0, "depth": 9.0}]}},
        cap={"crown": {"bore": [{"diameter": 6.0, "depth": 9.0}]}, "mouth": nut("M13x0.8")},
    )
    assert [f.where for f in told] == ["cap.mouth"]


def test_the_only_part_of_a_file_is_not_told_that_it_stands_alone() -> None:
    assert found(cap={"mouth": nut("M13x0.8")}) == ()


def test_a_screw_without_a_nut_is_offered_one_where_there_is_room() -> None:
    """A cap with nothing at its crown takes the finial's M7 there: 6 and two pitches, 7 deep."""
    (told,) = (
        f
        for f in found(
            cap={"mouth": {"side": "tail", **nut("M12x0.8")}},
            finial={"root": {"side": "tail", "external": {"thread": "M7x0.5", "length": 6.0}}},
        )
        if f.where == "finial.root"
    )
    assert [r.says for r in told.remedies] == [
        "tap cap.crown M7x0.5, 7 deep, and screw finial.root into it"
    ]
