"""Centre holes (ISO 6411) at the nose and at the rear."""

from __future__ import annotations

import math

from mandrelgen.design.draft import Draft
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import CentreHole
from mandrelgen.standards import iso_6411
from mandrelgen.standards.tables import NotHeldError

DRILL_TIP = math.tan(math.radians(59.0))


def add(draft: Draft, at: str, z: float, face: float, keep: str = "may remain") -> None:
    """A type A centre hole in a face of diameter ``face`` at ``z``; none if the face is small.

    ``at``: ``nose`` (hole runs towards −z) or ``rear``.
    """
    try:
        size = iso_6411.for_work(face, "A")
    except NotHeldError:
        draft.notes.append(f"No room for a centre hole at the {at} (face ⌀{face:g}).")
        return
    inward = -1.0 if at == "nose" else 1.0
    # The pilot's point is not dimensioned; least depth is counted to the end of the pilot.
    ends = [0.0, size.cone_length, size.depth, size.depth + size.pilot / 2 / DRILL_TIP]
    diameters = [size.cone, size.pilot, size.pilot, 0.0]
    for i in range(3):
        a, b = z + inward * ends[i], z + inward * ends[i + 1]
        d0, d1 = diameters[i], diameters[i + 1]
        if b < a:
            a, b, d0, d1 = b, a, d1, d0
        draft.bore(f"centre.{at}", a, b, d0, d1)
    d = draft.decide(
        f"centre.{at}",
        f"centre hole at the {at}",
        f"{size.designation}, {keep}",
        "carries the work by the tailstock, and lets the mandrel be checked between centres"
        if keep == "may remain"
        else "takes the revolving centre of the tailstock",
        "ISO 6411",
    )
    draft.centre_holes.append(
        CentreHole(at=at, type="A", d=size.pilot, mouth=size.mouth, keep=keep)
    )
    draft.plain(
        f"centre.{at}.diameter",
        f"centre.{at}",
        Kind.CENTRE,
        size.mouth,
        d,
        "ISO 6411",
        written=size.designation,
    )
