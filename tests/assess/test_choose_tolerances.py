"""What a first design's verdict settles for the final one: a tighter run-out where a flush joint
gains a twentieth by it, flats where a strap does not free the part.

The limits are estimates (common practice, no source), retyped here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess import choose_tolerances as chosen
from mandrelgen.assess import runout
from mandrelgen.assess.setup import Situated
from mandrelgen.design.chosen_tolerances import USUAL, ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import plan
from mandrelgen.mechanics import concentricity
from mandrelgen.mechanics.assessment_types import Mismatch
from mandrelgen.spec.pen import MandrelType, Pen
from tests.support.flush_pen import trio
from tests.support.judged_pens import plug_pen
from tests.support.randompens import SHOP

Row = tuple[Designed, ...]


def designs(pen: Pen) -> Row:
    return tuple(design_one(pen, SHOP, p, ToleranceChoice()) for p in plan(pen))


def double() -> Pen:
    """Both mouths on one piece, whose second end passes a shank of 14."""
    text = trio().model_dump(by_alias=True, exclude_unset=True)
    text["mandrels"]["requests"] = [
        {"holds": "cap.mouth", "also_holds": "barrel.rear", "shank_diameter": 14}
    ]
    return Pen.model_validate(text)


def buttoned() -> Pen:
    """A barrel on a cup, with a button in its bored rear."""
    text = trio(holds=("barrel.front.external",)).model_dump(by_alias=True, exclude_unset=True)
    del text["parts"]["barrel"]["ends"]["rear"]["internal"]
    del text["parts"]["tail"]
    text["mandrels"]["defaults"] = {"tailstock_button": True}
    return Pen.model_validate(text)


def test_each_end_of_a_mandrel_has_its_own_part_on_it() -> None:
    pen = double()
    (d,) = designs(pen)
    assert d.mandrel is not None, d.findings
    one, two = chosen.situated(d, pen, SHOP)
    assert (one.hold.text, two.hold.text) == ("cap.mouth", "barrel.rear")
    assert one.mandrel is d.mandrel
    # The second is seen from its own seat: its M8 at z > 0, the first end's far behind.
    thread = two.stretch("thread")
    assert thread is not None
    assert 0 < thread.z0 < thread.z1 < 10
    assert two.thread is not None
    assert float(two.thread.limits.designation.diameter) == 8.0
    assert chosen.situated(replace(d, mandrel=None), pen, SHOP) == ()
    assert chosen.situated(replace(d, wishes=None), pen, SHOP) == ()


def test_the_use_of_each_request_is_its_own() -> None:
    pen = plug_pen({"side_load": 20.0}, wishes={"use": {"torque": 0.1}})
    (s,) = chosen.situated(designs(pen)[0], pen, SHOP)
    assert (s.loads.side, s.loads.torque) == (20.0, 0.1)


def test_a_part_s_own_mandrel_is_the_first_that_turns_it() -> None:
    pen = buttoned()
    ends = {d.planned.id: chosen.situated(d, pen, SHOP) for d in designs(pen)}
    button, cup = ends["barrel-rear-tailstock-button"], ends["barrel-front-cup"]
    assert button[0].collet_face is None
    assert chosen.neighbours_of({"b": button, "c": cup}) == {"barrel": cup[0]}
    assert chosen.neighbours_of({"b": button}) == {}
    twice = replace(cup[0], said=())
    assert chosen.neighbours_of({"c": cup, "d": (twice,)})["barrel"] is cup[0]
    assert chosen.neighbours_of({"d": (twice,), "c": cup})["barrel"] is twice


def test_final_designs_get_the_verdict_of_each_end() -> None:
    pen = double()
    row = designs(pen)
    (found,) = chosen.judged(pen, SHOP, row)
    assert found.verdict is not None
    assert found.verdict_b is not None
    assert (found.verdict.part, found.verdict_b.part) == ("cap", "barrel")
    assert found.mandrel is row[0].mandrel
    # Each is the other's neighbour.
    assert found.verdict.truth.step.neighbour_known
    (single,) = chosen.judged(plug_pen(), SHOP, designs(plug_pen()))
    assert single.verdict is not None
    assert single.verdict_b is None
    (failed,) = chosen.judged(pen, SHOP, (replace(row[0], mandrel=None),))
    assert (failed.verdict, failed.verdict_b) == (None, None)


def test_a_button_is_as_true_as_a_live_centre() -> None:
    pen = buttoned()
    found = chosen.settle_all(pen, SHOP, designs(pen))
    button = found["barrel-rear-tailstock-button"]
    assert (button.run_out, button.seat_run_out) == (0.02, 0.02)
    assert button.why == button.why_seat
    assert "no truer" in button.why
    assert found["barrel-front-cup"] == ToleranceChoice()


def test_what_could_not_be_designed_settles_nothing() -> None:
    pen = trio()
    one, two = designs(pen)
    found = chosen.settle_all(pen, SHOP, (replace(one, mandrel=None), two))
    assert set(found) == {"barrel-front-cup"}


Patched = pytest.MonkeyPatch


def seldom(monkeypatch: Patched, usual: float, fine: float, target: float = 0.05) -> None:
    """Both models of every joint give ``usual`` with 0.03 on both mandrels, ``fine`` with 0.02."""
    real: Callable[..., Mismatch] = runout.step

    def step(s: Situated, near: Any, pen: Pen, shop: Any, settled: ToleranceChoice) -> Mismatch:
        value = {0.03: usual, 0.02: fine}[settled.run_out]
        joined = concentricity.judge(0.0, value, value, target)
        return replace(real(s, near, pen, shop, settled), joined=joined)

    monkeypatch.setattr(runout, "step", step)


def run_outs(pen: Pen) -> dict[str, float]:
    return {k: c.run_out for k, c in chosen.settle_all(pen, SHOP, designs(pen)).items()}


@pytest.mark.parametrize(
    ("usual", "fine", "run_out"),
    [
        # A twentieth off 0.1 is worth it, less is not.
        (0.1, 0.095, 0.02), (0.1, 0.096, 0.03), (0.1, 0.06, 0.02), (0.1, 0.1, 0.03),
        # A joint that is met already gains nothing.
        (0.05, 0.03, 0.03), (0.051, 0.03, 0.02),
    ],
)  # fmt: skip
def test_a_flush_joint_gets_the_tighter_run_out_where_it_gains_a_twentieth(
    monkeypatch: Patched, usual: float, fine: float, run_out: float
) -> None:
    seldom(monkeypatch, usual, fine)
    assert set(run_outs(trio()).values()) == {run_out}


def test_a_joint_with_a_shoulder_keeps_the_usual_run_out(monkeypatch: Patched) -> None:
    seldom(monkeypatch, 0.1, 0.05)
    assert set(run_outs(trio(14.0)).values()) == {0.03}
    assert set(run_outs(plug_pen()).values()) == {0.03}


def test_the_reason_prints_both_mismatches(monkeypatch: Patched) -> None:
    seldom(monkeypatch, 0.1, 0.08)
    pen = trio()
    found = chosen.settle_all(pen, SHOP, designs(pen))["cap-mouth-plug"]
    assert found.why == (
        "joint barrel.front-cap.mouth is meant to be flush: with 0.02 on both mandrels its "
        "mismatch is seldom above 0.08, with the usual 0.03 0.1 (tightened, 95 %)"
    )
    assert found.seat_run_out == 0.03


def test_no_mismatch_at_all_is_not_divided_by(monkeypatch: Patched) -> None:
    seldom(monkeypatch, 0.0, 0.0, target=0.0)
    assert set(run_outs(trio()).values()) == {0.03}


def test_both_mandrels_of_a_joint_get_the_tighter_of_the_two(monkeypatch: Patched) -> None:
    """The barrel by its rear is judged by the tail's joint, which has a shoulder: what the cap
    gains takes both all the same."""
    seldom(monkeypatch, 0.1, 0.08)
    pen = trio(holds=("cap.mouth", "barrel.rear"))
    found = chosen.settle_all(pen, SHOP, designs(pen))
    assert found["cap-mouth-plug"].run_out == found["barrel-rear-plug"].run_out == 0.02
    assert found["barrel-rear-plug"].why == (
        f"as mandrel cap-mouth-plug needs for their joint: {found['cap-mouth-plug'].why}"
    )
    # In the other order too, and a third one is left alone.
    pen = trio(holds=("barrel.rear", "tail.root", "cap.mouth"))
    found = chosen.settle_all(pen, SHOP, designs(pen))
    assert [found[k].run_out for k in ("barrel-rear-plug", "tail-root-cup", "cap-mouth-plug")] == [
        0.02, 0.03, 0.02
    ]  # fmt: skip
    assert found["tail-root-cup"].why == USUAL


def test_either_end_s_joint_is_worth_it_on_a_double_ended_one(monkeypatch: Patched) -> None:
    seldom(monkeypatch, 0.1, 0.08)
    text = double().model_dump(by_alias=True, exclude_unset=True)
    text["mandrels"]["requests"] = [
        {"holds": "barrel.rear", "also_holds": "cap.mouth", "shank_diameter": 14}
    ]
    pen = Pen.model_validate(text)
    assert list(run_outs(pen).values()) == [0.02]


@pytest.mark.parametrize(("catch", "flats"), [(3.45, False), (3.46, True), (4.0, True)])
def test_flats_where_a_strap_s_3_n_m_do_not_free_the_part(catch: float, flats: bool) -> None:
    """Of a catch of 3.457 N·m on this thread 3.0 are left (tests/assess/test_strength.py)."""
    pen = plug_pen({"catch_torque": catch})
    (found,) = chosen.settle_all(pen, SHOP, designs(pen)).values()
    assert found.flats is flats
    assert bool(found.why_flats) is flats
    if catch == 4.0:
        assert found.why_flats == (
            "a catch of 4 N·m tightens the part so that 3.5 N·m free it, a strap gives 3"
        )


@pytest.mark.parametrize("asked", [True, False])
def test_what_the_maker_says_of_flats_stands(asked: bool) -> None:
    pen = plug_pen({"catch_torque": 4.0}, wishes={"flats": asked})
    (found,) = chosen.settle_all(pen, SHOP, designs(pen)).values()
    assert (found.flats, found.why_flats) == (False, "")


def test_flats_stay_where_the_run_out_is_tightened_too(monkeypatch: Patched) -> None:
    seldom(monkeypatch, 0.1, 0.08)
    found = chosen.settle_all(trio(catch_torque=6.0), SHOP, designs(trio(catch_torque=6.0)))
    assert {(c.run_out, c.flats) for c in found.values()} == {(0.02, True)}


def test_a_button_needs_no_flats() -> None:
    pen = buttoned()
    kinds = {d.planned.id: d.planned.kind for d in designs(pen)}
    assert kinds["barrel-rear-tailstock-button"] is MandrelType.BUTTON
    assert not chosen.settle_all(pen, SHOP, designs(pen))["barrel-rear-tailstock-button"].flats
