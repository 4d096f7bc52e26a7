"""The kernel's own check of a shape. Necessary, not enough: it passes lost threads, so what a
shape holds is measured besides (see ``measure``)."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape


def is_valid(shape: TopoDS_Shape) -> bool:
    """True if the kernel finds no fault in the shape's geometry and topology."""
    from OCP.BRepCheck import BRepCheck_Analyzer

    return bool(BRepCheck_Analyzer(shape).IsValid())
