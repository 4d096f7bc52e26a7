"""Everything that is known of a mandrel on its arrival."""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.iso_14253 import Conformity, combine
from mandrelgen.workshop.receipt.comparison import EndInUse
from mandrelgen.workshop.receipt.home_tests import HomeTest, Standing
from mandrelgen.workshop.receipt.readings import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Everything that is known of a mandrel on its arrival: what was drawn, every reading (those
    that come of tests too), every test, how it serves as made (empty: not known), and the shop
    with its collets and instruments."""

    drawn: Mandrel
    readings: tuple[Reading, ...]
    tests: tuple[HomeTest, ...]
    sides: tuple[EndInUse, ...]
    shop: Shop

    def of(self, id: str) -> tuple[Reading, ...]:
        """The readings of one characteristic."""
        return tuple(r for r in self.readings if r.id == id)

    def verdict(self, id: str) -> Conformity:
        """What the readings of one characteristic prove together."""
        return combine((r.verdict, r.uncertainty) for r in self.of(id))

    def balloon(self, id: str) -> int:
        """The number of a characteristic; 0 if it is not drawn."""
        return numbered(self.drawn).get(id, 0)

    def test(self, id: str) -> HomeTest | None:
        """The test of that id, if it was done."""
        return next(
            (t for t in self.tests if t.id == id and t.state is not Standing.NOT_DONE), None
        )

    def holds(self, id: str) -> bool:
        """Whether a test was done and holds."""
        found = self.test(id)
        return found is not None and found.state is Standing.HOLDS
