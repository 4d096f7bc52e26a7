"""Where neither seat nor wall has room, each lack is told as what it is."""

from __future__ import annotations

import pytest

from mandrelgen.core.errors import Finding
from mandrelgen.design.draft import Draft
from mandrelgen.design.ends import Ring
from mandrelgen.design.seat import CUP_CLEARANCES, PLUG_CLEARANCES, choose


def lacking(
    outer: float, inner: float, inside: float | None, clearances: tuple[float, ...]
) -> Finding:
    """The one error for a ring up to ⌀``outer`` that begins at ⌀``inner``."""
    draft = Draft("section-rear-cup")
    assert choose(draft, Ring(inner, outer, False), inner, clearances, inside) is None
    (found,) = draft.findings
    return found


def test_seat_and_wall_of_a_cup_are_both_told_and_the_larger_lack_is_what_the_diameter_needs() -> (
    None
):
    """The collar is 10.4 − 2 · 0.05 = 10.3 less 0.05, ⌀10.25 at least: a seat and a wall of
    (10.25 − 9.3) / 2 = 0.475. The wall lacks 0.6 − 0.475 = 0.125 a side, 0.25 in diameter."""
    found = lacking(10.4, 9.3, 9.3, CUP_CLEARANCES)
    assert found.code == "seat.none"
    assert found.message == (
        "the flat of the part's face (⌀9.3 to ⌀10.4) leaves a seat of 0.475 of the 0.5 needed and "
        "a cup's wall of 0.475 of the 0.6 needed, at worst limits; 0.25 is lacking in diameter"
    )
    assert found.value == pytest.approx(0.125)
    assert "0.475 of the 0.5" in found.brief
    assert "0.475 of the 0.6" in found.brief


def test_of_a_plug_the_seat_alone_is_told() -> None:
    found = lacking(10.4, 9.3, None, PLUG_CLEARANCES)
    assert "leaves a seat of 0.475 of the 0.5 needed, at worst" in found.message
    assert "0.05 is lacking in diameter" in found.message
    assert "wall" not in found.message + found.brief


def test_where_the_seat_has_room_the_wall_alone_is_told() -> None:
    """(10.25 − 9.2) / 2 = 0.525 for the seat; the wall around ⌀9.3 keeps its 0.475."""
    found = lacking(10.4, 9.2, 9.3, CUP_CLEARANCES)
    assert found.code == "wall.thin"
    assert found.message.startswith("the cup's wall is 0.475 of the 0.6 needed, at worst limits")
    assert "seat" not in found.message
