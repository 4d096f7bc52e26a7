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
from typing import Any

import cadquery as cq

SCHEMA = "AP214IS"


def to_step(solid: cq.Shape, number: str, description: str, timestamp: str) -> bytes:
    """The STEP file of ``solid``; see writers.step.write. Raises ValueError if the kernel refuses
    the shape."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Controller, STEPControl_Writer

    STEPControl_Controller.Init_s()
    Interface_Static.SetCVal_s("write.step.schema", SCHEMA)
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    _hush()
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
