"""Materials of mandrels and of pen parts, with the values used for checking."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from mandrelgen.standards.tables import NotHeldError, load

KINDS = ("metal", "plastic", "printed", "wood")
_HEAD = ("standard", "edition", "table", "unit", "confidence")


class Material(NamedTuple):
    """A material. Density in g/cm³, moduli and strengths in MPa, expansion in 1e-6/K.

    ``yield_strength`` is Rp0.2 of a metal (tensile strength of a brittle plastic);
    ``max_temperature`` in °C is 0 where it does not matter. ``confidence`` says how well the
    values are founded; ``said`` what a shop calls it besides; ``strength_holds`` for which sizes
    of bar the standard gives those strengths ("" if for all it has). Printed materials hold the
    values across the layers.
    """

    id: str
    name: str
    standard: str
    kind: str
    density: float
    youngs_modulus: float
    shear_modulus: float
    yield_strength: float
    tensile_strength: float
    shear_strength: float
    expansion: float
    confidence: str
    max_temperature: float = 0.0
    strength_holds: str = ""
    said: str = ""


def names() -> tuple[str, ...]:
    """Ids of all materials held."""
    return tuple(k for k in load("materials") if k not in _HEAD)


@cache
def material(id: str) -> Material:
    """The material of that id (case does not matter). Raises NotHeldError naming near ones."""
    held = {name.lower(): name for name in names()}
    found = held.get(id.strip().lower())
    if found is None:
        import difflib

        near = difflib.get_close_matches(id.lower(), held, n=1)
        hint = f"did you mean {held[near[0]]}? " if near else ""
        raise NotHeldError(
            f"material '{id}' is not known", f"{hint}known are {', '.join(sorted(names()))}"
        )
    return Material(id=found, **load("materials")[found])
