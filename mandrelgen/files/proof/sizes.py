"""Finds the sizes of the characteristics, by id, among the corners of a model."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from mandrelgen.files.proof.report import Case
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.half_section import Profile

# A corner of the half-section is a size's own when it is this near (mm).
_OWN = 1e-5

Floats = npt.NDArray[np.float64]


def extents(profile: Profile) -> tuple[float, float, float]:
    """Lowest z, highest z and largest radius of a half-section, mm."""
    faces = profile.faces
    z = [v for f in faces for v in (f.z0, f.z1)]
    return min(z), max(z), max(max(f.r0, f.r1) for f in faces)


def plain_volume(profile: Profile) -> float:
    """Volume of a half-section turned once round, threads at their crest, flats uncut, mm³."""
    faces = profile.faces
    return float(sum(np.pi / 3 * (f.z1 - f.z0) * (f.r0**2 + f.r0 * f.r1 + f.r1**2) for f in faces))


def by_id(case: Case, z: npt.ArrayLike, r: npt.ArrayLike, within: float) -> int:
    """Compare diameters and lengths with the corners found at (``z``, ``r``), mm; returns how many
    characteristics were found again. A diameter's corners must lie where its own feature's do.
    Sizes that are no corner of the half-section (a thread's, a gauge size) are left to the
    drawing. ``within``: allowed on diameters and positions, mm."""
    found_z, found_r = np.asarray(z, dtype=np.float64), np.asarray(r, dtype=np.float64)
    faces = case.expected.profile.faces
    own_z = np.array([v for f in faces for v in (f.z0, f.z1)])
    stations = case.expected.mandrel.stations
    count = 0
    for c in case.expected.mandrel.characteristics:
        if c.kind is Kind.DIAMETER:
            corners = _corners(case, c)
            gaps = [
                float(np.maximum(np.abs(found_z - a), 2 * np.abs(found_r - b)).min())
                for a, b in corners
            ]
        elif c.kind in (Kind.LENGTH, Kind.CHAMFER) and c.between is not None:
            ends = [stations[n] for n in c.between]
            if any(float(np.abs(own_z - e).min()) > _OWN for e in ends):
                continue
            case.near(c.id, c.nominal, abs(ends[1] - ends[0]), _OWN)
            gaps = [float(np.abs(found_z - e).min()) for e in ends]
        else:
            continue
        count += bool(gaps)
        if gaps and max(gaps) > within:
            nearest = f"the nearest corner {max(gaps):.4f} mm off"
            case.fault(c.id, f"{c.nominal:g} mm in its place in the model", nearest)
    return count


def _corners(case: Case, c: Characteristic) -> list[tuple[float, float]]:
    """(z, r) of the half-section's corners that a diameter belongs to: its own feature's, else
    every one of that size."""
    faces = [f for f in case.expected.profile.faces if f.thread is None]
    for pool in ([f for f in faces if f.feature == c.feature], faces):
        ends = [p for f in pool for p in ((f.z0, f.r0), (f.z1, f.r1))]
        own = [p for p in ends if abs(p[1] - c.nominal / 2) < _OWN]
        if own:
            return own
    return []
