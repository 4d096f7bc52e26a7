"""The data files of workshop practice: every value marked, in its bounds, and under the bounds
that physics sets (manners.toml and loads.toml). There is no published source for them; what can be
checked is checked."""

from __future__ import annotations

import math
import re

import pytest

from mandrelgen.mechanics.practice import assumed, manner, power_bound, tool_load
from mandrelgen.spec.pen import Manner
from mandrelgen.standards.tables import load

BASES = ("common practice, no source", "from memory")
ESTIMATE = re.compile(r"\w.+: an estimate")  # of what it is one


def _assumptions(node: object) -> list[dict[str, object]]:
    if not isinstance(node, dict):
        return []
    if "basis" in node:
        return [node]
    return [found for child in node.values() for found in _assumptions(child)]


@pytest.mark.parametrize("name", ["manners", "loads"])
def test_every_value_names_its_basis(name: str) -> None:
    """No bare number: each stands beside its basis."""
    table = load(name)
    found = _assumptions(table)
    assert len(found) >= 20
    for row in found:
        basis = str(row["basis"])
        known = basis in BASES or basis.startswith("DIN 6499: ")
        assert known or ESTIMATE.fullmatch(basis), row

    def bare(node: object, inside: bool) -> bool:
        if isinstance(node, dict):
            return any(bare(v, inside or "basis" in node) for v in node.values())
        return isinstance(node, int | float) and not inside

    assert not bare(table, False)


@pytest.mark.parametrize("made", list(Manner))
def test_manner_for_every_way_of_cutting(made: Manner) -> None:
    """Bounds: a face out of square by no more than 0.05, a hand tap leans up to 0.3 degrees, a
    drilled bore of 60 to 80 drifts 0.1 to 0.3 (common practice, no source)."""
    m = manner(made.value)
    assert 0 < m.face_squareness.value <= 0.05
    assert 0 < m.thread_tilt.value <= 0.3
    assert 0 < m.bore_drift.value <= 0.3 / 60
    assert 0 < m.bore_oversize.value <= 0.2


def test_manners_in_order() -> None:
    """Guided is never worse than by hand, cut with a single point never worse than guided."""
    for better, worse in (("guided", "freehand"), ("single-point", "guided"),
                          ("reamed", "drilled"), ("bored", "reamed")):  # fmt: skip
        a, b = manner(better), manner(worse)
        assert a.face_squareness.value <= b.face_squareness.value
        assert a.thread_tilt.value <= b.thread_tilt.value
        assert a.bore_drift.value <= b.bore_drift.value
    drifts = [manner("drilled").bore_drift.value * z for z in (60, 80)]
    assert all(0.1 <= d <= 0.3 + 1e-9 for d in drifts)


def test_loads_under_the_motor_s_bound() -> None:
    """No steady load above what 370 W gives at 1500 rev/min on 13 mm; normal work lies in the
    chip estimate's 10 to 60 N (plastics 100 to 300 N/mm² on 0.05 to 0.3 mm²)."""
    force, torque = power_bound(370, 1500, 13)
    normal, heavy, catch = (tool_load(n) for n in ("normal", "heavy", "catch"))
    assert normal.force < heavy.force < catch.force < force
    assert normal.torque < heavy.torque < catch.torque < torque
    assert 10 <= normal.force <= 60
    assert (normal.force, heavy.force, catch.force, catch.torque) == (50, 100, 200, 2)


def test_speed_life_and_friction_rules() -> None:
    """Start at 500 or less, never above 1000 to 1500; 3 to 4 diameters free; a hand gives 1 to
    2 N·m; 5 to 10 pens; friction from waxed 0.05 to dry 0.2 (from memory, common practice)."""
    assert assumed("speed", "plastic_start").value <= 500
    assert assumed("speed", "printed_cap").value <= 1000
    assert assumed("speed", "plastic_cap").value <= 1500
    assert 1 <= assumed("speed", "hand_torque").value <= 2
    assert assumed("speed", "strap_torque").value == 2 * assumed("speed", "hand_torque").value
    assert 0 < assumed("speed", "whirl_fraction").value <= 0.7
    low, high = assumed("life", "pens_low").value, assumed("life", "pens_high").value
    assert (low, high) == (5, 10)
    for name in ("thread", "seat", "waxed", "collet"):
        assert 0.05 <= assumed("friction", name).value <= 0.2
    assert assumed("friction", "thread").value < math.tan(math.radians(15))
    assert assumed("safety", "printed").value >= 3
    assert 2 <= assumed("notch", "thread").value <= 3
    with pytest.raises(KeyError):
        manner("chewed")
    with pytest.raises(ValueError, match="above 0"):
        power_bound(0, 1, 1)
