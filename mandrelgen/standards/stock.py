"""Round bar as it is sold, and what a turner adds to a finished size. Lengths in mm."""

from __future__ import annotations

from mandrelgen.standards.tables import NotHeldError, load, records


def bars(material: str) -> tuple[float, ...]:
    """Diameters of round bar sold of a material, mm, ascending (from memory).

    Raises NotHeldError for a material that is not bought as bar.
    """
    family = load("bar_sizes")["family"].get(material)
    if family is None:
        raise NotHeldError(f"{material} is not sold as round bar", "ask the shop for its stock")
    row = next(r for r in records("bar_sizes") if r["material"] == family)
    return tuple(float(d) for d in row["sizes"])


def bar_for(material: str, least: float) -> float:
    """The thinnest bar of at least ``least`` mm. Raises NotHeldError if there is none."""
    for d in bars(material):
        if d >= least - 1e-9:
            return d
    raise NotHeldError(
        f"no bar of ⌀{least:g} is held for {material}", f"the largest is ⌀{bars(material)[-1]:g}"
    )


def allowance(name: str) -> float:
    """``skin`` on the diameter, ``facing`` at each end, or ``part_off``, mm (common practice)."""
    return float(load("bar_sizes")["allowance"][name])


def blank_allowance(name: str) -> float:
    """A pen blank's ``saw``, ``facing``, ``centre`` or ``polish`` allowance, mm."""
    return float(load("blank_allowances")[name])
