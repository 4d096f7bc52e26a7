"""What the verdict on a first design settles for the final one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mandrelgen.design.options import Wishes

# Run-out asked of centring diameters (common practice, no source), and the tighter one where a
# flush joint gains by it: collets for wood lathes are no truer than 0.02 to 0.05 themselves.
RUN_OUT = 0.03
FINE = 0.02
# The seat is never looser: it sets the tilt of the part's bore.
SEAT_LOOSEST = 0.02
# What the tighter value must take off the mismatch at a flush joint to be worth its price.
WORTH = 0.05

ONE_RULE = "ISO 1101; value: rule of thumb, tighter only where a flush joint gains by it"
USUAL = f"the usual {RUN_OUT:g}: no joint here is flush and gains by a tighter one"


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceChoice:
    """Geometrical tolerances (mm) and flats; ``why``: the number behind the tolerances,
    ``why_flats`` behind the flats (empty: the maker asked)."""

    run_out: float = RUN_OUT
    why: str = USUAL
    flats: bool = False
    why_flats: str = ""

    @property
    def centring(self) -> float:
        """Run-out of a centring diameter to the shank, mm."""
        return self.run_out

    @property
    def seat(self) -> float:
        """Axial run-out of the seat, mm."""
        return min(self.run_out, SEAT_LOOSEST)

    @property
    def why_seat(self) -> str:
        """The number behind the seat's run-out."""
        if self.run_out <= SEAT_LOOSEST:
            return self.why
        return f"never looser than {SEAT_LOOSEST:g}, for it tilts the part's bore"


def settle(wishes: Wishes, settled: ToleranceChoice) -> Wishes:
    """The wishes with what was settled where the maker left it open."""
    if settled.flats and wishes.flats_asked is None:
        return replace(wishes, flats=True)
    return wishes
