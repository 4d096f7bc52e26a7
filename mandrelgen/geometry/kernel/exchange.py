"""Solids and assemblies <-> STEP AP214 bytes by the kernel. What ``make`` writes comes from
writers.step; the kernel reads it, and writes what it alone can cut or put together.

OCP directly: cadquery's importers and exporters take names of files, while here only the archive
touches a disk, so the kernel reads and writes streams in memory. Nor has cadquery a door to the
file's header and products, or to what the kernel prints meanwhile.

What the kernel would take from the clock, the machine and a counter is set here: header, product
and body name. So the same solid gives the same bytes.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from typing import Any

import cadquery as cq
from cadquery.occ_impl.assembly import toCAF

SCHEMA = "AP214IS"


def to_step(solid: cq.Shape, number: str, description: str, timestamp: str) -> bytes:
    """The STEP file of ``solid``; see writers.step.write. Raises ValueError if the kernel refuses
    the shape."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Controller, STEPControl_Writer

    STEPControl_Controller.Init_s()
    _settle()
    writer = STEPControl_Writer()
    if writer.Transfer(solid.wrapped, STEPControl_AsIs) != IFSelect_RetDone:
        raise ValueError(f"the STEP translator refused the solid of {number}")
    model = writer.Model()
    _product(model, number, description)
    _header(model, number, description, timestamp)
    stream = io.BytesIO()
    if writer.WriteStream(stream) != IFSelect_RetDone:
        raise ValueError(f"the STEP file of {number} could not be written")
    return stream.getvalue()


def assembly_to_step(
    assembly: cq.Assembly,
    names: Mapping[str, str],
    number: str,
    description: str,
    timestamp: str,
) -> bytes:
    """The STEP file of an assembly, in mm, every body with its colour and, by the name it has in
    ``assembly``, the one in ``names``; ``number`` names the file. Raises ValueError if the kernel
    refuses it."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Controller

    STEPControl_Controller.Init_s()
    _settle()
    _, document = toCAF(assembly, coloredSTEP=True)
    writer = STEPCAFControl_Writer()
    writer.SetColorMode(True)
    writer.SetNameMode(True)
    if not writer.Transfer(document, STEPControl_AsIs):
        raise ValueError(f"the STEP translator refused the assembly {number}")
    model = writer.ChangeWriter().Model()
    _rename(model, names)
    _header(model, number, description, timestamp)
    stream = io.BytesIO()
    if writer.WriteStream(stream) != IFSelect_RetDone:
        raise ValueError(f"the STEP file of {number} could not be written")
    return styles_in_order(stream.getvalue())


def _rename(model: Any, names: Mapping[str, str]) -> None:
    """Products, bodies and places by their own names; places numbered from 1 in every file."""
    from OCP.StepBasic import StepBasic_Product
    from OCP.StepRepr import StepRepr_NextAssemblyUsageOccurrence

    places = 0
    for i in range(1, model.NbEntities() + 1):
        entity = model.Value(i)
        if isinstance(entity, StepBasic_Product):
            name = _string(names[entity.Name().ToCString()])
            entity.SetId(name)
            entity.SetName(name)
        elif isinstance(entity, StepRepr_NextAssemblyUsageOccurrence):
            places += 1
            entity.SetId(_string(str(places)))
            entity.SetName(_string(names[entity.Name().ToCString()]))


_ENTITY = re.compile(rb"#(\d+) ?= ?((?:[^';]|'[^']*')*);\s*")
_WORD = re.compile(rb"'[^']*'|#(\d+)")
_STYLES = b"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"


def styles_in_order(data: bytes) -> bytes:
    """The kernel writes the colours of bodies in the order of their addresses in memory: here they
    stand in the order of the bodies, so that the same assembly gives the same bytes."""
    found = list(_ENTITY.finditer(data))
    first = next((i for i, m in enumerate(found) if m[2].startswith(_STYLES)), None)
    if first is None:
        return data
    blocks: list[list[re.Match[bytes]]] = []
    for m in found[first:]:
        if m[2].startswith(_STYLES):
            blocks.append([])
        blocks[-1].append(m)
    # The context of a body's colour, named last, was written with that body.
    blocks.sort(key=lambda block: int(_WORD.findall(block[0][2])[-1]))
    ordered = [m for block in blocks for m in block]
    ids = {m[1]: str(int(found[first][1]) + k).encode() for k, m in enumerate(ordered)}

    def renumbered(word: re.Match[bytes]) -> bytes:
        return b"#" + ids.get(word[1], word[1]) if word[1] else word[0]

    lines = [b"#%s = %s;\n" % (ids[m[1]], _WORD.sub(renumbered, m[2])) for m in ordered]
    return data[: found[first].start()] + b"".join(lines) + data[found[-1].end() :]


def _product(model: Any, number: str, description: str) -> None:
    from OCP.StepBasic import StepBasic_Product
    from OCP.StepShape import StepShape_ManifoldSolidBrep

    for i in range(1, model.NbEntities() + 1):
        entity = model.Value(i)
        if isinstance(entity, StepBasic_Product):
            entity.SetId(_string(number))
            entity.SetName(_string(number))
            entity.SetDescription(_string(description))
        elif isinstance(entity, StepShape_ManifoldSolidBrep):
            entity.SetName(_string(number))


def _header(model: Any, number: str, description: str, timestamp: str) -> None:
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader

    header = APIHeaderSection_MakeHeader(model)
    header.SetName(_string(f"{number}.step"))
    header.SetTimeStamp(_string(timestamp))
    header.SetAuthorValue(1, _string(""))
    header.SetOrganizationValue(1, _string(""))
    header.SetPreprocessorVersion(_string("mandrelgen"))
    header.SetOriginatingSystem(_string("mandrelgen"))
    header.SetAuthorisation(_string(""))
    header.SetDescriptionValue(1, _string(description))


def _string(text: str) -> Any:
    from OCP.TCollection import TCollection_HAsciiString

    return TCollection_HAsciiString(_text(text))


def _text(text: str) -> str:
    """Plain ASCII, as ISO 10303-21 wants it; other characters in its \\X2\\ notation (the kernel
    doubles apostrophes and backslashes itself)."""
    out = []
    for char in text:
        code = ord(char)
        if 32 <= code < 127:
            out.append(char)
        elif code <= 0xFFFF:
            out.append(f"\\X2\\{code:04X}\\X0\\")
        else:
            out.append(f"\\X4\\{code:08X}\\X0\\")
    return "".join(out)


def _settle() -> None:
    from OCP.Interface import Interface_Static

    Interface_Static.SetCVal_s("write.step.schema", SCHEMA)
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    _hush()


def _hush() -> None:
    """Keep the kernel's transfer statistics off the terminal; failures still show."""
    from OCP.Message import Message, Message_Gravity

    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)


def from_step(data: bytes) -> cq.Shape:
    """The shape in a STEP file, in mm. Raises ValueError if there is none."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader

    _hush()
    reader = STEPControl_Reader()
    if reader.ReadStream("part.step", io.BytesIO(data)) != IFSelect_RetDone:
        raise ValueError("not a STEP file the kernel can read")
    reader.TransferRoots()
    shape = reader.OneShape()
    if shape is None or shape.IsNull():
        raise ValueError("the STEP file holds no shape")
    return cq.Shape.cast(shape)
