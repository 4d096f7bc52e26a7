"""What the verdict on a first design settles for the final one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mandrelgen.design.options import Wishes
from mandrelgen.spec.pen import Fit

# Run-out asked of centring diameters and seat, from the loosest (common practice, no source).
# Below 0.005 a jobbing lathe cannot be held to.
LADDER = (0.05, 0.03, 0.02, 0.01, 0.005)
# The seat is never looser: it sets the tilt of the part's bore.
SEAT_LOOSEST = 0.02
# When the target cannot be met, a tighter rung must still take this share off the step.
WORTH = 0.05

ONE_RULE = "ISO 1101; value: loosest of the ladder that meets the joint step, own rule"


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceChoice:
    """Geometrical tolerances (mm), fit and flats; ``why``: the number behind the tolerances,
    ``why_flats`` behind the flats (empty: the maker asked)."""

    rung: float = LADDER[0]
    why: str = "not judged yet"
    fit: Fit | None = None
    flats: bool = False
    why_flats: str = ""

    @property
    def centring(self) -> float:
        """Run-out of a centring diameter to the shank, mm."""
        return self.rung

    @property
    def seat(self) -> float:
        """Axial run-out of the seat, mm."""
        return min(self.rung, SEAT_LOOSEST)

    @property
    def why_seat(self) -> str:
        """The number behind the seat's run-out."""
        if self.rung <= SEAT_LOOSEST:
            return self.why
        return (
            f"never looser than {SEAT_LOOSEST:g}, for it tilts the part's bore; the joint step "
            f"alone would allow {self.rung:g} ({self.why})"
        )


def settle(wishes: Wishes, settled: ToleranceChoice) -> Wishes:
    """The wishes with what was settled where the maker left it open."""
    out = wishes
    if settled.fit is not None and not wishes.fit_asked:
        out = replace(out, fit=settled.fit)
    if settled.flats and wishes.flats_asked is None:
        out = replace(out, flats=True)
    return out
