"""Monotone rules of the verdict on whole pens (what is worse never gets a better one), and a
verdict that makes sense for every random pen.
"""

from __future__ import annotations

import itertools
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mandrelgen.assess.settled import designs
from mandrelgen.paper.reports.summary import paragraph
from mandrelgen.spec.pen import Pen
from mandrelgen.workflows.answers.assessment import verdict as verdict_view
from tests.support.judged_pens import fixed, plug_pen, verdict_of
from tests.support.randompens import SHOP, pens


@pytest.mark.parametrize(("fit", "made"), list(itertools.product(["close", "normal"],
                                                            ["reamed", "bored"])))  # fmt: skip
def test_a_longer_close_spigot_never_tilts_more(fit: str, made: str) -> None:
    tilts = []
    for length in (3, 6, 9, 12, 15):
        bore = [{"diameter": 9.2, "depth": 30.0, "made": made}]
        pen = plug_pen(bore=bore, wishes={"spigot_length": length, "fit": fit})
        t = verdict_of(fixed(pen, SHOP)[0]).truth
        tilts.append(t.runout_end.loose.worst - t.runout_seat.loose.worst)
    assert all(b <= a + 1e-9 for a, b in itertools.pairwise(tilts)), tilts


@pytest.mark.parametrize("thread", ["M10x0.75-6H", "M10x0.75-5H", "M10xPh1.5P0.75-6H"])
def test_a_looser_fit_never_has_less_run_out(thread: str) -> None:
    rows = []
    for fit in ("close", "normal", "free"):
        t = verdict_of(fixed(plug_pen(thread=thread, wishes={"fit": fit}), SHOP)[0]).truth
        rows.append((t.runout_seat.loose.worst, t.runout_seat.tight.worst,
                     t.runout_end.tight.worst, t.step.states.tight.worst))  # fmt: skip
    for a, b in itertools.pairwise(rows):
        assert all(y >= x - 1e-9 for x, y in zip(a, b, strict=True)), rows
    assert rows[-1] > rows[0]


def test_stiffer_material_never_bends_more() -> None:
    found = []
    # In the order of Young's modulus: 2.5, 3, 70, 97, 200, 210 GPa (data/materials.toml).
    for name, modulus in (("acetal", 0), ("PLA", 1), ("6082-T6", 2), ("CW614N", 3),
                          ("1.4305", 4), ("C45", 5)):  # fmt: skip
        pen = plug_pen(wishes={"material": name})
        stiffness = verdict_of(fixed(pen, SHOP)[0]).stiffness
        assert stiffness is not None
        found.append((modulus, stiffness.away.tool, stiffness.up.tool))
    for a, b in itertools.pairwise(found):
        assert b[1] <= a[1]
        assert b[2] <= a[2]


def test_a_worse_tap_never_gives_a_better_verdict() -> None:
    rows = []
    for made in ("single-point", "guided", "freehand"):
        pen = plug_pen(made=made, face=made)
        v = verdict_of(fixed(pen, SHOP)[0])
        assert v.truth.wall is not None
        rows.append((v.truth.step.states.tight.worst, v.truth.runout_seat.tight.worst,
                     v.truth.runout_end.tight.worst, -v.truth.wall.worst,
                     len(v.conflicts)))  # fmt: skip
    for a, b in itertools.pairwise(rows):
        assert all(y >= x - 1e-9 for x, y in zip(a, b, strict=True)), rows
    assert rows[-1] > rows[0]


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    pens(),
    st.sampled_from(["11SMn30", "6082-T6", "acetal", "PETG"]),
    st.booleans(),
)
def test_every_pen_gets_a_verdict_that_makes_sense(pen: Pen, stuff: str, tailstock: bool) -> None:
    wishes = pen.mandrels.defaults.model_copy(update={"material": stuff})
    use = pen.mandrels.use.model_copy(update={"tailstock": tailstock})
    wanted = pen.mandrels.model_copy(update={"defaults": wishes, "use": use})
    for d in designs(pen.model_copy(update={"mandrels": wanted}), SHOP):
        if d.mandrel is None:
            assert d.verdict is None
            continue
        v = verdict_of(d)
        t = v.truth
        for s in (t.step.states, t.runout_seat, t.runout_end):
            assert 0 <= s.tight.statistical <= s.tight.worst + 1e-12
            assert s.tight.worst <= s.loose.worst + 1e-12
        assert t.remount.worst <= t.regripped.worst * 2 + 1e-12
        text = json.dumps(verdict_view(v), allow_nan=False)
        assert len(paragraph(v)) >= 2
        assert '"budget"' in text
        if v.stiffness is not None and v.speed is not None:
            assert v.stiffness.up.tool <= v.stiffness.away.tool
            assert v.speed.allowed <= SHOP.lathe.max_speed
            plastic = stuff in ("acetal", "PETG")
            assert (v.life is not None) is plastic
            if plastic:
                assert v.speed.allowed == 0  # no speed was stated
        for g in v.gaps:
            if g.kind == "seat":
                assert g.least >= -1e-6, g
