"""A three-start threaded solid: written topology against the best boolean recipe in cadquery.

The recipe is the best of those tried: ruled faces between helices make one ridge for each start,
the ridges are fused to the core in parallel, and the ends are cut with cones.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from mandrelgen.geometry.kernel import build, measure
from mandrelgen.model.half_section import Profile, chain
from mandrelgen.model.mandrel import Stretch, ThreadForm

LENGTH = 8.0


def form(starts: int, external: bool, left: bool) -> ThreadForm:
    """M12 × 0.8 with ``starts`` starts, about the middle of its limits."""
    crest, root = (11.9, 10.97) if external else (11.2, 12.12)
    return ThreadForm(
        external=external,
        starts=starts,
        pitch=0.8,
        left_hand=left,
        crest_diameter=crest,
        pitch_diameter=11.45 if external else 11.52,
        root_diameter=root,
    )


def profile(thread: ThreadForm, length: float = LENGTH) -> Profile:
    """A short piece with one thread of ``length`` mm between 45° cones."""
    c, r = thread.crest_diameter, thread.root_diameter
    if thread.external:
        foot = r - 0.4
        cone = (c - foot) / 2
        z = [0.0, 3.0, 3.0 + cone, 3.0 + cone + length, 3.0 + 2 * cone + length]
        outer = (
            Stretch(feature="core", z0=z[0], z1=z[1], d0=foot, d1=foot),
            Stretch(feature="in", z0=z[1], z1=z[2], d0=foot, d1=c),
            Stretch(feature="thread", z0=z[2], z1=z[3], d0=c, d1=c, thread=thread),
            Stretch(feature="out", z0=z[3], z1=z[4], d0=c, d1=foot),
        )
        return chain(outer, ())
    mouth = r + 0.4
    cone = (mouth - c) / 2
    z = [0.0, cone, cone + length, 2 * cone + length]
    inner = (
        Stretch(feature="in", z0=z[0], z1=z[1], d0=mouth, d1=c),
        Stretch(feature="thread", z0=z[1], z1=z[2], d0=c, d1=c, thread=thread),
        Stretch(feature="out", z0=z[2], z1=z[3], d0=c, d1=mouth),
    )
    return chain((Stretch(feature="body", z0=z[0], z1=z[3], d0=16.0, d1=16.0),), inner)


def longer() -> tuple[Callable[[], None], Callable[[], None]]:
    """The three-start thread ten times as long, and as it is."""
    thread = form(3, True, False)
    short, long = profile(thread), profile(thread, 10 * LENGTH)

    def ours(p: Profile) -> Callable[[], None]:
        def run() -> None:
            build.build(p)

        return run

    return ours(long), ours(short)


def pairs() -> Iterator[tuple[str, Callable[[], None], Callable[[], None]]]:
    """Name, our way, the boolean way; each result is checked once against the closed form."""
    from mandrelgen.geometry.mesh import exact

    for starts, left in ((3, False), (3, True), (1, False)):
        part = profile(form(starts, True, left))
        wanted = exact.volume(part)
        off = abs(measure.volume(build.build(part)) / wanted - 1)
        assert off < 1e-6, off

        def ours(p: Profile = part) -> None:
            build.build(p)

        def theirs(n: int = starts, hand: bool = left) -> None:
            boolean(form(n, True, hand))

        hand = "left" if left else "right"
        yield f"thread solid, {starts} starts, {hand}: times faster", ours, theirs


def boolean(thread: ThreadForm) -> object:
    """The same external piece by ruled ridges, one fuse and a cut of the ends."""
    import cadquery as cq

    c, r = thread.crest_diameter / 2, thread.root_diameter / 2
    foot = r - 0.2
    cone = c - foot
    z0, z1 = 3.0 + cone, 3.0 + cone + LENGTH
    low, high = z0 - 2 * thread.lead, z1 + 2 * thread.lead
    core = cq.Solid.makeCylinder(r, high - low, cq.Vector(0, 0, low))
    ridges = [_ridge(thread, low, high, start) for start in range(thread.starts)]
    body = core.fuse(*ridges)
    blank = (
        cq.Workplane("XZ")
        .polyline(
            [(0, 0), (foot, 0), (foot, 3.0), (c, z0), (c, z1), (foot, z1 + cone), (0, z1 + cone)]
        )
        .close()
        .revolve(360, (0, 0), (0, 1))
        .val()
    )
    return blank.intersect(body)


def _ridge(thread: ThreadForm, low: float, high: float, start: int) -> object:
    import cadquery as cq

    c, r = thread.crest_diameter / 2, thread.root_diameter / 2 - 0.02
    tan = math.tan(math.radians(30))
    half_crest = thread.crest_flat / 2
    half_root = half_crest + (c - r) * tan
    shift = start * thread.pitch
    corners = [(r, -half_root), (r, half_root), (c, half_crest), (c, -half_crest)]
    helices = [
        cq.Wire.makeHelix(
            thread.lead, high - low - thread.lead, radius, lefthand=thread.left_hand
        ).moved(cq.Location(cq.Vector(0, 0, low + z + shift)))
        for radius, z in corners
    ]
    sides = [
        cq.Face.makeRuledSurface(a, b)
        for a, b in zip(helices, [*helices[1:], helices[0]], strict=True)
    ]
    ends = []
    for at in (0.0, 1.0):
        points = [h.positionAt(at) for h in helices]
        ends.append(cq.Face.makeFromWires(cq.Wire.makePolygon([*points, points[0]])))
    return cq.Solid.makeSolid(cq.Shell.makeShell([*sides, *ends]))
