"""What makes two designs the same: the canonical JSON of a mandrel, and its hash.

The design hash covers what would make another part:

* every characteristic: id, feature, kind, nominal, limits, unit, the stations it spans, its datum;
* what no characteristic carries: kind of fixture, hand, starts and pitch of the threads, type and
  fate of the centre holes, the flats;
* what the order changes on the part: material, how the thread is made, the text marked on it, the
  soft washer.

Left out: names, titles, comments, notes, dates, numbers, quantity, the collet's name (the shank's
diameter carries it), decisions and sources (why a size was chosen does not change the size), how a
tolerance is written and which sizes are called functional (the limits themselves are in), the
program's version, and the model's own points (they follow from the characteristics; a better way
of drawing a chamfer must not ask every fixture for a new revision).

Numbers are written as decimal text with nine places (1e-9 mm, far below any size and far above the
noise of a float); minus zero is zero; 12 and 12.0 are the same. Keys are sorted, no spaces, UTF-8.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
import math
from enum import Enum
from typing import Any

from mandrelgen.archive.records import Slot
from mandrelgen.model.mandrel import ADOPTED, Mandrel

DESIGN_SCHEMA = 1


def canonical(value: Any) -> Any:
    """The value with every number as decimal text of nine places, ready for sorted JSON.

    Raises ValueError for a number that is not finite, TypeError for a foreign type.
    """
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, Enum):
        return canonical(value.value)
    if isinstance(value, str):
        return value
    if isinstance(value, int | float):
        if not math.isfinite(value):
            raise ValueError(f"{value} cannot stand in a record")
        return f"{round(float(value), 9) + 0.0:.9f}"
    if isinstance(value, dict):
        return {str(key): canonical(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [canonical(item) for item in value]
    raise TypeError(f"{type(value).__name__} cannot stand in a record")


def canonical_hash(value: Any) -> str:
    """SHA-256 (hex) of the canonical JSON of a value."""
    text = json.dumps(
        canonical(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _characteristics(mandrel: Mandrel) -> list[dict[str, Any]]:
    rows = [
        {
            "id": c.id,
            "feature": c.feature,
            "kind": c.kind,
            "nominal": c.nominal,
            "lower": c.lower,
            "upper": c.upper,
            "unit": c.unit,
            "between": c.between,
            "datum": c.datum,
        }
        for c in sorted(mandrel.characteristics, key=lambda c: c.id)
    ]
    if len({c.id for c in mandrel.characteristics}) != len(rows):
        raise ValueError(f"{mandrel.id}: two characteristics share one id")
    return rows


def design_facts(mandrel: Mandrel) -> dict[str, Any]:
    """What the design hash is made of (see the module's text). Raises ValueError."""
    threads = sorted(mandrel.threads, key=lambda t: t.feature)
    return {
        "schema": DESIGN_SCHEMA,
        "kind": mandrel.kind,
        "characteristics": _characteristics(mandrel),
        "threads": [
            {
                "feature": t.feature,
                "external": t.form.external,
                "starts": t.form.starts,
                "pitch": t.form.pitch,
                "left_hand": t.form.left_hand,
                "order": t.order,
            }
            for t in threads
        ],
        "centre_holes": [
            {"at": c.at, "type": c.type, "d": c.d, "mouth": c.mouth, "keep": c.keep}
            for c in sorted(mandrel.centre_holes, key=lambda c: c.at)
        ],
        "flats": dataclasses.asdict(mandrel.flats) if mandrel.flats else None,
        "ordering": {
            "material": mandrel.ordering.material,
            "thread_order": mandrel.ordering.thread_order,
            "marking": mandrel.ordering.marking,
            "soft_washer": mandrel.ordering.soft_washer,
        },
    }


def design_hash(mandrel: Mandrel) -> str:
    """SHA-256 (hex) of what would make another part. Raises ValueError (see `canonical`)."""
    return canonical_hash(design_facts(mandrel))


def slot_of(mandrel: Mandrel, role: str | None = None) -> Slot:
    """The place the fixture fills: pen, part, end and role (by default the kind of fixture)."""
    return Slot(
        pen=mandrel.pen, part=mandrel.part, end=mandrel.end, role=role or mandrel.kind.value
    )


def slot_of_old(fixture: str) -> Slot:
    """The slot of an old fixture: it was made for no pen of the archive."""
    return Slot(pen=ADOPTED, part=fixture, end="seat", role=ADOPTED)


def plain(value: Any) -> Any:
    """Dataclasses as dicts, all the way down; numbers as bare floats."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return float(value) if isinstance(value, float) else value


def mandrel_json(mandrel: Mandrel) -> bytes:
    """The whole mandrel as indented JSON (mm, degrees), for ``mandrel.json``.

    Raises ValueError for a number that is not finite.
    """
    value = {"schema": DESIGN_SCHEMA, "design_hash": design_hash(mandrel), **plain(mandrel)}
    text = json.dumps(value, indent=1, ensure_ascii=False, allow_nan=False)
    return (text + "\n").encode("utf-8")
