"""How a mandrel that exists would serve: which way round, what differs from a new one, and which
one is worth a word although it does not hold."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.choose_tolerances import judged, neighbours_of, situated
from mandrelgen.assess.fitting import Fitting, fitting, nearly
from mandrelgen.core.lengths import Length
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Hold
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.spec.pen import Pen
from tests.support.judged_pens import cup_pen, fixed, plug_pen, starters
from tests.support.on_a_mandrel import Limits, bench, designed, made, stretch

MOUTH = {by: Hold("body", "mouth", by) for by in ("internal", "external", "bore")}


def tree(pen: Pen) -> dict[str, Any]:
    return pen.model_dump(mode="json", by_alias=True, exclude_unset=True)


@pytest.fixture(scope="module")
def plug() -> tuple[Pen, Designed]:
    pen = plug_pen()
    return pen, designed(pen)


@pytest.fixture(scope="module")
def double() -> tuple[Pen, Designed]:
    """A plug for the body at one end, a cup for the tail at the other, on a shank of 16."""
    both = tree(plug_pen())
    both["parts"]["tail"] = tree(cup_pen())["parts"]["body"]
    both["mandrels"] = {"requests": [{
        "holds": "body.mouth", "also_holds": "tail.mouth", "kind": "double-ended",
        "shank_diameter": 16,
    }]}  # fmt: skip
    pen = Pen.model_validate(both)
    return pen, designed(pen)


def served(given: tuple[Pen, Designed], m: Mandrel | None = None, **change: Any) -> Fitting:
    """How ``m``, or the one designed, serves for the plan of the design."""
    pen, d = given
    own = m or d.mandrel
    assert own is not None
    new = change.pop("new", None)
    wishes = change.pop("wishes", d.wishes)
    return fitting(own, pen, bench(), replace(d.planned, **change), {}, new, wishes)


def own(given: tuple[Pen, Designed]) -> Mandrel:
    assert given[1].mandrel is not None
    return given[1].mandrel


# -- both ends -----------------------------------------------------------------------------------
def test_both_ends_of_a_double_ended_one_serve(double: tuple[Pen, Designed]) -> None:
    found = served(double)
    assert found.hinders == ()
    assert [(v.part, v.end) for v in found.verdicts] == [("body", "mouth"), ("tail", "mouth")]
    steps = [v.truth.step.states.tight.statistical for v in found.verdicts]
    assert found.step == max(steps)
    assert steps[0] != steps[1]


def test_a_double_ended_one_serves_either_way_round(double: tuple[Pen, Designed]) -> None:
    """Asked with its parts exchanged, it is put in the other way; each end has its own part."""
    d = double[1].planned
    found = served(double, hold=d.other, other=d.hold)
    assert found.hinders == ()
    assert [v.part for v in found.verdicts] == ["tail", "body"]
    assert found.step == pytest.approx(served(double).step)


@pytest.mark.parametrize("part", ["body", "tail"])
def test_either_end_of_a_double_ended_one_serves_alone(
    double: tuple[Pen, Designed], part: str
) -> None:
    by = {"body": "internal", "tail": "external"}[part]
    found = served(double, hold=Hold(part, "mouth", by), other=None)
    assert found.hinders == ()
    assert [v.part for v in found.verdicts] == [part]


def test_what_hinders_either_end_hinders_it(double: tuple[Pen, Designed]) -> None:
    """The cup's collar stands out at the one, the plug's at the other; the way round with the
    fewest faults is told."""
    cup = made(own(double), {"b.collar.diameter": (12.9, 12.95)})
    assert served(double, cup).hinders == (
        "its collar of ⌀12.95 stands out of the part's ring, ⌀12.6",
    )
    plug = made(own(double), {"collar.diameter": (14.8, 14.85)})
    found = served(double, plug)
    assert found.hinders == ("its collar of ⌀14.85 stands out of the part's ring, ⌀14.6",)
    assert found.verdicts == ()


def test_both_ends_of_one_kind_take_the_way_with_the_lesser_mismatch(
    plug: tuple[Pen, Designed],
) -> None:
    """Two plugs for one part, the second with a true thread, the first with a poor one."""
    both = tree(plug_pen())
    both["parts"]["tail"] = both["parts"]["body"]
    both["mandrels"] = {"requests": [{
        "holds": "body.mouth", "also_holds": "tail.mouth", "kind": "double-ended",
        "shank_diameter": 16,
    }]}  # fmt: skip
    d = designed(Pen.model_validate(both))
    assert d.mandrel is not None
    worn = made(d.mandrel, {"thread.runout": (None, 0.2), "b.thread.runout": (None, 0.02)})
    true = made(d.mandrel, {"thread.runout": (None, 0.02), "b.thread.runout": (None, 0.2)})
    first, second = served(plug, worn), served(plug, true)
    assert first.fits
    assert first.step == pytest.approx(second.step)
    bad = made(d.mandrel, {"thread.runout": (None, 0.2), "b.thread.runout": (None, 0.2)})
    assert served(plug, bad).step > first.step + 0.02


def test_of_one_way_only_the_other_is_not_tried(plug: tuple[Pen, Designed]) -> None:
    """A plug has no second seat to be turned to."""
    assert served(plug).fits
    m = replace(own(plug), stations={})
    assert served(plug, m).fits


def test_without_any_verdict_there_is_no_step_and_no_target_missed() -> None:
    none = Fitting(("too short",))
    assert (none.step, none.met, none.fits) == (0.0, True, False)
    assert Fitting(()).fits


def test_a_missed_target_at_either_end_is_missed(double: tuple[Pen, Designed]) -> None:
    """What is not flush is not judged and misses nothing."""
    found = served(double)
    assert found.met
    one, two = found.verdicts
    joined = Fitting((), (), (one, two))
    assert joined.met

    class Missed:
        truth = type("T", (), {"step": type("S", (), {"outcome": Outcome.NOT_MET})})

    class Depends:
        truth = type("T", (), {"step": type("S", (), {"outcome": Outcome.DEPENDS})})

    assert not Fitting((), (), (one, Missed())).met  # type: ignore[arg-type]
    assert Fitting((), (), (one, Depends())).met  # type: ignore[arg-type]


def test_wishes_left_out_are_those_of_the_request() -> None:
    """15 from nut to seat by themselves; 30 asked leave 26.5 of the shank of 46 in the collet, 34
    are too few: 46 − 30 + 7.5 − 4 = 19.5 of 22.7."""
    pen = plug_pen()
    d = designed(pen)
    assert fitting(own((pen, d)), pen, bench(), d.planned, {}).fits
    far = plug_pen(wishes={"stand_off": 30.0})
    planned = designed(far).planned
    (hinders,) = fitting(own((pen, d)), far, bench(), planned, {}).hinders
    assert hinders == "its shank of 46 is too short for the collet: 49.2 is the least"


def test_wishes_for_all_the_pens_mandrels_count_too() -> None:
    pen = plug_pen()
    d = designed(pen)
    asked = tree(pen)
    asked["mandrels"] = {"defaults": {"stand_off": 30.0}}
    far = Pen.model_validate(asked)
    planned = replace(d.planned, request=None)
    (hinders,) = fitting(own((pen, d)), far, bench(), planned, {}).hinders
    assert hinders.endswith("49.2 is the least")


# -- as a new one is judged ----------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["plug", "spigot"])
def test_it_is_judged_as_the_new_one_would_be(kind: str) -> None:
    """Under the loads of the request, in the same collet: what is designed for it gets the verdict
    of its own design, a spigot with the tailstock up."""
    spigot = {"holds": "body.mouth.bore", "kind": "spigot"} if kind == "spigot" else {}
    for load in (50.0, 75.0):
        pen = plug_pen(wishes=spigot | {"use": {"side_load": load}})
        (d,) = judged(pen, bench(), (designed(pen),))
        (verdict,) = served((pen, d)).verdicts
        assert d.verdict is not None
        assert verdict.stiffness == d.verdict.stiffness
        assert verdict.stiffness is not None
        assert verdict.stiffness.side == load
        assert verdict.tailstock is (kind == "spigot")
        assert verdict.truth == d.verdict.truth


def test_it_is_judged_beside_the_mandrel_of_the_neighbour() -> None:
    """The wren's barrel and cap are flush: the neighbour's errors are part of the mismatch."""
    pen, shop = starters("wren")
    ds = judged(pen, shop, fixed(pen, shop))
    near = neighbours_of({d.planned.id: situated(d, pen, shop) for d in ds})
    joined = 0
    for d in ds:
        assert d.mandrel is not None
        assert d.verdict is not None
        beside, alone = (
            fitting(d.mandrel, pen, shop, d.planned, n, None, d.wishes) for n in (near, {})
        )
        assert beside.verdicts[0].truth.step == d.verdict.truth.step
        joined += beside.step != alone.step
    assert joined > 0


# -- what differs --------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("mine", "theirs", "differs"),
    [
        ((14.1, 14.2), (14.1, 14.2), []),
        # Under 0.005 is no difference that anyone reads.
        ((14.104, 14.2), (14.1, 14.2), []),
        ((14.106, 14.2), (14.1, 14.2),
         ["collar.diameter 14.106 (14.106 to 14.2) (new: 14.1 (14.1 to 14.2))"]),
        ((14.094, 14.2), (14.1, 14.2),
         ["collar.diameter 14.094 (14.094 to 14.2) (new: 14.1 (14.1 to 14.2))"]),
    ],
)  # fmt: skip
def test_a_size_that_differs_is_told_with_both(
    plug: tuple[Pen, Designed], mine: Limits, theirs: Limits, differs: list[str]
) -> None:
    m, new = (made(own(plug), {"collar.diameter": x}) for x in (mine, theirs))
    assert list(served(plug, m, new=new).differs) == differs


def test_a_size_that_one_of_the_two_has_is_told(plug: tuple[Pen, Designed]) -> None:
    m = made(own(plug), {"nose.end": (19.0, 19.2), "neck.diameter": None, "odd.end": (1.0, 1.1)})
    assert served(plug, m, new=own(plug)).differs == (
        "no neck.diameter (new: 13.2 ISO 2768-m (13 to 13.4))",
        "nose.end 19 (19 to 19.2) (new: none)",
    )


def test_without_a_new_one_or_where_it_does_not_fit_nothing_differs(
    plug: tuple[Pen, Designed],
) -> None:
    m = made(own(plug), {"collar.diameter": (13.0, 13.1)})
    assert served(plug, m).differs == ()
    wide = made(own(plug), {"collar.diameter": (14.7, 14.8)})
    assert served(plug, wide, new=own(plug)).differs == ()
    assert served(plug, m, new=own(plug)).differs != ()


def test_a_thread_of_another_class_is_told(plug: tuple[Pen, Designed]) -> None:
    m = own(plug)
    (t,) = m.threads
    close = replace(m, threads=(replace(t, limits=replace(t.limits, tolerance_class="4h")),))
    assert served(plug, close, new=m).differs == ("thread class 4h (new: 6g)",)
    assert served(plug, m, new=replace(m, threads=())).differs == ("thread class 6g (new: none)",)


def test_a_spigot_beside_a_plug_has_no_thread_class() -> None:
    pen = plug_pen(wishes={"kind": "spigot", "holds": "body.mouth.bore"})
    given = pen, designed(pen)
    new = own((plug_pen(), designed(plug_pen())))
    assert "thread class none (new: 6g)" in served(given, new=new).differs


def test_another_material_is_told(plug: tuple[Pen, Designed]) -> None:
    m = own(plug)
    brass = replace(m, ordering=replace(m.ordering, material="CW614N"))
    assert served(plug, brass, new=m).differs == (f"material CW614N (new: {m.ordering.material})",)


@pytest.mark.parametrize(
    ("bored", "wished", "differs"),
    [(False, 0.0, ()), (True, 0.0, ("a through bore (new: none)",)),
     (False, 3.0, ("no through bore (new: one)",)), (True, 3.0, ())],
)  # fmt: skip
def test_a_through_bore_is_told_where_one_of_the_two_has_it(
    plug: tuple[Pen, Designed], bored: bool, wished: float, differs: tuple[str, ...]
) -> None:
    m, wishes = own(plug), plug[1].wishes
    assert wishes is not None
    row = (stretch("bore", -53.5, 8.7, 3.0),) if bored else ()
    found = served(plug, replace(m, inner=row), new=m, wishes=replace(wishes, through_bore=wished))
    assert found.differs == differs


def test_a_cup_whose_body_is_its_shank_is_compared_by_the_shank() -> None:
    """A body of 12.95 that is the shank's own bar, beside one with a collar of 11.8 (and the other
    way about); beside another such body none is told twice."""
    pen = cup_pen()
    given = pen, designed(pen)
    m = own(given)
    rest = tuple(s for s in m.outer if s.feature not in ("collar", "shank"))
    whole = (*rest, stretch("shank", -58.5, 0.0, 12.5))
    bar = replace(made(m, {"collar.diameter": None, "shank.diameter": (12.457, 12.5)}), outer=whole)
    found = served(given, bar, new=m)
    assert found.hinders == ()
    shank, collar = "12.457 (12.457 to 12.5)", "11.8 (11.7 to 11.8)"
    differs = [d for d in found.differs if d.startswith("collar")]
    assert differs == [f"collar.diameter {shank} (new: {collar})"]
    back = [d for d in served(given, m, new=bar).differs if "collar" in d]
    assert back == [f"collar.diameter {collar} (new: {shank})"]
    assert not [d for d in served(given, bar, new=bar).differs if "collar" in d]


# -- a near miss ---------------------------------------------------------------------------------
def threaded(m: Mandrel, **change: Any) -> Mandrel:
    (t,) = m.threads
    d = replace(t.limits.designation, **change)
    return replace(m, threads=(replace(t, limits=replace(t.limits, designation=d)),))


@pytest.mark.parametrize(
    ("diameter", "near"), [(10.0, True), (10.5, True), (9.5, True), (10.51, False), (9.49, False)]
)
def test_a_thread_within_half_a_millimetre_is_near(
    plug: tuple[Pen, Designed], diameter: float, near: bool
) -> None:
    m = threaded(own(plug), diameter=Length(diameter))
    assert nearly(m, plug[0], bench(), MOUTH["internal"]) is near


def test_a_thread_of_the_wrong_side_is_not_near(plug: tuple[Pen, Designed]) -> None:
    """A screw is near a nut, a nut near a tenon."""
    pen = cup_pen()
    cup = own((pen, designed(pen)))
    assert nearly(cup, pen, bench(), MOUTH["external"])
    assert not nearly(cup, plug[0], bench(), MOUTH["internal"])
    assert not nearly(own(plug), pen, bench(), MOUTH["external"])


def test_any_of_its_threads_may_be_near(double: tuple[Pen, Designed]) -> None:
    pen, m = double[0], own(double)
    assert nearly(m, pen, bench(), Hold("body", "mouth", "internal"))
    assert nearly(m, pen, bench(), Hold("tail", "mouth", "external"))
    assert not nearly(replace(m, threads=()), pen, bench(), Hold("body", "mouth", "internal"))


def test_a_spigot_is_near_a_bore_and_nothing_else(plug: tuple[Pen, Designed]) -> None:
    pen, m = plug[0], own(plug)
    spigot = replace(m, kind=MandrelKind.SPIGOT)
    assert nearly(spigot, pen, bench(), MOUTH["bore"])
    assert not nearly(m, pen, bench(), MOUTH["bore"])
    # The body has no thread outside: what is asked there is no bore either.
    assert not nearly(spigot, pen, bench(), MOUTH["external"])


def test_what_was_read_with_an_unknown_instrument_is_not_near(plug: tuple[Pen, Designed]) -> None:
    asked = tree(plug[0])
    asked["parts"]["body"]["ends"]["mouth"]["internal"]["measured"] = {
        "crest": 9.25, "instrument": "abacus",
    }  # fmt: skip
    pen = Pen.model_validate(asked)
    assert not nearly(own(plug), pen, bench(), MOUTH["internal"])
    (hinders,) = served((pen, plug[1])).hinders
    assert hinders.startswith("it cannot be judged: ")
