"""Reads every file of a package back and compares it with the characteristics before it is
published. No writer is imported or trusted."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from mandrelgen.core.errors import Finding
from mandrelgen.files.proof import assembly, drawing, images, meshes, outline, pdf, step
from mandrelgen.files.proof.report import Case, Expected, ProofError

__all__ = ["Expected", "ProofError", "check"]

# Ending of a file's name -> what reads it back; the longer ending first.
READERS: tuple[tuple[str, Callable[[Case], dict[str, Any]]], ...] = (
    ("_outline-mid-limits.dxf", outline.check),
    (".dxf", drawing.check),
    ("_drawing.pdf", pdf.check_drawing),
    ("_making.pdf", pdf.check_making),
    ("_mine.pdf", pdf.check_mine),
    ("_make-yourself.pdf", pdf.check_card),
    ("_part.png", images.check_part),
    (".png", pdf.check_png),
    (".svg", images.check_svg),
    (".stl", meshes.check_stl),
    (".3mf", meshes.check_3mf),
    ("_assembly.step", assembly.check),
    ("_plain.step", lambda case: step.check(case, threaded=False)),
    (".step", lambda case: step.check(case, threaded=True)),
)


def check(expected: Expected, files: Mapping[str, bytes]) -> dict[str, Any]:
    """What was proved of each file, as plain JSON values by file name. Raises ProofError with
    every mismatch found: file, id, what was expected and what stands there."""
    proved: dict[str, Any] = {}
    findings: list[Finding] = []
    for name, data in files.items():
        case = Case(name, data, expected, files=files)
        reader = next((r for ending, r in READERS if name.endswith(ending)), None)
        if reader is None:
            case.fault("file", "a format that can be read back", name)
        else:
            proved[name] = guarded(case, reader)
        findings += case.findings
    if findings:
        raise ProofError(findings)
    return proved


def guarded(case: Case, reader: Callable[[Case], dict[str, Any]]) -> dict[str, Any]:
    """Read one file. Bytes that are damaged make the readers fail in any way: each is a fault of
    the file, told like the others."""
    try:
        return reader(case)
    except Exception as e:
        case.fault("file", "one that can be read", f"{type(e).__name__}: {e}")
        return {}
