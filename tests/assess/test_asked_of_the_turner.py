"""What is asked of the turner, tolerance by tolerance: which are told, in what order, what loosens
each and what is lost by it; worked by hand on one plug and one cup."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from mandrelgen.assess.asking_cost import MOST, Asked, Figures, asked, figures, lasts, loosened
from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.setup import Situated
from mandrelgen.core.errors import Path, Value
from mandrelgen.design.designed import Designed
from mandrelgen.design.process import Demand, Process
from mandrelgen.mechanics.life import Life
from mandrelgen.model.characteristic import Kind
from mandrelgen.spec.pen import Fit, Pen
from mandrelgen.standards.thread_spelling import read_thread
from tests.support.judged_pens import cup_pen, fixed, plug_pen, verdict_of
from tests.support.randompens import SHOP

OWN = ("mandrels", "requests", 0)


@cache
def made(kind: str = "plug", *wishes: tuple[str, Any]) -> tuple[Pen, Designed]:
    pen = {"plug": plug_pen, "cup": cup_pen}[kind](wishes=dict(wishes))
    (d,) = fixed(pen, SHOP)
    return pen, d


@cache
def rows(kind: str = "plug", *wishes: tuple[str, Any]) -> tuple[Asked, ...]:
    pen, d = made(kind, *wishes)
    (found,) = asked([d], pen, SHOP).values()
    return found


def changes(a: Asked) -> list[tuple[str, Path, Value | None]]:
    """What loosens it, in words and as a key with its value."""
    found = []
    for r in a.remedies:
        (c,) = r.changes
        found.append((r.says, c.path, c.value))
    return found


CLOSE = (("thread_class", "4h"), ("run_out", 0.01), ("roughness", 0.4), ("shank_form", 0.006),
         ("seat_run_out", 0.008))  # fmt: skip


def test_what_wants_grinding_comes_first_and_then_the_closest() -> None:
    """Ra 0.4 is 4 times as fine as the usual 1.6; 0.006 and 0.008 are 2.5 times as true as 0.015
    and 0.02; class 4 is 0.63 of class 6. Four at most: the run-out of 0.01, which is turned with
    care, is the fifth."""
    found = rows("plug", *CLOSE)
    assert [a.ids for a in found] == [
        ("shank.roughness", "seat.roughness"), ("shank.cylindricity",), ("seat.runout",),
        ("thread.pitch_diameter",),
    ]  # fmt: skip
    assert len(found) == MOST == 4
    assert {a.process for a in found} == {Process.GROUND}
    assert [a.key for a in found] == ["roughness", "shank_form", "seat_run_out", ""]
    assert [a.demand.closeness for a in found] == [
        pytest.approx(x) for x in (1.6 / 0.4, 0.015 / 0.006, 0.02 / 0.008, 1 / 0.63)
    ]
    assert [a.demand.asked for a in found] == ["Ra 0.4", "0.006", "0.008", "4h, screwcut"]


def test_of_what_is_turned_anyway_comes_first_what_the_pen_loses_by() -> None:
    """A looser thread costs it 0.003, a run-out of 0.03 instead of 0.02 half of that; the form of
    the shank costs it nothing, and so comes behind the seat, asked less closely."""
    found = rows()
    assert [a.ids for a in found] == [
        ("thread.pitch_diameter",), ("thread.runout",), ("seat.runout",), ("shank.cylindricity",),
    ]  # fmt: skip
    thread, run_out, seat, form = found
    lost = [a.loosened.mismatch - a.now.mismatch for a in found]
    assert lost[0] > lost[1] > 0
    assert lost[2] == lost[3] == pytest.approx(0)
    assert seat.loosened != seat.now  # the wall it leaves
    assert form.loosened == form.now
    assert seat.demand.closeness < form.demand.closeness == 1
    assert thread.loosened.remounted > thread.now.remounted
    assert run_out.loosened.remounted == run_out.now.remounted


def test_one_roughness_asked_at_several_faces_is_one_row() -> None:
    found = {a.ids: a for a in rows("cup")}
    assert ("shank.roughness", "seat.roughness") in found
    assert found["shank.roughness", "seat.roughness"].demand.asked == "Ra 1.6"


def test_the_figures_now_are_the_verdicts() -> None:
    _, d = made()
    v = verdict_of(d)
    assert v.truth.wall is not None
    for a in rows():
        assert a.now == Figures(
            v.truth.step.states.tight.statistical, v.truth.remount.statistical,
            v.truth.wall.statistical, None,
        )  # fmt: skip


def test_no_figure_where_there_is_no_wall_and_pens_only_of_a_plastic_one() -> None:
    _, d = made()
    bare = replace(verdict_of(d).truth, wall=None)
    assert figures(bare).wall is None
    assert figures(bare).pens is None
    assert figures(bare, Life(5, 10, 0.5, "")).pens == (5, 10)


# -- what loosens it -------------------------------------------------------------------------------
def test_each_key_to_its_next_step() -> None:
    rough, form, seat, thread = rows("plug", *CLOSE)
    assert changes(rough) == [("Ra 0.8", (*OWN, "roughness"), 0.8)]
    assert changes(form) == [("0.008", (*OWN, "shank_form"), 0.008)]
    assert changes(seat) == [("0.01", (*OWN, "seat_run_out"), 0.01)]
    assert changes(thread) == [("class 6h", (*OWN, "thread_class"), "6h")]
    (run_out, *_) = rows("plug", ("run_out", 0.01))
    assert (run_out.ids, run_out.process) == (("thread.runout",), Process.CARE)
    assert changes(run_out) == [("0.015", (*OWN, "run_out"), 0.015)]


@pytest.mark.parametrize(
    ("thread", "said", "usual"),
    [("M10x0.75-6H", "4g6g", "6g"), ("M10x0.75-6H", "3h", "6h"), ("M10x0.75-6H", "4h ", "6h"),
     ("3/8-24 UNF", "3A", "2A")],
)  # fmt: skip
def test_a_class_gives_way_to_the_usual_one_in_its_position(
    thread: str, said: str, usual: str
) -> None:
    pen, d = made()
    if "UNF" in thread:
        pen = plug_pen(thread="3/8-24 UNF-2B", countersink=9.7, wishes={"thread_class": said},
                       bore=[{"diameter": 8.3, "depth": 30.0}])  # fmt: skip
        (d,) = fixed(pen, SHOP)
    else:
        pen, d = made("plug", ("thread_class", "4h"))
        assert d.wishes is not None
        d = replace(d, wishes=replace(d.wishes, thread_class=said))
    (found,) = asked([d], pen, SHOP).values()
    (a,) = (a for a in found if a.ids == ("thread.pitch_diameter",))
    assert changes(a) == [(f"class {usual}", (*OWN, "thread_class"), usual)]


def test_a_close_fit_gives_way_to_the_next() -> None:
    """A spigot is told with the thread, since the fit sets both; h7 wants care already."""
    spigot, thread, *rest = rows("plug", ("fit", "close"), ("spigot_length", 8.0))
    for a, id in ((spigot, "spigot1.diameter"), (thread, "thread.pitch_diameter")):
        assert (a.ids, a.process) == ((id,), Process.GROUND)
        assert changes(a) == [("fit 'normal'", (*OWN, "fit"), "normal")]
    spigot, *others = rows("plug", ("fit", "normal"), ("spigot_length", 8.0))
    assert (spigot.ids, spigot.process) == (("spigot1.diameter",), Process.CARE)
    assert changes(spigot) == [("fit 'free'", (*OWN, "fit"), "free")]
    for a in (*rest, *others):
        assert a.process is Process.TURNED
        assert a.remedies == ()


def test_a_free_fit_goes_no_further_and_a_shanks_size_hangs_on_no_fit() -> None:
    """A spigot of 8 by h6 is ground, whatever fit is said beside; so is a shank."""
    pen, d = made("plug", ("fit", "close"), ("spigot_length", 8.0))
    assert d.wishes is not None
    free = replace(d, wishes=replace(d.wishes, fit=Fit.FREE))
    (found,) = asked([free], pen, SHOP).values()
    assert found[0].ids == ("spigot1.diameter",)
    assert found[0].remedies == ()
    assert d.mandrel is not None
    shank = d.mandrel.characteristic("shank.diameter")
    assert shank.upper is not None
    fine = replace(shank, lower=shank.upper - 0.004)
    row = tuple(fine if c is shank else c for c in d.mandrel.characteristics)
    ground = replace(d, mandrel=replace(d.mandrel, characteristics=row))
    (found,) = asked([ground], pen, SHOP).values()
    assert (found[0].ids, found[0].process) == (("shank.diameter",), Process.GROUND)
    assert found[0].remedies == ()


def test_a_wish_of_all_mandrels_is_loosened_where_it_stands() -> None:
    pen, d = made("plug", ("run_out", 0.01))
    alone = pen.model_copy(update={"mandrels": pen.mandrels.model_copy(update={"requests": ()})})
    d = replace(d, planned=replace(d.planned, request=None))
    (found,) = asked([d], alone, SHOP).values()
    assert changes(found[0]) == [("0.015", ("mandrels", "defaults", "run_out"), 0.015)]


# -- whose end, whose gauge ------------------------------------------------------------------------
def test_only_what_was_designed_is_asked_for() -> None:
    pen, d = made()
    failed = replace(d, planned=replace(d.planned, id="x"), mandrel=None)
    assert list(asked([failed, d], pen, SHOP)) == ["body-mouth-plug"]


@pytest.mark.parametrize(
    ("thread", "gauge"),
    [
        ("M10x0.75", False), ("M10x1.5", False), ("M10x1.25", False),  # ISO 261: coarse and fine
        ("M8.5x0.75", True), ("M10x0.8", True), ("M10x0.75-LH", True), ("M10xPh1.5P0.75", True),
        ("3/8-24 UNF", False), ("3/8-16 UNC", False), ("3/8-32 UNEF", False),  # ASME B1.1
        ("3/8-26 UNS", True),
    ],
)  # fmt: skip
def test_a_gauge_is_made_for_what_stands_in_no_series(thread: str, gauge: bool) -> None:
    """The plug of M10x0.75, its thread's name changed: several starts and left hand are no stock
    either."""
    pen, d = made()
    assert d.mandrel is not None
    (t,) = d.mandrel.threads
    named = replace(t, limits=replace(t.limits, designation=read_thread(thread)))
    changed = replace(d, mandrel=replace(d.mandrel, threads=(named,)))
    (found,) = asked([changed], pen, SHOP).values()
    assert {a.ids[0]: a.gauge for a in found}["thread.pitch_diameter"] is gauge
    assert not any(a.gauge for a in found if a.ids != ("thread.pitch_diameter",))


def test_a_double_one_is_told_by_each_end_and_its_shank_once() -> None:
    """What is asked of both ends alike is one row; a thread's row names its own end."""
    mouths = {name: {"diameter": 14.0, "internal": {"thread": thread, "depth": 10.0}}
              for name, thread in (("front", "M10x0.75-6H"), ("back", "M9x0.5-6H"))}  # fmt: skip
    parts = {n: {"length": 40.0, "diameter": 14.0, "ends": {"mouth": m}} for n, m in mouths.items()}
    request = {"holds": "front.mouth", "also_holds": "back.mouth", "kind": "double-ended",
               "shank_diameter": 16, "run_out": 0.01, "roughness": 0.8}  # fmt: skip
    pen = Pen.model_validate({"schema": 1, "pen": {"id": "reed", "name": "Reed"}, "parts": parts,
                              "mandrels": {"requests": [request]}})  # fmt: skip
    (d,) = fixed(pen, SHOP)
    (found,) = asked([d], pen, SHOP).values()
    assert {a.ids for a in found if a.process is Process.CARE} == {
        ("thread.runout",), ("b.thread.runout",),
        ("shank.roughness", "seat.roughness", "b.seat.roughness"),
    }  # fmt: skip
    by = {a.ids[0]: a for a in found}
    first, second = verdict_of(d), d.verdict_b
    assert second is not None
    for id, v in (("thread.runout", first), ("b.thread.runout", second)):
        assert by[id].now.remounted == v.truth.remount.statistical
        assert by[id].loosened.mismatch > by[id].now.mismatch
    assert first.truth.remount.statistical != second.truth.remount.statistical


# -- one limit loosened ----------------------------------------------------------------------------
def end(kind: str = "plug", *wishes: tuple[str, Any]) -> Situated:
    pen, d = made(kind, *wishes)
    (s,) = situated(d, pen, SHOP)
    return s


def looser(s: Situated, id: str, step: float) -> Situated:
    c = s.mandrel.characteristic(id)
    demand = Demand(characteristic=c, process=Process.TURNED, closeness=1.0, asked="",
                    looser_text="", looser=step)  # fmt: skip
    return loosened(s, demand)


def moved(a: Situated, b: Situated) -> dict[str, Any]:
    """The limits that are others in ``b``."""
    pairs = zip(a.mandrel.characteristics, b.mandrel.characteristics, strict=True)
    return {y.id: (y.lower, y.upper) for x, y in pairs if x != y}


def test_a_run_out_gets_another_limit_and_nothing_else_moves() -> None:
    s = end()
    loose = looser(s, "thread.runout", 0.05)
    assert moved(s, loose) == {"thread.runout": (None, 0.05)}
    assert (loose.thread, loose.mandrel.threads) == (s.thread, s.mandrel.threads)


def test_an_outside_may_be_smaller_and_a_hole_larger() -> None:
    """What a gauge finds first, the limit of most metal, stays."""
    s = end()
    collar = s.mandrel.characteristic("collar.diameter")
    assert collar.upper is not None
    loose = looser(s, collar.id, 0.3)
    assert moved(s, loose) == {collar.id: (pytest.approx(collar.upper - 0.3), collar.upper)}
    cup = end("cup")
    hole = next(c for c in cup.mandrel.characteristics
                if c.kind is Kind.DIAMETER and c.lower is not None
                and any(x.feature == c.feature for x in cup.mandrel.inner))  # fmt: skip
    assert hole.lower is not None
    wide = looser(cup, hole.id, 0.3)
    assert moved(cup, wide) == {hole.id: (hole.lower, pytest.approx(hole.lower + 0.3))}


@pytest.mark.parametrize("kind", ["plug", "cup"])
def test_a_pitch_diameter_widens_by_a_share_and_its_thread_with_it(kind: str) -> None:
    s = end(kind, *((("thread_class", "4H"),) if kind == "cup" else ()))
    c = s.mandrel.characteristic("thread.pitch_diameter")
    assert c.lower is not None
    assert c.upper is not None
    width = 1.25 * (c.upper - c.lower)
    wanted = (c.upper - width, c.upper) if kind == "plug" else (c.lower, c.lower + width)
    loose = looser(s, c.id, 1.25)
    assert moved(s, loose) == {c.id: (pytest.approx(wanted[0]), pytest.approx(wanted[1]))}
    assert loose.thread is not None
    for t in (loose.thread, *loose.mandrel.threads):
        assert t.limits.pitch.min == pytest.approx(wanted[0])
        assert t.limits.pitch.max == pytest.approx(wanted[1])
    bare = looser(replace(s, thread=None), c.id, 1.25)
    assert bare.thread is None
    other = replace(s.mandrel.threads[0], feature="thread2")  # type: ignore[arg-type]
    both = replace(s, mandrel=replace(s.mandrel, threads=(*s.mandrel.threads, other)))
    assert looser(both, c.id, 1.25).mandrel.threads[1] == other


# -- how long a plastic one lasts ------------------------------------------------------------------
def plastic() -> Situated:
    return end("plug", ("material", "acetal"))


def test_only_a_plastic_mandrel_in_a_collet_lasts_for_a_number_of_pens() -> None:
    assert lasts(plastic()) is not None
    assert lasts(end()) is None
    assert lasts(replace(plastic(), collet_face=None)) is None


@pytest.mark.parametrize("id", ["relief.diameter", "thread.pitch_diameter"])
def test_a_stretch_stands_in_the_middle_of_its_wider_limits(id: str) -> None:
    """A tenth more below is half a tenth off its middle; the same drawn smaller by hand lasts as
    long. Of a thread it is the root and the pitch diameter that move."""
    s = plastic()
    c = s.mandrel.characteristic(id)
    assert c.lower is not None
    assert c.upper is not None
    width = c.upper - c.lower
    step = (width + 0.1) / width if c.kind is Kind.THREAD_PITCH_DIAMETER else width + 0.1

    def smaller(x: Any) -> Any:
        if x.feature != c.feature:
            return x
        if x.thread is None:
            return replace(x, d0=x.d0 - 0.05, d1=x.d1 - 0.05)
        t = x.thread
        return replace(x, thread=replace(t, pitch_diameter=t.pitch_diameter - 0.05,
                                         root_diameter=t.root_diameter - 0.05))  # fmt: skip

    by_hand = replace(s, mandrel=replace(s.mandrel, outer=tuple(map(smaller, s.mandrel.outer))))
    then, wanted = lasts(s, c, looser(s, id, step)), lasts(by_hand)
    assert then is not None
    assert wanted is not None
    assert then.use == pytest.approx(wanted.use, rel=1e-9)


def test_a_run_out_costs_no_life() -> None:
    s = plastic()
    run_out = s.mandrel.characteristic("thread.runout")
    assert lasts(s, run_out, looser(s, run_out.id, 0.05)) == lasts(s)
