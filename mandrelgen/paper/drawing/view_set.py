"""What a sheet shows: the views, details and tables of a mandrel at one scale."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.half_section import Profile
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.details import RADII, detail, detail_scale
from mandrelgen.paper.drawing.details import SCALES as DETAILS
from mandrelgen.paper.drawing.dimension_assignment import Allotment, Window, allot
from mandrelgen.paper.drawing.flats_section import flats_section
from mandrelgen.paper.drawing.main_view import main_block
from mandrelgen.paper.drawing.segments import Box
from mandrelgen.paper.drawing.text_block import Block, extent
from mandrelgen.paper.drawing.thread_view import (
    of_thread,
    thread_name,
    thread_table,
)
from mandrelgen.paper.drawing.use_picture import use_pictures

LETTERS = "XYZWVU"
# What a main view kept to a width leaves of it at the rear, tried one after the other.
SPLITS = (0.5, 0.3, 0.7)
# The centre line goes beyond the part by so much, mm.
CENTRE_LINE = 4.0
# Scales of a section that has no room at the sheet's, the largest first (ISO 5455).
SECTIONS = (2.0, 1.0)
# Where so many sizes find no place, another split helps no more.
HOPELESS = 3


def scale_text(f: float) -> str:
    """``2:1`` or ``1:2``."""
    return f"{f:g}:1" if f >= 1 else f"1:{1 / f:g}"


# What a detail shows: its letter, its window, the sizes in it, its scale.
Seen = tuple[str, Window, tuple[str, ...], float, bool]


class Views:
    """Everything that depends on the scale but not on the paper; details are made when asked
    for. ``known``: the details of the same mandrel made so far, beside main views of other
    scales."""

    def __init__(
        self,
        mandrel: Mandrel,
        profile: Profile,
        f: float,
        numbers: dict[str, int],
        third: bool,
        wires: tuple[float, ...] = (),
        known: dict[Seen, Block] | None = None,
    ) -> None:
        self.mandrel, self.profile = mandrel, profile
        self.f, self.numbers, self.third = f, numbers, third
        self.wires = wires
        self.parts: Allotment = allot(mandrel, f)
        self.length = (mandrel.outer[-1].z1 - mandrel.outer[0].z0) * f
        self._narrow: dict[float, list[Block]] = {}
        self._known = {} if known is None else known

    @cached_property
    def main(self) -> Block:
        """The main view with its dimensions, as wide as it likes."""
        return main_block(self.mandrel, self.profile, self.parts, self.f, self.numbers)

    @cached_property
    def main_boxes(self) -> tuple[Box, ...]:
        """The boxes of all that is drawn of it."""
        return tuple(extent([d]) for d in self.main.drawn)

    def mains_within(self, room: float) -> Iterator[Block]:
        """The main view not wider than ``room`` mm, every size in its place: as it likes, else kept
        to that width in several ways."""
        if self.length + 2 * CENTRE_LINE > room:
            return
        if self.main.width <= room and not self.main.failed:
            yield self.main
            return
        made = self._narrow.setdefault(room, [])
        spare = room - self.length
        for n, split in enumerate(SPLITS):
            if n == len(made):
                reach = (spare * split, spare * (1 - split))
                made.append(
                    main_block(self.mandrel, self.profile, self.parts, self.f, self.numbers, reach)
                )
            narrow = made[n]
            if narrow.width <= room and not narrow.failed:
                yield narrow
            elif len(narrow.failed) >= HOPELESS:
                return

    @cached_property
    def section(self) -> Block | None:
        """The section through the flats."""
        return flats_section(self.mandrel, self.parts.across, self.f, self.numbers)

    @property
    def smaller_sections(self) -> Iterator[Block]:
        """The same at smaller scales, each with its own over it."""
        for f in SECTIONS:
            if f < self.f:
                found = flats_section(self.mandrel, self.parts.across, f, self.numbers, scaled=True)
                if found is not None:
                    yield found

    @cached_property
    def section_elsewhere(self) -> Block | None:
        """The same for a sheet that has no main view."""
        return flats_section(self.mandrel, self.parts.across, self.f, self.numbers, scaled=True)

    @cached_property
    def _tables(self) -> tuple[tuple[str, Block], ...]:
        found = []
        for t in self.mandrel.threads:
            sizes = of_thread(self.parts.threads, t, self.mandrel.threads)
            if sizes:
                table = thread_table(t, sizes, self.numbers, self.wires)
                found.append((thread_name(t), table))
        return tuple(found)

    @property
    def threads(self) -> tuple[Block, ...]:
        """Each thread's table."""
        return tuple(table for _, table in self._tables)

    @property
    def thread_names(self) -> tuple[str, ...]:
        """The names of the threads that have a table."""
        return tuple(name for name, _ in self._tables)

    @cached_property
    def letters(self) -> str:
        """The letters of the enlarged details."""
        return LETTERS[: sum(1 for _, cs in self.parts.details if cs)]

    @cached_property
    def details(self) -> tuple[tuple[Block, ...], ...]:
        """The enlarged details, in circles of falling size."""
        shown = [(w, cs) for w, cs in self.parts.details if cs]
        out: list[tuple[Block, ...]] = []
        for radius in RADII:
            sizes = tuple(detail_scale(w, self.f, radius) for w, _ in shown)
            made = tuple(
                self._detail(letter, window, cs, radius)
                for letter, (window, cs) in zip(LETTERS, shown, strict=False)
            )
            if (not any(b.failed for b in made) or radius == RADII[-1]) and made not in out[-1:]:
                out.append(made)
            if all(s <= max(DETAILS[-1], self.f) for s in sizes):
                break
        return tuple(out)

    @cached_property
    def low_details(self) -> tuple[Block, ...]:
        """The smallest details with the bores' lengths above them, where leaders cross them but
        need no row of their own; none where no bore is shown."""
        shown = [(w, cs) for w, cs in self.parts.details if cs]
        if all(w.external for w, _ in shown):
            return ()
        return tuple(
            self._detail(letter, window, cs, RADII[-1], low=True)
            for letter, (window, cs) in zip(LETTERS, shown, strict=False)
        )

    @cached_property
    def clear_details(self) -> tuple[Block, ...]:
        """The smallest details, but each in which two heads point at nearly one place as large, or
        with its lengths as far below, as it takes that none do."""
        shown = [(w, cs) for w, cs in self.parts.details if cs]
        ways = [(radius, low) for radius in reversed(RADII) for low in (True, False)]
        return tuple(
            next(
                (d for d in made if not d.muddled and not d.failed),
                self._detail(letter, window, cs, RADII[-1]),
            )
            for letter, (window, cs) in zip(LETTERS, shown, strict=False)
            for made in [(self._detail(letter, window, cs, r, low) for r, low in ways)]
        )

    def _detail(
        self,
        letter: str,
        window: Window,
        cs: tuple[Characteristic, ...],
        radius: float,
        low: bool = False,
    ) -> Block:
        """A detail in a circle of at most ``radius`` mm. It depends on its own scale, not on the
        main view's: in a smaller circle or beside another main view it may be the same."""
        size = detail_scale(window, self.f, radius)
        low = low and not window.external
        key = (letter, window, tuple(c.id for c in cs), size, low)
        if key not in self._known:
            made = detail(self.mandrel, window, cs, letter, self.f, self.numbers, radius, low)
            self._known[key] = made
        return self._known[key]

    @cached_property
    def pictures(self) -> tuple[Block, ...]:
        """The picture of use in falling sizes."""
        return use_pictures(self.mandrel)

    @cached_property
    def full_pictures(self) -> tuple[Block, ...]:
        """Those of them at full size or larger."""
        return use_pictures(self.mandrel, smallest=1.0)
