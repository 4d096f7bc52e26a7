"""What it costs to ask: the process a tolerance needs, and budgets with one limit loosened, by
plain arithmetic on the shares and limits."""

from __future__ import annotations

import math
from io import BytesIO

import pytest
from pypdf import PdfReader

from mandrelgen.assess.asking_cost import Asked
from mandrelgen.design.designed import Designed
from mandrelgen.design.process import GEOMETRY, METRIC, Process, demands, grade_shares
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.workflows.bench_look import inputs_of
from mandrelgen.workflows.check import Checked, check
from mandrelgen.workflows.cost import cost_tables, costs
from mandrelgen.workflows.scripting import write_bytes
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
