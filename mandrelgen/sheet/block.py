"""A view with everything round it, as one box that the layout moves about."""

from __future__ import annotations

from collections.abc import Iterable

from mandrelgen.frozen import dataclass
from mandrelgen.sheet.model import Arc, Drawn, Hatch, Text, flat
from mandrelgen.sheet.placing import Box


@dataclass(frozen=True, slots=True)
class Block:
    """Drawn things and the box they fill, mm on paper; ``failed`` names what found no place."""

    drawn: tuple[Drawn, ...]
    box: Box
    failed: tuple[str, ...] = ()

    @property
    def width(self) -> float:
        """Width, mm."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        """Height, mm."""
        return self.box[3] - self.box[1]

    def at(self, left: float, bottom: float) -> tuple[Drawn, ...]:
        """The block with its lower left corner there."""
        return self.shifted(left - self.box[0], bottom - self.box[1])

    def shifted(self, dx: float, dy: float) -> tuple[Drawn, ...]:
        """The block moved by (dx, dy)."""
        return tuple(d.moved(dx, dy) for d in self.drawn)


def block(drawn: Iterable[Drawn], failed: Iterable[str] = ()) -> Block:
    """A block with the box its content fills."""
    every = tuple(drawn)
    return Block(every, extent(every), tuple(failed))


def extent(drawn: Iterable[Drawn]) -> Box:
    """The box round ``drawn``, mm; lettering counts with its full height."""
    xs: list[float] = []
    ys: list[float] = []
    for item in flat(tuple(drawn)):
        if isinstance(item, Arc):
            points = [
                (item.centre[0] - item.radius, item.centre[1] - item.radius),
                (item.centre[0] + item.radius, item.centre[1] + item.radius),
            ]
        elif isinstance(item, Text):
            points = list(item.corners())
        elif isinstance(item, Hatch):
            points = [p for loop in item.loops for p in loop]
        else:
            points = list(item.points)
        xs += [p[0] for p in points]
        ys += [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys)) if xs else (0.0, 0.0, 0.0, 0.0)
