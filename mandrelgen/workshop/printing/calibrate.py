"""From the readings of a coupon to a calibration entry. Pure: text of a shop file in and out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.shop import Shop
from mandrelgen.workshop.printing.coupon import ALLOWANCES, HOLES, PINS
from mandrelgen.workshop.printing.printer import NOMINAL, generic_spec, names

# A pin or hole further off than this was misread, mm.
FAR_OFF = 0.8
_BOM = "\ufeff"


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """What the maker read on a coupon, mm: ``pins`` and ``holes`` as (nominal, measured); the least
    marks that go together freely: ``ladder`` printed plug in printed ring, ``plug`` the printed
    plug in a real nut, ``ring`` the printed ring on a real screw."""

    pins: tuple[tuple[float, float], ...] = ()
    holes: tuple[tuple[float, float], ...] = ()
    ladder: float | None = None
    plug: float | None = None
    ring: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Compensation:
    """The values found; None where nothing was read. ``readings`` in words."""

    outside: float | None
    hole: float | None
    external_thread: float | None
    internal_thread: float | None
    readings: tuple[str, ...]


def parse_pair(text: str, where: str) -> tuple[float, float]:
    """``10=10.12`` as nominal and measured, mm. Raises InputError."""
    left, sign, right = text.partition("=")
    try:
        nominal, measured = float(left), float(right)
    except ValueError:
        nominal = measured = math.nan
    if not sign or not (math.isfinite(nominal) and math.isfinite(measured)):
        raise _fault(where, f"'{text[:30]}' is not a reading", "write nominal=measured: 10=10.12")
    return nominal, measured


def compensation(r: Readings) -> Compensation:
    """The printer's values from the readings: the mean of pins and of holes, and the marks. A mark
    of the ladder counts for both threads; a reading against a real thread goes before it. Raises
    InputError for a size the coupon does not have or a reading that cannot be right."""
    faults = [
        *_pair_faults("--pin", r.pins, PINS),
        *_pair_faults("--hole", r.holes, HOLES),
        *_mark_faults(r),
    ]
    if not (r.pins or r.holes or any(m is not None for m in (r.ladder, r.plug, r.ring))):
        faults.append(_finding("calibrate", "no reading was given", "for example --pin 10=10.12"))
    if faults:
        raise InputError(faults)
    said = [f"pin {n:g} measures {m:g}" for n, m in r.pins]
    said += [f"hole {n:g} measures {m:g}" for n, m in r.holes]
    said += [
        f"{name} {mark:.2f} goes freely"
        for name, mark in (("ladder", r.ladder), ("plug", r.plug), ("ring", r.ring))
        if mark is not None
    ]
    return Compensation(
        outside=_mean([m - n for n, m in r.pins]),
        hole=_mean([n - m for n, m in r.holes]),
        external_thread=r.plug if r.plug is not None else r.ladder,
        internal_thread=r.ring if r.ring is not None else r.ladder,
        readings=tuple(said),
    )


def entered(text: str, shop: Shop, name: str, found: Compensation, date: str) -> str:
    """The shop file's ``text`` with the compensation added to printer ``name``; every comment
    stays. A generic printer gets a table of its own. Raises InputError for an unknown printer or
    printers written as an inline table."""
    crlf = "\r\n" in text
    document = tomlkit.parse(text.removeprefix(_BOM))
    printers: Any = document.get("printers")
    if printers is None:
        printers = tomlkit.table(is_super_table=True)
        document.append("printers", printers)
    table = printers.get(name)
    if table is None:
        table = _new_table(name, shop)
        printers.append(name, table)
    rows = table.get("calibration")
    if rows is None:
        rows = tomlkit.aot()
        table.append("calibration", rows)
        rows = table["calibration"]
    if not isinstance(table, Table) or not isinstance(rows, AoT):
        raise _fault(
            f"printers.{name}",
            "the printer stands in the shop file in a form that cannot be added to",
            f"write it as a table [printers.{name}] with [[printers.{name}.calibration]] entries",
        )
    rows.append(_entry(found, date))
    out = tomlkit.dumps(document)
    if crlf:
        out = out.replace("\r\n", "\n").replace("\n", "\r\n")
    return (_BOM if text.startswith(_BOM) else "") + out


def _entry(found: Compensation, date: str) -> Table:
    entry = tomlkit.table()
    entry.trivia.indent = "\n"
    entry.append("date", tomlkit.date(date))
    for key in ("outside", "hole", "external_thread", "internal_thread"):
        value = getattr(found, key)
        if value is not None:
            entry.append(key, round(value, 4))
    entry.append("readings", list(found.readings))
    return entry


def _new_table(name: str, shop: Shop) -> Table:
    try:
        spec = generic_spec(name)
    except KeyError:
        known = ", ".join(n for n in names(shop) if n != NOMINAL)
        raise _fault(
            f"printers.{name}",
            f"there is no printer '{name[:32]}'",
            f"known: {known}; or add [printers.{name[:32]}] with its kind and nozzle",
        ) from None
    table = tomlkit.table()
    table.append("kind", spec.kind.value)
    if spec.nozzle is not None:
        table.append("nozzle", float(spec.nozzle))
    if spec.pixel is not None:
        table.append("pixel", float(spec.pixel))
    if spec.layer is not None:
        table.append("layer", float(spec.layer))
    return table


def _mean(values: Sequence[float]) -> float | None:
    return sum(values) / len(values) if values else None


def _pair_faults(
    where: str, pairs: tuple[tuple[float, float], ...], held: tuple[float, ...]
) -> list[Finding]:
    sizes = ", ".join(f"{h:g}" for h in sorted(held))
    out = []
    for nominal, measured in pairs:
        if nominal not in held:
            out.append(_finding(where, f"the coupon has no size {nominal:g}", f"it has {sizes}"))
        elif abs(measured - nominal) > FAR_OFF:
            out.append(
                _finding(
                    where,
                    f"{measured:g} for a nominal {nominal:g} is {abs(measured - nominal):.2f} off",
                    f"up to {FAR_OFF:g} is taken; measure again, above the first layers",
                )
            )
    return out


def _mark_faults(r: Readings) -> list[Finding]:
    marks = ", ".join(f"{a:.2f}" for a in ALLOWANCES)
    return [
        _finding(f"--{name}", f"the ladder has no mark {mark:g}", f"its marks are {marks}")
        for name, mark in (("ladder", r.ladder), ("plug", r.plug), ("ring", r.ring))
        if mark is not None and not any(abs(mark - a) < 1e-9 for a in ALLOWANCES)
    ]


def _finding(where: str, message: str, remedy: str) -> Finding:
    return Finding(level=Level.ERROR, code="calibrate", where=where, message=message, remedy=remedy)


def _fault(where: str, message: str, remedy: str) -> InputError:
    return InputError([_finding(where, message, remedy)])
