"""What a change of the pen moves on the sheet of a mandrel that it was not about: the run-outs
asked of the mandrels on both sides of a joint are chosen together."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mandrelgen.model.characteristic import Kind
from mandrelgen.workshop.turning.names import asked

if TYPE_CHECKING:
    from mandrelgen.workflows.bench_look import Look

_RUN_OUTS = (Kind.RUNOUT, Kind.FACE_RUNOUT)


class Moved(NamedTuple):
    """A run-out asked of the mandrel for ``part``, mm, before and now."""

    part: str
    what: str
    was: float
    now: float


def moved(before: Look, after: Look) -> tuple[Moved, ...]:
    """Each run-out that is another one now, of the mandrels that are on both looks."""
    was = {(planned, id): upper for planned, _, id, _, upper in _run_outs(before)}
    return tuple(
        Moved(part, what, was[planned, id], upper)
        for planned, part, id, what, upper in _run_outs(after)
        if (planned, id) in was and was[planned, id] != upper
    )


def _run_outs(look: Look) -> list[tuple[str, str, str, str, float]]:
    return [
        (d.planned.id, d.planned.hold.part, c.id, asked(c), c.upper)
        for d in look.checked.designed
        if d.mandrel is not None
        for c in d.mandrel.characteristics
        if c.kind in _RUN_OUTS and c.upper is not None
    ]
