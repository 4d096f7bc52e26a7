"""What a spigot in front of a thread needs: a groove where the threading tool would score it, room
for the maker's die, and no more."""

from __future__ import annotations

import pytest

from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import plan
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import MandrelRequest
from tests.support.judged_pens import starters

# The least root of an M11x0.75-6g screw by ISO 965-1, worked by hand: d2 10.513 less es 0.022, less
# T_d2 0.100, less d2 - d3 = 0.61343 P = 0.460 (rounded roots go a little lower) is 9.931.
ROOT = 9.93


def designed(spigot: float, **wishes: object) -> Designed:
    """The wren's cap on a plug with a spigot of that diameter, asked for by name."""
    pen, shop = starters("wren")
    asked = {"id": "x", "holds": "cap.mouth.internal", "spigot_diameter": spigot, **wishes}
    requests = (MandrelRequest.model_validate(asked),)
    wanted = pen.model_copy(
        update={"mandrels": pen.mandrels.model_copy(update={"requests": requests})}
    )
    (p,) = [p for p in plan(wanted) if p.id == "x"]
    return design_one(wanted, shop, p, ToleranceChoice())


def plug(spigot: float) -> Mandrel:
    """The mandrel itself."""
    made = designed(spigot).mandrel
    assert made is not None
    return made


@pytest.mark.parametrize("spigot", [9.4, 9.6, 9.7, 9.8, 9.85, 9.9, 9.92, 9.95, 10.1])
def test_a_groove_is_cut_where_the_tool_would_meet_the_spigot_and_nowhere_else(
    spigot: float,
) -> None:
    m = plug(spigot)
    root = m.threads[0].limits.minor.min
    assert root == pytest.approx(ROOT, abs=0.002)
    ids = {c.id for c in m.characteristics}
    grooved = "runin.diameter" in ids
    assert grooved is (spigot > ROOT - 0.02)
    said = [d.why for d in m.decisions if d.id == "runin.diameter"]
    if grooved:
        assert f"the spigot ⌀{spigot:g} is not 0.02 below the screw's root" in said[0]
    chamfer = next(s for s in m.outer if s.feature == "chamfer")
    # 45 degrees, whichever diameter it runs down to; and nothing steps up behind it but a groove's
    # far side.
    assert chamfer.d0 - chamfer.d1 == pytest.approx(2 * (chamfer.z1 - chamfer.z0), abs=1e-9)
    behind = m.outer[m.outer.index(chamfer) + 1]
    assert behind.d0 <= chamfer.d1 + 1e-9
    assert ("chamfer.diameter" in ids) is (behind.feature == "spigot1" and behind.d0 < chamfer.d1)


def test_a_blank_leaves_the_makers_die_the_room_that_a_sent_die_gets() -> None:
    """The die's teeth come down to the root: a spigot of 9.95 is over it, and no die passes."""
    pen, shop = starters("wren")
    sizes = {}
    for order in ("single-point", "my-tool", "blank"):
        asked = {
            "id": "x",
            "holds": "cap.mouth.internal",
            "spigot_length": 8,
            "thread_order": order,
        }
        requests = (MandrelRequest.model_validate(asked),)
        wanted = pen.model_copy(
            update={"mandrels": pen.mandrels.model_copy(update={"requests": requests})}
        )
        (p,) = [p for p in plan(wanted) if p.id == "x"]
        m = design_one(wanted, shop, p, ToleranceChoice()).mandrel
        assert m is not None
        sizes[order] = m.characteristic("spigot1.diameter").upper or 0.0
        assert ("spigot.die" in {d.id for d in m.decisions}) is (order != "single-point")
    assert sizes["single-point"] > ROOT
    assert sizes["blank"] == sizes["my-tool"] < ROOT


@pytest.mark.parametrize("order", ["my-tool", "blank"])
def test_a_spigot_that_the_makers_die_cannot_pass_is_refused(order: str) -> None:
    made = designed(9.95, thread_order=order)
    assert made.mandrel is None
    assert "spigot.forced" in {f.code for f in made.findings}
