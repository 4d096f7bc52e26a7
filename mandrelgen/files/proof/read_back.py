"""Reads every file of a package back and compares it with the characteristics before it is
published. No writer is imported or trusted."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from importlib import import_module
from typing import Any

from mandrelgen.core.errors import Finding
from mandrelgen.files.proof.report import Case, Expected, ProofError

__all__ = ["Expected", "ProofError", "check"]

# Ending of a file's name -> the module here that reads it back, its function and what that is
# told; the longer ending first. A module is loaded with the first file it reads.
READERS: tuple[tuple[str, str, str, dict[str, bool]], ...] = (
    ("_outline-mid-limits.dxf", "outline", "check", {}),
    (".dxf", "drawing", "check", {}),
    ("_drawing.pdf", "pdf", "check_drawing", {}),
    ("_making.pdf", "pdf", "check_making", {}),
    ("_mine.pdf", "pdf", "check_mine", {}),
    ("_make-yourself.pdf", "pdf", "check_card", {}),
    ("_part.png", "images", "check_part", {}),
    (".png", "pdf", "check_png", {}),
    (".svg", "images", "check_svg", {}),
    (".stl", "meshes", "check_stl", {}),
    (".3mf", "meshes", "check_3mf", {}),
    ("_assembly.step", "assembly", "check", {}),
    ("_plain.step", "step", "check", {"threaded": False}),
    (".step", "step", "check", {"threaded": True}),
)


def check(expected: Expected, files: Mapping[str, bytes]) -> dict[str, Any]:
    """What was proved of each file, as plain JSON values by file name. Raises ProofError with
    every mismatch found: file, id, what was expected and what stands there."""
    proved: dict[str, Any] = {}
    findings: list[Finding] = []
    for name, data in files.items():
        case = Case(name, data, expected, files=files)
        reader = _reader(name)
        if reader is None:
            case.fault("file", "a format that can be read back", name)
        else:
            proved[name] = guarded(case, reader)
        findings += case.findings
    if findings:
        raise ProofError(findings)
    return proved


def _reader(name: str) -> Callable[[Case], dict[str, Any]] | None:
    """What reads back a file of that name; None if nothing does."""
    for ending, module, function, told in READERS:
        if name.endswith(ending):
            return partial(getattr(import_module(f"{__package__}.{module}"), function), **told)
    return None


def guarded(case: Case, reader: Callable[[Case], dict[str, Any]]) -> dict[str, Any]:
    """Read one file. Bytes that are damaged make the readers fail in any way: each is a fault of
    the file, told like the others."""
    try:
        return reader(case)
    except Exception as e:
        case.fault("file", "one that can be read", f"{type(e).__name__}: {e}")
        return {}
