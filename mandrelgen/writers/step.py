"""Solid -> STEP AP214 bytes: one product in mm, named by the fixture's number."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mandrelgen.solid.exchange import to_step

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape


def write(solid: TopoDS_Shape, *, number: str, description: str, timestamp: str) -> bytes:
    """The STEP file of ``solid`` (mm, axis +Z). ``number`` becomes the product's id and name,
    ``description`` the product's and the file's description, ``timestamp`` (ISO 8601) the
    header's. Same arguments, same bytes. Raises ValueError if the kernel refuses the shape."""
    return to_step(solid, number, description, timestamp)
