"""What the kernel finds in a shape, for tests."""

from __future__ import annotations

from typing import Any

from OCP.BRep import BRep_Tool
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL, TopAbs_VERTEX
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

_KINDS = {TopAbs_VERTEX: TopoDS.Vertex_s, TopAbs_EDGE: TopoDS.Edge_s, TopAbs_FACE: TopoDS.Face_s}


def each(shape: Any, kind: Any) -> list[Any]:
    """Sub-shapes of one kind, once for each time they are used."""
    found, explorer = [], TopExp_Explorer(shape, kind)
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def faces(shape: Any) -> int:
    """How many faces there are."""
    return len(each(shape, TopAbs_FACE))


def area(shape: Any) -> float:
    """Surface, mm²."""
    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, properties)
    return float(properties.Mass())


def closed(shape: Any) -> bool:
    """True if there is one closed shell and every edge, but a cone's tip, has two faces."""
    (shell,) = each(shape, TopAbs_SHELL)
    beside = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_EDGE, TopAbs_FACE, beside)
    whole = all(
        beside.FindFromIndex(i).Size() == 2
        or BRep_Tool.Degenerated_s(TopoDS.Edge_s(beside.FindKey(i)))
        for i in range(1, beside.Extent() + 1)
    )
    return whole and BRep_Tool.IsClosed_s(shell)


def tolerance(shape: Any) -> float:
    """The largest tolerance of a vertex, edge or face, mm."""
    return max(
        float(BRep_Tool.Tolerance_s(cast(s))) for k, cast in _KINDS.items() for s in each(shape, k)
    )
