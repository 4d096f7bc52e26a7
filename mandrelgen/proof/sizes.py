"""Finds the sizes of the characteristics, by id, among the corners of a model."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from mandrelgen.characteristic import Kind
from mandrelgen.proof.case import Case

# A corner of the half-section is a size's own when it is this near (mm).
_OWN = 1e-5

Floats = npt.NDArray[np.float64]


def extents(case: Case) -> tuple[float, float, float]:
    """Lowest z, highest z and largest radius of the expected half-section, mm."""
    faces = case.expected.profile.faces
    z = [v for f in faces for v in (f.z0, f.z1)]
    return min(z), max(z), max(max(f.r0, f.r1) for f in faces)


def plain_volume(case: Case) -> float:
    """Volume of the half-section turned once round, threads at their crest, flats uncut, mm³."""
    faces = case.expected.profile.faces
    return float(sum(np.pi / 3 * (f.z1 - f.z0) * (f.r0**2 + f.r0 * f.r1 + f.r1**2) for f in faces))


def by_id(case: Case, z: Iterable[float], r: Iterable[float], within: float) -> int:
    """Compare diameters and lengths with corners found at ``z`` and ``r`` (mm, not in pairs);
    returns how many characteristics were found again. Sizes that are no corner of the
    half-section (a thread's, a gauge size) are left to the drawing."""
    faces = case.expected.profile.faces
    own_z = _sorted(v for f in faces for v in (f.z0, f.z1))
    own_r = _sorted(v for f in faces for v in (f.r0, f.r1))
    found_z, found_r = _sorted(z), _sorted(r)
    stations = case.expected.mandrel.stations
    count = 0
    for c in case.expected.mandrel.characteristics:
        if c.kind is Kind.DIAMETER and _nearest(own_r, c.nominal / 2) < _OWN:
            gap = 2 * _nearest(found_r, c.nominal / 2)
        elif c.kind in (Kind.LENGTH, Kind.CHAMFER) and c.between is not None:
            a, b = (stations[n] for n in c.between)
            if max(_nearest(own_z, a), _nearest(own_z, b)) > _OWN:
                continue
            gap = max(_nearest(found_z, a), _nearest(found_z, b))
            case.near(c.id, c.nominal, abs(b - a), _OWN)
        else:
            continue
        count += 1
        if gap > within:
            case.fault(c.id, f"{c.nominal:g} mm in the model", f"nothing nearer than {gap:.4f} mm")
    return count


def _sorted(values: Iterable[float]) -> Floats:
    return np.unique(np.fromiter(values, dtype=np.float64))


def _nearest(values: Floats, wanted: float) -> float:
    if len(values) == 0:
        return float("inf")
    i = int(np.searchsorted(values, wanted))
    return float(np.abs(values[max(0, i - 1) : i + 1] - wanted).min())
