"""What the kernel finds in a cadquery shape, for tests."""

from __future__ import annotations

import cadquery as cq
from OCP.BRep import BRep_Tool
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape


def faces(shape: cq.Shape) -> int:
    """How many faces there are."""
    return len(shape.Faces())


def area(shape: cq.Shape) -> float:
    """Surface, mm²."""
    return float(shape.Area())


def closed(shape: cq.Shape) -> bool:
    """True if there is one closed shell and every edge, but a cone's tip, has two faces."""
    (shell,) = shape.Shells()
    beside = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape.wrapped, TopAbs_EDGE, TopAbs_FACE, beside)
    whole = all(
        beside.FindFromIndex(i).Size() == 2
        or BRep_Tool.Degenerated_s(TopoDS.Edge_s(beside.FindKey(i)))
        for i in range(1, beside.Extent() + 1)
    )
    return whole and BRep_Tool.IsClosed_s(shell.wrapped)


def tolerance(shape: cq.Shape) -> float:
    """The largest tolerance of a vertex, edge or face, mm."""
    return max(
        *(float(BRep_Tool.Tolerance_s(v.wrapped)) for v in shape.Vertices()),
        *(float(BRep_Tool.Tolerance_s(e.wrapped)) for e in shape.Edges()),
        *(float(BRep_Tool.Tolerance_s(f.wrapped)) for f in shape.Faces()),
    )
