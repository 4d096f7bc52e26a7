"""How fast, and whether at all: each limit and just beside it, by the rule and by plain arithmetic
on one plug and its part; printed, and of another material."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess import printed_speed
from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.own_materials import in_material
from mandrelgen.assess.printed_speed import Turning, turning
from mandrelgen.assess.setup import Situated
from mandrelgen.assess.speeds import life, speed
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import Assessment, Capacity, Stiffness
from mandrelgen.mechanics.life import Life
from mandrelgen.mechanics.speed import Cap, Speed
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.mechanics.work_speed import Work
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.materials import material
from tests.support.judged_pens import fixed, plug_pen, verdict_of
from tests.support.randompens import SHOP_TREE

PEN = plug_pen({"tailstock": True, "speed": 300})


def shop(**lathe: Any) -> Shop:
    return Shop.model_validate({**SHOP_TREE, "lathe": lathe})


FAST = shop(max_speed=3000)


@pytest.fixture(scope="module")
def made() -> Designed:
    (d,) = fixed(PEN, FAST)
    return d


@pytest.fixture(scope="module")
def bent(made: Designed) -> Stiffness:
    """As stiff as it is; no whirling below the lathe's highest."""
    found = verdict_of(made).stiffness
    assert found is not None
    return replace(found, critical=60_000.0)


@pytest.fixture(scope="module")
def bears(made: Designed) -> Capacity:
    """Well enough for every dig-in."""
    found = verdict_of(made).capacity
    assert found is not None
    return replace(found, mandrel=1e6)


def on(d: Designed, own: str, pen: Pen = PEN, at: Shop = FAST, **loads: Any) -> Situated:
    """The plug of another material with its part on it, run as is said."""
    assert d.mandrel is not None
    ordering = replace(d.mandrel.ordering, material=own)
    (s,) = situated(replace(d, mandrel=replace(d.mandrel, ordering=ordering)), pen, at)
    return replace(s, loads=s.loads._replace(**loads))


# -- by the rule -----------------------------------------------------------------------------------
def test_a_metal_mandrel_runs_up_to_the_lathes_highest(
    made: Designed, bent: Stiffness, bears: Capacity
) -> None:
    """Rounded down to 10; it is started there too."""
    s = on(made, "1.4305", speed=None, tailstock=False)
    found, work = speed(s, shop(max_speed=2999), bent, replace(bears, mandrel=0.1), None)
    assert (found.allowed, found.start, found.refused) == (2990, 2990, ())
    assert [(c.id, c.speed, c.basis) for c in found.caps] == [("lathe", 2999.0, "shop file")]
    assert [w.work for w in work] == list(Work)


def test_a_highest_speed_that_nobody_said_is_taken(
    made: Designed, bent: Stiffness, bears: Capacity
) -> None:
    found, _ = speed(on(made, "1.4305"), shop(tailstock=True), bent, bears, None)
    assert [(c.speed, c.basis) for c in found.caps] == [(3000.0, "from memory")]


def test_half_the_critical_speed_governs_where_it_is_lower(
    made: Designed, bent: Stiffness, bears: Capacity
) -> None:
    found, work = speed(on(made, "1.4305"), FAST, replace(bent, critical=1999.0), bears, None)
    assert (found.governing.id, found.governing.speed, found.allowed) == ("whirl", 999.5, 990)
    assert all(w.high <= 990 for w in work)


@pytest.mark.parametrize(("own", "cap"), [("acetal", 1500), ("PLA", 1000)])
def test_plastic_and_printed_have_caps_of_their_own_and_start_slowly(
    made: Designed, bent: Stiffness, bears: Capacity, own: str, cap: int
) -> None:
    """Both are started at 500, or slower where they may not run so fast (from memory)."""
    found, work = speed(on(made, own), FAST, bent, bears, None)
    assert (found.allowed, found.start, found.refused) == (cap, 500, ())
    assert [c.speed for c in found.caps] == [cap, 3000]
    assert max(w.high for w in work) == cap
    found, _ = speed(on(made, own), shop(max_speed=449), bent, bears, None)
    assert (found.allowed, found.start, found.refused) == (440, 440, ())


@pytest.mark.parametrize(
    ("own", "speed_", "tailstock", "reasons"),
    [
        ("1.4305", None, False, []), ("1.4305", 3000.0, False, []),
        ("1.4305", 3001.0, False, ["3,001 rpm is above 3,000 rpm: the lathe's highest speed"]),
        ("acetal", 1500.0, True, []),
        ("acetal", 1501.0, True, ["1,501 rpm is above 1,500 rpm: a plastic mandrel"]),
        ("acetal", None, True,
         ["say the speed you mean to run a plastic mandrel at (use.speed)"]),
        ("PLA", None, True, ["say the speed you mean to run a printed mandrel at (use.speed)"]),
        ("acetal", 300.0, False, ["a plastic mandrel turns only with the tailstock up"]),
        ("PLA", 1001.0, False, ["a printed mandrel turns only with the tailstock up",
                                "1,001 rpm is above 1,000 rpm: a printed mandrel"]),
    ],
)  # fmt: skip
def test_every_reason_to_refuse(
    made: Designed, bent: Stiffness, bears: Capacity, own: str, speed_: float | None,
    tailstock: bool, reasons: list[str],
) -> None:  # fmt: skip
    s = on(made, own, speed=speed_, tailstock=tailstock)
    found, work = speed(s, FAST, bent, bears, None)
    assert list(found.refused) == reasons
    assert (found.allowed == 0) is bool(reasons)
    assert (found.start == 0) is bool(reasons)
    assert (work == ()) is bool(reasons)


def test_a_plastic_mandrel_bears_a_dig_in_and_lasts_for_a_pen(
    made: Designed, bent: Stiffness, bears: Capacity
) -> None:
    s = on(made, "acetal", catch_side=40.0)
    lasting = Life(0, 1, 1.0, "well; more")
    assert speed(s, FAST, bent, replace(bears, mandrel=40.0), lasting)[0].refused == ()
    found, _ = speed(s, FAST, bent, replace(bears, mandrel=39.9), lasting)
    assert found.refused == ("it bears 39 N where 40 N are needed",)
    found, _ = speed(s, FAST, bent, bears, Life(0, 0, 9.0, "too warm; more"))
    assert found.refused == ("too warm",)


def test_a_plastic_mandrel_has_to_run_as_fast_as_the_slowest_work(
    made: Designed, bent: Stiffness, bears: Capacity
) -> None:
    """Acrylic is sanded at 400 to 800 at ⌀15 (from memory), and nothing is done slower."""
    s = on(made, "acetal")
    assert max(s.shape.d0, s.shape.d1) == 15.0
    assert speed(s, FAST, replace(bent, critical=800.0), bears, None)[0].refused == ()
    found, work = speed(s, FAST, replace(bent, critical=790.0), bears, None)
    assert found.refused == ("0.5 of the critical speed allows 395 rpm, the work needs 400 rpm",)
    assert work == ()
    # At ⌀20, the larger end, 300 are enough.
    for d0, d1 in ((20.0, 10.0), (10.0, 20.0)):
        wide = replace(s, shape=s.shape._replace(d0=d0, d1=d1))
        assert speed(wide, FAST, replace(bent, critical=610.0), bears, None)[0].refused == ()


def test_a_plastic_mandrel_lasts_by_its_own_worst_stress(made: Designed, bent: Stiffness) -> None:
    """A quarter of the strength is borne for hours, less what 35 °C takes of it; the part's own
    stress, however high, is not the mandrel's."""
    own = material("acetal")
    a, b = bent.stresses[:2]
    assert own.max_temperature is not None
    heat = (own.max_temperature - 35) / (own.max_temperature - 20)
    allowed = own.tensile_strength / 4 * heat
    rows = tuple(
        x._replace(feature=feature, stress=share * allowed)
        for x, feature, share in ((a, "neck", 0.3), (b, "relief", 0.6), (a, "part", 5.0))
    )
    found = life(on(made, "acetal"), replace(bent, stresses=rows))
    assert found is not None
    assert found.use == pytest.approx(0.6)
    none = life(on(made, "acetal"), replace(bent, stresses=rows[2:]))
    assert none is not None
    assert none.use == 0
    assert life(on(made, "1.4305"), bent) is None


# -- printed ---------------------------------------------------------------------------------------
class Judge:
    """In place of the judge: hands out verdicts in turn, and keeps what it was asked."""

    def __init__(self, *verdicts: Assessment) -> None:
        self.verdicts = list(verdicts)
        self.asked: list[tuple[Situated, Any, Pen, Shop]] = []

    def __call__(self, s: Situated, near: Any, pen: Pen, shop: Shop) -> Assessment:
        self.asked.append((s, near, pen, shop))
        return self.verdicts.pop(0)


def cap(name: str, most: float) -> Cap:
    return Cap(name, most, name, "from memory")


def runs(most: float, *refused: str, by: str = "first") -> Speed:
    return Speed(0, 0, (cap(by, most), cap("second", 5000.0)), refused)


def check(label: str, factor: float, asked: float = 1.0) -> StrengthCheck:
    return StrengthCheck(id=label, label=label, demand=1.0, capacity=factor, unit="N", asked=asked)


@pytest.fixture
def printed(made: Designed, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Turning]:
    """The plug printed, with such a verdict."""

    def tried(*rows: tuple[Speed | None, tuple[StrengthCheck, ...]], own: str = "PLA",
              kind: str = "fdm") -> Turning:  # fmt: skip
        v = verdict_of(made)
        fake = Judge(*(replace(v, speed=s, checks=checks) for s, checks in rows))
        monkeypatch.setattr(printed_speed, "judge", fake)
        assert made.mandrel is not None
        order = replace(made.mandrel.ordering, material=own)
        d = replace(made, mandrel=replace(made.mandrel, ordering=order))
        monkeypatch.setattr(printed_speed, "situated", Twice(len(rows)))
        found = turning(d, [made], PEN, FAST, kind)
        assert found is not None
        for s, near, pen, at in fake.asked:
            assert s.mandrel.ordering.material == found.material
            assert set(near) == {"body"}
            assert near["body"].mandrel.ordering.material == made.mandrel.ordering.material
            assert (pen, at) == (PEN, FAST)
        assert len(fake.asked) == len(rows)
        return found

    return tried


class Twice:
    """A mandrel of so many ends, each like the first."""

    def __init__(self, ends: int) -> None:
        self.ends = ends

    def __call__(self, d: Designed, pen: Pen, shop: Shop) -> tuple[Situated, ...]:
        return situated(d, pen, shop) * self.ends


def test_what_the_order_names_is_printed_of_that(printed: Callable[..., Turning]) -> None:
    found = printed((runs(1000.0), ()), own="PETG", kind="resin")
    assert (found.material, found.stated, found.refused) == ("PETG", True, ())
    assert (found.cap, found.allowed, found.start) == (cap("first", 1000.0), 1000, 500)


@pytest.mark.parametrize(("kind", "stuff"), [("fdm", "PLA"), ("resin", "resin")])
def test_what_nobody_said_is_printed_of_the_usual_and_refused(
    printed: Callable[..., Turning], kind: str, stuff: str
) -> None:
    for own in ("1.4305", "acetal"):
        found = printed((runs(1000.0), ()), own=own, kind=kind)
        assert (found.material, found.stated, found.allowed) == (stuff, False, 0)
        assert found.rules == (f"the pen file does not say that it is printed of {stuff}",)
        assert found.cap == cap("first", 1000.0)


@pytest.mark.parametrize(
    ("most", "allowed", "start"),
    [(499.9, 490, 490), (509.0, 500, 500), (519.0, 510, 500), (20.0, 20, 20)],
)
def test_a_printed_one_is_started_at_500_or_at_what_it_may(
    printed: Callable[..., Turning], most: float, allowed: int, start: int
) -> None:
    found = printed((runs(most), ()))
    assert (found.allowed, found.start) == (allowed, start)


def test_the_slower_of_two_ends_counts_and_the_rules_of_both_once(
    printed: Callable[..., Turning],
) -> None:
    """A rule that both ends break is told once; the lower cap is the second end's."""
    lathe, whirl = runs(900.0, "warm", "fast", by="lathe"), runs(700.0, "fast", "weak", by="whirl")
    found = printed((lathe, ()), (whirl, ()))
    assert found.rules == ("warm", "fast", "weak")
    assert found.cap == cap("whirl", 700.0)
    assert (found.allowed, found.start) == (0, 500)
    found = printed((None, ()), (runs(700.0), ()))
    assert (found.rules, found.cap) == ((), cap("first", 700.0))


def test_what_fails_is_told_from_the_weakest_by_what_is_asked(
    printed: Callable[..., Turning],
) -> None:
    """0.899 of 2 is less than 0.6 of 1; factors are rounded down; what both ends
    share stands once."""
    lip, strip, good = check("lip", 0.6), check("strip", 0.899, 2.0), check("seat", 1.0)
    found = printed((runs(900.0), (lip, good, strip)), (runs(900.0), (lip,)))
    assert found.weak == (
        "strip: safety factor 0.89 (2.0 required)", "lip: safety factor 0.60 (1.0 required)",
    )  # fmt: skip
    assert found.refused == found.weak
    assert found.allowed == 0
    both = printed((runs(900.0, "warm"), (lip,)))
    assert both.refused == ("warm", "lip: safety factor 0.60 (1.0 required)")


def test_a_button_turns_nothing(printed: Callable[..., Turning]) -> None:
    found = printed((None, (check("lip", 0.5),)))
    only = "nothing is turned on it; printed, it is for trying the fit"
    assert found == Turning(
        material="PLA", stated=True, rules=(only,),
        weak=("lip: safety factor 0.50 (1.0 required)",), cap=None, start=0,
    )  # fmt: skip
    assert found.allowed == 0
    unsaid = printed((None, ()), own="1.4305", kind="resin")
    said = "the pen file does not say that it is printed of resin"
    assert (unsaid.material, unsaid.stated, unsaid.rules) == ("resin", False, (said, only))


def test_what_was_not_designed_is_not_judged(made: Designed) -> None:
    assert turning(replace(made, mandrel=None), [made], PEN, FAST, "fdm") is None


# -- of another material ---------------------------------------------------------------------------
def careful(said: dict[str, Any], own: str, at: Shop = FAST, **more: Any) -> Assessment:
    """The plug's verdict if it is made of ``own``; ``more``: of its request."""
    pen = plug_pen(said, wishes=more)
    (d,) = fixed(pen, at)
    found = in_material(pen, at, [d, replace(d, planned=replace(d.planned, id="x"), mandrel=None)],
                        own)  # fmt: skip
    assert list(found) == [d.planned.id]
    return found[d.planned.id]


@pytest.mark.parametrize(
    ("said", "most", "speed_"),
    [(None, 3000, 1500.0), (1500, 3000, 1500.0), (1501, 3000, 1500.0), (1499, 3000, 1499.0),
     (None, 1400, 1400.0), (1450, 1400, 1400.0), (1300, 1400, 1300.0)],
)  # fmt: skip
def test_a_plastic_one_is_judged_at_a_speed_it_may_have(
    said: int | None, most: int, speed_: float
) -> None:
    """Tailstock up, whatever was said; the rest of what was said stays."""
    use = {"tailstock": False, "far_end": "pip", "side_load": 3.0} | (
        {} if said is None else {"speed": said}
    )
    at = shop(max_speed=most)
    v = careful({}, "acetal", at, use=use)
    assert (v.tailstock, v.wanted_speed, v.material) == (True, speed_, "acetal")
    assert v.stiffness is not None
    assert v.stiffness.side == 3.0
    assert v.speed is not None
    assert not [r for r in v.speed.refused if "rpm" in r or "tailstock" in r]


def test_a_metal_one_is_judged_as_was_said() -> None:
    use = {"tailstock": False, "speed": 2000}
    for v in (careful(use, "CW614N"), careful({}, "CW614N", use=use)):
        assert (v.tailstock, v.wanted_speed, v.material) == (False, 2000.0, "CW614N")


def test_a_requests_own_use_wins_over_the_pens() -> None:
    assert careful({"speed": 200}, "acetal", use={"speed": 400}).wanted_speed == 400.0
