"""Packages to read back: the starters' mandrels written by the real designer and the real writers,
and ways to plant a fault (building from another design, or changing the finished drawing).
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import ezdxf
import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.files.formats import FORMATS, write
from mandrelgen.files.proof import read_back, report
from mandrelgen.files.writers.pdf.document import page_count
from mandrelgen.model.mandrel import Issue, Mandrel, Stretch, ThreadForm
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.build import Build

STARTERS = (("heron", "bench"), ("wren", "bench"), ("bittern", "small"))
NUMBER = "TM-0042"
HISTORY = (("A", "2026-05-01", "first issue"), ("B", "2026-05-31", "closer fit"))
NAME = Issue(
    number=NUMBER,
    revision="B",
    date="2026-05-31",
    status="in preparation",
    owner="Owner",
    drawn_by="Drawer",
    approved_by="Approver",
    history=HISTORY,
)


@cache
def mandrels() -> dict[str, Mandrel]:
    """Every mandrel of the starters, as pen/mandrel."""
    found = {}
    for pen, shop in STARTERS:
        read = read_pen(starter("pen", pen), pen), read_shop(starter("shop", shop), shop)
        for d in designs(*read):
            assert d.mandrel is not None
            found[f"{pen}/{d.mandrel.id}"] = d.mandrel
    return found


SEVERAL = "heron/cap-mouth-plug"
CUP = "wren/section-rear-cup"
SPIGOTTED = "bittern/cap-plug"  # the one plug of the starters whose pen asks for a spigot


@cache
def package(name: str) -> tuple[read_back.Expected, dict[str, bytes]]:
    """What is expected of one starter's mandrel, and its files."""
    build = Build(mandrels()[name], NAME)
    return expected_of(build), write(build, tuple(FORMATS))


def expected_of(build: Build) -> read_back.Expected:
    """What the files of ``build`` must say."""
    i = build.issue
    return read_back.Expected(
        mandrel=build.mandrel, profile=build.profile, number=i.number, revision=i.revision,
        issued=i.issued, pages=page_count(build.sheet), mass_g=build.mass,
        sheets=len(build.sheet.sheets),
    )  # fmt: skip


def only(name: str, ending: str) -> tuple[read_back.Expected, str, bytes]:
    """The expectation, and the one file of a package with that ending (behind its stem; a mesh's
    name says besides that it is nominal)."""
    expected, files = package(name)
    file = f"{NUMBER}_B{'_nominal' if ending in ('.stl', '.3mf') else ''}{ending}"
    return expected, file, files[file]


Proof = Callable[[read_back.Expected, dict[str, bytes]], dict[str, Any]]


def faults(
    expected: read_back.Expected, files: dict[str, bytes], proof: Proof = read_back.check
) -> str:
    """Every message of the ProofError that must come."""
    with pytest.raises(report.ProofError) as caught:
        proof(expected, files)
    for f in caught.value.findings:
        assert f.code == "proof.failed"
        assert f.where in files
        assert "nothing was published" in f.remedy
    assert caught.value.exit_code == 1
    return "\n".join(f"{f.where} {f.message}" for f in caught.value.findings)


def other(name: str, change: Callable[[Mandrel], Mandrel], *formats: str) -> dict[str, bytes]:
    """Files written from a changed mandrel under the same name."""
    return write(Build(change(mandrels()[name]), NAME), formats)


def with_size(id: str, **changes: Any) -> Callable[[Mandrel], Mandrel]:
    """A mandrel whose characteristic ``id`` is changed."""
    return lambda m: replace(
        m,
        characteristics=tuple(
            replace(c, **changes) if c.id == id else c for c in m.characteristics
        ),
    )


def with_thread(change: Callable[[ThreadForm], ThreadForm]) -> Callable[[Mandrel], Mandrel]:
    """A mandrel whose threads are changed where they are modelled; their data stays."""

    def stretch(s: Stretch) -> Stretch:
        return s if s.thread is None else replace(s, thread=change(s.thread))

    return lambda m: replace(
        m, outer=tuple(map(stretch, m.outer)), inner=tuple(map(stretch, m.inner))
    )


def edited(data: bytes, change: Callable[[Any], None]) -> bytes:
    """A DXF after a change by ezdxf."""
    doc = ezdxf.read(io.StringIO(data.decode("utf-8")))
    change(doc)
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue().encode("utf-8")


def dimension(doc: Any, id: str) -> Any:
    """The dimension of a characteristic."""
    found = [
        e
        for e in doc.modelspace().query("DIMENSION")
        if e.has_xdata("MANDRELGEN") and e.get_xdata("MANDRELGEN")[0].value == id
    ]
    assert len(found) == 1
    return found[0]
