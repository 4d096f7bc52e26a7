"""Where the pen file says a size that a check of the pen compares."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from mandrelgen.core.errors import Change, Path, Remedy
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.ends import Hole
from mandrelgen.spec.pen import BoreStep, End, Manner

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


def put_in_front(b: Bored, steps: tuple[BoreStep, ...], diameter: float, depth: float) -> Remedy:
    """A tapping hole in front of a narrower one, which begins behind it; ``steps``: of the whole
    bore. Each step from there on moves on by one, with all that was said of it."""
    *bore, at = b.path
    changes: list[Change] = []
    for n in reversed(range(int(at), len(steps))):
        said = steps[n].model_dump(exclude_unset=True, mode="json")
        there = steps[n + 1].model_fields_set if n + 1 < len(steps) else frozenset[str]()
        changes += _step((*bore, n + 1), said)
        changes += [Change((*bore, n + 1, k), None) for k in sorted(there - said.keys())]
    changes += _step((*bore, at), {"diameter": diameter, "depth": depth})
    own = sorted(steps[int(at)].model_fields_set - {"diameter", "depth"})
    changes += [Change((*bore, at, k), None) for k in own]
    says = f"drill its tapping hole first: ⌀{text_of(diameter)}, {text_of(depth)} deep"
    return Remedy(tuple(changes), says)


def _step(at: Path, said: Mapping[str, Any]) -> list[Change]:
    """Each key of a step, those of its reading too."""
    out: list[Change] = []
    for key, value in said.items():
        if isinstance(value, dict):
            out += _step((*at, key), value)
        else:
            out.append(Change((*at, key), value))
    return out
