"""Readings and verdicts: ISO 14253-1's rule, its worked example, and what must always hold."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.assess.settled import designs
from mandrelgen.core.errors import InputError
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.inspected import MOST, inspected
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.standards import wires
from mandrelgen.standards.iso_14253 import Conformity, combine, decide, overall, zone
from mandrelgen.workshop.receipt import as_made
from mandrelgen.workshop.receipt.readings import Given, find, judge, parse
from mandrelgen.workshop.turning import inspection_plan
from tests.support.archived import SPIGOT

A, R, U = Conformity.ACCEPT, Conformity.REJECT, Conformity.UNDECIDED
RANK = {R: 0, U: 1, A: 2}


def shop(extra: str = "") -> Shop:
    return read_shop(starter("shop", "bench") + extra.encode(), "shop.toml")


def mandrels() -> dict[str, Mandrel]:
    pen = read_pen(starter("pen", "heron") + SPIGOT.encode(), "heron.toml")
    return {d.mandrel.id: d.mandrel for d in designs(pen, shop()) if d.mandrel is not None}


HERON = mandrels()
PLUG, CUP = HERON["barrel-mouth-plug"], HERON["section-rear-cup"]
WIRES = shop('\n[instruments.wires]\nkind = "wires"\nuncertainty = 0.004\n'
             '[instruments.dial]\nkind = "indicator"\nuncertainty = 0.002\n')  # fmt: skip

# 10 0/-0.05 read with U 0.02: 9.97 to 9.98 proves it right, 9.93 and 10.02 prove it wrong, between
# them nothing is proved (worked with the rule of ISO 14253-1). With U 0.03 no reading proves it.
EXAMPLE = [
    (9.97, 0.02, A), (9.975, 0.02, A), (9.98, 0.02, A), (9.969, 0.02, U), (9.981, 0.02, U),
    (9.95, 0.02, U), (10.0, 0.02, U), (9.931, 0.02, U), (10.019, 0.02, U), (9.93, 0.02, R),
    (10.02, 0.02, R), (10.5, 0.02, R), (9.975, 0.03, U), (10.0, 0.0, A), (10.001, 0.0, R),
]  # fmt: skip


@pytest.mark.parametrize(("value", "u", "verdict"), EXAMPLE)
def test_worked_example(value: float, u: float, verdict: Conformity) -> None:
    assert decide(value, 9.95, 10.0, u) is verdict
    if u == 0.03:
        assert zone(9.95, 10.0, u) is None
    if u == 0.02:
        assert zone(9.95, 10.0, u) == pytest.approx((9.97, 9.98))


def test_one_limit() -> None:
    """A run-out of at most 0.02 read to 0.01: 0.01 proves it, 0.03 proves it wrong."""
    assert [decide(v, None, 0.02, 0.01) for v in (0.0, 0.01, 0.015, 0.029, 0.03)] == [A, A, U, U, R]
    assert [decide(v, 5.0, None, 0.01) for v in (4.98, 5.0, 5.02)] == [R, U, A]
    with pytest.raises(ValueError, match="0 or more"):
        decide(1, 0, 2, -0.1)
    with pytest.raises(ValueError, match="0 or more"):
        decide(1, 0, 2, float("nan"))


@pytest.mark.parametrize("u", [0.02, 0.01, 0.002])
def test_the_risk_behind_a_verdict(u: float) -> None:
    """JCGM 106:2012, 8.3.2 (guarded acceptance, the guard band of ISO 14253-1: g = U, k = 2): with
    a normal distribution about the reading, standard deviation U/2, an accepted size lies outside
    its limits with at most 2.3 in 100 a side, a rejected one inside them with as few. Reckoned by
    scipy's normal distribution."""
    from scipy.stats import norm

    low, high, seen = 9.95, 10.0, set()
    for n in range(9900, 10061):
        value = n / 1000
        inside = norm.cdf((high - value) / (u / 2)) - norm.cdf((low - value) / (u / 2))
        verdict = decide(value, low, high, u)
        seen.add(verdict)
        if verdict is A:
            assert 1 - inside <= 2 * 0.02276
        elif verdict is R:
            assert inside <= 0.02276
        else:
            assert 0.02 < inside < 1 - 0.02
    assert seen == {A, R, U}


SIZES = st.floats(-1, 1).map(lambda x: round(x, 3))
UNCERTAIN = st.floats(0, 0.5).map(lambda x: round(x, 3))


@given(SIZES, UNCERTAIN, st.floats(0, 1))
def test_more_uncertainty_never_turns_reject_into_accept(v: float, u: float, more: float) -> None:
    first, second = decide(v, -0.2, 0.2, u), decide(v, -0.2, 0.2, u + more)
    assert {first, second} != {A, R}
    if first is U:
        assert second is U


@given(st.lists(st.tuples(SIZES, UNCERTAIN), max_size=5), UNCERTAIN)
def test_a_reading_at_the_middle_never_worsens(
    readings: list[tuple[float, float]], u: float
) -> None:
    found = [(decide(v, -0.2, 0.2, x), x) for v, x in readings]
    middle = (decide(0.0, -0.2, 0.2, u), u)
    after = combine([*found, middle])
    assert RANK[after] >= RANK[combine(found)]
    assert (after is R) == any(v is R for v, _ in found)


def test_verdicts_together() -> None:
    assert overall([]) is U
    assert overall([A, A]) is A
    assert overall([A, U]) is U
    assert overall([A, U, R]) is R
    # A coarse instrument that decides nothing does not take back what a fine one proved.
    assert combine([(U, 0.03), (A, 0.004)]) is A
    # Three starts read with one instrument: all must pass.
    assert combine([(A, 0.01), (U, 0.01), (A, 0.01)]) is U


def good(m: Mandrel) -> list[Given]:
    """A reading in the middle of every limit with a perfect eye for the rest."""
    out = []
    for c in m.characteristics:
        if c.id not in inspected(m) or (c.lower is None and c.upper is None):
            continue
        if c.kind is Kind.THREAD_PITCH_DIAMETER and c.lower is not None and c.upper is not None:
            t = m.threads[0].limits.designation
            e = (c.lower + c.upper) / 2
            w = wires.set_wire(float(t.pitch))
            out.append(Given(c.id, wires.over_wires(e, w, float(t.pitch), t.lead), "wires", w))
        elif c.kind in (Kind.ROUGHNESS, Kind.THREAD_MINOR, Kind.CYLINDRICITY):
            out.append(Given(c.id, instrument="report", passed=True))
        elif c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT):
            out.append(Given(c.id, 0.003, "dial"))
        else:
            assert c.lower is not None
            assert c.upper is not None
            out.append(Given(c.id, (c.lower + c.upper) / 2))
    return out


def test_a_good_mandrel_is_accepted_and_one_fault_rejects_it() -> None:
    readings = good(PLUG)
    assert len(readings) == MOST
    done = judge(PLUG, WIRES, readings)
    assert done.verdict is A
    assert done.missing == ()
    bad = judge(PLUG, WIRES, [*readings, Given("spigot1.diameter", 7.70, "micrometer")])
    assert bad.verdict is R
    assert [j.id for j in bad.judged if j.verdict is R] == ["spigot1.diameter"]
    fewer = judge(PLUG, WIRES, readings[1:])
    assert fewer.verdict is U
    assert [j.id for j in fewer.missing] == [readings[0].id]
    # A fault of a size that is not functional counts too.
    fault = judge(PLUG, WIRES, [*readings, Given("nose.end", 24.5 - 0.9, "caliper")])
    assert fault.verdict is R


@given(st.sets(st.integers(0, MOST - 1)), st.integers(0, MOST - 1))
def test_one_more_good_reading_never_worsens_the_whole(kept: set[int], more: int) -> None:
    readings = good(PLUG)
    some = [readings[i] for i in sorted(kept) if i < len(readings)]
    before = judge(PLUG, WIRES, some).verdict
    assert RANK[judge(PLUG, WIRES, [*some, readings[more]]).verdict] >= RANK[before]


def test_a_balloon_is_a_callout_and_what_stands_behind_it_is_read_by_its_id() -> None:
    """Counted here: 0.5 × 45° is one callout under one number."""
    own = [c.id for c in PLUG.characteristics if not c.said_by]
    for n, id in enumerate(own, 1):
        if id == "spigot1.diameter":
            done = judge(PLUG, WIRES, [parse(f"{n}=7,652@micrometer")])
            (j,) = [j for j in done.judged if j.readings]
            assert (j.number, j.id, j.readings[0].value) == (n, id, 7.652)
    lines = {x.id: x.number for x in inspection_plan.sheet(PLUG, WIRES)}
    assert [lines[id] for id in own] == list(range(1, len(own) + 1))
    assert lines["rear.angle"] == lines["rear.chamfer"]
    assert find(PLUG, str(lines["rear.angle"])).id == "rear.chamfer"
    assert find(PLUG, "rear.angle").id == "rear.angle"
    with pytest.raises(InputError, match=f"1 to {len(own)}"):
        find(PLUG, str(len(own) + 1))


def test_balloons_of_a_record_from_before_are_positions() -> None:
    """A package of then says no callout of two: its paper has a number for each line."""
    old = replace(PLUG, characteristics=tuple(replace(c, said_by="") for c in PLUG.characteristics))
    for n, c in enumerate(old.characteristics, 1):
        assert find(old, str(n)) is c
    assert find(old, str(len(old.characteristics))).id == old.characteristics[-1].id


def test_over_wires_becomes_a_pitch_diameter() -> None:
    """M8.5x0.75 over 0.455: M = E + 0.7165 (constant of the set's wire for P 0.75: 0.716 to 0.717,
    see the validation of the wires)."""
    done = judge(PLUG, WIRES, [parse("thread.pitch_diameter=8.655@wires:0.455")])
    (r,) = [r for j in done.judged for r in j.readings]
    assert r.value == pytest.approx(8.655 - 0.7165, abs=0.001)
    assert r.raw == 8.655
    assert r.verdict is A


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("spigot1.diameter", "not a reading"), ("=3", "not a reading"),
        ("spigot1.diameter=abc", "not a reading"), ("99=7.6", "no characteristic '99'"),
        ("spigot9.diameter=7.6", "spigot1.diameter"), ("spigot1.diameter=76.5", "slip of the pen"),
        ("spigot1.diameter=7.65@laser", "no instrument"),
        ("spigot1.diameter=7.65@wires:0.455", "does not measure"),
        ("spigot1.diameter=7.65@micrometer:0.455", "a wire is named"),
        ("thread.pitch_diameter=8.66@wires", "over which wire"),
        ("thread.pitch_diameter=8.66@wires:2.5", "does not rest"),
        ("thread.pitch_diameter=8.66", "0.455"), ("thread.pitch=0.75@caliper", "does not measure"),
        ("thread.minor_diameter=pass", "what judged"),
        ("spigot1.diameter=7.65@pins", "not measure"),
        ("seat.roughness=1.2@caliper", "pass@report"),
        ("spigot1.diameter=pass@eye", "cannot pass"),
        ("seat.runout=pass@gauge", "cannot pass"),
    ],
)  # fmt: skip
def test_slips_are_told(text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        judge(PLUG, WIRES, [parse(text)])
    finding = caught.value.findings[0]
    assert said in finding.line()
    assert finding.remedy


def test_every_slip_is_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        judge(PLUG, WIRES, [parse("a=1"), parse("b=2"), parse("spigot1.diameter=7.65")])
    assert len(caught.value.findings) == 2


def test_as_made() -> None:
    """Limits become the reading ± U; what was not read stays; a run-out keeps a single limit."""
    given_ = [
        parse("spigot1.diameter=7.652@micrometer"),
        parse("spigot1.runout=0.006@dial"),
        parse("thread.minor_diameter=pass@ring-gauge"),
    ]
    read = [r for j in judge(PLUG, WIRES, given_).judged for r in j.readings]
    made = {c.id: c for c in as_made.as_made(PLUG.characteristics, read)}
    before = {c.id: c for c in PLUG.characteristics}
    spigot = made["spigot1.diameter"]
    assert (spigot.lower, spigot.upper) == pytest.approx((7.648, 7.656))
    assert spigot.written == "measured"
    run = made["spigot1.runout"]
    assert (run.nominal, run.lower, run.upper) == (0, None, pytest.approx(0.008))
    changed = {"spigot1.diameter", "spigot1.runout"}
    assert all(made[i] == before[i] for i in before if i not in changed)
    assert list(made) == list(before)


def test_play_as_made() -> None:
    """A pitch diameter read 7.940 ± 0.004 in 8.013 to 8.145 leaves 0.069 to 0.209 (ISO 965-1 6H
    limits of M8.5x0.75: 8.013, 8.145)."""
    t = PLUG.threads[0]
    m = wires.over_wires(7.940, 0.455, 0.75)
    done = judge(PLUG, WIRES, [Given("thread.pitch_diameter", m, "wires", 0.455)])
    read = [r for j in done.judged for r in j.readings]
    made = as_made.as_made(PLUG.characteristics, read)
    play = as_made.play_as_made(t, made)
    assert (play.pitch_min, play.pitch_max) == pytest.approx((0.069, 0.209), abs=1e-6)
    assert as_made.thread_as_made(t, made).measured == ("pitch",)
    assert as_made.thread_as_made(t, PLUG.characteristics) == t.limits


def test_what_home_cannot_prove_is_asked_of_the_shop() -> None:
    lines = {x.id: x for x in inspection_plan.sheet(PLUG, shop())}
    assert lines["thread.pitch_diameter"].proof == "shop"
    # The spigot in front of this thread need not pass through a ring.
    assert lines["thread.pitch_diameter"].instead == (
        "wires or a thread micrometer; or the test piece screwing home"
    )
    assert lines["spigot1.diameter"].proof == "home"
    assert lines["spigot1.diameter"].accept == pytest.approx((7.649, 7.656))
    assert lines["thread.pitch"].proof == "look"
    # Nothing but a caliper at home: ⌀7.66 h7 (0/-0.015) cannot be proved.
    bare = {x.id: x for x in inspection_plan.sheet(PLUG, Shop.model_validate({"schema": 1}))}
    assert bare["spigot1.diameter"].proof == "shop"
    assert bare["spigot1.diameter"].instead == "micrometer reading 0.001"
    assert bare["shank.length"].proof == "home"
    told = " ".join(inspection_plan.summary(tuple(lines.values())))
    assert "pitch diameter" in told
    # A place in a groove has no face to measure from; nothing reaches a relief in a bore.
    for id in ("relief.width", "thread.end", "runin.width"):
        assert lines[id].proof == "shop", id
    assert lines["runin.diameter"].instrument == "caliper"
    inside = {x.id: x for x in inspection_plan.sheet(CUP, shop())}
    assert inside["relief.diameter"].proof == "shop"
    assert inside["thread.minor_diameter"].instrument == "pin-set"


@pytest.mark.parametrize("m", HERON.values(), ids=list(HERON))
def test_the_sheet_agrees_with_the_rule(m: Mandrel) -> None:
    """The middle of a zone that the sheet prints is accepted by the rule, its outside is not."""
    for line in inspection_plan.sheet(m, shop()):
        if line.accept is None or line.uncertainty is None:
            continue
        c, (low, high) = m.characteristic(line.id), line.accept
        for edge, beyond in ((low, -1e-4), (high, 1e-4)):
            if edge is not None:
                assert decide(edge, c.lower, c.upper, line.uncertainty) is A
                assert decide(edge + beyond, c.lower, c.upper, line.uncertainty) is U


def test_limits_for_information_reject_nothing() -> None:
    """A thread cut with the customer's own die: outside the limits is no fault, and no reading of
    it is asked for; the test piece decides."""
    free = replace(PLUG, threads=tuple(replace(t, order="my-tool") for t in PLUG.threads))
    wrong = parse("thread.major_diameter=8.1@micrometer")
    assert judge(PLUG, WIRES, [wrong]).verdict is R
    done = judge(free, WIRES, [wrong])
    assert done.verdict is U
    assert not any(j.id.startswith("thread.m") for j in done.missing)
    lines = {x.id: x for x in inspection_plan.sheet(free, WIRES)}
    assert "test piece" in lines["thread.pitch_diameter"].instead
