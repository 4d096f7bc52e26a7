"""What is said of a whole set: each end by its own place, and what nobody needs is no fault."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.mandrel_findings import check, of_designs
from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import (
    Assessment,
)
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.spec.pen import Pen, ThreadOrder
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.thread_spelling import read_thread
from tests.support.changed_verdicts import quiet_plug, screwed, step
from tests.support.judged_pens import fixed, plug_pen, verdict_of
from tests.support.randompens import SHOP

E, W, N = Level.ERROR, Level.WARNING, Level.NOTE


@pytest.fixture(scope="module")
def made() -> Designed:
    return quiet_plug()[0]


@pytest.fixture(scope="module")
def good() -> Assessment:
    return quiet_plug()[1]


def changed(made: Designed, **change: Any) -> tuple[Pen, Designed]:
    """The plug's pen, and the plug with something else found of it."""
    pen = plug_pen({"tailstock": True, "far_end": "pip"})
    return pen, replace(made, **change)


def test_each_end_is_told_by_its_own_place(made: Designed, good: Assessment) -> None:
    loose = replace(good, screwed=screwed(good, locking=0.5))
    name = made.planned.id
    pen, d = changed(made, verdict=loose, verdict_b=loose)
    found = check((d, replace(d, verdict=None, verdict_b=None)), pen, SHOP)
    assert [(f.where, f.code) for f in found] == [
        (name, "use.locking"), (f"{name}, end B", "use.locking"),
    ]  # fmt: skip
    for f in found:
        assert f.parts == (name,)
        assert [r.says for r in f.remedies] == ["the tailstock up all the time"]
    _, second = changed(made, verdict=None, verdict_b=loose)
    assert [f.where for f in check((second,), pen, SHOP)] == [f"{name}, end B"]


def small_and_large() -> tuple[Pen, Shop]:
    """A knob of 6 mm and its tenon, screwed into a body: turned on it."""
    mouth = {"diameter": 14.0, "internal": {"thread": "M8x0.5", "depth": 10.0}}
    tenon = {"thread": "M8x0.5", "length": 6.0, "mates": "body.mouth"}
    parts = {
        "body": {"length": 60.0, "diameter": 15.0, "ends": {"mouth": mouth}},
        "knob": {"length": 12.0, "diameter": 14.0,
                 "ends": {"root": {"diameter": 14.0, "external": tenon}}},
    }  # fmt: skip
    tree = {"schema": 1, "pen": {"id": "reed", "name": "Reed"}, "parts": parts}
    return Pen.model_validate(tree), SHOP


@pytest.fixture(scope="module")
def pair() -> tuple[Pen, Designed, Designed]:
    pen, shop = small_and_large()
    by = {d.planned.hold.part: d for d in fixed(pen, shop)}
    return pen, by["body"], by["knob"]


def test_a_mismatch_of_what_is_turned_on_its_neighbour_is_a_note(
    pair: tuple[Pen, Designed, Designed],
) -> None:
    """It is none if it is done so; of a part that is not, the warning stays. Other findings are
    none the less warnings."""
    pen, body, knob = pair
    levels = {}
    for d in (body, knob):
        v = verdict_of(d)
        bad = replace(v, gaps=(), conflicts=(), checks=(), screwed=screwed(v, locking=0.5),
                      **step(v, outcome=Outcome.NOT_MET))  # fmt: skip
        others = tuple(replace(o, verdict=None) for o in (body, knob) if o is not d)
        found = {f.code: f for f in check((replace(d, verdict=bad), *others), pen, SHOP)}
        levels[d.planned.hold.part] = found["use.step"].level, found["use.locking"].level
        ends = found["use.step"].message.partition("; none if you ")[2]
        assert ends.startswith("turn it screwed into its body") is (d is knob)
        assert bool(found["use.step"].remedies) is (d is body)
    assert levels == {"body": (W, W), "knob": (N, W)}


def designers(code: str, level: Level, **more: Any) -> Finding:
    return Finding(level=level, code=code, where="here", message="it fails", **more)


def test_what_the_designer_finds_of_a_needless_mandrel_is_no_fault(
    pair: tuple[Pen, Designed, Designed],
) -> None:
    """Errors alone become notes, and say why no mandrel is needed; nothing is changed for them."""
    pen, body, knob = pair
    found = (designers("spigot.not_possible", E, remedy="do this"),
             designers("spigot.not_possible", W, remedy="do that"))  # fmt: skip
    both = tuple(replace(d, findings=found) for d in (body, knob))
    of_body, body_warned, of_knob, knob_warned = of_designs(both, pen, SHOP, ())
    assert (of_body.level, of_body.message, of_body.remedy) == (E, "it fails", "do this")
    assert (of_knob.level, of_knob.remedy, of_knob.remedies) == (N, "", ())
    assert of_knob.message.startswith(
        "it fails; no mandrel is needed: turn it screwed into its body"
    )
    assert (knob_warned.level, knob_warned.message) == (W, "it fails")
    for f in (of_body, body_warned, knob_warned):
        assert [r.says for r in f.remedies] == ["no spigot"]
    assert [f.parts for f in (of_body, of_knob)] == [(body.planned.id,), (knob.planned.id,)]


def test_what_the_designer_offers_itself_is_kept(made: Designed) -> None:
    own = (Remedy((Change(("parts", "body", "length"), 50.0),), "longer"),)
    found = (designers("spigot.not_possible", W, remedies=own, parts=("body",)),
             designers("spigot.not_possible", N), designers("other", E))  # fmt: skip
    pen, d = changed(made, findings=found)
    first, note, unknown = of_designs((d,), pen, SHOP, ())
    assert (first.remedies, first.parts) == (own, ("body",))
    assert note.remedies == ()
    assert unknown.remedies == ()
    assert unknown.parts == (d.planned.id,)


def test_what_a_plain_collet_holds_needs_no_mandrel_either() -> None:
    """The body is straight, and a collet of 14 lies on the shelf: what its mandrel fails by is no
    fault; without that collet it is."""
    pen, shop = small_and_large()
    parts = pen.model_dump(by_alias=True, exclude_unset=True)
    parts["parts"]["body"]["diameter"] = 14.0
    straight = Pen.model_validate(parts)
    body, _ = fixed(straight, shop)
    d = replace(body, findings=(designers("other", E),))
    (f,) = of_designs((d,), straight, shop, ())
    assert f.level is N
    assert "hold it in the collet of 14" in f.message
    (f,) = of_designs((d,), straight, Shop.model_validate({"schema": 1}), ())
    assert (f.level, f.message) == (E, "it fails")


def test_a_tool_that_steel_chips_is_told_with_the_set(made: Designed) -> None:
    assert made.mandrel is not None
    assert made.wishes is not None
    (t,) = made.mandrel.threads
    three = replace(t, limits=replace(t.limits, designation=read_thread("M10xPh2.25P0.75")))
    pen, d = changed(made, verdict=None,
                     mandrel=replace(made.mandrel, threads=(three,)),
                     wishes=replace(made.wishes, thread_order=ThreadOrder.MY_TOOL))  # fmt: skip
    d = replace(d, planned=replace(d.planned, request=pen.mandrels.requests[0]))
    (f,) = check((d,), pen, SHOP)
    assert (f.level, f.code) == (W, "thread.own_tool")
    assert [r.changes[0].path for r in f.remedies] == [
        ("mandrels", "requests", 0, "material"), ("mandrels", "requests", 0, "thread_order"),
    ]  # fmt: skip
