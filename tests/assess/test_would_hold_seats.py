"""Whether a mandrel that exists bears on a part's end and goes into it: seat, spigots, register,
what touches first, just within and just beside each limit (the rest: test_would_hold.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mandrelgen.spec.pen import Pen
from tests.support.judged_pens import plug_pen
from tests.support.on_a_mandrel import Limits, made, stretch
from tests.support.owned_fits import (
    fit,
    mandrel,
    said,
    sized,
)


# -- the seat ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("which", "sizes", "hinders"),
    [
        ("plug", {"collar.diameter": None}, "it has no seat"),
        ("plug", {"collar.diameter": (None, 14.2)}, "it has no seat"),
        ("plug", {"collar.diameter": (14.1, None)}, "it has no seat"),
        # The ring ends at 15 less an edge broken 0.2 each side.
        ("plug", {"collar.diameter": (14.5, 14.6)}, None),
        ("plug", {"collar.diameter": (14.5, 14.61)},
         "its collar of ⌀14.61 stands out of the part's ring, ⌀14.6"),
        ("plug", {"neck.diameter": (14.5, 14.6)}, None),
        ("plug", {"neck.diameter": (14.5, 14.61)},
         "its neck of ⌀14.61 stands out of the part's ring, ⌀14.6"),
        ("plug", {"neck.diameter": (14.7, None)}, None),
        # It begins at the countersink of 10.2: 0.5 a side.
        ("plug", {"collar.diameter": (11.2, 11.4)}, None),
        ("plug", {"collar.diameter": (11.18, 11.4)},
         "only 0.49 of its seat would bear, 0.5 is needed"),
        ("plug", {"collar.diameter": (10.0, 10.1)},
         "only 0 of its seat would bear, 0.5 is needed"),
        # A cup's own counterbore is wider than the tenon's ring: 10.45.
        ("cup", {"collar.diameter": (11.45, 11.5)}, None),
        ("cup", {"collar.diameter": (11.43, 11.5)},
         "only 0.49 of its seat would bear, 0.5 is needed"),
        # Without a size of it the ring of the part counts: 9.978 + 0.1.
        ("cup", {"counterbore.diameter": None, "collar.diameter": (11.1, 11.2)}, None),
        ("cup", {"counterbore.diameter": None, "collar.diameter": (11.06, 11.2)},
         "only 0.49 of its seat would bear, 0.5 is needed"),
        ("cup", {"collar.diameter": (12.5, 12.61)},
         "its collar of ⌀12.61 stands out of the part's ring, ⌀12.6"),
        # Held by its bore: the same ring as behind the thread.
        ("spigot", {"collar.diameter": (11.2, 11.4)}, None),
        ("spigot", {"collar.diameter": (11.18, 11.4)},
         "only 0.49 of its seat would bear, 0.5 is needed"),
        ("spigot", {"collar.diameter": (14.5, 14.61)},
         "its collar of ⌀14.61 stands out of the part's ring, ⌀14.6"),
    ],
)  # fmt: skip
def test_the_seat_bears_on_the_parts_ring(
    which: str, sizes: dict[str, Limits | None], hinders: str | None
) -> None:
    said(sized(which, sizes), hinders)


# -- spigots and register ------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("upper", "hinders"),
    # Through a thread of D1 9.188 into a bore of 9.2.
    [(9.188, None), (9.19, "its spigot1 of ⌀9.19 does not pass ⌀9.188")],
)
def test_a_plugs_spigot_passes_the_thread(upper: float, hinders: str | None) -> None:
    """A step without a size or without a greatest one is passed over, those behind it are not."""
    found = sized(
        "plug", {"spigot1.diameter": (9.1, upper), "spigot2.diameter": (9.3, None)},
        stretch("spigot3", 9.0, 9.5), stretch("spigot2", 9.5, 10.0), stretch("spigot1", 10.0, 20.0),
    )  # fmt: skip
    said(found, hinders)


STEPS = [{"diameter": 9.2, "depth": 20.0, "made": "reamed"},
         {"diameter": 7.0, "depth": 30.0, "made": "reamed"}]  # fmt: skip


@pytest.mark.parametrize(
    ("z0", "z1", "washer", "passes"),
    # A bore of 9.2 to 20, of 7 behind it to 30; the washer sets the part off.
    [(12.0, 20.0, 0.0, True), (12.0, 20.1, 0.0, False), (12.0, 20.4, 0.5, True),
     (12.0, 20.6, 0.5, False), (29.9, 31.0, 0.0, False), (30.1, 31.0, 0.0, True),
     (30.4, 31.0, 0.5, False), (30.6, 31.0, 0.5, True)],
)  # fmt: skip
def test_a_spigot_is_as_small_as_the_narrowest_bore_it_reaches(
    z0: float, z1: float, washer: float, passes: bool
) -> None:
    m = made(mandrel("plug"), {"spigot1.diameter": (9.1, 9.15)}, stretch("spigot1", z0, z1))
    found = fit("plug", m, pen=plug_pen(bore=STEPS), washer=washer)
    said(found, None if passes else "its spigot1 of ⌀9.15 does not pass ⌀7")


def test_a_spigot_where_the_part_has_no_bore_is_told() -> None:
    m = made(mandrel("spigot"), {"spigot2.diameter": (5.0, 5.1)}, stretch("spigot2", 31.0, 33.0))
    found = fit("spigot", m)
    assert "its spigot2 reaches where the part has no bore" in found.hinders


@pytest.mark.parametrize(
    ("lower", "hinders"),
    [  # the bore is 9.2 at least: 0.4 below it still guides
        (8.8, None), (8.788, "its spigot is 0.41 smaller than the bore and does not guide"),
    ],
)  # fmt: skip
def test_a_spigot_guides_its_bore(lower: float, hinders: str | None) -> None:
    said(sized("spigot", {"spigot1.diameter": (lower, lower + 0.02)}), hinders)


def test_one_of_two_spigots_guides() -> None:
    """The closer of the two counts; on a plug none has to."""
    rest = stretch("spigot2", 18.5, 18.8)
    sizes: dict[str, Limits | None] = {
        "spigot1.diameter": (9.1, 9.15), "spigot2.diameter": (8.0, 8.1),
    }  # fmt: skip
    said(sized("spigot", sizes, rest), None)
    said(sized("plug", {"spigot1.diameter": (8.0, 8.1)}, stretch("spigot1", 10.0, 20.0)), None)


COUNTERBORE = {"diameter": 10.5, "depth": 1.5, "upper": 0.1, "lower": 0.0}


@pytest.mark.parametrize(
    ("upper", "counterbored", "hinders"),
    [
        (10.5, True, None),
        (10.51, True, "its register of ⌀10.51 does not enter the counterbore"),
        (10.3, False, "it has a register, and the part no counterbore for it"),
    ],
)
def test_a_register_enters_the_counterbore(
    upper: float, counterbored: bool, hinders: str | None
) -> None:
    tree = plug_pen().model_dump(mode="json", by_alias=True, exclude_unset=True)
    if counterbored:
        tree["parts"]["body"]["ends"]["mouth"]["internal"]["counterbore"] = COUNTERBORE
    m = made(
        mandrel("plug"), {"register.diameter": (upper - 0.02, upper)}, stretch("register", 0.0, 1.0)
    )
    said(fit("plug", m, pen=Pen.model_validate(tree)), hinders)


def test_a_cup_with_a_register_finds_no_counterbore() -> None:
    found = sized("cup", {"register.diameter": (10.3, 10.4)}, stretch("register", 0.0, 1.0))
    said(found, "it has a register, and the part no counterbore for it")


# -- what touches first --------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("which", "sizes", "hinders"),
    [
        # Full thread to 8.8; the tenon 8.2 long.
        ("plug", {"thread.end": (8.7, 8.8)}, None),
        ("plug", {"thread.end": (8.7, 8.85)},
         "mandrel's thread to the end of the part's full thread: 0.05 too little at worst limits"),
        ("plug", {"nose.end": (29.0, 29.8)}, None),
        ("plug", {"nose.end": (29.0, 29.9)},
         "nose to the bottom of the bore: 0.1 too little at worst limits"),
        ("grooved", {"floor.depth": (8.2, 8.4)}, None),
        ("grooved", {"floor.depth": (8.1, 8.4)},
         "tenon's nose to the floor: 0.1 too little at worst limits"),
        # Held by its bore of 30: the nose touches the bottom.
        ("spigot", {"nose.end": (29.0, 30.0)}, None),
        ("spigot", {"nose.end": (29.0, 30.1)},
         "its nose at 30.1 touches the bottom of the bore first"),
        ("spigot", {"nose.end": None}, None),
    ],
)  # fmt: skip
def test_nothing_touches_before_the_seat(
    which: str, sizes: dict[str, Limits | None], hinders: str | None
) -> None:
    said(sized(which, sizes), hinders)


@pytest.mark.parametrize(
    ("nose", "hinders"),
    [(30.5, None), (30.6, "its nose at 30.6 touches the bottom of the bore first")],
)
def test_a_washer_leaves_the_nose_more_room(nose: float, hinders: str | None) -> None:
    said(sized("spigot", {"nose.end": (29.0, nose)}, washer=0.5), hinders)


def test_a_spigot_too_wide_for_its_bore_is_told_once() -> None:
    """By its whole length, not by its play in the middle as well."""
    m = made(mandrel("plug"), {"spigot1.diameter": (9.2, 9.25)}, stretch("spigot1", 12.0, 18.0))
    said(fit("plug", m), "its spigot1 of ⌀9.25 does not pass ⌀9.188")


def test_threads_without_play_do_not_go_together() -> None:
    """A pitch diameter of 9.55 in a nut of 9.513 at least."""
    m = mandrel("plug")
    (t,) = m.threads
    tight = replace(t.limits, pitch=replace(t.limits.pitch, max=9.55))
    found = fit("plug", replace(m, threads=(replace(t, limits=tight),)))
    said(found, "play on the pitch diameter: 0.037 too little at worst limits")
