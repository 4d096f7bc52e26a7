"""The held part as an outline in the mandrel's coordinates, for the small picture of use."""

from __future__ import annotations

from mandrelgen.design import outside
from mandrelgen.model.mandrel import HeldPart
from mandrelgen.spec.pen import End, Part
from mandrelgen.standards.thread_spelling import read_thread

Points = list[tuple[float, float]]


def outline(name: str, part: Part, end: End, by: str, washer: float) -> HeldPart:
    """Half-section polygon (z, r) of the part, mm: closed, first point not repeated.

    Held by its tenon, the shoulder touches the seat and the tenon points to −z; else the end's
    face touches the seat and the part lies at +z.
    """
    tenon = float(end.external.length) if end.external is not None else 0.0
    body, big, length = float(end.diameter) / 2, float(part.diameter) / 2, float(part.length)
    face = washer - tenon if by == "external" else washer
    outer: Points = []
    if end.external is not None:
        r = float(read_thread(end.external.thread).diameter) / 2
        outer += [(face, r), (face + tenon, r)]
    far = face + max(length, tenon + 1.0)
    said = [(face + z, d / 2) for z, d in _said(part, end)]
    said = [(max(z, face + tenon), r) for z, r in said if z >= face + tenon - 1e-9]
    if said:
        first = [(face + tenon, said[0][1])] if said[0][0] > face + tenon else []
        outer += [*first, *said, *([(far, said[-1][1])] if said[-1][0] < far else [])]
    else:
        ramp = face + tenon + 0.15 * (far - face - tenon)
        outer += [(face + tenon, body), (ramp, big), (far, big)]
    return HeldPart(part.name or name, tuple(outer + _inside(end, face, far)))


def _said(part: Part, end: End) -> outside.Points:
    """The outside the pen file gives, seen from this end, with the other end's body in it."""
    name = next((n for n, e in part.ends.items() if e is end), "")
    return outside.of_part(part, name) if name else ()


def _inside(end: End, face: float, far: float) -> Points:
    """Bore from the far end back to the face."""
    steps: list[tuple[float, float]] = []  # (radius, depth)
    if end.internal is not None:
        if end.internal.counterbore is not None:
            cb = end.internal.counterbore
            steps.append((float(cb.diameter) / 2, float(cb.depth)))
        d = float(read_thread(end.internal.thread).diameter)
        steps.append((d / 2, float(end.internal.depth or end.internal.full_thread or 0)))
    for s in end.bore:
        if not steps or float(s.depth) > steps[-1][1]:
            steps.append((float(s.diameter) / 2, float(s.depth)))
    if not steps:
        return [(far, 0.0), (face, 0.0)]
    points: Points = []
    bottom = min(face + steps[-1][1], far)
    points += [(far, steps[-1][0])] if bottom >= far - 1e-6 else [(far, 0.0), (bottom, 0.0)]
    start = [face, *[face + s[1] for s in steps[:-1]]]
    for (r, depth), z0 in zip(reversed(steps), reversed(start), strict=True):
        points += [(min(face + depth, far), r), (z0, r)]
    return points
