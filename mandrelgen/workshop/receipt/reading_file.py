"""A file of readings: CSV, TOML or JSON text as readings, with a fault for every line that is none.

CSV: id, value, instrument, wire, uncertainty, in this order or as a row of headings says. TOML and
JSON: tables of id = value, where a value is a number, a text as typed on the command line, a table
(value, instrument, wire, uncertainty), or a list of these; JSON also as a list of objects with id.
"""

from __future__ import annotations

import csv
import io
import json
import tomllib
from collections.abc import Callable, Iterator
from typing import Any

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.workshop.receipt.readings import MARK, Given, parse_all

COLUMNS = ("id", "value", "instrument", "wire", "uncertainty")
# What people write over a column.
HEADINGS = {
    "id": "id", "no.": "id", "no": "id", "number": "id", "balloon": "id", "characteristic": "id",
    "value": "value", "read": "value", "reading": "value",
    "instrument": "instrument", "tool": "instrument", "with": "instrument", "wire": "wire",
    "uncertainty": "uncertainty", "u": "uncertainty",
}  # fmt: skip
Line = tuple[str, str | Finding]


def parse_file(text: str, name: str) -> tuple[list[Given], list[Finding]]:
    """The readings of a file named ``name``, and what is no reading with its line or key."""
    found: list[Given] = []
    lines, faults = lines_of(text, name)
    for origin, line in lines:
        good, bad = parse_all([line], origin)
        found += good
        faults += bad
    return found, faults


def lines_of(text: str, name: str) -> tuple[list[tuple[str, str]], list[Finding]]:
    """Every ``id=value`` of a file named ``name`` with its line or key, and what is none."""
    lines = _FORMATS.get(name.lower().rpartition(".")[2], _csv)
    found: list[tuple[str, str]] = []
    faults: list[Finding] = []
    try:
        for origin, line in lines(text, name):
            if isinstance(line, Finding):
                faults.append(line)
            else:
                found.append((origin, line))
    except (InputError, RecursionError) as e:
        faults += e.findings if isinstance(e, InputError) else [_deep(name)]
    return found, faults


def _csv(text: str, name: str) -> Iterator[Line]:
    """Each row; a row of headings gives the order, remarks (#) are passed over."""
    first = next((x for x in text.splitlines() if x.strip()), "")
    delimiter = ";" if ";" in first else ","
    order: tuple[str, ...] = COLUMNS
    seen = False
    rows = csv.reader(io.StringIO(text), delimiter=delimiter)
    try:
        for row in rows:
            cells = [c.strip() for c in row]
            where = f"{name}:{rows.line_num}"
            if not any(cells) or cells[0].startswith("#"):
                continue
            if not seen and cells[0].lower() in HEADINGS:
                order, seen = tuple(HEADINGS.get(c.lower(), "") for c in cells), True
                continue
            seen = True
            fields = {k: c for k, c in zip(order, cells, strict=False) if k and c}
            if "id" not in fields or "value" not in fields:
                yield where, _wrong(where, "a reading needs an id and a value", "write id,value")
            else:
                yield where, _line(fields)
    except csv.Error as e:
        raise _fault(f"{name}:{rows.line_num}", f"this is no CSV: {e}", "save it as CSV") from e


def _toml(text: str, name: str) -> Iterator[Line]:
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as e:
        raise _fault(name, f"{name} is no TOML: {e}", "write id = value, one a line") from e
    yield from _flat(table.get("readings", table), "", name)


def _json(text: str, name: str) -> Iterator[Line]:
    try:
        value = json.loads(text)
    except ValueError as e:
        raise _fault(name, f"{name} is no JSON: {e}", 'write {"id": value, ...}') from e
    if isinstance(value, dict):
        value = value.get("readings", value)
    yield from _flat(value, "", name)


def _flat(value: Any, id: str, name: str) -> Iterator[Line]:
    """Nested tables as dotted ids; a list holds several readings of one size, or, with an id in
    each, readings of many."""
    where = f"{name} {id}".strip()
    if isinstance(value, dict) and "value" in value:
        own = {k: str(v) for k, v in value.items() if not isinstance(v, dict | list | bool)}
        own.setdefault("id", id)
        odd = set(value) - set(COLUMNS)
        if odd or len(own) < len({*value, "id"}) or not own["id"]:
            yield where, _wrong(where, "this table is no reading", f"use {', '.join(COLUMNS)}")
        else:
            yield where, _line(own)
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _flat(inner, f"{id}.{key}" if id else str(key), name)
    elif isinstance(value, list):
        for inner in value:
            yield from _flat(inner, id, name)
    elif isinstance(value, str | int | float) and not isinstance(value, bool) and id:
        yield where, f"{id}={value}"
    else:
        yield where, _wrong(where, f"{id or 'this'} is no reading",
                            'write 7.652 or "7.652@micrometer"')  # fmt: skip


def _line(fields: dict[str, str]) -> str:
    """A reading as it would be typed."""
    tool = fields.get("instrument", "")
    wire = f":{fields['wire']}" if fields.get("wire") else ""
    own = f"±{fields['uncertainty']}" if fields.get("uncertainty") else ""
    at = f"@{tool}" if tool or wire else ""
    return f"{fields['id']}={fields['value']}{own}{at}{wire}"


_FORMATS: dict[str, Callable[[str, str], Iterator[Line]]] = {"toml": _toml, "json": _json}


def _deep(name: str) -> Finding:
    return _wrong(name, "the file is nested too deeply", "write id and value, one a line")


def _wrong(where: str, message: str, remedy: str) -> Finding:
    return Finding(level=Level.ERROR, code=MARK, where=where, message=message, remedy=remedy)


def _fault(where: str, message: str, remedy: str) -> InputError:
    return InputError([_wrong(where, message, remedy)])
