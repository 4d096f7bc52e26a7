"""Where the pen file says a size that a check of the pen compares."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.core.errors import Change, Path, Remedy
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.ends import Hole
from mandrelgen.spec.pen import End, Manner

BY_DRILL = (Manner.DRILLED, Manner.FREEHAND, Manner.GUIDED)


class Place(NamedTuple):
    """A part's end."""

    part: str
    end: str

    def __str__(self) -> str:
        return f"{self.part}.{self.end}"

    def key(self, *steps: str | int) -> Path:
        """The path of a key of this end."""
        return ("parts", self.part, "ends", self.end, *steps)


class Bored(NamedTuple):
    """A hole of an end as it is written: its limits (mm), where its table stands, how it was made.

    ``assumed``: its limits are taken from the way it was made, not said.
    """

    hole: Hole
    path: Path
    drilled: bool
    assumed: bool
    measured: bool

    @property
    def over(self) -> float:
        """By how much it may come out larger than its nominal, mm."""
        return max(self.hole.size.upper - self.hole.size.nominal, 0.0)

    @property
    def given(self) -> float:
        """The size as given or measured: the middle of limits that were said, mm."""
        s = self.hole.size
        return s.nominal if self.assumed else s.mid


def bored(place: Place, end: End, holes: tuple[Hole, ...]) -> tuple[Bored, ...]:
    """The steps of an end's bore with their places in the file; none where no bore is written."""
    return tuple(
        Bored(
            hole=hole,
            path=place.key("bore", n),
            drilled=step.made in BY_DRILL,
            assumed=step.measured is None and step.tolerance is None and step.upper is None
            and step.lower is None,
            measured=step.measured is not None,
        )
        for n, (step, hole) in enumerate(zip(end.bore, holes, strict=False))
    )  # fmt: skip


def set_bore(b: Bored, diameter: float, verb: str = "") -> Remedy:
    """A hole of another diameter; a reading of the old one goes with it."""
    said = verb or ("drill" if b.drilled else "bore")
    changes = [Change((*b.path, "diameter"), round(diameter, 4))]
    if b.measured:
        changes.append(Change((*b.path, "measured"), None))
    return Remedy(tuple(changes), f"{said} ⌀{text_of(diameter)} (now ⌀{b.hole.size.nominal:g})")


def set_outside(
    place: Place, path: Path, size: float, largest: float, lesser: bool = False
) -> Remedy:
    """Another outside of ``size`` mm at an end (``path``: its diameter's key, or its body's behind
    the thread); the part's ``largest`` grows with it where it is slimmer."""
    at = f"behind the {place.end}" if path[-1] == "body" else f"at the {place.end}"
    changes, says = [Change(path, size)], f"{place.part} ⌀{text_of(size)} {at}"
    if size > largest:
        changes.append(Change(("parts", place.part, "diameter"), size))
        says += ", and as its largest diameter"
    return Remedy(tuple(changes), says, lesser=lesser)
