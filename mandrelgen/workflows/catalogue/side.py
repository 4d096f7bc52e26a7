"""What the page shows of a fixture's shape without its model: a plain side view, its length, and
the name its model has. Loads no arrays: a page is made by commands that need none.
"""

from __future__ import annotations

from itertools import pairwise

from mandrelgen.archive.design_hash import canonical_hash, plain
from mandrelgen.core.frozen import dataclass
from mandrelgen.files.writers.picture_view import shaded_width
from mandrelgen.model.mandrel import Mandrel, Stretch


@dataclass(frozen=True, slots=True, kw_only=True)
class SideView:
    """Polygons and lines in mm as SVG coordinates, x along the axis; ``box`` is the view box."""

    box: str
    body: str
    edges: tuple[str, ...]
    bores: tuple[str, ...]
    roots: tuple[str, ...]
    axis: str


def model_name(mandrel: Mandrel) -> str:
    """The name of a mandrel's model: a hash of the shape, so that like ones share one."""
    return canonical_hash([plain(mandrel.outer), plain(mandrel.inner)])[:16]


def length(mandrel: Mandrel) -> float:
    """From end to end, mm."""
    return mandrel.outer[-1].z1 - mandrel.outer[0].z0


def picture_width(mandrel: Mandrel, side: SideView | None) -> float:
    """How many mm the picture of a mandrel is wide: its side view, else its shaded picture."""
    if side is not None:
        return float(side.box.split()[2])
    return shaded_width([(z, d) for s in mandrel.outer for z, d in ((s.z0, s.d0), (s.z1, s.d1))])


def side_view(mandrel: Mandrel) -> SideView:
    """The outside seen from the side, bores as hidden lines, a thread's root as a thin line."""
    z0, z1 = mandrel.outer[0].z0, mandrel.outer[-1].z1
    radius = max(max(s.d0, s.d1) for s in mandrel.outer) / 2
    edge = 0.04 * (z1 - z0)
    top = [p for s in mandrel.outer for p in ((s.z0, s.d0 / 2), (s.z1, s.d1 / 2))]
    body = [(z, -r) for z, r in top] + [(z, r) for z, r in reversed(top)]
    threads = [s for s in (*mandrel.outer, *mandrel.inner) if s.thread is not None]
    low, high, height = z0 - edge, z1 + edge, radius + edge
    return SideView(
        box=f"{low:.3f} {-height:.3f} {high - low:.3f} {2 * height:.3f}",
        body=_points(body),
        edges=tuple(_across(b.z0, max(a.d1, b.d0)) for a, b in pairwise(mandrel.outer)),
        bores=tuple(line for s in mandrel.inner for line in _bore(s, z0, z1)),
        roots=tuple(line for s in threads for line in _roots(s)),
        axis=_points([(low, 0.0), (high, 0.0)]),
    )


def _points(points: list[tuple[float, float]]) -> str:
    return " ".join(f"{x:.3f},{y:.3f}" for x, y in points)


def _across(z: float, diameter: float) -> str:
    """An edge seen from the side."""
    return _points([(z, -diameter / 2), (z, diameter / 2)])


def _bore(s: Stretch, z0: float, z1: float) -> list[str]:
    """A stretch of a bore as hidden lines; its mouth lies in the outline."""
    sides = [_points([(s.z0, k * s.d0 / 2), (s.z1, k * s.d1 / 2)]) for k in (-1, 1)]
    ends = [(z, d) for z, d in ((s.z0, s.d0), (s.z1, s.d1)) if z0 < z < z1]
    return [*sides, *(_across(z, d) for z, d in ends)]


def _roots(s: Stretch) -> list[str]:
    assert s.thread is not None
    r = s.thread.root_diameter / 2
    return [_points([(s.z0, k * r), (s.z1, k * r)]) for k in (-1, 1)]
