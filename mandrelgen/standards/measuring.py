"""Instruments: permissible errors by standard, and the uncertainty to reckon with."""

from __future__ import annotations

from mandrelgen.standards.tables import NotHeldError, load, records

WHERE = ("outside", "inside", "depth")


def instruments() -> tuple[str, ...]:
    """Kinds of instrument an uncertainty is held for."""
    return tuple(row["instrument"] for row in records("measuring_uncertainty"))


def uncertainty(instrument: str, where: str = "") -> float:
    """Expanded uncertainty (k = 2) in mm to reckon with: common practice, no source.

    ``where``: outside, inside or depth; "" takes the largest the instrument has. Raises
    NotHeldError for an unknown instrument or a place it cannot measure.
    """
    for row in records("measuring_uncertainty"):
        if row["instrument"] != instrument:
            continue
        held = {w: float(row[w]) for w in WHERE if w in row}
        if not where:
            return max(held.values())
        if where in held:
            return held[where]
        raise NotHeldError(
            f"no uncertainty is held for {instrument}, {where}", f"held: {', '.join(held)}"
        )
    raise NotHeldError(
        f"instrument '{instrument}' is not known",
        f"use {', '.join(instruments())}, or give its uncertainty",
    )


def caliper_limit(length: float, inside: bool = False) -> float:
    """Permissible error ± in mm of a digital calliper (DIN 862), 0 to 300 mm, else
    NotHeldError."""
    extra: float = load("din_862")["inside_adds"] if inside else 0.0
    return _limit("din_862", length) + extra


def micrometer_limit(length: float) -> float:
    """Permissible error ± in mm of a micrometer (DIN 863-1), up to 100 mm, else NotHeldError."""
    return _limit("din_863_1", length)


def acceptance_zone(lower: float, upper: float, uncertainty: float) -> tuple[float, float] | None:
    """Readings that prove conformity by ISO 14253-1: limits drawn in by U. None if none is left."""
    low, high = lower + uncertainty, upper - uncertainty
    return (low, high) if low <= high else None


def _limit(table: str, length: float) -> float:
    for row in records(table):
        if length <= row["to"]:
            return float(row["limit"])
    raise NotHeldError(f"no limit is held for {length:g} mm", "use a shorter length")
