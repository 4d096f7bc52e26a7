"""Profile -> cadquery solid."""

from __future__ import annotations

from dataclasses import replace

import cadquery as cq

from mandrelgen.geometry.brep.describe import describe
from mandrelgen.geometry.brep.flats import Beyond
from mandrelgen.geometry.kernel.make_solid import solid
from mandrelgen.geometry.thread_surface import flat_bounds
from mandrelgen.model.half_section import Profile, plain


def build(profile: Profile) -> cq.Solid:
    """The solid of a profile, threads modelled, flats cut; axis +Z = the profile's z, mm.

    Raises ValueError, naming the feature, if a thread cannot be modelled (see
    thread_surface.unroll) or flats cannot be cut.
    """
    try:
        return solid(describe(profile))
    except Beyond:
        return cut_flats(solid(describe(replace(profile, flats=None))), profile)


def build_plain(profile: Profile) -> cq.Solid:
    """As ``build``, with every thread a plain cylinder at its crest: major diameter outside,
    minor diameter inside."""
    return build(plain(profile))


def cut_flats(body: cq.Solid, profile: Profile) -> cq.Solid:
    """Cut two flats, normal to X, through anything, with one boolean."""
    low, high, half = flat_bounds(profile)
    far = 2 + max(half, *(max(f.r0, f.r1) for f in profile.faces))
    tools = [
        cq.Solid.makeBox(far - half, 2 * far, high - low, cq.Vector(x, -far, low))
        for x in (half, -far)
    ]
    left = body.cut(*tools).Solids()
    if not left:
        raise ValueError(f"the spanner flats, {2 * half:g} mm across, cannot be cut")
    return left[0]


def revolved(profile: Profile) -> cq.Solid:
    """The half-section revolved by the kernel: threads as plain cylinders at their crest, flats
    cut. It shares nothing with the boundary that the STEP file is written from (``brep``): a second
    opinion on every plain feature."""
    ring = [(f.r0, f.z0) for f in profile.faces]
    if not profile.closed:
        last = profile.faces[-1]
        ring.append((last.r1, last.z1))
    body = turned(tuple((z, r) for r, z in ring))
    return body if profile.flats is None else cut_flats(body, profile)


def turned(ring: tuple[tuple[float, float], ...]) -> cq.Solid:
    """The body of a closed half-section of corners (z, r), mm, turned about the z axis."""
    points = [(r, z) for z, r in ring]
    # The workplane XZ has x = r and y = z, so its second axis is the part's.
    made = cq.Workplane("XZ").polyline(points).close().revolve(360, (0, 0, 0), (0, 1, 0))
    return made.val().Solids()[0]
