"""A reader's outline against the design's, corner by corner; part of `tests.long.reader`."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

# Numbers are printed to 0.001; a corner may add up three of them.
WITHIN = 0.0016
FAR = 1.0

Point = tuple[float, float]
T = TypeVar("T")


class NoReadingError(Exception):
    """A file that is no reading, or no mandrel's."""


@dataclass
class Report:
    """Differences, what was not read, and how much agreed."""

    differences: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    agreed: int = 0

    def equal(self, what: str, wanted: Any, found: Any) -> None:
        """Numbers to half of the last printed place, texts without regard to case and spaces."""
        if isinstance(wanted, float | int) and isinstance(found, float | int):
            same = abs(wanted - found) <= 0.00051
        else:
            same = plain(wanted) == plain(found)
        if same:
            self.agreed += 1
        else:
            self.differences.append(f"{what}: the design has {said(wanted)}, read {said(found)}")


def plain(value: Any) -> Any:
    return value.replace(" ", "").replace("×", "x").lower() if isinstance(value, str) else value


def said(value: Any) -> str:
    return "nothing" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def points_of(rows: Any, what: str) -> list[Point]:
    try:
        found = [(float(z), float(r)) for z, r in rows]
    except (TypeError, ValueError):
        raise NoReadingError(f"'{what}' must be pairs of numbers [z, r]") from None
    if found and found[0][0] > found[-1][0]:
        found.reverse()
    return _straightened([p for p in found if abs(p[1]) > 1e-9], lambda p: p[1])


@dataclass(frozen=True)
class Corner:
    """A corner of the design: where, of which features; the crest's radii allowed where a thread
    ends, and how far it may lie along for each mm of crest (the cotangent of the cone beside)."""

    z: float
    r: float
    name: str
    crest: tuple[float, float] | None = None
    along: float = 0.0

    def off(self, p: Point) -> tuple[float, float]:
        """How far ``p`` lies off along and across, 0 within what is allowed."""
        dz, dr = abs(p[0] - self.z), abs(p[1] - self.r)
        if self.crest is not None and self.crest[0] - WITHIN <= p[1] <= self.crest[1] + WITHIN:
            return max(0.0, dz - dr * self.along - WITHIN), 0.0
        return max(0.0, dz - WITHIN), max(0.0, dr - WITHIN)


def _corners(row: list[dict[str, Any]], crests: dict[str, tuple[float, float]]) -> list[Corner]:
    """The corners of touching stretches, left to right; points on the axis left out."""
    found: list[Corner] = []
    for i, s in enumerate(row):
        for z, r in ((s["z0"], s["d0"] / 2), (s["z1"], s["d1"] / 2)):
            same = found and math.dist((found[-1].z, found[-1].r), (z, r)) < 1e-9
            names = [found.pop().name] if same else []
            names.append(s["feature"])
            beside = row[max(i - 1, 0) : i + 2]
            thread = next((b for b in beside if b["thread"] and r == b["d0"] / 2
                           and z in (b["z0"], b["z1"])), None)  # fmt: skip
            cones = [b for b in beside if b["d0"] != b["d1"] and z in (b["z0"], b["z1"])]
            along = max((2 * (b["z1"] - b["z0"]) / abs(b["d1"] - b["d0"]) for b in cones),
                        default=0.0)  # fmt: skip
            crest = crests.get(thread["feature"]) if thread else None
            found.append(
                Corner(z=z, r=r, name=" to ".join(dict.fromkeys(names)), crest=crest, along=along)
            )
    return [c for c in _straightened(found, lambda c: c.r) if c.r > 1e-9]


def _straightened(row: list[T], r: Callable[[T], float]) -> list[T]:
    """Without what lies on a cylinder between two others: no corner is there."""
    return [
        c
        for i, c in enumerate(row)
        if not (0 < i < len(row) - 1 and r(row[i - 1]) == r(c) == r(row[i + 1]))
    ]


def _crests(mandrel: dict[str, Any]) -> dict[str, tuple[float, float]]:
    """Radii a thread's crest may be read at: its limits and its nominal size."""
    found = {}
    for t in mandrel["threads"]:
        limits = t["limits"]["major" if t["limits"]["external"] else "minor"]
        basic = t["limits"]["basic"]["major" if t["limits"]["external"] else "minor"]
        radii = [v / 2 for v in (limits["min"], limits["max"], basic) if v is not None]
        found[t["feature"]] = (min(radii), max(radii))
    return found


def outside(out: Report, points: list[Point], mandrel: dict[str, Any]) -> float:
    """Compares the outside; returns what takes the reader's zero to the design's."""
    corners = _corners(mandrel["outer"], _crests(mandrel))
    shift = _shift(points, corners)
    _chain(out, "outside", [(z + shift, r) for z, r in points], corners)
    return shift


def _shift(points: list[Point], corners: list[Corner]) -> float:
    """The shift along the axis with which most corners agree."""
    shifts = sorted({round(c.z - p[0], 4) for c in corners for p in points})

    def agree(s: float) -> int:
        return sum(any(sum(c.off((z + s, r))) == 0 for c in corners) for z, r in points)

    return max(shifts, key=agree, default=0.0)


def _chain(out: Report, what: str, points: list[Point], corners: list[Corner]) -> None:
    """Corner by corner in order: off, missing or one too many (the cheapest pairing)."""
    n, m = len(points), len(corners)
    cost = [[FAR * (i + j) for j in range(m + 1)] for i in range(n + 1)]
    for i in range(1, n + 1):
        for j in range(1, m + 1):
            near = min(sum(corners[j - 1].off(points[i - 1])), 2 * FAR)
            cost[i][j] = min(cost[i - 1][j - 1] + near, cost[i - 1][j] + FAR, cost[i][j - 1] + FAR)
    said: list[str] = []
    i, j = n, m
    while i or j:
        near = sum(corners[j - 1].off(points[i - 1])) if i and j else math.inf
        if i and j and cost[i][j] == cost[i - 1][j - 1] + min(near, 2 * FAR) and near < 2 * FAR:
            i, j = i - 1, j - 1
            c, p = corners[j], points[i]
            if near == 0:
                out.agreed += 1
            else:
                said.append(f"{what}, {c.name}: the design has z {c.z:.3f}, r {c.r:.3f}, "
                            f"read z {p[0]:.3f}, r {p[1]:.3f}")  # fmt: skip
        elif i and cost[i][j] == cost[i - 1][j] + FAR:
            i -= 1
            said.append(f"{what}: no such corner: z {points[i][0]:.3f}, r {points[i][1]:.3f}")
        else:
            j -= 1
            c = corners[j]
            said.append(f"{what}, {c.name}: no corner read at z {c.z:.3f}, r {c.r:.3f}")
    out.differences += reversed(said)


def bores(out: Report, bores: Any, mandrel: dict[str, Any], shift: float) -> None:
    rows: list[list[dict[str, Any]]] = []
    for s in mandrel["inner"]:
        if s["feature"].startswith("centre."):
            continue
        if rows and abs(rows[-1][-1]["z1"] - s["z0"]) < 1e-6:
            rows[-1].append(s)
        else:
            rows.append([s])
    if bores is None:
        out.unread += [f"bore of {r[0]['feature']}" for r in rows]
        return
    out.equal("number of bores", len(rows), len(bores))
    for n, (row, read) in enumerate(zip(rows, bores, strict=False), 1):
        points = [(z + shift, r) for z, r in points_of(read, "bores")]
        _chain(out, f"bore {n}", points, _corners(row, _crests(mandrel)))
