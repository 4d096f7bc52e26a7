"""Whether a shank outside its limits is clamped all the same: by what the collets on the shelf
reach (ISO 15488, or what the shop file says of a system of its own).

That it slides in by hand is no proof: an open collet takes more than it clamps, and one that is
closed on a shank above its size is spread and spoilt (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.core.tolerance import text_of
from mandrelgen.design.shank import Reach, reaches
from mandrelgen.model.characteristic import Characteristic
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.standards.iso_15488 import with_letters
from mandrelgen.workshop.receipt.home_evidence import Evidence
from mandrelgen.workshop.receipt.readings import SHANK, Reading

_NOISE = 1e-9


def harm(e: Evidence, c: Characteristic, r: Reading) -> tuple[bool, str] | None:
    """Whether a shank proved outside its limits can not be used, and why or why not; None where
    the collets say nothing about it."""
    if c.id != SHANK or r.value is None:
        return None
    low, high = r.value - r.uncertainty, r.value + r.uncertainty
    shelf = reaches(e.shop)
    own = next((k for k in shelf if k.collet == e.drawn.ordering.collet), None)
    size = c.nominal if own is None else own.size
    found = _taking(shelf, own, low, high)
    if found is not None and found == own:
        return False, f"no harm: {_said(own)} clamps {_range(own)}"
    if found is not None:
        only = f"; not the {text_of(size)}, which only closes" if low > size else ""
        return False, f"no harm in {_said(found)}, which clamps {_range(found)}{only}"
    if low > size - _NOISE:
        reach = f"{_said(own)} clamps {_range(own)}" if own else f"a collet of {text_of(size)}"
        none = "no larger one on the shelf clamps it" if shelf else "no collet is listed"
        return True, (f"{reach}{' and' if own else ''} only closes: a shank above its size is not "
                      f"forced into it, even if it slides in; {none}")  # fmt: skip
    return None if own is None else (True, f"{_said(own)} clamps no less than ⌀{text_of(own.low)}")


def instead(e: Evidence) -> str:
    """Another collet on the shelf that clamps a shank proved outside its limits, with its reach; ""
    if there is none."""
    shelf = reaches(e.shop)
    own = next((k for k in shelf if k.collet == e.drawn.ordering.collet), None)
    for r in e.of(SHANK):
        if r.verdict is Conformity.REJECT and r.value is not None:
            found = _taking(shelf, own, r.value - r.uncertainty, r.value + r.uncertainty)
            if found is not None and found != own:
                return f"{_said(found)}, which clamps {_range(found)}"
    return ""


def _taking(shelf: Sequence[Reach], own: Reach | None, low: float, high: float) -> Reach | None:
    """The collet that clamps every shank between these: the drawing's own, else the smallest."""
    if own is not None and _takes(own, low, high):
        return own
    return min((k for k in shelf if _takes(k, low, high)), key=lambda k: k.size, default=None)


def _takes(k: Reach, low: float, high: float) -> bool:
    return k.low - _NOISE <= low and high <= k.size + _NOISE


def _said(k: Reach) -> str:
    return f"my collet {with_letters(k.collet)}"


def _range(k: Reach) -> str:
    return f"⌀{text_of(k.low)} to {text_of(k.size)}"
