"""STEP files read as text: whole, in mm, one solid, the right name, ends and diameters."""

from __future__ import annotations

import re
from typing import Any

from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.sizes import by_id, extents

_REAL = r"[-+]?\d+\.\d*(?:E[-+]?\d+)?"
_POINT = re.compile(rf"(#\d+) ?= ?CARTESIAN_POINT\('[^']*',\(({_REAL}),({_REAL}),({_REAL})\)\)")
_VERTEX = re.compile(r"VERTEX_POINT\('[^']*',(#\d+)\)")
_PRODUCT = re.compile(r"= ?PRODUCT\('((?:[^']|'')*)','((?:[^']|'')*)'")
_BREAK = re.compile(r"\r?\n *")
_ENDS = ("ISO-10303-21;", "END-ISO-10303-21;")
# Corners of the plain part are exact but for the text's digits; helical edges end a little off.
_WITHIN = 1e-5


def check(case: Case, threaded: bool) -> dict[str, Any]:
    """Compare a STEP file with the half-section; ``threaded``: threads as helical faces, else as
    plain cylinders. The kernel is not used."""
    text = check_whole(case)
    if text is None:
        return {}
    case.equal("solids", 1, text.count("MANIFOLD_SOLID_BREP("))
    case.equal("product", [case.expected.number], products(text))
    splines = text.count("B_SPLINE_SURFACE_WITH_KNOTS(")
    starts = sum(f.thread.starts for f in case.expected.profile.faces if f.thread)
    if threaded and splines < 2 * starts:
        case.fault("thread", f"{2 * starts} or more helical faces", str(splines))
    if not threaded:
        case.equal("helical faces", 0, splines)
    return _corners(case, text) | {"faces": text.count("ADVANCED_FACE("), "helical": splines}


def check_whole(case: Case) -> str | None:
    """A STEP file that is whole, in mm and of the expected revision: its text, each entity on a
    line; None if it is none."""
    # Long entities go on in the next line, indented.
    text = _BREAK.sub("", case.data.decode("latin-1"))
    if not (text.startswith(_ENDS[0]) and text.endswith(_ENDS[1]) and "FILE_SCHEMA" in text):
        case.fault("file", f"{_ENDS[0]} … {_ENDS[1]}", f"{text[:16]} … {text[-20:]}")
        return None
    units = _length_units(text)
    case.equal("length units", 1, len(set(units)))
    if not all("SI_UNIT(.MILLI.,.METRE.)" in u for u in units) or "CONVERSION_BASED" in text:
        case.fault("length unit", "millimetre", ", ".join(units) or "none")
    if f"rev. {case.expected.revision};" not in text:
        case.fault("product, description", f"rev. {case.expected.revision}", "it missing")
    return text


def products(text: str) -> list[str]:
    """The products of a STEP file; one whose id is not its name is given with both."""
    found = [(_plain(a), _plain(b)) for a, b in _PRODUCT.findall(text)]
    return [a if a == b else f"{a}, called {b}" for a, b in found]


def _length_units(text: str) -> list[str]:
    """Every entity that is a unit of length."""
    found, at = [], text.find("LENGTH_UNIT()")
    while at >= 0:
        found.append(text[text.rfind("=", 0, at) + 1 : text.find(";", at)])
        at = text.find("LENGTH_UNIT()", at + 1)
    return found


def _corners(case: Case, text: str) -> dict[str, Any]:
    """Vertices against the half-section's corners."""
    points = {m[1]: (float(m[2]), float(m[3]), float(m[4])) for m in _POINT.finditer(text)}
    vertices = [points[p] for p in _VERTEX.findall(text) if p in points]
    case.equal("vertices with a point", text.count("VERTEX_POINT("), len(vertices))
    if not vertices:
        case.fault("vertices", "the part's corners", "none")
        return {}
    z = [p[2] for p in vertices]
    r = [(p[0] ** 2 + p[1] ** 2) ** 0.5 for p in vertices]
    z0, z1, widest = extents(case.expected.profile)
    case.near("rear end", z0, min(z), _WITHIN)
    case.near("nose", z1, max(z), _WITHIN)
    case.near("largest radius", widest, max(r), _WITHIN)
    return {"sizes": by_id(case, z, r, 2 * _WITHIN)}


def _plain(text: str) -> str:
    """A string of ISO 10303-21 as it is meant: doubled apostrophes and hexadecimal letters."""
    text = text.replace("''", "'").replace("\\\\", "\\")
    return re.sub(
        r"\\X[24]\\([0-9A-F]+)\\X0\\",
        lambda m: bytes.fromhex(m[1]).decode("utf-16-be" if len(m[1]) == 4 else "utf-32-be"),
        text,
    )
