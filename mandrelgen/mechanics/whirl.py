"""First bending frequency of a stepped mandrel, exact for stretches of constant section.

Transfer matrices of the Euler-Bernoulli beam with spread mass (Krylov functions); the clamp is
rigid, no gyroscopic effect, so a real collet whirls a little earlier: keep a margin. Units: mm,
N, tonnes; frequencies in Hz.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from mandrelgen.mechanics.beam import Segment

# Below this β·dz the series of the Krylov functions is exact to double precision (|error| < 1e-17).
_SMALL = 0.05
# The walk for the first root: start as a share of the upper bound, and factor between steps.
_LOWEST = 1e-6
_STEP = 1.08
# (β·length)² of a uniform cantilever's first frequency is 3.516 (cos x · cosh x = −1, x = 1.8751).
_CANTILEVER = 3.51

Vector = tuple[float, float, float, float]
# Length, EI, mass per length, whether it is propped at its end.
Piece = tuple[float, float, float, bool]


def first_frequency(segments: Sequence[Segment], prop: float | None = None) -> float:
    """First bending frequency, Hz, clamped at z = 0, free or propped at ``prop`` mm.

    Raises ValueError without a segment, with a massless beam or a prop outside it.
    """
    segs = tuple(segments)
    length = sum(s.length for s in segs)
    if not segs or any(s.mass <= 0 for s in segs):
        raise ValueError("a beam needs segments, each with a mass")
    if prop is not None and not 0 < prop <= length + 1e-9:
        raise ValueError(f"prop at {prop} is outside the beam (0 to {length})")
    return _lowest(_pieces(segs, prop))


@lru_cache(maxsize=512)
def _lowest(pieces: tuple[Piece, ...]) -> float:
    """The first frequency of a row of pieces, Hz; kept, since whoever tries what a change does to a
    pen asks again for every mandrel that it leaves as it was."""
    length = sum(p[0] for p in pieces)
    stiff, mass = [p[1] for p in pieces], [p[2] for p in pieces]
    # A uniform beam of the stiffest section and least mass whirls later; one prop lifts the first
    # frequency at most to the second (22.03 in this unit; Courant): a safe upper bound.
    top = 22.4 / length**2 * math.sqrt(max(stiff) / min(mass))
    # A uniform cantilever of the weakest section and greatest mass whirls earlier than any.
    bottom = _CANTILEVER / length**2 * math.sqrt(min(stiff) / max(mass))
    # Walk up in steps of 8 %: the first two frequencies of a mandrel lie much farther apart.
    low = top * _LOWEST
    while low * _STEP < bottom:
        low *= _STEP
    sign = _determinant(pieces, low)
    while low < top:
        high = low * _STEP
        if _determinant(pieces, high) * sign <= 0:
            return _bisect(pieces, low, high, sign) / (2 * math.pi)
        low = high
    raise ValueError("no bending frequency found below the bound")


def critical_speed(segments: Sequence[Segment], prop: float | None = None) -> float:
    """First whirling speed, revolutions per minute: 60 times :func:`first_frequency`."""
    return 60 * first_frequency(segments, prop)


def _pieces(segs: tuple[Segment, ...], prop: float | None) -> tuple[Piece, ...]:
    """(length, EI, mass per length, propped at its end) with the prop at a joint."""
    pieces, z = [], 0.0
    for seg in segs:
        end = z + seg.length
        if prop is not None and z + 1e-9 < prop < end - 1e-9:
            pieces.append((prop - z, seg.stiffness, seg.mass, True))
            pieces.append((end - prop, seg.stiffness, seg.mass, False))
        else:
            held = prop is not None and abs(end - prop) <= 1e-9
            pieces.append((seg.length, seg.stiffness, seg.mass, held))
        z = end
    return tuple(pieces)


def _determinant(pieces: tuple[Piece, ...], omega: float) -> float:
    """Zero at a natural frequency. Unknown at the clamp: moment and shear; where propped, the
    condition w = 0 takes one away and the reaction brings one back."""
    a: Vector = (0.0, 0.0, 1.0, 0.0)
    b: Vector = (0.0, 0.0, 0.0, 1.0)
    for length, stiffness, mass, held in pieces:
        krylov = _krylov(length, (mass * omega**2 / stiffness) ** 0.25)
        a, b = _carry(a, stiffness, krylov), _carry(b, stiffness, krylov)
        if held:
            # b[0]·a − a[0]·b has w = 0 here; its shear may be any, as the reaction's is unknown.
            a = (0.0, b[0] * a[1] - a[0] * b[1], b[0] * a[2] - a[0] * b[2], 0.0)
            b = (0.0, 0.0, 0.0, 1.0)
    return a[2] * b[3] - a[3] * b[2]


def _krylov(length: float, beta: float) -> tuple[float, ...]:
    """The four Krylov functions of a stretch, and the last three times β⁴."""
    x = beta * length
    if x < _SMALL:
        s, t, u, q = 1 + x**4 / 24, 1 + x**4 / 120, 1 + x**4 / 360, 1 + x**4 / 840
        k1, k2, k3, k4 = s, length * t, length**2 / 2 * u, length**3 / 6 * q
    else:
        ch, sh, co, si = math.cosh(x), math.sinh(x), math.cos(x), math.sin(x)
        k1 = (ch + co) / 2
        k2 = (sh + si) / (2 * beta)
        k3 = (ch - co) / (2 * beta**2)
        k4 = (sh - si) / (2 * beta**3)
    b4 = beta**4
    return k1, k2, k3, k4, b4 * k2, b4 * k3, b4 * k4


def _carry(v: Vector, stiffness: float, krylov: tuple[float, ...]) -> Vector:
    """State (w, slope, moment, shear) carried over a stretch."""
    k1, k2, k3, k4, b4k2, b4k3, b4k4 = krylov
    w, slope, m, q = v[0], v[1], v[2] / stiffness, v[3] / stiffness
    return (
        k1 * w + k2 * slope + k3 * m + k4 * q,
        b4k4 * w + k1 * slope + k2 * m + k3 * q,
        stiffness * (b4k3 * w + b4k4 * slope + k1 * m + k2 * q),
        stiffness * (b4k2 * w + b4k3 * slope + b4k4 * m + k1 * q),
    )


def _bisect(pieces: tuple[Piece, ...], low: float, high: float, sign: float) -> float:
    mid = (low + high) / 2
    while low < mid < high:  # until the two are neighbours in double precision
        if _determinant(pieces, mid) * sign <= 0:
            high = mid
        else:
            low = mid
        mid = (low + high) / 2
    return mid
