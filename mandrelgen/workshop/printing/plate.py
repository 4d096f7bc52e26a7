"""Several pieces side by side on the bed, each with marks cut into its outside."""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.half_section import Profile


@dataclass(frozen=True, slots=True, kw_only=True)
class Notches:
    """``count`` upright grooves, ``wide`` and ``deep`` mm, side by side on the outside of radius
    ``radius``, from ``z0`` to ``z1``; a longer one in front of them shows where to begin."""

    count: int
    radius: float
    wide: float
    deep: float
    z0: float
    z1: float


@dataclass(frozen=True, slots=True)
class PlatePiece:
    """One turned piece of a plate: where its axis stands, and its marks."""

    name: str
    profile: Profile
    x: float
    y: float
    marks: Notches | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleBlock:
    """A flat block with upright through holes in a row, mm: (diameter, x) each, from its middle."""

    name: str
    length: float
    width: float
    height: float
    holes: tuple[tuple[float, float], ...]
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Plate:
    """Everything that is printed at once."""

    pieces: tuple[PlatePiece, ...]
    blocks: tuple[HoleBlock, ...] = ()
