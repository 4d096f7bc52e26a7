"""Whether a mandrel that exists holds a part's end: what hinders it, just within and just beside
each limit.

Part and mandrel: tests/support/judged_pens.py (M10x0.75 in a body of ⌀15, or on one of ⌀13), the
tables in tests/support/on_a_mandrel.py; what each limit comes from stands beside its case.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.fitting import Fitting
from mandrelgen.core.lengths import Length
from mandrelgen.design.plan import Hold
from mandrelgen.model.characteristic import MEASURED
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.spec.shop import Shop
from tests.support.judged_pens import plug_pen
from tests.support.on_a_mandrel import Limits, bench, made
from tests.support.owned_fits import (
    FRONT,
    fit,
    mandrel,
    said,
    sized,
    with_stretch,
)


@pytest.mark.parametrize("which", ["plug", "cup", "spigot", "grooved"])
def test_what_was_designed_for_it_holds_it(which: str) -> None:
    found = fit(which, mandrel(which))
    said(found, None)
    assert len(found.verdicts) == 1
    assert found.step > 0.01


# -- the kind ------------------------------------------------------------------------------------
def test_a_bore_is_held_by_no_thread() -> None:
    said(fit("spigot", mandrel("plug")), "it holds by a thread, the part has a plain bore")


def test_a_part_without_that_thread_is_not_held_by_it() -> None:
    for which, by in (("plug", "external"), ("cup", "internal")):
        found = fit(which, mandrel(which), hold=Hold("body", "mouth", by))
        said(found, "the part has no thread there")


def test_one_end_does_not_serve_for_two() -> None:
    found = fit("plug", mandrel("plug"), other=Hold("body", "mouth", "internal"))
    said(found, "it has one working end, two are wanted")


BUTTON_ALONE = "a tailstock button steadies an end, and nothing else does"


def test_nothing_but_a_button_serves_for_a_button() -> None:
    said(fit("plug", mandrel("plug"), kind=MandrelType.BUTTON), BUTTON_ALONE)
    button = replace(mandrel("spigot"), kind=MandrelKind.BUTTON)
    said(fit("spigot", button), BUTTON_ALONE)
    found = fit("plug", replace(mandrel("plug"), kind=MandrelKind.BUTTON), kind=MandrelType.BUTTON)
    said(found, "a button goes into a bore")


@pytest.mark.parametrize(
    ("upper", "hinders"),
    # D1 of M10x0.75-6H is 9.188 at least.
    [(9.188, None), (9.19, "its spigot of ⌀9.19 does not pass ⌀9.188")],
)
def test_a_buttons_spigot_passes_the_thread(upper: float, hinders: str | None) -> None:
    """The widest of several counts; a spigot of the other end and a collar do not."""
    m = made(
        replace(mandrel("spigot"), kind=MandrelKind.BUTTON),
        {"spigot1.diameter": (upper - 0.015, upper), "spigot2.diameter": (8.0, 8.2),
         "b.spigot1.diameter": (11.0, 11.1), "spigot3.diameter": (9.5, None)},
    )  # fmt: skip
    found = fit("spigot", m, kind=MandrelType.BUTTON)
    assert found.hinders == (() if hinders is None else (hinders,))


def test_a_button_is_judged_on_its_seat_like_a_spigot() -> None:
    """Its collar of 9.9 bears nothing on a ring from 10.2; and its nose touches the bottom."""
    button = replace(mandrel("spigot"), kind=MandrelKind.BUTTON)
    m = made(button, {"collar.diameter": (9.9, 10.0), "nose.end": (40.0, 41.0)})
    found = fit("spigot", m, kind=MandrelType.BUTTON)
    assert found.hinders == (
        "only 0 of its seat would bear, 0.5 is needed",
        "its nose at 41 touches the bottom of the bore first",
    )
    loose = fit("spigot", made(button, {"spigot1.diameter": (8.7, 8.72)}), kind=MandrelType.BUTTON)
    assert loose.hinders == ("its spigot is 0.5 smaller than the bore and does not guide",)


def test_a_button_whose_spigot_has_no_size_cannot_be_judged() -> None:
    m = replace(mandrel("spigot"), kind=MandrelKind.BUTTON)
    found = fit("spigot", made(m, {"spigot1.diameter": None}), kind=MandrelType.BUTTON)
    said(found, "it cannot be judged: a part needs at least one locator")


# -- the thread ----------------------------------------------------------------------------------
def other_thread(which: str, **change: Any) -> Mandrel:
    m = mandrel(which)
    (t,) = m.threads
    external = change.pop("external", t.limits.external)
    d = replace(t.limits.designation, **change)
    limits = replace(t.limits, designation=d, external=external)
    return replace(m, threads=(replace(t, limits=limits),))


@pytest.mark.parametrize(
    ("change", "hinders"),
    [
        # Rounded inch sizes: 0.002 on the diameter and 0.0005 on the pitch are the same.
        ({"diameter": Length(10.0019)}, None),
        ({"diameter": Length(9.9981)}, None),
        ({"diameter": Length(10.0021)}, "its thread is M10.0021x0.75-6g, the part's M10x0.75-6H"),
        ({"diameter": Length(9.9979)}, "its thread is M9.9979x0.75-6g, the part's M10x0.75-6H"),
        ({"pitch": Length(0.7504)}, None),
        ({"pitch": Length(0.7506)},
         "its lead is another: M10x0.7506-6g, the part's M10x0.75-6H"),
        ({"pitch": Length(0.7494)},
         "its lead is another: M10x0.7494-6g, the part's M10x0.75-6H"),
        ({"starts": 2}, "its lead is another: M10xPh1.5P0.75-6g, the part's M10x0.75-6H"),
        ({"left_hand": True}, "its thread is left-hand, the part's right-hand"),
        ({"external": False}, "its thread is of the wrong side"),
    ],
)  # fmt: skip
def test_the_threads_are_one_thread(change: dict[str, Any], hinders: str | None) -> None:
    found = fit("plug", other_thread("plug", **change))
    if hinders is None:
        assert not [h for h in found.hinders if "its thread" in h or "its lead" in h]
    else:
        said(found, hinders)


def test_a_right_hand_mandrel_does_not_hold_a_left_hand_part() -> None:
    found = fit("plug", mandrel("plug"), pen=plug_pen(thread="M10x0.75-6H-LH"))
    said(found, "its thread is right-hand, the part's left-hand")


def test_a_screw_does_not_hold_a_tenon_and_none_holds_nothing() -> None:
    said(fit("cup", other_thread("cup", external=True)), "its thread is of the wrong side")
    none = replace(mandrel("plug"), threads=())
    said(fit("plug", none), "it has no thread at this end")


def test_it_is_judged_against_the_parts_own_thread() -> None:
    """Made for 6H (D2 9.513 to 9.645), asked of a part whose D2 was measured 9.6 ± 0.01: play on
    the pitch diameter from 9.59 − 9.491 to 9.61 − 9.391."""
    tree = plug_pen().model_dump(mode="json", by_alias=True, exclude_unset=True)
    tree["parts"]["body"]["ends"]["mouth"]["internal"]["measured"] = {
        "pitch_diameter": 9.6, "instrument": "micrometer", "uncertainty": 0.01,
    }  # fmt: skip
    (verdict,) = fit("plug", mandrel("plug"), pen=Pen.model_validate(tree)).verdicts
    (play,) = (g for g in verdict.gaps if g.id == "thread.pitch_diameter")
    assert (play.least, play.most) == (pytest.approx(0.099), pytest.approx(0.219))


def engaged(found: Fitting) -> float:
    (verdict,) = found.verdicts
    return next(g.least for g in verdict.gaps if g.id == "thread.engagement")


@pytest.mark.parametrize(
    ("z0", "z1", "washer", "full"),
    [
        # The part: full thread from its countersink, (10.2 − 9.188)/2 = 0.506 deep, to 8.8.
        (2.0, 8.0, 0.0, 6.0), (0.2, 8.0, 0.0, 7.494), (0.2, 9.0, 0.0, 8.294),
        (0.2, 8.0, 0.5, 6.994), (0.2, 9.5, 0.5, 8.294), (2.0, 8.0, 0.5, 6.0),
    ],
)  # fmt: skip
def test_a_plug_engages_where_both_threads_are_full(
    z0: float, z1: float, washer: float, full: float
) -> None:
    m = made(with_stretch("plug", "thread", z0, z1), {"thread.end": None})
    assert engaged(fit("plug", m, washer=washer)) == pytest.approx(full)


@pytest.mark.parametrize(
    ("z0", "z1", "washer", "full"),
    [
        # The tenon: unformed over 0.75, full to 7.8 − 0.5 = 7.3 from its shoulder.
        (-10.95, -1.58, 0.0, 5.72), (-10.95, -0.3, 0.0, 6.55), (-10.95, -1.58, 0.5, 5.22),
        (-10.95, -0.1, 0.5, 6.55), (-6.0, -1.58, 0.0, 4.42), (-6.0, -1.58, 0.5, 4.42),
    ],
)  # fmt: skip
def test_a_cup_engages_where_both_threads_are_full(
    z0: float, z1: float, washer: float, full: float
) -> None:
    """In a cup with a groove, so that a short thread is no hindrance."""
    m = made(with_stretch("grooved", "thread", z0, z1), {"thread.depth": None})
    assert engaged(fit("grooved", m, washer=washer)) == pytest.approx(full)


@pytest.mark.parametrize(
    ("z1", "hinders"),
    [  # three pitches of 0.75 from 2: to 4.25
        (4.25, None), (4.2, "only 2.9 full pitches would engage, 3 are needed"),
        (1.0, "only 0 full pitches would engage, 3 are needed"),
        (2.75, "only 1 full pitches would engage, 3 are needed"),
    ],
)  # fmt: skip
def test_three_full_pitches_engage(z1: float, hinders: str | None) -> None:
    m = made(with_stretch("plug", "thread", 2.0, z1), {"thread.end": None})
    said(fit("plug", m), hinders)


@pytest.mark.parametrize(
    ("z0", "washer", "sizes", "hinders"),
    [
        # The tenon is 8.2 long at most; the tap's lead fades over 2.25.
        (-10.45, 0.0, {}, None),
        (-10.4, 0.0, {}, "the tenon reaches 0.05 behind its thread, where no groove is known"),
        (-9.95, 0.5, {}, None),
        (-9.9, 0.5, {}, "the tenon reaches 0.05 behind its thread, where no groove is known"),
        (-9.9, 0.0, {"relief.diameter": (10.3, 10.5)}, None),
    ],
)
def test_a_tenon_longer_than_the_cups_thread_needs_a_groove(
    z0: float, washer: float, sizes: dict[str, Limits], hinders: str | None
) -> None:
    m = made(with_stretch("cup", "thread", z0, -1.5835), sizes)
    said(fit("cup", m, washer=washer), hinders)


def test_a_thread_of_which_no_form_is_known_does_not_fade() -> None:
    """Nor does a plug's end need a groove."""
    m = with_stretch("cup", "thread", -8.15, -1.5835)
    bare = replace(m, inner=tuple(replace(s, thread=None) for s in m.inner))
    said(fit("cup", bare), "the tenon reaches 0.05 behind its thread, where no groove is known")
    deep = with_stretch("cup", "thread", -8.25, -1.5835)
    said(fit("cup", replace(deep, inner=tuple(replace(s, thread=None) for s in deep.inner))), None)


# -- the collet ----------------------------------------------------------------------------------
def test_without_a_shank_no_collet_takes_it() -> None:
    said(sized("plug", {"shank.diameter": None}), "it has no shank")
    m = mandrel("plug")
    none = replace(m, outer=tuple(s for s in m.outer if s.feature != "shank"))
    said(fit("plug", none), "it has no shank")


def test_a_shank_that_no_collet_takes_is_told_with_the_shelf() -> None:
    """Of two sets each size once, in order."""
    tree = bench().model_dump(mode="json", by_alias=True, exclude_unset=True)
    (own,) = tree["collets"]
    tree["collets"] = [{**own, "sizes": [10, 6]}, {**own, "sizes": [6.5, 10]}]
    said(
        fit("plug", mandrel("plug"), Shop.model_validate(tree)),
        "no collet on the shelf (6, 6.5, 10) takes its shank of ⌀14",
    )


def measured(which: str, lower: float | None, upper: float, written: str) -> Mandrel:
    m = made(mandrel(which), {"shank.diameter": (lower, upper)})
    return replace(m, characteristics=tuple(
        replace(c, nominal=16.005, written=written) if c.id == "shank.diameter" else c
        for c in m.characteristics
    ))  # fmt: skip


@pytest.mark.parametrize(
    ("lower", "written", "fits"),
    # The largest collet is 16: it takes a shank read as 16.005 ± 0.005, none drawn so.
    [(16.0, MEASURED, True), (16.0, "h9", False), (None, MEASURED, False)],
)
def test_a_shank_that_was_read_may_be_as_small_as_the_reading_allows(
    lower: float | None, written: str, fits: bool
) -> None:
    found = fit("plug", measured("plug", lower, 16.01, written))
    assert found.fits is fits
    if not fits:
        assert found.hinders[0].endswith("takes its shank of ⌀16.005")


@pytest.mark.parametrize(
    ("rear", "hinders"),
    [
        # 15 from nut to seat leave 7.5 of the shank, the nut takes 4, the collet (34 long) two
        # thirds of its length: 34.17 in all.
        (FRONT - 34.2, None),
        (FRONT - 34.12, "its shank of 34.1 is too short for the collet: 34.2 is the least"),
    ],
)
def test_two_thirds_of_the_collet_are_filled(rear: float, hinders: str | None) -> None:
    m = with_stretch("plug", "rear", rear, rear + 0.5)
    outer = tuple(replace(s, z0=rear + 0.5) if s.feature == "shank" else s for s in m.outer)
    said(fit("plug", replace(m, outer=outer)), hinders)


def test_a_shank_without_a_chamfer_ends_where_it_ends() -> None:
    """What stands behind the shank and is none of it fills no collet."""
    m = with_stretch("plug", "shank", FRONT - 34.1, FRONT)
    outer = tuple(replace(s, feature=s.feature.__class__("handle")) if s.feature == "rear" else s
                  for s in m.outer)  # fmt: skip
    assert fit("plug", replace(m, outer=outer)).hinders == (
        "its shank of 34.1 is too short for the collet: 34.2 is the least",
    )
