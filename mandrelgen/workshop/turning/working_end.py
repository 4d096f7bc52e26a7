"""One working end of a mandrel as it is held for turning, and a step of the sequence."""

from __future__ import annotations

from collections.abc import Collection

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.feature import Feature, FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel, ThreadData, body_is_bar, collar_diameter


@dataclass(frozen=True, slots=True)
class Operation:
    """One step: ``setting`` counts how the piece is held (0: after the lathe), ``finishes`` the
    ids of the characteristics it finishes, ``why`` the reason where the order matters ("" : it
    does not)."""

    setting: int
    what: str
    why: str = ""
    finishes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingEnd:
    """One working end: ``has`` its features by their own names; ``back`` true if the shoulder
    at the shank's front faces the spindle (cut together with the shank); ``bar`` if the shank is
    the bar itself and everything is cut in one chucking."""

    mandrel: Mandrel
    end: MandrelEnd
    setting: int
    has: frozenset[str]
    thread: ThreadData | None
    back: bool
    bar: bool = False

    def ids(self, names: Collection[str], of: tuple[FeatureKind, ...] = ()) -> tuple[str, ...]:
        """Ids of this end's characteristics whose own name is one of ``names``, or that speak of a
        feature of the kinds ``of``; in reading order."""
        return tuple(
            c.id
            for c in self.mandrel.characteristics
            if c.end is self.end and (c.own_id in names or c.subject in of)
        )

    @property
    def second(self) -> bool:
        """True for the second end of a double-ended mandrel."""
        return self.end is MandrelEnd.SECOND

    def at(self, station: str) -> float:
        """z of a station of this end."""
        return self.mandrel.stations[self.end.named(station)]

    @property
    def plain(self) -> bool:
        """True if its outside is the shank's own bar: nothing is turned on it."""
        return body_is_bar(self.mandrel)

    @property
    def collar(self) -> Characteristic | None:
        """The diameter the seat ends at: the collar's, or the shank's whose bar a cup's body is."""
        return collar_diameter(self.mandrel, self.end)

    def size(self, id: str) -> Characteristic | None:
        """A characteristic of this end, or None."""
        found = {c.id: c for c in self.mandrel.characteristics}
        return found.get(self.end.named(id))


def end_of(mandrel: Mandrel, end: MandrelEnd, setting: int) -> WorkingEnd:
    """An end, worked in that setting."""
    stretches = (*mandrel.outer, *mandrel.inner)
    has = frozenset(s.feature.own for s in stretches if s.feature.end is end)
    own = Feature.of(FeatureKind.THREAD, end=end)
    thread = next((t for t in mandrel.threads if t.feature == own), None)
    row = mandrel.outer
    at = next((i for i, s in enumerate(row) if s.feature == "shank"), None)
    back = False
    if at is not None and end is MandrelEnd.FIRST and at + 1 < len(row):
        back = row[at + 1].d0 > row[at].d1 + 1e-9
    return WorkingEnd(mandrel=mandrel, end=end, setting=setting, has=has, thread=thread, back=back)
