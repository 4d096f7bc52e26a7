"""Random designs become exact solids: the closed form, the bounding box and one solid each."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.geometry.kernel import build, measure
from mandrelgen.geometry.mesh import build as mesh_build
from mandrelgen.geometry.mesh import exact
from mandrelgen.model.half_section import outline
from mandrelgen.spec.pen import Pen
from tests.support.randompens import SHOP, pens


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(pens())
def test_random_designs_are_exact_solids_and_agreeing_meshes(pen: Pen) -> None:
    for d in designs(pen, SHOP):
        if d.mandrel is None:
            continue
        profile = outline(d.mandrel)
        wanted = exact.volume(profile)
        solid = build.build(profile)
        assert measure.count_solids(solid) == 1
        assert measure.volume(solid) == pytest.approx(wanted, rel=1e-6)
        low, high = measure.bounding_box(solid)[2], measure.bounding_box(solid)[5]
        assert (low, high) == pytest.approx(
            (d.mandrel.outer[0].z0, d.mandrel.outer[-1].z1), abs=1e-5
        )
        assert mesh_build.build(profile).volume == pytest.approx(wanted, rel=2e-3)
