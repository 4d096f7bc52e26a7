"""The sequence of operations, and what stands in the tool's way: starters, kinds, random ones."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.design.chosen_tolerances import Centring, ToleranceChoice
from mandrelgen.design.designer import design_one
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.paper.drawing.model import Text
from mandrelgen.paper.drawing.notes import notes_block
from mandrelgen.paper.drawing.text_width import width_of
from mandrelgen.paper.reports import turning_pages
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.starters import starter
from mandrelgen.standards import wires
from mandrelgen.workflows.answers import plain
from mandrelgen.workshop.turning import (
    bar_stock,
    in_process_checks,
    infeed,
    thread_alternatives,
    tool_clearance,
)
from mandrelgen.workshop.turning.names import what
from mandrelgen.workshop.turning.operations import order_of_work
from mandrelgen.workshop.turning.turner_card import turner_card
from tests.support.bench_pens import ALL, HERON, MANDRELS, SPIGOT, SPIGOTTED, made
from tests.support.randompens import SHOP, pens

EXTRA = (
    '\n[[mandrels.requests]]\nid = "both"\nholds = "barrel.mouth.internal"\n'
    'also_holds = "section.rear"\nkind = "double-ended"\nshank_diameter = 16.0\n',
    '\n[[mandrels.requests]]\nholds = "section.rear"\ntailstock_button = true\n'
    '[[mandrels.requests]]\nholds = "barrel.mouth.bore"\nkind = "spigot"\n',
    '\n[[mandrels.requests]]\nholds = "section.rear"\nthrough_bore = 4.0\n',
    '\n[mandrels.defaults]\nthread_order = "blank"\n',
    '\n[mandrels.defaults]\nthread_order = "my-tool"\ncentre_holes = "none"\n',
    "\n[mandrels.defaults]\nspigot_length = 0\n",
)
KINDS = [
    pytest.param(d.mandrel, id=f"{n}-{d.mandrel.id}")
    for n, extra in enumerate(EXTRA)
    for d in made("heron", extra)[2]
    if d.mandrel is not None
]


def _registered() -> list[Mandrel]:
    """The cap's plug with a register in a counterbore bored true, as if the budget paid for it."""
    _, shop, designed = made("heron")
    bored = read_pen(
        starter("pen", "heron").replace(
            b"{ diameter = 12.4, depth = 1.2 }", b'{ diameter = 12.4, depth = 1.2, made = "bored" }'
        ),
        "heron.toml",
    )
    d = next(d for d in designed if d.planned.id == "cap-mouth-plug")
    found = design_one(bored, shop, d.planned, ToleranceChoice(centre=Centring.REGISTER))
    assert found.mandrel is not None, found.findings
    return [found.mandrel]


REGISTERED = _registered()
STARTERS = [pytest.param(p.values[0], id=p.id) for p in MANDRELS]


def finished_once(m: Mandrel) -> None:
    """Every characteristic is finished by exactly one step."""
    done = [i for s in order_of_work(m) for i in s.finishes]
    assert sorted(done) == sorted(c.id for c in m.characteristics)


@pytest.mark.parametrize("m", STARTERS + KINDS)
def test_every_characteristic_is_finished_by_exactly_one_step(m: Mandrel) -> None:
    finished_once(m)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(pens())
def test_random_mandrels_are_finished_by_their_steps(pen: Pen) -> None:
    """No size is forgotten or cut twice, and every page can be made, whatever the mandrel."""
    for d in designs(pen, SHOP):
        if d.mandrel is None:
            continue
        finished_once(d.mandrel)
        card = turner_card(d.mandrel, SHOP)
        assert turning_pages.tables(card)
        assert plain.view(card)


@pytest.mark.parametrize("m", STARTERS + KINDS)
def test_zero_comes_before_what_is_measured_from_it(m: Mandrel) -> None:
    """The zero is set before any step that finishes a size counted from the seat; the seat itself
    is finished last, in the setting that finishes thread, register and spigot."""
    if m.kind is MandrelKind.BUTTON:
        return
    steps = order_of_work(m)
    zeros = [n for n, s in enumerate(steps) if "Zero the dial" in s.what]
    prefixes = ("", "b.") if m.kind is MandrelKind.DOUBLE_ENDED else ("",)
    assert len(zeros) == len(prefixes)
    for prefix, zero in zip(prefixes, zeros, strict=True):
        seat = next(n for n, s in enumerate(steps) if f"{prefix}seat.runout" in s.finishes)
        assert "Finish the locating face" in steps[seat].what
        assert steps[seat].setting == steps[zero].setting
        for c in m.characteristics:
            n = next(n for n, s in enumerate(steps) if c.id in s.finishes)
            if c.between and f"{prefix}seat" in c.between:
                assert n >= zero, c.id
            own = c.id.removeprefix(prefix)
            if c.id.startswith(prefix) and own.startswith(("thread.", "register.", "spigot")):
                assert steps[n].setting == steps[seat].setting, c.id
                assert n <= seat, c.id
    shank = next(n for n, s in enumerate(steps) if "shank.diameter" in s.finishes)
    assert steps[shank].setting == 1
    assert shank < min(n for n, s in enumerate(steps) if "Zero the dial" in s.what)


@pytest.mark.parametrize("m", STARTERS + KINDS)
def test_a_relief_beside_the_proud_seat_has_its_width_with_the_last_cut(m: Mandrel) -> None:
    """While the seat's face stands proud, a groove that begins at it is narrower by as much."""
    steps = order_of_work(m)
    ids = {c.id for c in m.characteristics}
    for s in m.outer:
        end = s.feature.end
        seat = next((z for n, z in m.stations.items() if n == end.named("seat")), None)
        if s.feature.kind is not FeatureKind.RELIEF or seat is None:
            continue
        if min(abs(seat - z) for z in (s.z0, s.z1)) > 1e-6:
            continue
        (width,) = ids & {s.feature.size("width")}
        last = next(step for step in steps if width in step.finishes)
        assert "Finish the locating face: the last 0.1" in last.what
        cut = next(step for step in steps if s.feature.size("diameter") in step.finishes)
        assert "cut relief, from 0.1 on (finishing the face opens it to its width)" in cut.what
        assert steps.index(cut) < steps.index(last)


@pytest.mark.parametrize("m", STARTERS + KINDS)
def test_nothing_is_measured_in_the_collet(m: Mandrel) -> None:
    """The shank is measured before it goes into the collet; run-out at the end of its setting; no
    check comes before the step that finishes its size."""
    steps = order_of_work(m)
    made_in = {i: n for n, s in enumerate(steps, 1) for i in s.finishes}
    for c in in_process_checks.checks(m, steps):
        for id in c.ids:
            assert c.step >= made_in[id]
            assert steps[c.step - 1].setting == steps[made_in[id] - 1].setting
            if id == "shank.diameter":
                assert steps[c.step - 1].setting == 1


def test_centre_or_not_is_decided_from_the_design() -> None:
    words = {m.id: " ".join(s.what for s in order_of_work(m)) for m in HERON.values()}
    assert all("Bar ⌀14 as bought" in t and "revolving centre" not in t for t in words.values())
    turned = made("heron", "\n[mandrels.defaults]\nshank_diameter = 10\n")[2]
    text = {d.mandrel.id: " ".join(s.what for s in order_of_work(d.mandrel)) for d in turned}
    assert "revolving centre in the shank end" in text["cap-mouth-plug"]
    bare = [d.mandrel for d in made("heron", EXTRA[4])[2] if d.mandrel is not None]
    for m in bare:
        text = " ".join(s.what for s in order_of_work(m))
        assert "revolving centre in" not in text
        assert "centre it" not in text
    assert not any(" if it has " in t for t in words.values())


def test_depth_follows_the_measured_crest() -> None:
    """M12 P 0.8, by hand: pitch diameter 11.336 to 11.442, middle 11.389, H = 0.69282. A full-form
    point (root R = H/6) stops at 11.389 − 2H/3 = 10.927, a sharp V at 11.389 − H = 10.696
    (ISO 68-1). Crest 11.90: (11.90 − 10.927)/2 = 0.4864."""
    t = HERON["cap-mouth-plug"].threads[0]
    f = infeed.feed(t)
    assert f.root == pytest.approx(10.9271, abs=1e-4)
    assert f.apex == pytest.approx(10.6962, abs=1e-4)
    assert [r.crest for r in f.rows] == pytest.approx([11.812, 11.887, 11.962])
    for r in f.rows:
        assert r.full_form[1] == pytest.approx((r.crest - f.root) / 2)
        assert r.sharp[1] == pytest.approx((r.crest - f.apex) / 2)
        # The ends of the range give the limits of the pitch diameter: 2·0.0265 apart.
        assert r.full_form[2] - r.full_form[0] == pytest.approx((11.442 - 11.336) / 2)
    assert f.rows[1].full_form[1] == pytest.approx(infeed.depths(t.form).full_form)
    # Nose radius: the root between 10.8432 and 11.096 (the drawing's minor limits) at either end
    # of the pitch diameter's limits, H = 0.69282; found independently by a turner: 0.10 to 0.17.
    low, high = (10.8432 - (11.336 - 0.69282)) / 2, (11.096 - (11.442 - 0.69282)) / 2
    assert f.nose == pytest.approx((low, high), abs=1e-4)
    assert f.nose[0] >= 0.125 * 0.8


def test_depth_in_a_bore_follows_the_measured_bore() -> None:
    """M8.5x0.75-6H: D2 8.013 to 8.145, middle 8.079, H = 0.64952; a full-form point stops at the
    basic major of that middle, 8.079 + 3H/4 = 8.566; a bore 0.1 wider takes 0.05 less."""
    t = HERON["section-rear-cup"].threads[0]
    f = infeed.feed(t, groove=8.8)
    assert f.root == pytest.approx(8.079 + 0.75 * 0.649519, abs=1e-4)
    assert f.apex == pytest.approx(8.079 + 0.649519, abs=1e-4)
    a, b = f.rows[0], f.rows[2]
    assert a.full_form[1] - b.full_form[1] == pytest.approx((b.crest - a.crest) / 2)
    assert a.full_form[0] < a.full_form[1] < a.full_form[2]
    assert f.nose is not None
    assert f.nose[1] == pytest.approx((8.013 + 0.649519 - 8.5) / 2, abs=1e-4)


def test_a_die_that_cannot_pass_is_refused_with_the_reason() -> None:
    """The spigot ⌀7.66 of M8.5x0.75 stands above the root of 7.429; without it the die passes, and
    a designer told of the die keeps the spigot below the root."""
    m = SPIGOTTED["barrel-mouth-plug"]
    no = thread_alternatives.die(m, m.threads[0])
    assert not no.usable
    assert "spigot" in no.text
    assert "7.66" in no.text
    cut = m.outer[: next(i for i, s in enumerate(m.outer) if s.feature == "runin")]
    assert thread_alternatives.die(replace(m, outer=cut), m.threads[0]).usable
    for d in made("heron", f'{SPIGOT}thread_order = "my-tool"\n')[2]:
        if d.mandrel is not None:
            t = d.mandrel.threads[0]
            own = thread_alternatives.tool_of(d.mandrel, t)
            assert own.usable, own.text
            if t.limits.external:
                spigot = d.mandrel.characteristic("spigot1.diameter")
                assert spigot.upper is not None
                assert t.limits.minor.min is not None
                assert spigot.upper <= t.limits.minor.min


def test_a_die_ordered_in_spite_of_the_spigot_is_told_so() -> None:
    m = SPIGOTTED["barrel-mouth-plug"]
    forced = replace(m, threads=tuple(replace(t, order="my-tool") for t in m.threads))
    card = turner_card(forced, ALL["heron"][1])
    assert "can't be used" in card.threads[0].card.instruction
    assert any("single point" in s.what and "can't be used" in s.what for s in card.order_of_work)


def test_a_tap_needs_room_for_its_lead() -> None:
    """M8.5x0.75: form C takes 3 P = 2.25, form E 2 P = 1.5 (DIN 2197)."""
    m = HERON["section-rear-cup"]
    t = m.threads[0]
    end = next(s.z0 for s in m.inner if s.feature == "thread")
    for room, usable, form in ((2.3, True, "C or E"), (1.6, True, "form E"), (1.4, False, "")):
        inner = tuple(replace(s, z0=end - room) if s.feature == "relief" else s for s in m.inner)
        got = thread_alternatives.tap(replace(m, inner=inner), t)
        assert got.usable is usable
        assert form in got.text


def test_room_for_the_tool_beside_the_thread() -> None:
    """A 60° point h high is h·tan 30° wide a side. Beside a collar 1.585 above the root that is
    0.915 and 0.1 of air: more than a groove of 0.9, so the point may stand 0.8 from the side; free
    in the 2 that three pitches allow."""
    m = SPIGOTTED["barrel-mouth-plug"]
    assert all(w.free for w in tool_clearance.beside(m, m.threads[0]).walls)
    m = replace(m, outer=tuple(
        replace(s, z1=0.9) if s.feature == "relief" else s for s in m.outer))  # fmt: skip
    walls = {w.name: w for w in tool_clearance.beside(m, m.threads[0]).walls}
    collar = walls["collar"]
    assert collar.height == pytest.approx((10.6 - 7.42898) / 2, abs=1e-4)
    assert collar.needed == pytest.approx(collar.height * math.tan(math.pi / 6) + 0.1)
    assert (collar.free, collar.side) == (False, pytest.approx(0.8))
    assert walls["spigot"].free
    wide = replace(m, outer=tuple(
        replace(s, z1=1.1) if s.feature == "relief" else s for s in m.outer))  # fmt: skip
    assert all(w.free for w in tool_clearance.beside(wide, m.threads[0]).walls)


def test_anvil_fouls_whatever_is_wider_than_the_reading() -> None:
    """The collar stands above a reading of 12.01 over wires: the anvil's edge stays clear of it, so
    its middle comes no nearer than 0 + 3.175 + 0.1 = 3.275; the thread begins later."""
    card = turner_card(HERON["cap-mouth-plug"], ALL["heron"][1])
    (t,) = card.threads
    assert t.wires is not None
    assert t.wires.lower < 13.6
    assert t.reach.first >= 3.275
    # Two of three wires lie a pitch apart, both in full grooves: 1.5 P from the thread's ends.
    thread = next(s for s in HERON["cap-mouth-plug"].outer if s.feature == "thread")
    assert t.reach.last == pytest.approx(thread.z1 - 1.5 * 0.8)
    assert t.wires.lower == pytest.approx(
        wires.over_wires(11.336, t.wires.wire, 0.8, 2.4), abs=0.001
    )


@pytest.mark.parametrize("m", STARTERS + KINDS)
def test_positions_are_called_positions(m: Mandrel) -> None:
    """No length that runs from the seat past its own feature is called that feature's length."""
    for c in m.characteristics:
        if c.between and any(b.endswith("seat") for b in c.between):
            own = c.id.removeprefix("b.")
            if own not in ("collar.length", "relief.width"):  # true widths
                assert "from the seat" in what(c), c.id


@pytest.mark.parametrize("m", STARTERS)
def test_a_nominal_outside_its_limits_is_called_basic(m: Mandrel) -> None:
    for x in turner_card(m, ALL["heron"][1]).inspection:
        c = m.characteristic(x.id)
        low = -math.inf if c.lower is None else c.lower
        high = math.inf if c.upper is None else c.upper
        if not low - 1e-9 <= c.nominal <= high + 1e-9:
            assert x.nominal.startswith("basic "), x.id


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_titles_fit_the_page(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    for page in turning_pages.tables(turner_card(m, shop)):
        for grid in page.grids:
            assert width_of(grid.title, 3.5) <= 180


def test_what_the_bar_does_not_leave_is_said() -> None:
    """A collar of 13.6 in a bar of 14 has 0.4, not 0.5; what sticks out has 1 to face off: 8.6 +
    7.5 + 8 + 1."""
    steps = [s.what for s in order_of_work(HERON["cap-mouth-plug"])]
    assert any("0.5 over (but the collar: a bar of ⌀14 leaves it 0.4)" in s for s in steps)
    assert "25.1 standing out: 1 to face off" in steps[0]
    for m in HERON.values():
        for s in m.outer:
            if s.feature == "collar" and max(s.d0, s.d1) < 13.5:
                assert not any("leaves it" in x.what for x in order_of_work(m))


@pytest.mark.parametrize("extra", ["", 'centre_holes = "both"', "through_bore = 3"])
def test_a_shank_is_turned_round_only_where_something_is_cut_into_its_end(extra: str) -> None:
    """A chamfer is cut in the groove before the blade goes through (common practice, no source);
    a centre hole or a bore is not."""
    _, shop, designed = made("heron", f"\n[mandrels.defaults]\n{extra}\n")
    seen = 0
    for m in (d.mandrel for d in designed):
        if m is None or not bar_stock.from_bar(m):
            continue
        seen += 1
        steps = order_of_work(m)
        last = next(s for s in steps if "rear.chamfer" in s.finishes)
        assert ("face the parted end" in last.what) == bool(extra)
        assert ("chamfer the shank's edge in the groove" in last.what) == (not extra)
        sheet = notes_block(m, (), {}, 150.0)
        said = " ".join(t.text for t in sheet.drawn if isinstance(t, Text))
        assert ("as parted off, without a pip" in said) == (not extra)
        stock = turner_card(m, shop).stock
        ends = 2 if extra else 1
        assert stock.length == math.ceil(stock.finished_length + ends * 1 + 3)
    assert seen


def test_what_is_read_in_the_collet_is_read_before_parting_and_a_thin_cup_finished_last() -> None:
    for m in HERON.values():
        steps = order_of_work(m)
        made = {i: n for n, s in enumerate(steps) for i in s.finishes}
        parted = made["rear.chamfer"]
        assert "part off" in steps[parted].what
        # Whatever is read in the collet is read before the piece is off the bar.
        assert all(c.step <= parted for c in in_process_checks.checks(m, steps))
        wall = (
            m.kind is MandrelKind.CUP
            and (
                m.characteristic("collar.diameter").nominal
                - m.threads[0].limits.designation.diameter
            )
            / 2
            < 1
        )
        assert (made["collar.diameter"] > made["thread.pitch_diameter"]) == wall


def test_the_shank_is_indicated_last_and_chamfered_after_it_is_turned() -> None:
    """An independent turner's reading of the pages."""
    for mandrel in HERON.values():
        steps = order_of_work(mandrel)
        held = [i for i, s in enumerate(steps) if s.setting == 1]
        assert "only then unclamp" in steps[held[-1]].what
        # A bar within its cylindricity, 0.015, may show that much when it runs true.
        for n in (held[0], held[-1]):
            assert "or better (its own out-of-roundness apart)" in steps[n].what
        of = {c: i for i, s in enumerate(steps) for c in s.finishes}
        assert of["rear.chamfer"] >= of["shank.diameter"]


def test_a_register_is_run_on_over_the_thread_which_is_smaller() -> None:
    """Else it would be a blind groove in the blank (an independent turner's reading)."""
    seen = 0
    for mandrel in REGISTERED:
        has = {x.feature: x for x in mandrel.outer}
        told = [x.what for x in order_of_work(mandrel) if "over the thread's length" in x.what]
        assert bool(told) == ("register" in has)
        if "register" in has:
            seen += 1
            assert has["register"].d0 > has["thread"].d0, mandrel.id
    assert seen


def test_a_threading_tool_never_passes_a_finished_counterbore_closely() -> None:
    """The mouth of a cup that is screwcut comes after the thread, with the room there is; a tap,
    which is guided, finds it finished."""
    every = [v for p in (*MANDRELS, *KINDS) for v in p.values if isinstance(v, Mandrel)]
    cups = [m for m in every if m.kind is MandrelKind.CUP]
    orders = set()
    for m in cups:
        t = m.threads[0]
        steps = order_of_work(m)
        mouth = next(n for n, s in enumerate(steps) if "counterbore.diameter" in s.finishes)
        thread = next(
            (n for n, s in enumerate(steps) if "thread.pitch_diameter" in s.finishes), None
        )
        orders.add(t.order)
        if t.order == "single-point":
            assert thread is not None
            assert mouth > thread
            least = m.characteristic("counterbore.diameter").lower
            assert least is not None
            gap = (least - t.limits.major_max_worst) / 2
            if gap < 0.005:
                assert "would touch it" in steps[mouth].why
            else:
                said = float(steps[mouth].why.split("pass it by ")[1].split()[0])
                assert said == pytest.approx(gap, abs=0.006)
        elif thread is not None:
            assert mouth < thread
        finished_once(m)
    assert orders >= {"single-point", "my-tool", "blank"}
