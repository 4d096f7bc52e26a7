"""STL and 3MF read back: closed, of the right size and volume, with the right thread."""

from __future__ import annotations

import io
import math
import struct
import zipfile
from typing import Any
from xml.etree import ElementTree

import numpy as np
import numpy.typing as npt

from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.sizes import by_id, extents
from mandrelgen.geometry.mesh import exact
from mandrelgen.geometry.thread_surface import Zone, unroll
from mandrelgen.model.half_section import ProfileFace

# A chord of 0.01 mm moves a radius by at most half of it; both sides together (mm).
WITHIN = 0.02
VOLUME = 0.002
# A thread's corners lie on their helices but for the file's rounding (mm).
_HELIX = 1e-3
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]


def check_stl(case: Case) -> dict[str, Any]:
    """Compare a binary STL with the half-section."""
    found = read_stl(case)
    return {} if found is None else _check(case, *found)


def read_stl(case: Case) -> tuple[Floats, Indices] | None:
    """Vertices and triangles; notes a wrong length or header."""
    head, data = case.data[:80], case.data
    if len(data) < 84 or len(data) != 84 + 50 * struct.unpack_from("<I", data, 80)[0]:
        count = struct.unpack_from("<I", data, 80)[0] if len(data) >= 84 else 0
        case.fault("file", f"{84 + 50 * count} bytes for {count} triangles", f"{len(data)} bytes")
        return None
    expected = case.expected
    name = f"{expected.number} rev {expected.revision} mm"
    case.equal("header", name, head.decode("ascii", "replace")[: len(name)])
    facets = np.frombuffer(data, dtype=_FACET, offset=84)
    corners = np.ascontiguousarray(facets["corners"].reshape(-1, 3)) + np.float32(0.0)
    # Equal corners are equal bit for bit; a mix of their bits makes one sortable key.
    bits = corners.view("<u4").astype(np.uint64)
    key = bits[:, 0] * np.uint64(0x9E3779B97F4A7C15)
    key ^= bits[:, 1] * np.uint64(0xC2B2AE3D27D4EB4F)
    key ^= bits[:, 2] * np.uint64(0x165667B19E3779F9)
    _, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    return corners[first].astype(np.float64), inverse.reshape(-1, 3).astype(np.int64)


def check_3mf(case: Case) -> dict[str, Any]:
    """Compare a 3MF package with the half-section."""
    return _check(case, *read_3mf(case))


def read_3mf(case: Case) -> tuple[Floats, Indices]:
    """Vertices (moved to the part's z) and triangles; notes a wrong unit, name or placing."""
    with zipfile.ZipFile(io.BytesIO(case.data)) as package:
        damaged = package.testzip()
        case.equal("package", None, damaged)
        model = ElementTree.fromstring(package.read("3D/3dmodel.model"))
    case.equal("unit", "millimeter", model.get("unit"))
    number = f"{case.expected.number} {case.expected.revision}"
    said = {m.get("name"): m.text for m in model.iter(f"{_CORE}metadata")}
    case.equal("metadata, Description", number, said.get("Description"))
    objects, items = list(model.iter(f"{_CORE}object")), list(model.iter(f"{_CORE}item"))
    case.equal("objects", 1, len(objects))
    case.equal("part number", number, objects[0].get("partnumber"))
    if case.equal("build items", 1, len(items)):
        turn = (items[0].get("transform") or "1 0 0 0 1 0 0 0 1").split()[:9]
        case.equal("build item, turned", "1 0 0 0 1 0 0 0 1", " ".join(turn))
    vertices = np.array(
        [(v.get("x"), v.get("y"), v.get("z")) for v in objects[0].iter(f"{_CORE}vertex")],
        dtype=np.float64,
    )
    triangles = np.array(
        [(t.get("v1"), t.get("v2"), t.get("v3")) for t in objects[0].iter(f"{_CORE}triangle")],
        dtype=np.int64,
    )
    vertices[:, 2] += extents(case.expected.profile)[0] - vertices[:, 2].min()
    return vertices, triangles


def _check(case: Case, vertices: Floats, triangles: Indices) -> dict[str, Any]:
    open_edges = loose_edges(triangles, len(vertices))
    case.equal("edges without their partner", 0, open_edges)
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    volume = float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)
    wanted = exact.volume(case.expected.profile)
    case.near("volume", wanted, volume, VOLUME * wanted, "mm³")
    r = np.hypot(vertices[:, 0], vertices[:, 1])
    z0, z1, widest = extents(case.expected.profile)
    case.near("rear end", z0, float(vertices[:, 2].min()), WITHIN)
    case.near("nose", z1, float(vertices[:, 2].max()), WITHIN)
    case.near("largest radius", widest, float(r.max()), WITHIN)
    sizes = by_id(case, vertices[:, 2], r, WITHIN)
    for i, zone in unroll(case.expected.profile).zones.items():
        _thread(case, case.expected.profile.faces[i], zone, vertices, r)
    return {
        "triangles": len(triangles),
        "volume_mm3": round(volume, 3),
        "off_volume_percent": round(100 * (volume / wanted - 1), 4),
        "sizes": sizes,
    }


def loose_edges(triangles: Indices, count: int) -> int:
    """How many directed edges don't meet exactly one edge of the opposite direction."""
    start = triangles.ravel()
    end = np.roll(triangles, -1, axis=1).ravel()
    there, times = np.unique(start * count + end, return_counts=True)
    back = np.unique(end * count + start)
    return int((times != 1).sum()) + len(np.setdiff1d(there, back, assume_unique=True))


def _thread(case: Case, face: ProfileFace, zone: Zone, vertices: Floats, r: Floats) -> None:
    """Unwind the thread's corners by its lead and hand: each start must leave two edges of its
    crest and two of its root, at their own places within the pitch."""
    form, (z0, z1) = zone.form, zone.complete
    inside = (vertices[:, 2] > z0 + _HELIX) & (vertices[:, 2] < z1 - _HELIX)
    slope = (-1 if form.left_hand else 1) * form.lead / math.tau
    found: list[float] = []
    for radius, flat in (
        (form.crest_diameter / 2, form.crest_flat),
        (form.root_diameter / 2, form.pitch - form.root_flat),
    ):
        at = vertices[inside & (np.abs(r - radius) < WITHIN / 2)]
        edges = _edges((at[:, 2] - slope * np.arctan2(at[:, 1], at[:, 0])) % form.lead, form.lead)
        if len(edges) != 2 * form.starts:
            case.fault(
                f"{face.feature}, Ø{2 * radius:.3f}",
                f"{2 * form.starts} edges ({form.starts} starts, lead {form.lead:g} mm, "
                f"{'left' if form.left_hand else 'right'} hand)",
                f"{len(edges)}",
            )
            return
        found.append(_off_grid(edges, flat, form.pitch))
    if max(found) > 2 * _HELIX:
        case.fault(f"{face.feature}, flats", "the form's own widths", f"{max(found):.4f} mm off")


def _edges(values: Floats, period: float) -> Floats:
    """The few values that many agree on, modulo ``period``."""
    if len(values) == 0:
        return values
    ordered = np.sort(values)
    groups = np.split(ordered, np.flatnonzero(np.diff(ordered) > _HELIX) + 1)
    if len(groups) > 1 and groups[0][0] + period - groups[-1][-1] < _HELIX:
        groups[0] = np.concatenate([groups.pop() - period, groups[0]])
    if any(g[-1] - g[0] > 2 * _HELIX for g in groups):
        return ordered
    return np.sort([g.mean() for g in groups])


def _off_grid(edges: Floats, flat: float, pitch: float) -> float:
    """How far the gaps between edges are from ``flat`` and ``pitch - flat`` by turns, mm."""
    gaps = np.diff([*edges, edges[0] + len(edges) / 2 * pitch])
    wanted = np.resize([flat, pitch - flat], len(gaps))
    return float(min(np.abs(gaps - wanted).max(), np.abs(gaps - wanted[::-1]).max()))
