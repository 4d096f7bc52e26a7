"""What the verdict on a first design settles for the final one."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from mandrelgen.core.frozen import dataclass
from mandrelgen.design.options import Wishes

# Run-out asked of centring diameters (common practice, no source), and the tighter one where a
# flush joint gains by it: collets for wood lathes are no truer than 0.02 to 0.05 themselves.
RUN_OUT = 0.03
FINE = 0.02
# Ra of shank and locating face, µm: as bar is bought and a finishing cut leaves it (from memory).
ROUGHNESS = 1.6
# What the tighter value must take off the mismatch at a flush joint to be worth its price.
WORTH = 0.05

ONE_RULE = "ISO 1101; value: rule of thumb, tighter only where a flush joint gains by it"
USUAL = f"the usual {RUN_OUT:g}: no joint here is flush and gains by a tighter one"


SEAT_USUAL = f"the usual {RUN_OUT:g}: a tighter one takes less than {WORTH:.0%} off the mismatch"
ASKED = "asked for"
NOT_TRIED = "thread and seat hold the part"


class Centring(StrEnum):
    """What centres the part: its thread and the seat alone, or a register or spigot as well."""

    THREAD = "thread"
    REGISTER = "register"
    SPIGOT = "spigot"


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceChoice:
    """Geometrical tolerances (mm), finish (Ra, µm), flats, what centres the part besides its thread
    and the shank of the set; ``why``: the number behind the tolerances, ``why_flats`` behind the
    flats (empty: the maker asked), ``why_centre`` behind a centring register or spigot or behind
    none, ``why_seat`` behind the seat's run-out, ``why_shank`` behind the set's shank (mm; None:
    the mandrel's own), ``screwcut`` why a stock tap is not to cut a thread that it could."""

    run_out: float = RUN_OUT
    why: str = USUAL
    seat_run_out: float = RUN_OUT
    why_seat: str = SEAT_USUAL
    roughness: float = ROUGHNESS
    flats: bool = False
    why_flats: str = ""
    centre: Centring = Centring.THREAD
    why_centre: str = NOT_TRIED
    shank: float | None = None
    why_shank: str = ""
    screwcut: str = ""

    @property
    def centring(self) -> float:
        """Run-out of a centring diameter to the shank, mm."""
        return self.run_out

    @property
    def seat(self) -> float:
        """Axial run-out of the seat, mm."""
        return self.seat_run_out


def asked(wishes: Wishes, settled: ToleranceChoice) -> ToleranceChoice:
    """What was settled, but what the maker asks for himself."""
    if wishes.run_out is not None:
        settled = replace(settled, run_out=wishes.run_out, why=ASKED)
    if wishes.roughness is not None:
        settled = replace(settled, roughness=wishes.roughness)
    if wishes.seat_run_out is not None:
        settled = replace(settled, seat_run_out=wishes.seat_run_out, why_seat=ASKED)
    return settled


def settle(wishes: Wishes, settled: ToleranceChoice) -> Wishes:
    """The wishes with what was settled where the maker left it open."""
    if settled.flats and wishes.flats_asked is None:
        wishes = replace(wishes, flats=True)
    if settled.shank is not None and wishes.shank_diameter is None:
        wishes = replace(wishes, shank_diameter=settled.shank)
    return wishes
