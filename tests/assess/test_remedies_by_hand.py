"""What is offered where a mandrel in use is weak or not true: worked by hand on a body and a knob
that screws into it, whose pen file is changed beneath mandrels designed once."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.budget import Budget, Cause, Origin, Share
from mandrelgen.mechanics.combined import Section
from mandrelgen.spec.pen import Pen
from tests.support.judged_pens import verdict_of
from tests.support.reed_ends import (
    MOUTH,
    ROOT,
    check,
    keys,
    offered,
    reed,
    reed_mandrels,
    wished,
)


@pytest.fixture(scope="module")
def made() -> dict[str, Designed]:
    return reed_mandrels()


# -- strong ----------------------------------------------------------------------------------------
def weak(d: Designed, force: float = 20.0, asked: float = 30.0, inner: float = 9.0,
         of_mandrel: bool = False) -> dict[str, Any]:  # fmt: skip
    c = verdict_of(d).capacity
    assert c is not None
    spot = replace(c.judged.spot, section=Section(13.0, inner), of_mandrel=of_mandrel)
    judged = c.judged._replace(force=force, spot=spot)
    return {"capacity": replace(c, judged=judged, asked=asked), "tailstock": True,
            "finish_only": True}  # fmt: skip


def test_an_outside_grows_by_the_share_that_lacks_of_its_wall(made: dict[str, Designed]) -> None:
    """13 over 9 is 4 on diameter; of 30 asked 20 are borne, so half as much again lacks: 15. Of 25,
    a fifth: 13.8; of 24.9, 13.819 and so 13.85."""
    d = made["body"]
    for force, outer in ((20.0, 15.0), (25.0, 13.8), (24.9, 13.85)):
        found = offered(d, reed(), "use.part_weak", weak(d, force))
        assert found == [(f"⌀{outer:g} outside there", {f"{MOUTH}.diameter": outer})]
    assert offered(d, reed(), "use.part_weak", weak(d, 0.0)) == []
    assert offered(made["knob"], reed(), "use.part_weak", weak(made["knob"])) == []


@pytest.mark.parametrize(("stand_off", "half"), [(15.0, 7.0), (3.0, 1.0), (2.1, 1.0), (2.0, None)])
def test_a_mandrel_that_gives_way_stands_out_half_as_far(
    made: dict[str, Designed], stand_off: float, half: float | None
) -> None:
    d = wished(made["body"], stand_off=stand_off)
    steel = {"material": "11SMn30"}
    found = keys(offered(d, reed(), "use.mandrel_weak", weak(d, of_mandrel=True) | steel))
    assert found == ([] if half is None else [{"mandrels.defaults.stand_off": half}])
    part = offered(d, reed(), "use.part_weak", weak(d) | steel)
    assert [s for s, _ in part] == ["⌀15 outside there"]
    bare = replace(d, wishes=None)
    assert offered(bare, reed(), "use.mandrel_weak", weak(d, of_mandrel=True) | steel) == []


def test_steel_is_offered_to_what_is_weaker(made: dict[str, Designed]) -> None:
    """11SMn30 yields at 375 MPa (EN 10277); 1.4305 at 190; acetal is no metal."""
    d = wished(made["body"], stand_off=1.0)
    for material, steel in (("1.4305", True), ("acetal", True), ("11SMn30", False)):
        change = weak(d, of_mandrel=True) | {"material": material}
        found = keys(offered(d, reed(), "use.mandrel_weak", change))
        assert found == ([{"mandrels.defaults.material": "11SMn30"}] if steel else [])


def pitches(d: Designed, turns: float) -> Designed:
    """The mandrel with so many turns of full thread, of pitch 0.5."""
    assert d.mandrel is not None
    (t,) = d.mandrel.threads
    assert float(t.limits.designation.pitch) == 0.5
    return replace(d, mandrel=replace(d.mandrel, threads=(replace(t, full_pitches=turns),)))


CLOSE = {"mandrels.defaults.fit": "close"}


@pytest.mark.parametrize(
    ("turns", "factor", "asked", "deep"),
    [
        # 8 turns are 4 mm; of twice the strength 4 more and half a pitch, 4.25, on a half 4.5.
        (8.0, 1.0, 2.0, 14.5), (7.5, 1.0, 2.0, 14.0), (8.0, 1.6, 2.0, 11.5),  # 1.25 and so 1.5
        (8.0, 1.99, 2.0, 10.5),
    ],
)  # fmt: skip
def test_a_thread_is_longer_by_what_lacks_and_half_a_pitch(
    made: dict[str, Designed], turns: float, factor: float, asked: float, deep: float
) -> None:
    d = pitches(made["body"], turns)
    found = offered(d, reed(), "use.strip", {"checks": (check(factor, asked),)})
    assert found == [
        (f"tap body.mouth {deep:g} deep (now 10)", {f"{MOUTH}.internal.depth": deep}),
        ("fit 'close'", CLOSE),
    ]


def test_the_weakest_of_what_fails_says_how_much_longer(made: dict[str, Designed]) -> None:
    """0.9 of 2 is weaker than 0.8 of 1 and than what passes; 4 · (2/0.9 − 1) + 0.25 = 5.14: 5.5."""
    d = pitches(made["body"], 8.0)
    rows = (check(0.8, 1.0), check(0.9, 2.0), check(3.0, 1.0))
    assert keys(offered(d, reed(), "use.strip", {"checks": rows}))[0] == {
        f"{MOUTH}.internal.depth": 15.5
    }


def test_no_thread_is_longer_where_its_length_is_not_said(made: dict[str, Designed]) -> None:
    """A hole of which the full thread alone is known; a mandrel without one; no factor."""
    half = {"checks": (check(1.0, 2.0),)}
    full = reed(hole={"depth": None, "full_thread": 8.0})
    d = made["body"]
    assert keys(offered(d, full, "use.strip", half)) == [CLOSE]
    assert keys(offered(replace(d, mandrel=None), reed(), "use.strip", half)) == [CLOSE]
    assert d.mandrel is not None
    plain = replace(d, mandrel=replace(d.mandrel, threads=()))
    assert keys(offered(plain, reed(), "use.strip", half)) == [CLOSE]
    brass = {"mandrels.defaults.material": "CW614N"}
    none = {"checks": (check(0.0, 2.0),), "material": "acetal"}
    assert keys(offered(d, reed(), "use.strip", none)) == [brass, CLOSE]


def test_a_tenons_hole_goes_as_much_deeper(made: dict[str, Designed]) -> None:
    """8 turns: 4.5 more. 6 + 4.5; the part 30 + 4.5; the hole 10 + 4.5, or its full thread 7 + 4.5;
    bores that end before 14.5 go deeper by as much, unless the part is open there."""
    d = pitches(made["knob"], 8.0)
    half = {"checks": (check(1.0, 2.0),)}

    def second(pen: Pen) -> dict[str, Any]:
        first, both, close = keys(offered(d, pen, "use.strip", half))
        longer = {f"{ROOT}.external.length": 10.5}
        assert (first, close) == (longer, CLOSE)
        assert longer.items() <= both.items()
        return {k: v for k, v in both.items() if k not in longer}

    usual = {"parts.knob.length": 34.5, f"{MOUTH}.internal.depth": 14.5}
    assert second(reed()) == usual
    bore = [{"diameter": 7.5, "depth": 14.4}, {"diameter": 6.0, "depth": 14.5},
            {"diameter": 5.0, "depth": 30.0}]  # fmt: skip
    deeper = usual | {f"{MOUTH}.bore.0.depth": 18.9}
    assert second(reed(body={"bore": bore})) == pytest.approx(deeper)
    through = {"bore": [{"diameter": 7.5, "depth": 60.0}], "bottom": "through"}
    assert second(reed(body=through)) == usual
    full = reed(hole={"depth": None, "full_thread": 7.0})
    assert second(full) == {"parts.knob.length": 34.5, f"{MOUTH}.internal.full_thread": 11.5}


def test_a_tenon_without_a_hole_grows_alone(made: dict[str, Designed]) -> None:
    loose = reed().model_dump(by_alias=True, exclude_unset=True)
    del loose["parts"]["knob"]["ends"]["root"]["external"]["mates"]
    d = pitches(made["knob"], 8.0)
    found = offered(d, Pen.model_validate(loose), "use.strip", {"checks": (check(1.0, 2.0),)})
    assert found == [
        ("make the tenon of knob.root 10.5 long (now 6)", {f"{ROOT}.external.length": 10.5}),
        ("fit 'close'", CLOSE),
    ]


# -- true ------------------------------------------------------------------------------------------
def caused(d: Designed, *ids: str, joint: str | None = None) -> dict[str, Any]:
    """The verdict with its mismatch from these causes, the largest first."""
    v = verdict_of(d)
    causes = [Cause(id, id, Origin.PART, lateral=0.01) for id in ids]
    shares = tuple(Share(cause=c, eccentricity=0.01, of_worst=0.1, of_variance=0.1) for c in causes)
    step = v.truth.step
    new = replace(step, budget=Budget(0.0, 0.01, 0.01, shares), joint=joint or step.joint)
    return {"truth": replace(v.truth, step=new)}


def ways(d: Designed, pen: Pen, *ids: str, joint: str | None = None) -> list[dict[str, Any]]:
    return keys(offered(d, pen, "use.step", caused(d, *ids, joint=joint)))


def test_each_cause_is_mended_where_it_comes_from(made: dict[str, Designed]) -> None:
    d = made["body"]
    rough = {"face_made": "freehand", "bore": [{"diameter": 7.5, "depth": 20.0},
                                               {"diameter": 5.0, "depth": 30.0}]}  # fmt: skip
    pen = reed(body=rough, hole={"made": "freehand"})
    assert ways(d, pen, "part.face") == [{f"{MOUTH}.face_made": "single-point"}]
    assert ways(d, pen, "part.thread") == [{f"{MOUTH}.internal.made": "guided"}]
    assert ways(d, pen, "thread.pitch_diameter") == [CLOSE]
    assert ways(d, pen, "part.bore") == [{f"{MOUTH}.bore.1.made": "reamed"}]
    assert ways(d, pen, "collet.runout") == []
    assert ways(d, pen, "joint.thread", "part.face") == [{f"{MOUTH}.face_made": "single-point"}]
    order = ways(d, pen, "part.bore", "part.face", "part.bore", "part.thread", "thread.runout")
    assert [next(iter(w)).rpartition(".")[2] for w in order] == ["made", "face_made", "made"]
    guided = reed(hole={"made": "guided"})
    assert ways(d, guided, "part.thread") == [{f"{MOUTH}.internal.made": "single-point"}]
    assert ways(d, guided, "part.bore") == []
    cut = reed(body={"face_made": "single-point"}, hole={"made": "single-point"})
    assert ways(d, cut, "part.face", "part.thread") == []


def test_a_tenon_is_cut_truer_with_a_die(made: dict[str, Designed]) -> None:
    d = made["knob"]
    free = reed(tenon={"made": "freehand"})
    assert offered(d, free, "use.step", caused(d, "part.thread")) == [
        ("guide the tap or die of knob from the tailstock", {f"{ROOT}.external.made": "guided"})
    ]
    guided = reed(tenon={"made": "guided"})
    assert ways(d, guided, "part.thread") == [{f"{ROOT}.external.made": "single-point"}]


def test_what_the_neighbour_brings_is_mended_at_the_neighbour(made: dict[str, Designed]) -> None:
    pen = reed(body={"face_made": "freehand"}, knob={"face_made": "freehand"},
               hole={"made": "guided"}, tenon={"made": "guided"})  # fmt: skip
    joint = verdict_of(made["body"]).truth.step.joint
    assert joint
    ids = ("neighbour:part.face", "neighbour:part.thread")
    theirs = {"body": ROOT, "knob": MOUTH}
    side = {"body": "external", "knob": "internal"}
    for name, end in theirs.items():
        assert ways(made[name], pen, *ids) == [
            {f"{end}.face_made": "single-point"},
            {f"{end}.{side[name]}.made": "single-point"},
        ]
        assert ways(made[name], pen, *ids, joint="cap+barrel") == []
        assert ways(made[name], pen, *ids, "part.face", joint="cap+barrel") == [
            {f"{theirs['knob' if name == 'body' else 'body']}.face_made": "single-point"}
        ]
