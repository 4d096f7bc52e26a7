"""The expensive proof: the kernel reads the STEP files and measures what they hold, a CAD library
reads the DXF files."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from mandrelgen.core.errors import Finding
from mandrelgen.files.proof.crossing import crossings
from mandrelgen.files.proof.meshes import read_3mf, read_stl
from mandrelgen.files.proof.read_back import guarded
from mandrelgen.files.proof.report import Case, Expected, ProofError
from mandrelgen.files.proof.sizes import extents, plain_volume
from mandrelgen.geometry.mesh import exact
from mandrelgen.geometry.thread_surface import unroll
from mandrelgen.model.half_section import plain
from mandrelgen.model.mandrel import ThreadForm

if TYPE_CHECKING:
    from mandrelgen.geometry.kernel.measure import ThreadSection

__all__ = ["Expected", "ProofError", "prove"]

# Share of the volume, and of a thread's sizes (mm).
VOLUME = 1e-6
# Flats are integrated numerically in the closed form, on cones to 1e-6 of the cut.
VOLUME_FLATS = 2e-6
THREAD = 0.002
# Complete pitches a section needs before it can tell a thread's pitch and lead.
_PITCHES = 3.5


def prove(expected: Expected, files: Mapping[str, bytes]) -> dict[str, Any]:
    """Measure each STEP file in the kernel (one valid solid, volume, extents, threads in axial
    sections, the same half-section revolved), look for crossing triangles in each mesh file, and
    have ezdxf read and audit each DXF file. Other files are left out.
    Returns plain JSON values by file name; raises ProofError with every mismatch."""
    proved: dict[str, Any] = {}
    findings: list[Finding] = []
    for name, data in files.items():
        case = Case(name, data, expected)
        if name.endswith("_assembly.step"):
            continue  # the kernel has measured its bodies already: see assembly.check
        if name.endswith(".step"):
            proved[name] = guarded(case, _step)
        elif name.endswith((".stl", ".3mf")):
            proved[name] = guarded(case, _mesh)
        elif name.endswith(".dxf"):
            proved[name] = guarded(case, _dxf)
        findings += case.findings
    if findings:
        raise ProofError(findings)
    return proved


def _figures(section: ThreadSection) -> dict[str, Any]:
    return {
        "pitch": round(section.pitch, 4),
        "lead": round(section.lead, 4),
        "starts": section.starts,
        "hand": "left" if section.left_hand else "right",
        "major": round(section.major, 4),
        "pitch_diameter": round(section.pitch_diameter, 4),
        "minor": round(section.minor, 4),
    }


def _step(case: Case) -> dict[str, Any]:
    from mandrelgen.geometry.kernel import exchange, measure

    shape = exchange.from_step(case.data)
    case.equal("solids", 1, measure.count_solids(shape))
    # Necessary, not enough: the kernel's own check passes lost threads. So all is measured.
    case.equal("solid, valid", wanted=True, found=shape.isValid())
    profile = case.expected.profile
    threaded = not case.name.endswith("_plain.step")
    volume = measure.volume(shape)
    wanted = exact.volume(profile) if threaded else _plain(case)
    share = VOLUME if profile.flats is None else VOLUME_FLATS
    case.near("volume", wanted, volume, share * wanted, "mm³")
    low, high = extents(case.expected.profile)[:2]
    box = measure.bounding_box(shape)
    case.near("rear end", low, box[2], 1e-5)
    case.near("nose", high, box[5], 1e-5)
    revolved = _revolved(case, volume, box, threaded)
    found = measure.section_report(shape)
    zones = unroll(profile).zones if threaded else {}
    forms = [
        (profile.faces[i], zone)
        for i, zone in zones.items()
        if zone.complete[1] - zone.complete[0] > _PITCHES * zone.form.pitch
    ]
    case.equal("threads in the section", len(forms), len(found))
    figures = []
    for face, zone in forms:
        form, middle = zone.form, sum(zone.complete) / 2
        section = next((s for s in found if s.z0 < middle < s.z1), None)
        if section is None:
            case.fault(face.feature, f"a thread at z {middle:.2f}", "none")
        else:
            _thread(case, face.feature, form, section)
            figures.append({"feature": face.feature, **_figures(section)})
    ppm = round(1e6 * (volume / wanted - 1), 3) + 0.0
    return {
        "volume_mm3": round(volume, 4),
        "off_volume_ppm": ppm,
        "revolved_mm3": round(revolved, 4),
        "threads": figures,
    }


def _revolved(case: Case, volume: float, box: Sequence[float], threaded: bool) -> float:
    """The file's body against one that the kernel revolves from the half-section itself, which
    shares nothing with what wrote the file: the same box, and the same volume once the grooves of
    the threads (a closed form; the revolved body has plain cylinders there) are taken off. The
    revolved volume less the grooves, mm³."""
    from mandrelgen.geometry.kernel import build, measure

    profile = case.expected.profile
    body = build.revolved(profile)
    wanted = measure.volume(body)
    if threaded:
        wanted -= exact.volume(plain(profile)) - exact.volume(profile)
    case.near("volume of the revolved half-section", wanted, volume, VOLUME_FLATS * wanted)
    names = ("x low", "y low", "z low", "x high", "y high", "z high")
    for name, own, found in zip(names, measure.bounding_box(body), box, strict=True):
        case.near(f"box of the revolved half-section, {name}", own, found, 1e-5)
    return wanted


def _plain(case: Case) -> float:
    """Volume without the thread's grooves: what the flats take is the same with and without."""
    profile = case.expected.profile
    if profile.flats is None:
        return plain_volume(case.expected.profile)
    return exact.volume(plain(profile))


def _thread(case: Case, name: str, form: ThreadForm, section: Any) -> None:
    case.equal(f"{name}, external", form.external, section.external)
    case.equal(f"{name}, starts", form.starts, section.starts)
    hands = ("right", "left")
    case.equal(f"{name}, hand", hands[form.left_hand], hands[section.left_hand])
    major, minor = form.crest_diameter, form.root_diameter
    if not form.external:
        major, minor = minor, major
    for what, wanted, found in (
        ("pitch", form.pitch, section.pitch),
        ("lead", form.lead, section.lead),
        ("major diameter", major, section.major),
        ("pitch diameter", form.pitch_diameter, section.pitch_diameter),
        ("minor diameter", minor, section.minor),
    ):
        case.near(f"{name}, {what}", wanted, found, THREAD)


def _dxf(case: Case) -> dict[str, Any]:
    import mandrelgen.files.dxf_setup  # noqa: F401  (before ezdxf: no file of the user takes part)

    import ezdxf  # isort: skip

    doc = ezdxf.read(io.StringIO(case.data.decode("utf-8")))
    audit = doc.audit()
    for remark in (*audit.errors, *audit.fixes):
        case.fault("audit", "a sound file", remark.message)
    return {"entities": len(doc.modelspace())}


def _mesh(case: Case) -> dict[str, Any]:
    found = read_stl(case) if case.name.endswith(".stl") else read_3mf(case)
    if found is None:
        return {}
    count = crossings(*found)
    case.equal("pairs of crossing triangles", 0, count)
    return {"triangles": len(found[1]), "crossing": count}
