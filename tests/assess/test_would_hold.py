"""Whether a mandrel that exists holds a part's end: what hinders it, just within and just beside
each limit.

Part and mandrel: tests/support/judged_pens.py (M10x0.75 in a body of ⌀15, or on one of ⌀13), the
tables in tests/support/on_a_mandrel.py; what each limit comes from stands beside its case.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from mandrelgen.assess.fitting import Fitting, fitting
from mandrelgen.core.lengths import Length
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Hold
from mandrelgen.model.characteristic import MEASURED
from mandrelgen.model.mandrel import Mandrel, MandrelKind, Stretch
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.spec.shop import Shop
from tests.support.judged_pens import cup_pen, plug_pen
from tests.support.on_a_mandrel import Limits, bench, designed, made, stretch

# Of the plug: its stretch of thread, its shank behind −7.5, its collar.
THREAD_OF_PLUG, FRONT = (2.96, 8.146), -7.5
SPIGOT = {"kind": "spigot", "holds": "body.mouth.bore"}


@cache
def usual(which: str) -> tuple[Pen, Designed]:
    pen = {
        "plug": plug_pen,
        "cup": cup_pen,
        "spigot": lambda: plug_pen(wishes=SPIGOT),
        "grooved": lambda: cup_pen(wishes={"thread_relief": "groove"}),
    }[which]()
    return pen, designed(pen)


def mandrel(which: str) -> Mandrel:
    found = usual(which)[1].mandrel
    assert found is not None
    return found


def fit(which: str, m: Mandrel, shop: Shop | None = None, **change: Any) -> Fitting:
    """How ``m`` would serve for the mandrel planned; ``change``: of its plan or its wishes."""
    pen, d = usual(which)
    pen = change.pop("pen", pen)
    wishes = d.wishes
    assert wishes is not None
    wishes = replace(wishes, soft_washer=change.pop("washer", wishes.soft_washer))
    planned = replace(d.planned, **change)
    return fitting(m, pen, shop or bench(), planned, {}, None, wishes)


def sized(which: str, sizes: dict[str, Limits | None], *more: Stretch, **change: Any) -> Fitting:
    return fit(which, made(mandrel(which), sizes, *more), **change)


def said(found: Fitting, hinders: str | None) -> None:
    """Hindered by this and nothing else, or by nothing."""
    assert found.hinders == (() if hinders is None else (hinders,))
    assert found.fits is (hinders is None)
    assert bool(found.verdicts) is (hinders is None)


def with_stretch(which: str, name: str, z0: float, z1: float) -> Mandrel:
    """The mandrel with another length of one stretch, outside or inside."""
    m = mandrel(which)

    def other(row: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
        return tuple(replace(s, z0=z0, z1=z1) if s.feature == name else s for s in row)

    return replace(m, outer=other(m.outer), inner=other(m.inner))


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
