"""What holds a part on its mandrel and how closely, from the limits of both.

The pairs are M10x0.75 6g in 6H (ISO 965-1: d2 9.391 to 9.491, D2 9.513 to 9.645, so a play of 0.022
to 0.254), in bores reamed H8 (ISO 286-2: 9.2 to 9.222); manners of cutting as in data/manners.toml,
retyped.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mandrelgen.assess.locators import fit_of, holding, hole_at
from mandrelgen.assess.setup import Situated
from mandrelgen.core.tolerance import Toleranced
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.ends import Hole
from mandrelgen.mechanics.holding import ColletHold, Locator, PartEnd, SeatFace, Surface
from mandrelgen.model.characteristic import MEASURED, Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Stretch
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.standards.thread_spelling import read_thread
from tests.support.held import bar, held
from tests.support.judged_pens import cup_pen, plug_pen


@pytest.fixture(scope="module")
def plug() -> Situated:
    return held(plug_pen())


@pytest.fixture(scope="module")
def cup() -> Situated:
    return held(cup_pen())


def fast(made: str) -> Situated:
    """M12 of three starts, lead 2.4."""
    bore = [{"diameter": 11.2, "depth": 30.0, "made": "reamed"}]
    pen = plug_pen(thread="M12xPh2.4P0.8-6H", countersink=12.2, outside=16.0, bore=bore, made=made)
    return held(pen)


def without(s: Situated, *ids: str) -> Situated:
    """``s`` on a mandrel whose drawing lacks those characteristics."""
    kept = tuple(c for c in s.mandrel.characteristics if c.id not in ids)
    return replace(s, mandrel=replace(s.mandrel, characteristics=kept))


def with_sizes(s: Situated, *more: Characteristic) -> Situated:
    row = (*s.mandrel.characteristics, *more)
    return replace(s, mandrel=replace(s.mandrel, characteristics=row))


def size(
    id: str, lower: float | None, upper: float | None, kind: Kind = Kind.DIAMETER, written: str = ""
) -> Characteristic:
    return Characteristic(
        id=id,
        feature=Feature(id.rpartition(".")[0]),
        kind=kind,
        nominal=upper or 0.0,
        lower=lower,
        upper=upper,
        unit="mm",
        source="",
        decision="",
        written=written,
    )


def runout(id: str, value: float, written: str = "") -> Characteristic:
    return size(id, None, value, Kind.RUNOUT, written)


def fit(s: Situated) -> tuple[float, float, float, float, float]:
    found = fit_of(s)
    assert found is not None
    play, left = found
    return (play.pitch_min, play.pitch_max, left.play_min, left.play_max, left.eaten)


def test_the_play_of_screw_in_nut_whichever_of_them_the_mandrel_is(
    plug: Situated, cup: Situated
) -> None:
    for s in (plug, cup):
        assert fit(s) == pytest.approx((0.022, 0.254, 0.022, 0.254, 0.0), abs=1e-9)
    assert fit_of(replace(plug, thread=None)) is None


@pytest.mark.parametrize(("made", "indexed"), [("single-point", 2), ("guided", 1), ("freehand", 1)])
def test_starts_indexed_wrong_eat_play_on_each_piece_that_was_indexed(
    made: str, indexed: int
) -> None:
    """A quarter of a degree of a lead of 2.4, times cot 30°; a tap cuts its starts all at once."""
    found = fit(fast(made))
    one = 2.4 * 0.25 / 360 * math.sqrt(3)
    assert found[4] == pytest.approx(indexed * one)
    assert found[2] == pytest.approx(found[0] - found[4])
    assert found[3] == pytest.approx(found[1] - found[4])


def test_two_starts_are_indexed_as_three_are() -> None:
    """A lead of 1.5 on each of the two pieces."""
    found = fit(held(plug_pen(thread="M10xPh1.5P0.75-6H")))
    assert found[4] == pytest.approx(2 * 1.5 * 0.25 / 360 * math.sqrt(3))


def test_another_lead_eats_play_over_the_engaged_length(plug: Situated) -> None:
    """0.8 beside 0.75: 1/16 of the length from 2.9596 to 8.146."""
    assert plug.thread is not None
    partner = plug.thread.partner
    other = replace(partner, designation=read_thread("M10x0.8"))
    s = replace(plug, thread=replace(plug.thread, partner=other))
    long = 8.146 - 2.9595561
    assert fit(s)[4] == pytest.approx(long / 16 * math.sqrt(3), rel=1e-6)
    bare = replace(s, mandrel=replace(s.mandrel, outer=()))
    assert fit(bare)[4] == 0.0


def test_a_plug_s_holding_is_its_drawing_s_limits_and_the_part_s_own_errors(plug: Situated) -> None:
    found = holding(plug)
    (thread,) = found.locators
    assert thread == Locator(
        id="thread.pitch_diameter",
        on=Surface.THREAD,
        clearance=pytest.approx(0.254),  # type: ignore[arg-type]
        z0=pytest.approx(2.9595561),  # type: ignore[arg-type]
        z1=8.146,
        clearance_min=pytest.approx(0.022),  # type: ignore[arg-type]
        run_out=0.03,
        run_out_id="thread.runout",
        label="play of the thread",
    )
    assert found.part == PartEnd(0.01, 15.0, 0.02, 0.0005)
    # ISO 15488-25: 0.02 at 40 in front of the collet; the seat 15 in front of a nut of 4.
    assert found.collet == ColletHold(0.02, 40, 19.0)
    assert found.seat == SeatFace(0.03, 14.2)
    assert (found.friction, found.residual, found.left) == (0.15, 0.25, None)
    waxed = replace(plug, loads=plug.loads._replace(seat_friction=0.08))
    assert holding(waxed).friction == 0.08


def test_without_a_collet_or_a_face_on_the_drawing_none_counts(plug: Situated) -> None:
    assert holding(replace(plug, grip=None)).collet is None
    assert holding(replace(plug, collet_face=None)).collet is None
    assert holding(without(plug, "seat.runout")).seat is None
    assert holding(without(plug, "seat.runout"), ToleranceChoice()).seat is None
    assert holding(without(plug, "collar.diameter", "shank.diameter")).seat is None
    assert holding(replace(plug, thread=None)).locators == ()
    assert holding(replace(plug, mandrel=replace(plug.mandrel, outer=()))).locators == ()


def test_what_is_tried_stands_instead_of_the_drawing_s_but_for_the_maker_s_wish(
    plug: Situated,
) -> None:
    tried = ToleranceChoice(run_out=0.012, seat_run_out=0.017)
    found = holding(plug, tried)
    assert found.locators[0].run_out == 0.012
    assert found.seat == SeatFace(0.017, 14.2)
    wish = replace(plug, wishes=replace(plug.wishes, run_out=0.04, seat_run_out=0.05))
    found = holding(wish, tried)
    assert found.locators[0].run_out == 0.04
    assert found.seat == SeatFace(0.05, 14.2)


LEAN = math.radians(0.1)
"""A guided tap or die leans as much, data/manners.toml."""


@pytest.mark.parametrize(
    ("order", "drawn"),
    [
        (ThreadOrder.SINGLE_POINT, 0.05),
        # A blank is asked its crest true; a tap's or a die's own test piece the usual 0.03.
        (ThreadOrder.BLANK, 0.05 + LEAN * 5.1864439),
        (ThreadOrder.STOCK_TAP, 0.03 + LEAN * 5.1864439),
    ],
)
def test_a_tap_or_die_leans_on_the_mandrel_too(
    plug: Situated, order: ThreadOrder, drawn: float
) -> None:
    assert plug.thread is not None
    s = with_sizes(without(plug, "thread.runout"), runout("thread.runout", 0.05))
    s = replace(s, thread=replace(plug.thread, order=order))
    assert holding(s).locators[0].run_out == pytest.approx(drawn, abs=1e-7)
    # What was read on it holds everything.
    read = with_sizes(without(s, "thread.runout"), runout("thread.runout", 0.05, MEASURED))
    assert holding(read).locators[0].run_out == 0.05


def test_a_lathe_s_own_tailstock_leans_the_die_as_measured(plug: Situated) -> None:
    """0.3 off over 60 is 0.005 for each mm."""
    assert plug.thread is not None
    off = plug.lathe.model_copy(update={"tailstock_side": 0.3})
    s = replace(plug, thread=replace(plug.thread, order=ThreadOrder.BLANK), lathe=off)
    lean = math.atan(0.3 / 60) * 5.1864439
    assert holding(s).locators[0].run_out == pytest.approx(0.03 + lean, abs=1e-7)


def test_without_a_run_out_of_the_thread_s_own_the_largest_cut_with_it_counts(
    plug: Situated,
) -> None:
    bare = without(plug, "thread.runout")
    usual = holding(bare).locators[0]
    assert (usual.run_out, usual.run_out_id) == (0.03, "thread.runout")
    s = with_sizes(
        bare,
        runout("register.runout", 0.02),
        runout("counterbore.runout", 0.045),
        runout("relief.runout", 0.04),
        # Of the other end, of a face, or of no size.
        runout("b.counterbore.runout", 0.09),
        size("collar.runout", None, 0.08, Kind.FACE_RUNOUT),
        size("chamfer.runout", None, None, Kind.RUNOUT),
    )
    found = holding(s).locators[0]
    assert (found.run_out, found.run_out_id) == (0.045, "counterbore.runout")
    assert holding(s, ToleranceChoice(run_out=0.01)).locators[0].run_out == 0.01


def test_the_thread_s_own_run_out_counts_whatever_else_is_asked(plug: Situated) -> None:
    found = holding(with_sizes(plug, runout("counterbore.runout", 0.045))).locators[0]
    assert (found.run_out, found.run_out_id) == (0.03, "thread.runout")


def test_a_drawing_of_old_names_its_thread_by_the_diameter(plug: Situated) -> None:
    (found,) = holding(without(plug, "thread.pitch_diameter")).locators
    assert found.id == "thread.diameter"


def test_threads_that_overlap_have_no_play_and_not_less(plug: Situated) -> None:
    assert plug.thread is not None
    limits = plug.thread.limits
    thick = replace(limits, pitch=replace(limits.pitch, min=9.7, max=9.8))
    (found,) = holding(replace(plug, thread=replace(plug.thread, limits=thick))).locators
    assert (found.clearance, found.clearance_min) == (0.0, 0.0)


SPIGOT = (size("spigot1.diameter", 9.05, 9.15), runout("spigot1.runout", 0.035))


def guided_by(s: Situated, *row: Stretch) -> Situated:
    return replace(s, mandrel=replace(s.mandrel, outer=(*s.mandrel.outer, *row)))


def test_a_close_spigot_holds_by_the_bore_it_stands_in(plug: Situated) -> None:
    s = with_sizes(guided_by(plug, bar("spigot1", 9.0, 20.0, 9.1)), *SPIGOT)
    thread, spigot = holding(s).locators
    assert thread.id == "thread.pitch_diameter"
    assert spigot == Locator(
        id="spigot1.diameter",
        on=Surface.BORE,
        clearance=pytest.approx(9.222 - 9.05),  # type: ignore[arg-type]
        z0=9.0,
        z1=20.0,
        clearance_min=pytest.approx(9.2 - 9.15),  # type: ignore[arg-type]
        run_out=0.035,
        run_out_id="spigot1.runout",
        label="play of the spigot",
    )
    tried = holding(s, ToleranceChoice(run_out=0.011)).locators[1]
    assert tried.run_out == 0.011
    tight = with_sizes(guided_by(plug, bar("spigot1", 9.0, 20.0, 9.3)),
                       size("spigot1.diameter", 9.3, 9.4), SPIGOT[1])  # fmt: skip
    assert holding(tight).locators[1][2] == 0.0
    assert holding(tight).locators[1].clearance_min == 0.0


def test_a_loose_spigot_guides_only_where_there_is_no_thread(plug: Situated) -> None:
    s = with_sizes(guided_by(plug, bar("spigot1", 9.0, 20.0, 9.1)), SPIGOT[0])
    assert [x.id for x in holding(s).locators] == ["thread.pitch_diameter"]
    (alone,) = holding(replace(s, thread=None)).locators
    assert (alone.id, alone.run_out) == ("spigot1.diameter", 0.0)
    (tried,) = holding(replace(s, thread=None), ToleranceChoice(run_out=0.02)).locators
    assert tried.run_out == 0.0


def test_what_has_no_size_no_limits_or_no_hole_round_it_holds_nothing(plug: Situated) -> None:
    here = guided_by(plug, bar("spigot1", 9.0, 20.0, 9.1))
    beyond = guided_by(plug, bar("spigot1", 31.0, 40.0, 9.1))
    other = guided_by(plug, bar("b.spigot1", 9.0, 20.0, 9.1), bar("nose", 9.0, 20.0, 9.1))
    open_below = size("spigot1.diameter", None, 9.15)
    named = (size("b.spigot1.diameter", 9.05, 9.15), runout("b.spigot1.runout", 0.03),
             size("nose.diameter", 9.05, 9.15), runout("nose.runout", 0.03))  # fmt: skip
    for s, sizes in (
        (here, SPIGOT[1:]), (here, (open_below, SPIGOT[1])), (beyond, SPIGOT), (other, named),
    ):  # fmt: skip
        assert [x.on for x in holding(with_sizes(s, *sizes)).locators] == [Surface.THREAD]
    # One that holds nothing does not hide the next, nor does one that is loose.
    loose = guided_by(here, bar("spigot2", 20.0, 28.0, 9.1))
    more = (size("spigot2.diameter", 9.05, 9.15), runout("spigot2.runout", 0.03))
    found = holding(with_sizes(loose, SPIGOT[0], *more)).locators
    assert [x.id for x in found] == ["thread.pitch_diameter", "spigot2.diameter"]
    both = guided_by(beyond, bar("spigot2", 9.0, 20.0, 9.1))
    more = (size("spigot2.diameter", 9.05, 9.15), runout("spigot2.runout", 0.03))
    found = holding(with_sizes(both, *SPIGOT, *more)).locators
    assert [x.id for x in found] == ["thread.pitch_diameter", "spigot2.diameter"]


def hole(start: float, end: float, d: float, made: str = "bored") -> Hole:
    return Hole(Toleranced(d, d, d + 0.03), start, end, True, made)


def test_a_register_stands_in_the_counterbore(plug: Situated) -> None:
    assert plug.tapped is not None
    s = replace(plug, tapped=plug.tapped._replace(counterbore=hole(0.0, 2.0, 11.0)))
    sizes = size("register.diameter", 10.88, 10.93), runout("register.runout", 0.02)
    s = with_sizes(guided_by(s, bar("register", 0.0, 1.5, 10.9)), *sizes)
    found = holding(s).locators[1]
    assert (found.id, found.label) == ("register.diameter", "play of the register")
    assert found.clearance == pytest.approx(11.03 - 10.88)
    assert found.clearance_min == pytest.approx(11.0 - 10.93)
    assert (found.run_out, found.run_out_id) == (0.02, "register.runout")
    assert len(holding(replace(s, tapped=None)).locators) == 1


@pytest.mark.parametrize(
    ("z0", "z1", "washer", "d"),
    [(2.0, 10.0, 0.0, 9.0), (8.0, 14.0, 0.0, 7.0), (8.0, 14.0, 1.5, 9.0), (8.0, 12.0, 0.0, 9.0),
     (28.0, 32.0, 0.0, 7.0), (29.0, 32.0, 0.0, None), (-3.0, 1.0, 0.0, None),
     (0.0, 0.0, 0.0, 9.0)],
)  # fmt: skip
def test_a_spigot_stands_in_the_step_round_its_middle(
    plug: Situated, z0: float, z1: float, washer: float, d: float | None
) -> None:
    """⌀9 to 10 deep, ⌀7 to 30, from the face, which a washer keeps off the seat."""
    s = replace(plug, holes=(hole(0.0, 10.0, 9.0), hole(10.0, 30.0, 7.0)),
                wishes=replace(plug.wishes, soft_washer=washer))  # fmt: skip
    found = hole_at(s, bar("spigot1", z0, z1, 6.0))
    assert (None if found is None else found.size.nominal) == d


def test_the_part_s_own_errors_are_those_of_how_it_was_cut() -> None:
    s = held(plug_pen(made="freehand", face="guided",
                      bore=[{"diameter": 9.2, "depth": 30.0, "made": "drilled"}]))  # fmt: skip
    assert holding(s).part == PartEnd(0.03, 15.0, 0.3, 0.00375)
    # Held by its bore there is no thread to lean.
    assert holding(replace(s, hold=s.hold._replace(by="bore"))).part.thread_tilt == 0.0
    read = s.lathe.model_copy(update={"drill_drift": 0.1, "tailstock_height": 0.0})
    assert holding(replace(s, lathe=read)).part.bore_drift == pytest.approx(0.002)
    guided = replace(held(plug_pen(made="guided")), lathe=read)
    assert holding(guided).part.thread_tilt == 0.0


def test_a_bore_drifts_as_the_close_spigot_s_was_cut_else_the_deepest(plug: Situated) -> None:
    """Drilled 0.00375, bored 0.0003, reamed 0.0005 for each mm; what no manner names, drilled."""
    steps = (hole(0.0, 9.0, 9.4, "drilled"), hole(9.0, 20.0, 9.2, "bored"),
             hole(20.0, 30.0, 7.0, "reamed"))  # fmt: skip
    s = replace(plug, holes=steps)
    assert holding(s).part.bore_drift == 0.0005
    close = guided_by(s, bar("spigot1", 10.0, 19.0, 9.1))
    assert holding(with_sizes(close, *SPIGOT)).part.bore_drift == 0.0003
    assert holding(with_sizes(close, SPIGOT[0])).part.bore_drift == 0.0005
    # A register's counterbore is not the bore behind.
    assert plug.tapped is not None
    rim = plug.tapped._replace(counterbore=hole(0.0, 2.0, 11.0, "freehand"))
    stepped = guided_by(replace(s, tapped=rim), bar("register", 0.0, 1.5, 10.9))
    stepped = with_sizes(stepped, size("register.diameter", 10.88, 10.93),
                         runout("register.runout", 0.02))  # fmt: skip
    assert holding(stepped).part.bore_drift == 0.0005
    assert holding(replace(plug, holes=(hole(0.0, 9.0, 9.2, "tap"),))).part.bore_drift == 0.00375
    assert holding(replace(plug, holes=())).part.bore_drift == 0.0
