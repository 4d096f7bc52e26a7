"""What a sheet shows: the views, details and tables of a mandrel at one scale."""

from __future__ import annotations

from functools import cached_property

from mandrelgen.mandrel import Mandrel
from mandrelgen.profile import Profile
from mandrelgen.sheet.allot import Allotment, allot
from mandrelgen.sheet.block import Block
from mandrelgen.sheet.details import RADII, detail, detail_scale
from mandrelgen.sheet.details import SCALES as DETAILS
from mandrelgen.sheet.endview import end_view, flats_section
from mandrelgen.sheet.mainview import main_block
from mandrelgen.sheet.threadview import of_thread, thread_profile, thread_table
from mandrelgen.sheet.usepicture import use_pictures


class Views:
    """Everything that depends on the scale but not on the paper; details are made when asked
    for."""

    def __init__(
        self, mandrel: Mandrel, profile: Profile, f: float, numbers: dict[str, int], third: bool
    ) -> None:
        self.mandrel, self.f, self.numbers, self.third = mandrel, f, numbers, third
        self.parts: Allotment = allot(mandrel, f)
        main = main_block(mandrel, profile, self.parts, f, numbers)
        self.failed = main.failed
        self.main: tuple[Block, ...] = (main,) if main.failed else _row_of(mandrel, main, f, third)
        self.extra = use_pictures(mandrel)
        self.full = use_pictures(mandrel, smallest=1.0)

    @cached_property
    def tables(self) -> tuple[Block, ...]:
        """Section through the flats, thread profiles and their tables."""
        out: list[Block] = []
        section = flats_section(self.mandrel, self.parts.across, self.f, self.numbers)
        if section is not None:
            out.append(section)
        for t in self.mandrel.threads:
            sizes = of_thread(self.parts.threads, t, self.mandrel.threads)
            if sizes:
                out += [thread_profile(t), thread_table(t, sizes, self.numbers)]
        return tuple(out)

    @cached_property
    def details(self) -> tuple[tuple[Block, ...], ...]:
        """The enlarged details, in circles of falling size."""
        shown = [(w, cs) for w, cs in self.parts.details if cs]
        out: list[tuple[Block, ...]] = []
        # A detail depends on its scale alone, which may be the same in a smaller circle.
        known: dict[tuple[str, float], Block] = {}
        for radius in RADII:
            sizes = tuple(detail_scale(w, self.f, radius) for w, _ in shown)
            for letter, (window, cs), size in zip("XYZWVU", shown, sizes, strict=False):
                if (letter, size) not in known:
                    known[letter, size] = detail(
                        self.mandrel, window, cs, letter, self.f, self.numbers, radius
                    )
            made = tuple(known[key] for key in zip("XYZWVU", sizes, strict=False))
            if (not any(b.failed for b in made) or radius == RADII[-1]) and made not in out[-1:]:
                out.append(made)
            if all(s <= max(DETAILS[-1], self.f) for s in sizes):
                break
        return tuple(out)


def _row_of(mandrel: Mandrel, main: Block, f: float, third: bool) -> tuple[Block, ...]:
    """The main view with its end views, left to right."""
    row = [main]
    # First angle: what is seen from the nose (right) stands on the left.
    row.insert(1 if third else 0, end_view(mandrel, f, from_nose=True))
    if sum(1 for _ in mandrel.threads) > 1 and any(
        t.feature.startswith("b.") for t in mandrel.threads
    ):
        row.insert(0 if third else 2, end_view(mandrel, f, from_nose=False))
    return tuple(row)
