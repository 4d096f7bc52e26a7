"""Spirals as splines: poles of degree-7 curves that follow r·e^{iθ} with r and θ linear.

Complete spline interpolation on clamped uniform knots: values at every knot, three derivatives at
both ends, all known in closed form. With spans of 22.5° the fit of a unit circle is better than
3e-9, so a part of 60 mm diameter stays within the kernel's 1e-7 mm.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

DEGREE = 7
SPAN = math.pi / 8

Floats = NDArray[np.float64]


def spans(turn: float) -> int:
    """Spans a spline needs for an angle of ``turn`` radians."""
    return max(1, math.ceil(abs(turn) / SPAN - 1e-9))


def _basis(knots: Floats, degree: int, t: float) -> Floats:
    """All B-spline basis functions of ``degree`` at ``t`` (Cox and de Boor's recursion)."""
    last = int(np.searchsorted(knots, knots[-1])) - 1
    i = min(int(np.searchsorted(knots, t, side="right")) - 1, last)
    values = np.zeros(len(knots) - 1)
    values[i] = 1.0
    for d in range(1, degree + 1):
        for j in range(i - d, i + 1):
            left = knots[j + d] - knots[j]
            right = knots[j + d + 1] - knots[j + 1]
            values[j] = ((t - knots[j]) / left * values[j] if left else 0.0) + (
                (knots[j + d + 1] - t) / right * values[j + 1] if right else 0.0
            )
    return values[: len(knots) - degree - 1]


@cache
def _inverse(n: int) -> Floats:
    """Inverse of the collocation matrix for ``n`` spans of length 1."""
    inner = np.arange(n + 1.0)
    knots = np.concatenate([np.zeros(DEGREE), inner, np.full(DEGREE, float(n))])
    ends: dict[float, list[Floats]] = {0.0: [], float(n): []}
    for t, rows in ends.items():
        difference = np.eye(n + DEGREE)
        for order in range(4):
            low, inside = DEGREE - order, knots[order : len(knots) - order]
            rows.append(_basis(inside, low, t) @ difference)
            width = inside[low + 1 : -1] - inside[1 : -low - 1]
            difference = low * np.diff(difference, axis=0) / width[:, None]
    middle = [_basis(knots, DEGREE, t) for t in inner[1:-1]]
    return np.linalg.inv(np.array([*ends[0.0], *middle, *ends[float(n)][::-1]]))


@cache
def _conditions(n: int) -> tuple[Floats, NDArray[np.int64]]:
    """Where a spline of ``n`` spans meets its curve, and in which derivative."""
    t = np.concatenate([np.zeros(4), np.arange(1.0, n), np.full(4, float(n))])
    return t, np.concatenate([np.arange(4), np.zeros(n - 1, dtype=int), np.arange(4)[::-1]])


def spiral(n: int, theta: tuple[float, float], r: tuple[float, float]) -> list[complex]:
    """Poles x + iy of the curve r·e^{iθ} on ``n`` spans; angles in radians."""
    omega, growth = (theta[1] - theta[0]) / n, (r[1] - r[0]) / n
    t, order = _conditions(n)
    step = 1j * omega
    factor = (r[0] + growth * t) * step**order
    if growth:
        factor = factor + order * growth * step ** np.maximum(order - 1, 0)
    poles: list[complex] = (_inverse(n) @ (np.exp(1j * (theta[0] + omega * t)) * factor)).tolist()
    return poles


@cache
def greville(n: int) -> tuple[float, ...]:
    """Parameters 0…1 of the poles: a linear coordinate's poles are its values there."""
    knots = np.concatenate([np.zeros(DEGREE), np.arange(n + 1.0), np.full(DEGREE, float(n))])
    return tuple(float(knots[i + 1 : i + DEGREE + 1].mean()) / n for i in range(n + DEGREE))


def knots(n: int, length: float) -> tuple[float, ...]:
    """Uniform knots over 0…``length`` in ``n`` spans."""
    return tuple(length * j / n for j in range(n + 1))
