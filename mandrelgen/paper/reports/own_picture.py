"""A small picture of a mandrel with letters in place of sizes: what the table beside it says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Drawn, Fill, Line, LineStyle, Text
from mandrelgen.paper.drawing.views import main_view, radius_at
from mandrelgen.paper.reports.plots import LETTERS, PITCH, Placed
from mandrelgen.workshop.home.own_sizes import OwnSize

SCALES = (3.0, 2.0, 1.5, 1.0, 0.5)
# Largest picture, mm on paper; rows of dimension lines; letters of neighbours stay this far apart;
# how much of the rod is shown behind what is turned, mm.
WIDE, TALL = 56.0, 32.0
ROW, APART, AIR = 4.6, 4.0, 2.0
STUB = 4.0
_ARROW = 1.6
# A length shorter than this has its letter beside it, this far out; half of what a letter takes.
SHORT, OUT, HALF = 7.8, 4.8, 1.6


def picture(m: Mandrel, sizes: Sequence[OwnSize], rod: str, left: float, right: float) -> Placed:
    """(height, drawn with its top at y = 0): the mandrel, diameters lettered above, lengths below;
    ``rod``: what goes on behind it."""
    m = _front(m)
    long = m.outer[-1].z1 - m.outer[0].z0
    widest = max(max(s.d0, s.d1) for s in m.outer)
    f = next((x for x in SCALES if long * x <= WIDE and widest * x <= TALL), SCALES[-1])
    top = widest / 2 * f
    drawn: list[Drawn] = [
        *main_view(m, outline(m), f),
        *_diameters(m, [s for s in sizes if s.diameter], top, f),
    ]
    lengths, rows = _lengths(m, [s for s in sizes if not s.diameter], top, f)
    drawn += lengths
    scale = f"{f:g}:1" if f >= 1 else f"1:{1 / f:g}"
    head = top + 3.0 + LETTERS + 1.0
    height = head + top + AIR + rows * ROW + 2.0
    x = right - 4.0 - m.outer[-1].z1 * f
    words = (f"scale {scale};", f"the {rod} goes", "on to the left")
    said = (Text((left, -head - 2.0 - i * PITCH), t, LETTERS) for i, t in enumerate(words))
    return height, (*said, *(d.moved(x, -head) for d in drawn))


def _front(m: Mandrel) -> Mandrel:
    """What is turned, and a stub of the rod behind it; a centre hole in the rear is not made."""
    shank = next(s for s in m.outer if s.feature == "shank")
    row = [s for s in m.outer if s.z1 > shank.z1 + 1e-9]
    inner = [s for s in m.inner if s.feature.detail != "rear"]
    deepest = min([shank.z1, *(s.z0 for s in inner if s.feature.kind is not FeatureKind.BORE)])
    start = max(deepest - STUB, shank.z0)
    return replace(
        m,
        outer=(replace(shank, z0=start), *row),
        inner=tuple(replace(s, z0=max(s.z0, start)) for s in inner),
        centre_holes=tuple(h for h in m.centre_holes if h.at != "rear"),
    )


def _diameters(m: Mandrel, sizes: Sequence[OwnSize], top: float, f: float) -> list[Drawn]:
    """Letters in one row above, each with a line down to the stretch it means."""
    wanted = sorted((sum(s.stations) / 2 * f, s) for s in sizes) if sizes else []
    xs = _spread([x for x, _ in wanted])
    drawn: list[Drawn] = []
    for (at, s), x in zip(wanted, xs, strict=True):
        z = at / f
        inside = s.id.partition(".")[0] in {i.feature for i in m.inner}
        y = _depth(m, s, z) * f if inside else radius_at(m, z) * f
        drawn += [
            Line(((at, y), (at, top + 1.0), (x, top + 3.0)), LineStyle.DIM),
            Text((x, top + 3.6), s.mark, LETTERS, "middle"),
        ]
    return drawn


def _depth(m: Mandrel, s: OwnSize, z: float) -> float:
    """Radius of the bore that a size inside means."""
    return next((i.d0 / 2 for i in m.inner if i.z0 - 1e-9 <= z <= i.z1 + 1e-9), 0.0)


def _spread(xs: list[float]) -> list[float]:
    """The places of letters, in order, pushed apart as little as it takes."""
    out: list[float] = []
    for x in xs:
        out.append(x if not out else max(x, out[-1] + APART))
    for i in range(len(out) - 1, -1, -1):
        later = out[i + 1] - APART if i + 1 < len(out) else out[i]
        out[i] = min(out[i], max(later, xs[i] - APART))
    return out


def _lengths(m: Mandrel, sizes: Sequence[OwnSize], top: float, f: float) -> tuple[list[Drawn], int]:
    """Dimension lines below, the shortest next to the view; and how many rows they take."""
    rows: list[list[tuple[float, float]]] = []
    drawn: list[Drawn] = []
    stands = sorted({round(z * f, 6) for s in sizes for z in s.stations})
    for s in sorted(sizes, key=lambda s: abs(s.stations[1] - s.stations[0])):
        a, b = sorted(z * f for z in s.stations)
        at = _letter(a, b, stands)
        c, d = min(a, at - 2.0), max(b, at + 2.0)
        n = next((i for i, row in enumerate(rows) if all(d + 1 < u or c > v + 1 for u, v in row)),
                 len(rows))  # fmt: skip
        if n == len(rows):
            rows.append([])
        rows[n].append((c, d))
        drawn += _dimension(m, (a, b), at, -top - AIR - (n + 0.6) * ROW, s.mark, f)
    return drawn, len(rows)


def _letter(a: float, b: float, stands: Sequence[float]) -> float:
    """Where the letter of a length from ``a`` to ``b`` stands: in its middle, or beside a short one
    where no line that comes down from the view (at ``stands``) passes through it."""
    free = (a + b) / 2
    places = [free] if b - a >= SHORT else []
    for k in range(12):
        places += [b + OUT + k * 1.0, a - OUT - k * 1.0]
    return next((x for x in places if all(abs(x - z) > HALF for z in stands)), b + OUT)


def _dimension(
    m: Mandrel, ends: tuple[float, float], at: float, y: float, mark: str, f: float
) -> list[Drawn]:
    a, b = ends
    drawn: list[Drawn] = [
        Line(((x, -radius_at(m, x / f) * f), (x, y - 0.8)), LineStyle.DIM) for x in (a, b)
    ]
    within = a < at < b
    out = 1.0 if within else -1.0
    for x, way in ((a, 1.0), (b, -1.0)):
        tip = x + way * out * _ARROW
        drawn.append(Fill(((x, y), (tip, y + 0.3), (tip, y - 0.3)), LineStyle.DIM))
    line: tuple[tuple[float, float], ...]
    if within:
        line = ((a, at - HALF), (at + HALF, b))
    elif at > b:
        line = ((a - 2 * _ARROW, at - HALF),)
    else:
        line = ((at + HALF, b + 2 * _ARROW),)
    drawn += [Line(((u, y), (v, y)), LineStyle.DIM) for u, v in line]
    return [*drawn, Text((at, y - LETTERS / 2), mark, LETTERS, "middle")]
