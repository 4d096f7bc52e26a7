"""From readings to the use: each reading in its term of the budget, before and after side by side,
and what must always hold."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.archive import asmade as history
from mandrelgen.archive import events, root
from mandrelgen.archive.events import current
from mandrelgen.bench import asmade
from mandrelgen.bench.readings import Given, judge, parse
from mandrelgen.bench.sides import Side, side
from mandrelgen.characteristic import Characteristic, Kind
from mandrelgen.design.designer import design
from mandrelgen.design.settling import neighbours_of, situated
from mandrelgen.design.verdict import judge as judge_use
from mandrelgen.errors import InputError
from mandrelgen.mandrel import Mandrel
from mandrelgen.mechanics.verdict_types import Verdict
from mandrelgen.receiveview import received_text, received_view
from mandrelgen.receiving import gather, receive
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from tests.archived import OLD_PLUG, publish, publish_pen

DAY = "2026-05-31"
PEN = read_pen(starter("pen", "heron"), "heron.toml")
# Every instrument there is, fine enough for all that is read here.
SHOP = read_shop(
    starter("shop", "bench") + b'\n[instruments.wires]\nkind = "wires"\nuncertainty = 0.004\n'
    b'[instruments.dial]\nkind = "indicator"\nuncertainty = 0.002\n'
    b'[instruments.depth]\nkind = "depth-gauge"\nuncertainty = 0.02\n',
    "shop.toml",
)
DESIGNED = {d.planned.id: d for d in design(PEN, SHOP)}
ENDS = {id: situated(d, PEN, SHOP) for id, d in DESIGNED.items()}
NEAR = neighbours_of(ENDS)
NAMES = sorted(DESIGNED)


def mandrel(id: str) -> Mandrel:
    m = DESIGNED[id].mandrel
    assert m is not None
    return m


def used(id: str, m: Mandrel) -> Verdict:
    (s,) = situated(replace(DESIGNED[id], mandrel=m), PEN, SHOP)
    return judge_use(s, NEAR, PEN, SHOP)


def after(id: str, *given_: Given) -> Side:
    """The verdict before and after readings."""
    m = mandrel(id)
    read = [r for j in judge(m, SHOP, given_).judged for r in j.readings]
    return side(used(id, m), used(id, asmade.mandrel_as_made(m, read)))


def report(id: str, value: float, u: float) -> Given:
    return Given(id, value, "report", uncertainty=u)


def terms(s: Side) -> dict[str, tuple[float, float]]:
    return {f"{t.id} {t.label}": (t.designed, t.made) for t in s.terms}


# -- each reading in its own term -------------------------------------------------------------


def test_nothing_read_is_the_mandrel_as_drawn() -> None:
    for id in NAMES:
        m = mandrel(id)
        assert asmade.mandrel_as_made(m, ()) == m
        assert not any(f.worse for f in after(id, report("shank.roughness", 0.4, 0.1)).figures)


def test_a_run_out_goes_into_its_own_share() -> None:
    """Eccentricity is half of a total reading: 0.006 ± 0.002 is at most 0.004, drawn 0.03/2."""
    s = after("barrel-mouth-plug", Given("spigot1.runout", 0.006, "dial"))
    changed = {k: v for k, v in terms(s).items() if v[0] != v[1]}
    assert changed == {
        "spigot1.runout run-out to the shank": (pytest.approx(0.015), pytest.approx(0.004))
    }
    assert s.figure("joint_step.worst").made == pytest.approx(
        s.figure("joint_step.worst").designed - 0.011  # type: ignore[operator]
    )


def test_a_pitch_diameter_over_wires_goes_into_the_play() -> None:
    """Read 8.6558 over 0.455 (U 0.004): d2 = 8.6558 − 3 × 0.455 + 0.8660 × 0.75 − 0.0003 = 7.940,
    so the largest play in 6H (D2 max 8.145, ISO 965-1) is 8.145 − 7.936 = 0.209; pulled tight a
    quarter of half of it is left: 0.0261. Drawn: 8.145 − 7.891 = 0.254 and 0.0318."""
    s = after("barrel-mouth-plug", Given("thread.pitch_diameter", 8.6558, "wires", 0.455))
    changed = {k: v for k, v in terms(s).items() if v[0] != pytest.approx(v[1], abs=1e-9)}
    assert [k.split()[0] for k in changed] == ["thread.pitch_diameter"]
    ((designed, made),) = changed.values()
    assert designed == pytest.approx(0.254 / 8, abs=1e-4)
    assert made == pytest.approx(0.209 / 8, abs=1e-4)
    assert s.figure("fit.thread.pitch_diameter").made == pytest.approx(0.069, abs=1e-3)


def test_a_seat_goes_into_its_tilt() -> None:
    """Axial run-out t over a collar D tilts the part by t/D: at the far end, z mm away, that is
    half of the run-out 2·z·t/D it adds."""
    s = after("barrel-mouth-plug", Given("seat.runout", 0.003, "dial"))
    assert s.figure("joint_step").made == pytest.approx(s.figure("joint_step").designed)
    worst = (
        [f.made for f in s.figures if f.id == "runout_end"],
        [f.designed for f in s.figures if f.id == "runout_end"],
    )
    assert worst[0] < worst[1]  # type: ignore[operator]
    # On the plug without a run-out of its own for a spigot the seat's stands for the thread's.
    t = terms(after("cap-mouth-plug", Given("seat.runout", 0.003, "dial")))
    assert t["seat.runout run-out to the shank"] == (
        pytest.approx(0.010), pytest.approx(0.0025)
    )  # fmt: skip


def test_a_spigot_goes_into_its_play() -> None:
    """Reamed 7.75 to 7.772 less 7.648 to 7.656 (7.652 ± 0.004)."""
    s = after("barrel-mouth-plug", Given("spigot1.diameter", 7.652, "micrometer"))
    least, most = s.figure("fit.spigot1.diameter"), s.figure("fit.spigot1.diameter.most")
    assert least.designed is not None and most.designed is not None  # noqa: PT018
    assert least.made == pytest.approx(least.designed + 7.66 - 7.656)
    assert most.made == pytest.approx(most.designed - (7.648 - 7.645))


def test_what_bears_load_changes_stiffness_strength_and_speed() -> None:
    """A relief 0.4 thinner: I goes with d⁴, the section modulus with d³ (Euler and Bernoulli), so
    its safety falls by (6.9/7.3)³ but for the notch; whirling with it."""
    s = after("barrel-mouth-plug", Given("relief.diameter", 6.9, "caliper"))
    f = s.figure("safety.bend.relief")
    assert f.worse
    assert f.made / f.designed == pytest.approx((6.9 / 7.3) ** 3, rel=0.02)  # type: ignore[operator]
    assert s.figure("deflection").worse
    # The part's thread shears at the screw's crest (FED-STD-H28/2B): a larger crest, more area.
    t = after("barrel-mouth-plug", report("thread.major_diameter", 8.36, 0.002))
    strips = t.figure("safety.strip.nut")
    assert strips.made > strips.designed  # type: ignore[operator]


def test_a_length_goes_into_what_touches_first() -> None:
    s = after("barrel-mouth-plug", Given("thread.end", 8.45, "depth"))
    assert s.figure("fit.thread.end").made == pytest.approx(
        s.figure("fit.thread.end").designed + 0.03  # type: ignore[operator]
    )


# -- what must always hold --------------------------------------------------------------------

READABLE = [
    (id, c.id)
    for id in NAMES
    for c in mandrel(id).characteristics
    if c.upper is not None or c.lower is not None
]


def at_nominal(id: str, c: Characteristic) -> float:
    """Nominal where it lies within the limits; of a thread, whose basic size may lie outside them,
    the size it is modelled at: the middle."""
    low, high = c.lower, c.upper
    inside = (low is None or c.nominal >= low) and (high is None or c.nominal <= high)
    thread = c.kind in (Kind.THREAD_MAJOR, Kind.THREAD_PITCH_DIAMETER, Kind.THREAD_MINOR)
    if inside and not thread:
        return c.nominal
    assert low is not None
    return low if high is None else (low + high) / 2


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(READABLE), st.floats(1e-4, 1.0))
def test_a_reading_at_nominal_never_worsens_the_use(which: tuple[str, str], u: float) -> None:
    """However coarse it is read. Strength is not reckoned at all limits at once but at the sizes
    that matter, others at the middle of the ring or the form: there a hundredth may be lost, and
    no check that passed fails."""
    id, name = which
    c = mandrel(id).characteristic(name)
    s = after(id, report(name, at_nominal(id, c), u))
    for f in s.figures:
        if f.designed is None or f.made is None:
            assert f.designed == f.made
        elif f.id.startswith("safety."):
            assert f.made >= 0.99 * f.designed, f
        else:
            assert not f.worse, f
    m = mandrel(id)
    read = judge(m, SHOP, [report(name, at_nominal(id, c), u)]).judged
    made = asmade.mandrel_as_made(m, [r for j in read for r in j.readings])
    passed = {x.id for x in used(id, m).checks if x.passes}
    assert passed <= {x.id for x in used(id, made).checks if x.passes}


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(READABLE), st.floats(-0.3, 0.3), st.floats(1e-4, 0.3), st.floats(0.0, 0.5))
def test_more_uncertainty_never_betters_the_use(
    which: tuple[str, str], off: float, u: float, more: float
) -> None:
    """Neither the worst-case step, nor any least room, nor the verdict on the reading."""
    id, name = which
    c = mandrel(id).characteristic(name)
    value = at_nominal(id, c) + off
    if value < 0 or (c.lower is None and c.nominal == 0 and value < 0):
        value = 0.0
    given_ = [report(name, value, u), report(name, value, min(1.0, u + more))]
    fine, coarse = (after(id, g) for g in given_)
    for f in fine.figures:
        if not (f.id.startswith("fit.") or f.id == "joint_step.worst"):
            continue
        other = coarse.figure(f.id)
        assert f.made is not None and other.made is not None  # noqa: PT018
        if f.more:
            assert other.made <= f.made + 1e-9
        else:
            assert other.made >= f.made - 1e-9
    (a,), (b,) = (
        next(j.readings for j in judge(mandrel(id), SHOP, [g]).judged if j.id == name)
        for g in given_
    )
    assert {a.verdict.value, b.verdict.value} != {"accept", "reject"}


def test_a_coarse_reading_takes_nothing_back_and_a_bad_one_counts_in_full() -> None:
    m = mandrel("barrel-mouth-plug")
    drawn = m.characteristic("spigot1.diameter")

    def made(value: float, u: float) -> tuple[float | None, float | None]:
        read = judge(m, SHOP, [report("spigot1.diameter", value, u)]).judged
        found = asmade.mandrel_as_made(m, [r for j in read for r in j.readings])
        c = found.characteristic("spigot1.diameter")
        return c.lower, c.upper

    assert made(7.65, 0.05) == (drawn.lower, drawn.upper)
    assert made(7.655, 0.008) == (pytest.approx(7.647), drawn.upper)
    assert made(7.64, 0.03) == (pytest.approx(7.61), pytest.approx(7.67))


# -- stored, told, and read again -------------------------------------------------------------


@pytest.fixture(scope="module")
def heron(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("heron") / "a"
    publish_pen(folder, "heron")
    return folder


@pytest.fixture
def archive(heron: Path, tmp_path: Path) -> Path:
    import shutil

    shutil.copytree(heron, tmp_path / "a")
    return tmp_path / "a"


def take(archive: Path, number: str, date: str, *texts: str, **more: bool):  # type: ignore[no-untyped-def]
    return receive(archive, number, gather(texts), date, **more)  # type: ignore[arg-type]


def test_before_and_after_are_told_and_stored(archive: Path) -> None:
    done = take(archive, "MG-0003", DAY, "29=0.006±0.002@report", "28=7.652@micrometer")
    text = received_text(done)
    assert "designed   as made" in text
    assert "spigot1.runout: run-out to the shank" in text
    assert "not proved yet, 10 sizes" in text
    view = received_view(done)
    json.dumps(view, allow_nan=False)
    (event,) = events.events_of(root.open_root(archive), "MG-0003")
    kept = event.data["served"]["sides"][0]
    assert kept == json.loads(json.dumps(view["served"]["sides"][0]))
    steps = {f["id"]: (f["designed"], f["made"]) for f in kept["figures"]}
    expected = done.served.sides[0].figure("joint_step")
    assert steps["joint_step"] == (
        pytest.approx(expected.designed, abs=1e-6), pytest.approx(expected.made, abs=1e-6)
    )  # fmt: skip
    assert kept["joint"] == "section.rear-barrel.mouth"
    # The same numbers a new design's verdict gives.
    check = DESIGNED["barrel-mouth-plug"].verdict
    assert check is not None
    assert expected.designed == pytest.approx(check.truth.step.states.tight.statistical)


def test_the_latest_day_counts_not_the_latest_entry(archive: Path) -> None:
    """Wear: new 7.655, worn 7.640 in July. An old note entered afterwards changes nothing."""
    take(archive, "MG-0003", "2026-06-01", "spigot1.diameter=7.655@micrometer")
    take(archive, "MG-0003", "2026-07-01", "spigot1.diameter=7.640@micrometer")
    late = take(archive, "MG-0003", "2026-06-15", "spigot1.diameter=7.654@micrometer",
                "shank.diameter=9.99@micrometer")  # fmt: skip
    assert late.outdated == (("spigot1.diameter", "2026-07-01"),)
    assert "received.outdated" in {f.code for f in late.findings}
    store = root.open_root(archive)
    made, read = history.mandrel_as_made(store, current(store, "MG-0003"))
    values = {r.id: r.value for r in read}
    assert values == {"spigot1.diameter": 7.640, "shank.diameter": 9.99}
    assert made.characteristic("spigot1.diameter").lower == pytest.approx(7.636)
    most = late.served.sides[0].figure("fit.spigot1.diameter.most")
    assert most.worse


def test_of_one_day_the_last_entry_counts(archive: Path) -> None:
    for value in ("7.640", "7.655"):
        take(archive, "MG-0003", DAY, f"spigot1.diameter={value}@micrometer")
    store = root.open_root(archive)
    _, read = history.mandrel_as_made(store, current(store, "MG-0003"))
    assert [r.value for r in read] == [7.655]


def test_readings_of_a_replaced_draft_are_another_fixture_s(archive: Path) -> None:
    take(archive, "MG-0003", DAY, "spigot1.diameter=7.640@micrometer")
    store = root.open_root(archive)
    entry = current(store, "MG-0003")
    happened = events.events_of(store, "MG-0003")
    assert history.readings(happened, entry.revision, entry.draft)
    assert history.readings(happened, entry.revision, entry.draft + 1) == ()


def test_a_measured_neighbour_goes_in(archive: Path) -> None:
    """The section's cup is measured truer: the barrel's joint gains, and the cup is named."""
    before = take(archive, "MG-0003", DAY, "28=7.652@micrometer", keep=False).served
    assert before.neighbours == ()
    take(archive, "MG-0004", "2026-06-02", "counterbore.runout=0.004±0.002@report")
    after_ = take(archive, "MG-0003", DAY, "28=7.652@micrometer", keep=False)
    (n,) = after_.served.neighbours
    assert (n.part, n.number, n.checked) == ("section", "MG-0004", "2026-06-02")
    step = after_.served.sides[0].figure("joint_step.worst")
    was = before.sides[0].figure("joint_step.worst")
    assert step.designed == was.designed
    assert step.made == pytest.approx((was.made or 0) - (0.03 - 0.006) / 2)
    assert "section on MG-0004 A as measured 2026-06-02" in received_text(after_)


def test_what_became_worse_is_said(archive: Path) -> None:
    done = take(archive, "MG-0003", DAY, "spigot1.runout=0.09±0.002@report")
    step = next(f for f in done.findings if f.code == "received.step")
    assert "target 0.05" in step.message
    tight = take(archive, "MG-0003", DAY, "thread.pitch_diameter=8.05±0.002@report", keep=False)
    assert "received.binds" in {f.code for f in tight.findings}
    gauge = take(archive, "MG-0003", DAY, "thread.pitch_diameter=fail@ring-gauge", keep=False)
    assert gauge.failed == ("thread.pitch_diameter",)
    assert "received.no-value" in {f.code for f in gauge.findings}


def test_an_old_fixture_without_a_pen_is_judged_all_the_same(tmp_path: Path) -> None:
    from mandrelgen.archive import adopt

    store = root.open_root(tmp_path / "a")
    number = adopt.adopt(store, OLD_PLUG.encode(), "o.toml", DAY, "t", "").entry.number
    done = take(tmp_path / "a", number, DAY, "spigot1.diameter=7.60@micrometer")
    assert done.served.sides == ()
    assert "no pen file" in done.served.why_not
    assert "received.use" in {f.code for f in done.findings}


def test_both_ends_of_a_double_ended_mandrel(tmp_path: Path) -> None:
    """A barrel and its section on one mandrel: each is the other's neighbour, as made."""
    text = starter("pen", "heron").decode().replace(
        "# [mandrels]\n",
        "[[mandrels.requests]]\nholds = \"barrel.mouth\"\nalso_holds = \"section.rear\"\n"
        "kind = \"double-ended\"\nshank_diameter = 13\n",
    )  # fmt: skip
    shop_bytes = starter("shop", "bench")
    pen = read_pen(text.encode(), "pen.toml")
    (d,) = design(pen, read_shop(shop_bytes, "shop.toml"))
    assert d.mandrel is not None, d.findings
    number = publish(tmp_path / "a", d.mandrel, text.encode(), shop_bytes).number
    done = take(tmp_path / "a", number, DAY, "spigot1.runout=0.002±0.001@report")
    assert len(done.served.sides) == 2
    for s in done.served.sides:
        step = s.figure("joint_step.worst")
        assert (step.made or 0) < (step.designed or 0)


def test_every_fault_at_once(archive: Path, tmp_path: Path) -> None:
    path = tmp_path / "r.csv"
    path.write_text("id,value\nspigot1.diameter,7.65\nneck.diameter\nnone.such,3\n", "utf-8")
    with pytest.raises(InputError) as caught:
        receive(archive, "MG-0003", gather(["x", "9=caliper", "99=3"], path), DAY)
    wheres = [f.where for f in caught.value.findings]
    assert wheres == ["--reading", "--reading", "r.csv:3", "--reading", "r.csv:4"]
    assert all(f.remedy for f in caught.value.findings)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("28=7.652±0@micrometer", "above 0"), ("28=7.652±2@micrometer", "at most 1"),
        ("28=7.652@report", "needs its uncertainty"), ("28=7.652±x@report", "not a reading"),
        ("28=7.652±0.01@my-eye", "no instrument"),
    ],
)  # fmt: skip
def test_uncertainties_that_are_none(archive: Path, text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        take(archive, "MG-0003", DAY, text)
    assert said in caught.value.findings[0].message


def test_a_reading_s_own_uncertainty(archive: Path) -> None:
    assert parse("28=7.652+-0.003@caliper") == parse("28 = 7,652 ± 0,003 @caliper")
    done = take(archive, "MG-0003", DAY, "28=7.652±0.006@caliper")
    (r,) = next(j.readings for j in done.judgement.judged if j.id == "spigot1.diameter")
    assert (r.uncertainty, r.verdict.value) == (0.006, "accept")
    assert math.isclose(r.value or 0, 7.652)


def test_find_holds_and_reuse_tell_the_last_check_and_use_the_newest(
    heron: Path, tmp_path: Path
) -> None:
    """A worn reading that a newer one outdates plays no part; of two fixtures with one step the
    one checked last comes first."""
    import shutil

    from mandrelgen import finding, pipeline, reusing
    from mandrelgen.archive.find import Query
    from mandrelgen.findview import found_text, holds_text
    from mandrelgen.reading import read_inputs

    archive = tmp_path / "a"
    shutil.copytree(heron, archive)
    text = starter("pen", "heron").decode().replace('id = "heron"', 'id = "teal"')
    (tmp_path / "pen.toml").write_text(text, "utf-8")
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))

    def offers() -> list[reusing.Offer]:  # type: ignore[name-defined]
        looked = reusing.look(pipeline.check(read_inputs(tmp_path / "pen.toml", None)), archive)
        return [o for o in looked.offers if o.planned == "barrel-mouth-plug"]

    (drawn,) = offers()
    take(archive, "MG-0003", "2026-06-01", "thread.pitch_diameter=7.80±0.002@report")
    (worn,) = offers()
    assert worn.fitting.step > drawn.fitting.step
    take(archive, "MG-0003", "2026-07-01", "thread.pitch_diameter=7.985±0.002@report")
    (good,) = offers()
    assert good.fitting.step < drawn.fitting.step
    assert "last measured 2026-07-01" in reusing.said(good)
    # The old note entered late: neither the size nor the day of the last check goes back.
    take(archive, "MG-0003", "2026-05-01", "thread.pitch_diameter=7.80±0.002@report")
    (late,) = offers()
    assert late.fitting.step == good.fitting.step
    assert late.row.checked == "2026-07-01"
    assert "2026-07-01" in found_text(finding.find(archive, Query()))
    assert "last measured 2026-07-01" in holds_text(finding.holds(archive, "MG-0003"))
    take(archive, "MG-0003", "2026-08-01", "nose.end=22.0@depth-gauge")
    assert "rejected then" in reusing.said(offers()[0])
    publish(archive, mandrel_again(), *twin())
    take(archive, "MG-0005", "2026-09-01", "thread.pitch_diameter=7.985±0.002@report")
    first, second = offers()
    assert first.fitting.step == pytest.approx(second.fitting.step)
    assert [first.row.number, second.row.number] == ["MG-0005", "MG-0003"]


def mandrel_again() -> Mandrel:
    """The barrel's plug, filed for another pen."""
    return replace(mandrel("barrel-mouth-plug"), pen="coot")


def twin() -> tuple[bytes, bytes]:
    pen = starter("pen", "heron").replace(b'id = "heron"', b'id = "coot"')
    return pen, starter("shop", "bench")
