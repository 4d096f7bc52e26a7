"""What it costs to ask: the process a tolerance needs, and budgets with one limit loosened, by
plain arithmetic on the shares and limits."""

from __future__ import annotations

import math
from io import BytesIO

import pytest
from pypdf import PdfReader

from mandrelgen.assess.asking_cost import Asked, lasts, loosened
from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.core.errors import InputError
from mandrelgen.design.designed import Designed
from mandrelgen.design.process import GEOMETRY, METRIC, Demand, Process, demands, grade_shares
from mandrelgen.mechanics.beam import shoulder_notch
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.workflows.bench_look import inputs_of
from mandrelgen.workflows.check import Checked, check
from mandrelgen.workflows.cost import cost_tables, costs
from mandrelgen.workflows.scripting import write_bytes
from mandrelgen.workflows.trial import Bench
from tests.paths import TEMPLATES

SHOP = (TEMPLATES / "shops/bench.toml").read_bytes()
HERON = (TEMPLATES / "pens/heron.toml").read_text("utf-8")


def checked(text: str = HERON) -> Checked:
    return check(inputs_of(text.encode(), "pen.toml", SHOP))


@pytest.fixture(scope="module")
def heron() -> Checked:
    return checked()


def designed(c: Checked, name: str) -> Designed:
    return next(d for d in c.designed if d.planned.id == name)


def row(c: Checked, mandrel: str, id: str) -> Asked:
    return next(a for a in costs(c)[mandrel] if id in a.ids)


def said(**changes: object) -> Characteristic:
    given = {"id": "x.diameter", "feature": Feature("x"), "kind": Kind.DIAMETER, "nominal": 10.0,
             "lower": None, "upper": None} | changes  # fmt: skip
    return Characteristic(**given)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("c", "process", "looser"),
    [
        # ISO 286-1:2010, Table 1, over 6 to 10 mm: IT5 6, IT6 9, IT7 15, IT8 22, IT9 36 µm.
        (said(lower=9.991, upper=10.0), Process.GROUND, 0.015),
        (said(lower=9.985, upper=10.0), Process.CARE, 0.022),
        (said(lower=9.978, upper=10.0), Process.TURNED, 0.036),
        (said(lower=9.9, upper=10.0), Process.TURNED, 0.15),
        (said(kind=Kind.RUNOUT, nominal=0, upper=0.03), Process.TURNED, 0.05),
        (said(kind=Kind.FACE_RUNOUT, nominal=0, upper=0.01), Process.CARE, 0.015),
        (said(kind=Kind.RUNOUT, nominal=0, upper=0.008), Process.GROUND, 0.01),
        (said(kind=Kind.CYLINDRICITY, nominal=0, upper=0.008), Process.GROUND, 0.01),
        (said(kind=Kind.ROUGHNESS, nominal=0, upper=0.8, unit="µm"), Process.CARE, 1.6),
        (said(kind=Kind.ROUGHNESS, nominal=0, upper=0.4, unit="µm"), Process.GROUND, 0.8),
    ],
)
def test_what_a_tolerance_takes(c: Characteristic, process: Process, looser: float) -> None:
    (found,) = demands([c], ())
    assert found.process is process
    assert found.looser == pytest.approx(looser, abs=1e-9)


def test_what_has_no_tolerance_of_its_own_has_no_price() -> None:
    assert not [*demands([said(), said(lower=9.9, upper=10.0, general=True)], ())]
    assert not [*demands([said(kind=Kind.RUNOUT, nominal=0, upper=GEOMETRY[-1])], ())]


def test_thread_grades_stand_as_the_r10_row_of_iso_965_1_has_them() -> None:
    """R10 preferred numbers (ISO 3): each is 10^(1/10) times the one before."""
    for grade, share in METRIC.items():
        assert share == pytest.approx(10 ** ((grade - 6) / 10), rel=0.01)
    assert grade_shares("8g") == (1.6, None)


def test_a_looser_run_out_of_the_thread_by_hand(heron: Checked) -> None:
    """An eccentricity is half of a run-out; the others stay: √(S² − (0.03/2)² + (0.05/2)²)."""
    a = row(heron, "barrel-mouth-plug", "thread.runout")
    verdict = designed(heron, "barrel-mouth-plug").verdict
    assert verdict is not None
    step = verdict.truth.step.budget
    (share,) = (s for s in step.shares if s.cause.id == "thread.runout")
    assert share.eccentricity == pytest.approx(0.015)
    by_hand = math.sqrt(step.statistical**2 - 0.015**2 + 0.025**2)
    assert (a.demand.asked, a.demand.looser_text) == ("0.03", "0.05")
    assert a.now.mismatch == pytest.approx(step.statistical)
    assert a.loosened.mismatch == pytest.approx(by_hand, abs=1e-9)
    assert a.loosened.remounted == pytest.approx(a.now.remounted)  # it comes back as it was


def test_a_looser_pitch_diameter_by_hand(heron: Checked) -> None:
    """A quarter of half the largest play is left when tightened (estimate); the plug's lower limit
    goes down by a quarter of its tolerance of 0.100 (ISO 965-1, 6g of M8.5x0.75: 0.100)."""
    d = designed(heron, "barrel-mouth-plug")
    a = row(heron, "barrel-mouth-plug", "thread.pitch_diameter")
    assert d.mandrel is not None
    assert d.verdict is not None
    own, part = d.mandrel.threads[0].limits.pitch, d.mandrel.threads[0].partner.pitch
    assert None not in (own.min, own.max, part.max)
    assert own.max - own.min == pytest.approx(0.100)  # type: ignore[operator]
    was = (part.max - own.min) / 2 / 4  # type: ignore[operator]
    now = was + 0.025 / 2 / 4
    step = d.verdict.truth.step.budget
    (share,) = (s for s in step.shares if s.cause.id == "thread.pitch_diameter")
    assert share.eccentricity == pytest.approx(was)
    by_hand = math.sqrt(step.statistical**2 - was**2 + now**2)
    assert a.loosened.mismatch == pytest.approx(by_hand, abs=1e-9)
    assert a.gauge  # M8.5 stands in no series


def test_the_starters_need_no_grinding_and_say_so() -> None:
    for name in ("heron", "wren", "dunlin", "avocet"):
        for d in checked((TEMPLATES / f"pens/{name}.toml").read_text("utf-8")).designed:
            assert d.mandrel is not None
            (decision,) = (x for x in d.mandrel.decisions if x.id == "process")
            assert decision.value == "turned on a manual lathe; nothing is ground"
            found = [*demands(d.mandrel.characteristics, d.mandrel.threads)]
            assert max(x.process for x in found) is Process.TURNED


def test_what_is_dear_comes_first_with_a_change_that_holds() -> None:
    """Class 4h is 0.63 of class 6: chased over wires or ground."""
    text = HERON + '\n[[mandrels.requests]]\nholds = "barrel.mouth"\nthread_class = "4h"\n'
    c = checked(text)
    name = next(d.planned.id for d in c.designed if d.planned.hold.part == "barrel")
    first, *rest = costs(c)[name]
    assert first.ids == ("thread.pitch_diameter",)
    assert first.process is Process.GROUND
    assert all(a.process <= first.process for a in rest)
    (remedy,) = first.remedies
    (change,) = remedy.changes
    assert (change.path[-1], change.value) == ("thread_class", "6h")
    mandrel = designed(c, name).mandrel
    assert mandrel is not None
    (decision,) = (x for x in mandrel.decisions if x.id == "process")
    assert decision.value.startswith("ground or lapped: thread.pitch_diameter 4h")


CLOSE = (
    "\n[mandrels.defaults]\nrun_out = 0.01\nseat_run_out = 0.008\nshank_form = 0.006\n"
    "roughness = 0.8\n"
)


def test_what_the_maker_asks_stands_on_the_drawing_as_he_asks_it() -> None:
    """Also where it is looser than usual; a shank rounder than bar is bought is turned."""
    for text, asked, bar in (
        (CLOSE, (0.01, 0.008, 0.006, 0.8), False),
        ("\n[mandrels.defaults]\nrun_out = 0.08\nseat_run_out = 0.05\nshank_form = 0.03\n"
         "roughness = 3.2\n", (0.08, 0.05, 0.03, 3.2), True),
    ):  # fmt: skip
        c = checked(HERON + text)
        for name in ("barrel-mouth-plug", "section-rear-cup"):
            m = designed(c, name).mandrel
            assert m is not None
            found = {x.id: x.upper for x in m.characteristics}
            thread = "thread.runout" if "plug" in name else "counterbore.runout"
            ids = (thread, "seat.runout", "shank.cylindricity", "shank.roughness")
            assert tuple(found[i] for i in ids) == asked
            assert found["seat.roughness"] == asked[3]
            (why,) = (x.why for x in m.decisions if x.id == "shank.diameter")
            assert ("as the bar is bought" in why) is bar
            (why,) = (x.why for x in m.decisions if x.id == "seat.runout")
            assert why.endswith("asked for")


def test_a_tolerance_that_is_dear_has_a_key_that_loosens_it() -> None:
    """Each to the next step, tried as other remedies are: applied, the drawing asks just that, and
    the mismatch is the one that the row gives (√(S² − (0.01/2)² + (0.015/2)²))."""
    c = checked(HERON + CLOSE)
    rows = {a.key: a for a in costs(c)["barrel-mouth-plug"]}
    bench = Bench(c.inputs.pen_bytes, c.inputs.own_shop)
    said = {}
    for key, a in rows.items():
        (remedy,) = a.remedies
        (change,) = remedy.changes
        said[".".join(map(str, change.path))] = change.value
        new = bench.changed(remedy.changes)
        assert new is not None
        assert getattr(new[0].mandrels.defaults, key) == change.value
    start = "mandrels.defaults."
    assert said == {
        f"{start}run_out": 0.015, f"{start}seat_run_out": 0.01,
        f"{start}shank_form": 0.008, f"{start}roughness": 1.6,
    }  # fmt: skip
    a = rows["run_out"]
    by_hand = math.sqrt(a.now.mismatch**2 - 0.005**2 + 0.0075**2)
    assert a.loosened.mismatch == pytest.approx(by_hand, abs=1e-9)


@pytest.mark.parametrize("said", ["run_out = 1.0", "roughness = 0", 'shank_form = "fine"'])
def test_what_no_lathe_gives_is_refused(said: str) -> None:
    with pytest.raises(InputError, match=said.split(" ", 1)[0]):
        checked(f"{HERON}\n[mandrels.defaults]\n{said}\n")


PLASTIC = """schema = 1
[pen]
id = "rail"
name = "Rail"
[parts.body]
length = 40.0
diameter = 13.0
[parts.body.ends.mouth]
internal = { thread = "M4x0.5", depth = 8.0 }
bore = [{ diameter = 3.5, depth = 20.0 }]
[mandrels.defaults]
material = "cast-acrylic"
[mandrels.use]
side_load = 0.5
"""


def test_what_a_wider_limit_costs_of_a_plastic_mandrels_life() -> None:
    """The relief is the slimmest place of this plug. A tenth more below it takes half a tenth
    off its middle: the stress of a round bar grows with the third power of what is left (32 M /
    π d³), the pens fall with the third power of the stress above what is borne for hours."""
    c = checked(PLASTIC)
    d = designed(c, "body-mouth-plug")
    (s,) = situated(d, c.inputs.pen, c.inputs.shop)
    assert d.mandrel is not None
    relief = d.mandrel.characteristic("relief.diameter")
    assert relief.lower is not None
    assert relief.upper is not None
    width = relief.upper - relief.lower
    more = Demand(characteristic=relief, process=Process.TURNED, closeness=1.0, asked="",
                  looser_text="", looser=width + 0.1)  # fmt: skip
    now, then = lasts(s), lasts(s, relief, loosened(s, more))
    assert now is not None
    assert then is not None
    left = relief.nominal - 0.05
    collar = d.mandrel.characteristic("collar.diameter").nominal
    notch = shoulder_notch(collar, left, 0.2) / shoulder_notch(collar, relief.nominal, 0.2)
    assert notch == pytest.approx(0.993, abs=0.001)  # the shoulder is a little higher
    more_stress = notch * (relief.nominal / left) ** 3
    assert then.use / now.use == pytest.approx(more_stress, rel=1e-3)
    for life in (now, then):
        pens = 1.0 if life.use <= 1 else life.use**-3
        assert (life.low, life.high) == (math.floor(5 * pens), math.floor(10 * pens))
    assert then.high < now.high


def test_a_plastic_mandrel_has_a_column_for_how_long_it_lasts(heron: Checked) -> None:
    (table, note), (metal, basis) = (
        cost_tables(checked(PLASTIC))["body-mouth-plug"], cost_tables(heron)["barrel-mouth-plug"]
    )  # fmt: skip
    place = table.heads.index("Lasts, pens")
    assert all(len(r) == len(table.heads) == len(table.widths) for r in table.rows)
    assert table.rows[-1][place].count(" to ") == 1
    assert "Lasts, pens" not in metal.heads
    assert "an estimate" in note.rows[0][1]
    assert "metal mandrel lasts is not judged" in basis.rows[0][1]


def test_at_most_four_rows_on_the_makers_table(heron: Checked) -> None:
    found = cost_tables(heron)
    assert set(found) == {d.planned.id for d in heron.designed}
    for table, note in found.values():
        assert 1 <= len(table.rows) - 1 <= 4  # the last says what is now
        assert table.rows[-1][0] == "now"
        assert "estimate" in note.rows[0][1]


def test_it_stands_on_the_makers_paper_and_never_on_the_turners(heron: Checked) -> None:
    files = write_bytes(heron, "barrel-mouth-plug", "pdf", "making", "mine", date="2026-05-31")
    told = {
        name: any("What it costs to ask" in p.extract_text() for p in PdfReader(BytesIO(f)).pages)
        for name, f in files.items()
    }
    assert {name for name, said in told.items() if said} == {n for n in told if "mine" in n}
    assert len(told) == 3
