"""The reader of the ordinary read-back against ezdxf's own reading of the same files, and what it
finds in files that a CAD program would stumble over."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from functools import cache
from typing import Any

import ezdxf
import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.files.formats import write
from mandrelgen.files.proof import dxf, kernel, read_back
from mandrelgen.files.proof.drawing import measured
from mandrelgen.files.proof.dxf_tags import Entity
from mandrelgen.files.proof.report import Case, Expected, ProofError
from mandrelgen.spec.pen import Pen
from mandrelgen.workflows.build import Build
from tests.support.penroad import random_trees
from tests.support.proving import NAME, mandrels
from tests.support.randompens import SHOP

RANDOM, SEED = 4, 77
CUP = "wren/section-rear-cup"


def expected_of(build: Build) -> Expected:
    i = build.issue
    return Expected(
        mandrel=build.mandrel,
        profile=build.profile,
        number=i.number,
        revision=i.revision,
        issued=i.issued,
        pages=0,
        mass_g=build.mass,
    )


@cache
def package(name: str) -> tuple[Expected, bytes]:
    """What is expected of a starter's mandrel, and its drawing."""
    build = Build(mandrels()[name], NAME)
    return expected_of(build), write(build, ("dxf",))["TM-0042_B.dxf"]


def files(count: int) -> Iterator[tuple[str, Expected, bytes]]:
    """Drawing and outline of every starter's mandrel and of those of ``count`` random pens."""
    builds = [Build(m, NAME) for m in mandrels().values()]
    for tree in random_trees(count, SEED):
        try:
            pen = Pen.model_validate(tree)
        except ValueError:
            continue
        builds += [Build(d.mandrel, NAME) for d in designs(pen, SHOP) if d.mandrel is not None]
    for build in builds:
        for name, data in write(build, ("dxf", "outline")).items():
            yield name, expected_of(build), data


def opened(data: bytes) -> Any:
    """ezdxf's reading."""
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def same_text(ours: Entity, theirs: Any) -> None:
    """Words, height and place of a TEXT."""
    assert ours.text(1) == theirs.dxf.text
    assert ours.number(40) == theirs.dxf.height
    assert dxf.place(ours) == theirs.get_placement()[1].vec2


def same_dimension(file: dxf.File, ours: Entity, theirs: Any) -> None:
    """Words, settings, picture and measure of a DIMENSION; ezdxf's measure leaves out the factor
    of one dimension."""
    assert ours.text(1) == theirs.dxf.text
    assert ours.number(42) == theirs.dxf.actual_measurement
    override = theirs.override()
    for name in ("dimlfac", "dimdec", "dimadec", "dimtol", "dimlim"):
        code = getattr(dxf, name.upper())
        assert float(file.setting(ours, code, "nan")) == override.get(name), name
    assert file.setting(ours, dxf.DIMPOST, "") == (override.get("dimpost") or "")
    angle = theirs.dimtype == 5
    factor = 1.0 if angle else override.get("dimlfac", 1.0)
    measure = float(theirs.get_measurement()) * factor
    assert measured(file, ours) == pytest.approx(measure, abs=1e-9)
    picture = list(theirs.get_geometry_block())
    assert [e.kind for e in file.picture(ours)] == [e.dxftype() for e in picture]
    for one, other in zip(file.picture(ours), picture, strict=True):
        if one.kind == "TEXT":
            same_text(one, other)


def test_the_reader_reads_what_ezdxf_reads() -> None:
    """Of a few random pens; ``tests/long/test_larger_samples.py`` takes more."""
    read_alike(RANDOM)


def read_alike(count: int) -> None:
    """Every entity of the model space by its handle, in starters' and random drawings."""
    kinds = set()
    drawings = 0
    for name, expected, data in files(count):
        case = Case(name, data, expected)
        file, doc = dxf.load(case), opened(data)
        assert not case.findings
        audit = doc.audit()
        assert not audit.errors
        assert not audit.fixes
        theirs = list(doc.modelspace())
        assert [e.handle for e in file.model] == [e.dxf.handle for e in theirs]
        assert file.tables["LAYER"].keys() == {e.dxf.name.upper() for e in doc.layers}
        assert file.blocks.keys() == {b.name.upper() for b in doc.blocks}
        for one, other in zip(file.model, theirs, strict=True):
            kinds.add(one.kind)
            assert (one.kind, one.text(8)) == (other.dxftype(), other.dxf.layer)
            tags = other.get_xdata("MANDRELGEN") if other.has_xdata("MANDRELGEN") else ()
            assert dxf.identity(one) == (tuple(t.value for t in tags) or None)
            if one.kind == "TEXT":
                same_text(one, other)
            elif one.kind == "DIMENSION":
                same_dimension(file, one, other)
            elif one.kind == "LWPOLYLINE":
                assert list(one.points(10)) == [p[:2] for p in other.get_points("xy")]
                assert bool(one.whole(70) & 1) == other.closed
        drawings += 1
    assert {"TEXT", "DIMENSION", "LWPOLYLINE", "LINE", "HATCH"} <= kinds
    assert drawings > 2 * len(mandrels())


def said(data: bytes) -> str:
    """What the ordinary read-back says of a drawing of the cup."""
    with pytest.raises(ProofError) as caught:
        read_back.check(package(CUP)[0], {"TM-0042_B.dxf": data})
    return "\n".join(f.message for f in caught.value.findings)


def pairs(data: bytes) -> list[list[str]]:
    lines = data.decode("utf-8").split("\n")[:-1]
    return [list(p) for p in zip(lines[::2], lines[1::2], strict=True)]


def joined(tags: list[list[str]]) -> bytes:
    return "".join(f"{c}\n{v}\n" for c, v in tags).encode()


def first(tags: list[list[str]], kind: str, code: int) -> int:
    """Where the first entity of a kind has its tag ``code``, behind the tables."""
    start = next(i for i, t in enumerate(tags) if t[1] == "ENTITIES")
    here = next(i for i in range(start, len(tags)) if tags[i] == ["  0", kind])
    return next(i for i in range(here + 1, len(tags)) if int(tags[i][0]) == code)


@pytest.mark.parametrize(
    ("kind", "code", "value", "words"),
    [
        ("LINE", 5, "{first}", "soundness: expected each handle once"),
        ("LINE", 8, "NOWHERE", "soundness: expected LAYER of LINE"),
        ("TEXT", 7, "NOWHERE", "soundness: expected STYLE of TEXT"),
        ("DIMENSION", 3, "NOWHERE", "soundness: expected DIMSTYLE of DIMENSION"),
        ("DIMENSION", 2, "*D999", "soundness: expected picture of DIMENSION"),
        ("LINE", 330, "FFFF1", "refers to, found no FFFF1"),
        ("DIMENSION", 1001, "NOBODY", "soundness: expected APPID of DIMENSION"),
        ("LINE", 10, "1e999", "group 10 holds '1e999'"),
        ("LINE", 10, "nan", "group 10 holds 'nan'"),
        ("TEXT", 40, "tall", "could not convert string to float"),
        ("DIMENSION", 70, "1.5", "invalid literal for int"),
        ("LINE", 330, "XYZ", "invalid literal for int"),
    ],
)
def test_what_a_cad_program_would_stumble_over_is_found(
    kind: str, code: int, value: str, words: str
) -> None:
    tags = pairs(package(CUP)[1])
    at = first(tags, kind, code)
    other = first(tags, "TEXT", 5)
    tags[at][1] = value.format(first=tags[other][1])
    assert words in said(joined(tags))


def test_what_the_audit_finds_is_found_too() -> None:
    """Names that lead nowhere, judged by ezdxf: the deep proof has its audit, the ordinary one its
    own eyes."""
    expected, data = package(CUP)
    assert kernel.prove(expected, {"TM-0042_B.dxf": data})["TM-0042_B.dxf"]["entities"] > 100
    for kind, code in (("TEXT", 7), ("DIMENSION", 3)):
        tags = pairs(data)
        tags[first(tags, kind, code)][1] = "NOWHERE"
        assert "soundness" in said(joined(tags))
        with pytest.raises(ProofError, match=r"audit: expected a sound file"):
            kernel.prove(expected, {"TM-0042_B.dxf": joined(tags)})


@pytest.mark.parametrize("section", ["HEADER", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS"])
def test_a_section_that_lost_its_end_is_found(section: str) -> None:
    tags = pairs(package(CUP)[1])
    start = next(i for i, t in enumerate(tags) if t == ["  2", section])
    end = next(i for i in range(start, len(tags)) if tags[i][1] == "ENDSEC")
    words = "stands where" if section != "OBJECTS" else "a section is not closed"
    assert words in said(joined(tags[:end] + tags[end + 1 :]))
    assert "stands where" in said(joined(tags[: start - 1] + tags[start + 1 :]))


def test_a_file_without_its_end_or_with_half_a_pair_is_found() -> None:
    data = package(CUP)[1]
    assert "ends within a pair" in said(data[:-1])
    assert "the file has no end" in said(joined(pairs(data)[:-1]))
    assert "ends within a pair" in said(data[: data.rindex(b"EOF")])


def test_an_angle_is_measured_on_the_side_of_its_arc() -> None:
    """Elementary: 90° from the x axis to the y axis, 270° the other way round."""
    tags = ((70, "5"), (13, "1"), (23, "0"), (14, "0"), (24, "1"), (15, "0"), (25, "0"))
    file = dxf.File((), {}, {})
    for arc, wanted in (((1.0, 1.0), 90.0), ((-1.0, -1.0), 270.0)):
        on = ((10, str(arc[0])), (20, str(arc[1])))
        assert math.isclose(measured(file, Entity("DIMENSION", (*on, *tags), {})), wanted)
