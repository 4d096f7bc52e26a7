"""A mandrel with every size of its outline at the middle of its limits, as a CNC program wants it.

The sizes of a drawing are a tree: each fixes one position or one diameter, and a cone's angle the
rest. Here the same tree is walked with what each size moves from its nominal.
"""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Mandrel, Stretch

_TOUCH = 1e-6
# A position along the axis or a radius: its kind, whose it is.
_Key = tuple[str, str]


def middle(c: Characteristic) -> float:
    """The middle of a size's limits; its nominal where it has but one limit, or none."""
    if c.lower is None or c.upper is None:
        return c.nominal
    return (c.lower + c.upper) / 2


def at_mid_limits(mandrel: Mandrel) -> Mandrel:
    """``mandrel`` with outside and bores at the middle of their limits, mm. The seat stays at 0;
    a thread's crest is drawn there already, centre holes keep their size, and so does what no size
    of the drawing fixes."""
    tree = _Tree(mandrel)
    tree.walk()
    return replace(
        mandrel,
        outer=tuple(tree.moved(s, "outer") for s in mandrel.outer),
        inner=tuple(tree.moved(s, "inner") for s in mandrel.inner),
    )


class _Tree:
    """``off``: how far each position and radius lies from its nominal, mm, as far as known;
    ``rules``: (a, b, k, d): b is off by k times what a is, and by d."""

    def __init__(self, mandrel: Mandrel) -> None:
        self.mandrel = mandrel
        self.ends = (mandrel.outer[0].z0, mandrel.outer[-1].z1)
        self.rows = {"outer": mandrel.outer, "inner": mandrel.inner}
        self.off: dict[_Key, float] = {}
        self.cones: list[tuple[Stretch, str]] = []
        self.lengths: list[tuple[_Key, _Key, float]] = []
        self._begin()

    def z(self, z: float, row: str) -> _Key:
        """The position ``z``; the end faces belong to outside and bores."""
        end = any(abs(z - e) < _TOUCH for e in self.ends)
        return ("z", f"{'end' if end else row} {z:.6f}")

    def r(self, s: Stretch, last: bool, row: str) -> _Key:
        """The radius at a stretch's first or last end: a cone's is that of the cylinder it runs
        into, else its own."""
        z, d = (s.z1, s.d1) if last else (s.z0, s.d0)
        if abs(s.d1 - s.d0) > _TOUCH:
            for o in self.rows[row]:
                touches = min(abs(o.z0 - z), abs(o.z1 - z)) < _TOUCH
                if touches and abs(o.d1 - o.d0) < _TOUCH and abs(o.d0 - d) < _TOUCH:
                    return ("r", f"{row} {o.feature}")
            return ("r", f"{row} {s.feature} {z:.6f}")
        return ("r", f"{row} {s.feature}")

    def _begin(self) -> None:
        m = self.mandrel
        zero = m.stations.get("seat", 0.0)
        self.off |= {self.z(zero, "outer"): 0.0, self.z(zero, "inner"): 0.0}
        for row, stretches in self.rows.items():
            for s in stretches:
                if s.thread is not None:
                    self.off[self.r(s, last=False, row=row)] = 0.0
                if s.feature.startswith("centre."):
                    self.off |= {self.r(s, last=k, row=row): 0.0 for k in (False, True)}
                    self.lengths.append((self.z(s.z0, row), self.z(s.z1, row), 0.0))
                elif abs(s.d1 - s.d0) > _TOUCH:
                    self.cones.append((s, row))
                    # The point of a drill lies on the axis.
                    for last, d in ((False, s.d0), (True, s.d1)):
                        if d < _TOUCH:
                            self.off[self.r(s, last=last, row=row)] = 0.0
        for c in m.characteristics:
            if c.kind is Kind.DIAMETER:
                self._diameter(c)
            elif c.kind in (Kind.LENGTH, Kind.CHAMFER):
                self._length(c)

    def _diameter(self, c: Characteristic) -> None:
        for row, stretches in self.rows.items():
            for s in stretches:
                for last, d in ((False, s.d0), (True, s.d1)):
                    if s.feature == c.feature and abs(d - c.nominal) < _TOUCH:
                        key = self.r(s, last=last, row=row)
                        self.off.setdefault(key, (middle(c) - c.nominal) / 2)

    def _length(self, c: Characteristic) -> None:
        if c.between is None:
            return
        a, b = sorted(self.mandrel.stations[n] for n in c.between)
        mine = (r for r, every in self.rows.items() if any(s.feature == c.feature for s in every))
        row = next(mine, "outer")
        self.lengths.append((self.z(a, row), self.z(b, row), middle(c) - c.nominal))

    def walk(self) -> None:
        """Follow lengths and cones until nothing more is found; then what is still open stands as
        far from its neighbour as it is drawn."""
        self._follow()
        for row, stretches in self.rows.items():
            self.lengths += [(self.z(s.z0, row), self.z(s.z1, row), 0.0) for s in stretches]
        self._follow()
        for row, stretches in self.rows.items():
            for s in stretches:
                for last in (False, True):
                    self.off.setdefault(self.r(s, last=last, row=row), 0.0)
        self._follow()

    def _follow(self) -> None:
        before = -1
        while before != len(self.off):
            before = len(self.off)
            for a, b, more in self.lengths:
                if a in self.off:
                    self.off.setdefault(b, self.off[a] + more)
                elif b in self.off:
                    self.off[a] = self.off[b] - more
            for s, row in self.cones:
                self._cone(s, row)

    def _cone(self, s: Stretch, row: str) -> None:
        """Its angle stays: of four ends' offsets three give the last."""
        slope = (s.d1 - s.d0) / 2 / (s.z1 - s.z0)
        keys = (
            (self.r(s, last=True, row=row), 1.0),
            (self.r(s, last=False, row=row), -1.0),
            (self.z(s.z1, row), -slope),
            (self.z(s.z0, row), slope),
        )
        missing = [(key, k) for key, k in keys if key not in self.off]
        if len(missing) == 1:
            ((key, k),) = missing
            self.off[key] = -sum(self.off[o] * f for o, f in keys if o != key) / k

    def moved(self, s: Stretch, row: str) -> Stretch:
        """The stretch in its place."""
        keys = [
            self.z(s.z0, row),
            self.z(s.z1, row),
            self.r(s, last=False, row=row),
            self.r(s, last=True, row=row),
        ]
        z0, z1, r0, r1 = (self.off[k] for k in keys)
        return replace(s, z0=s.z0 + z0, z1=s.z1 + z1, d0=s.d0 + 2 * r0, d1=s.d1 + 2 * r1)
