"""Profile -> the kernel's solid."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from mandrelgen.geometry.brep.describe import describe
from mandrelgen.geometry.brep.flats import Beyond
from mandrelgen.geometry.thread_surface import flat_bounds
from mandrelgen.model.half_section import Profile, plain

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Solid


def build(profile: Profile) -> TopoDS_Solid:
    """The solid of a profile, threads modelled, flats cut; axis +Z = the profile's z, mm.

    Raises ValueError, naming the feature, if a thread cannot be modelled (see patches.unroll) or
    flats cannot be cut.
    """
    from mandrelgen.geometry.kernel.make_solid import solid

    try:
        return solid(describe(profile))
    except Beyond:
        return _cut_flats(solid(describe(replace(profile, flats=None))), profile)


def build_plain(profile: Profile) -> TopoDS_Solid:
    """As ``build``, with every thread a plain cylinder at its crest: major diameter outside,
    minor diameter inside."""
    return build(plain(profile))


def _cut_flats(solid: TopoDS_Solid, profile: Profile) -> TopoDS_Solid:
    """Cut two flats, normal to X, through anything, with one boolean."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Pnt
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_ListOfShape

    low, high, half = flat_bounds(profile)
    far = 2 + max(max(f.r0, f.r1) for f in profile.faces)
    tools, bodies = TopTools_ListOfShape(), TopTools_ListOfShape()
    bodies.Append(solid)
    for a, b in ((half, far), (-far, -half)):
        tools.Append(BRepPrimAPI_MakeBox(gp_Pnt(a, -far, low), gp_Pnt(b, far, high)).Shape())
    operation = BRepAlgoAPI_Cut()
    operation.SetArguments(bodies)
    operation.SetTools(tools)
    operation.Build()
    found = TopExp_Explorer(operation.Shape(), TopAbs_SOLID)
    if not operation.IsDone() or not found.More():
        raise ValueError(f"the spanner flats, {2 * half:g} mm across, cannot be cut")
    return TopoDS.Solid_s(found.Current())
