"""Turned stretches made ready for the bed: foot, undersides, walls. Pure functions on stretches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.feature import Feature, FeatureKind
from mandrelgen.model.half_section import TOUCH, Profile, chain
from mandrelgen.model.mandrel import Flats, Stretch
from mandrelgen.workshop.printing.printer import Printer, rule

# Stretches the spindle holds or the maker sees; everything else enters or takes the pen's part.
_K = FeatureKind
HELD = (_K.REAR, _K.SHANK, _K.NECK, _K.COLLAR, _K.HANDLE, _K.BODY)
# Left of a groove below an added cone, mm.
_REST = 0.2


@dataclass(frozen=True, slots=True)
class PrintedShape:
    """A part as stretches, ready for :func:`mandrelgen.model.half_section.chain`."""

    outer: tuple[Stretch, ...]
    inner: tuple[Stretch, ...] = ()
    flats: Flats | None = None

    def profile(self) -> Profile:
        """The half-section. Raises ValueError as ``chain`` does."""
        return chain(self.outer, self.inner, self.flats)

    @property
    def height(self) -> float:
        """From the bed to the top, mm."""
        return self.outer[-1].z1 - self.outer[0].z0


@dataclass(frozen=True, slots=True)
class PrintedWall:
    """The thinnest wall between outside and bore, mm, and where (z)."""

    value: float
    z: float


def held(feature: Feature) -> bool:
    """True for a stretch that neither enters nor takes the pen's part."""
    return feature.is_whole(*HELD)


def ready(shape: PrintedShape, printer: Printer) -> tuple[PrintedShape, tuple[str, ...]]:
    """``shape`` with walls thick enough, undersides carried and the foot eased; and what was done,
    in words."""
    said: list[str] = []
    out = _thicken(shape, printer, said)
    out = _carry(out, printer, said)
    return _foot(out, printer, said), tuple(said)


def thinnest(shape: PrintedShape, foot: float = 0.0) -> PrintedWall | None:
    """The thinnest wall; None for a solid part. Threads count at their roots; the lowest ``foot``
    mm, eased because the first layers spread, do not count."""
    found = [PrintedWall(value, z) for z, value, _, _ in _walls(shape, foot)]
    return min(found, key=lambda w: w.value) if found else None


def _walls(
    shape: PrintedShape, foot: float = 0.0
) -> Iterator[tuple[float, float, Stretch, Stretch]]:
    bed = shape.outer[0].z0 + foot
    for o in shape.outer:
        for i in shape.inner:
            low, high = max(o.z0, i.z0, bed), min(o.z1, i.z1)
            if high - low < TOUCH:
                continue
            for z in (low, high):
                yield z, (_at(o, z) - _at(i, z)) / 2, o, i


def bores(inner: tuple[Stretch, ...]) -> list[list[Stretch]]:
    """Touching stretches joined to bores, by rising z."""
    found: list[list[Stretch]] = []
    for s in sorted(inner, key=lambda s: s.z0):
        if found and abs(found[-1][-1].z1 - s.z0) < TOUCH:
            found[-1].append(s)
        else:
            found.append([s])
    return found


def _at(s: Stretch, z: float) -> float:
    """Diameter at ``z``; a thread's root."""
    if s.thread is not None:
        return s.thread.root_diameter
    return s.d0 + (s.d1 - s.d0) * (z - s.z0) / (s.z1 - s.z0)


def _thicken(shape: PrintedShape, printer: Printer, said: list[str]) -> PrintedShape:
    """Where a wall is too thin to print: enlarge a plain outside that no part touches, else narrow
    a bore that takes no thread."""
    thin = [w for w in _walls(shape) if w[1] < printer.least_wall - 1e-9]
    more: dict[str, float] = {}
    for _, value, o, _ in thin:
        if held(o.feature) and o.thread is None:
            more[o.feature] = max(more.get(o.feature, 0.0), printer.least_wall - value)
    for name, by in more.items():
        wall = f"a wall of {printer.least_wall:g}"
        said.append(f"{name}: outside enlarged by {2 * by:.2f} for {wall}")
    outer = tuple(_wider(s, 2 * more.get(s.feature, 0.0)) for s in shape.outer)
    inner: list[Stretch] = []
    for bore in bores(shape.inner):
        less = max(
            (printer.least_wall - v for _, v, o, i in thin if i in bore and o.feature not in more),
            default=0.0,
        )
        if less > 0 and all(s.thread is None and min(s.d0, s.d1) > 2 * less for s in bore):
            said.append(
                f"{bore[-1].feature}: narrowed by {2 * less:.2f} for a wall of "
                f"{printer.least_wall:g}"
            )
            bore = [_wider(s, -2 * less) for s in bore]
        inner += bore
    return replace(shape, outer=outer, inner=tuple(inner))


def _wider(s: Stretch, by: float) -> Stretch:
    return replace(s, d0=s.d0 + by, d1=s.d1 + by) if by else s


def _carry(shape: PrintedShape, printer: Printer, said: list[str]) -> PrintedShape:
    """Put a 45° cone under every step that would hang in the air, but not on the shank."""
    free = rule(printer.kind, "overhang") * printer.feature
    outer: list[Stretch] = []
    for i, s in enumerate(shape.outer):
        above = shape.outer[i + 1] if i + 1 < len(shape.outer) else None
        width = 0.0 if above is None else (above.d0 - s.d1) / 2
        plain = s.thread is None and s.d0 == s.d1 and not s.feature.is_whole(FeatureKind.SHANK)
        if above is None or width <= free or not plain or s.z1 - s.z0 < width + _REST:
            outer.append(s)
            continue
        foot = s.z1 - width
        outer.append(replace(s, z1=foot))
        outer.append(
            Stretch(feature=Feature(f"{s.feature}.cone"), z0=foot, z1=s.z1, d0=s.d1, d1=above.d0)
        )
        said.append(f"{above.feature}: underside of {width:.2f} carried by a cone of 45°")
    return replace(shape, outer=tuple(outer))


def _foot(shape: PrintedShape, printer: Printer, said: list[str]) -> PrintedShape:
    """Chamfer the edges on the bed, which the first layers spread."""
    f = printer.foot
    if f <= 0:
        return shape
    first, outer, inner = shape.outer[0], shape.outer, list(shape.inner)
    if first.thread is None and first.d0 == first.d1 and first.z1 - first.z0 > f:
        outer = (
            Stretch(
                feature=first.feature,
                z0=first.z0,
                z1=first.z0 + f,
                d0=first.d0 - 2 * f,
                d1=first.d0,
            ),
            replace(first, z0=first.z0 + f),
            *outer[1:],
        )
        said.append(f"foot: {f:g} × 45° at the bed")
    for k, s in enumerate(inner):
        plain = s.thread is None and s.d0 == s.d1
        if abs(s.z0 - first.z0) < TOUCH and plain and s.z1 - s.z0 > f:
            inner[k : k + 1] = [
                Stretch(feature=s.feature, z0=s.z0, z1=s.z0 + f, d0=s.d0 + 2 * f, d1=s.d0),
                replace(s, z0=s.z0 + f),
            ]
            break
    return replace(shape, outer=outer, inner=tuple(inner))
