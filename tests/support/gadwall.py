"""A pen of three parts with every size said that a check of the pen stands on, as a table that a
test changes by key: whole millimetres where it can be, so that sums are made in one's head."""

from __future__ import annotations

import copy
from typing import Any

from mandrelgen.assess.resolved import ResolvedPen, resolve
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.starters import starter

SHOP = read_shop(starter("shop", "bench"), "shop.toml")
CAP, SECTION = "barrel.mouth-cap.mouth", "section.rear-barrel.mouth"
TREE: dict[str, Any] = {
    "schema": 1,
    "pen": {"id": "gadwall", "name": "Gadwall"},
    "parts": {
        "cap": {
            "length": 60,
            "diameter": 15,
            "ends": {
                "mouth": {
                    "diameter": 15,
                    "internal": {
                        "thread": "M12xPh2.4P0.8-6H", "mates": "barrel.mouth", "depth": 9,
                        "tap_lead": 1, "countersink": 12.2,
                    },
                    "bore": [{"diameter": 11.3, "depth": 50, "upper": 0.1}],
                }
            },
        },
        "barrel": {
            "length": 70,
            "diameter": 14,
            "ends": {
                "mouth": {
                    "diameter": 14,
                    "external": {
                        "thread": "M12xPh2.4P0.8-6g", "length": 8, "unformed": 0.5, "chamfer": 0.5,
                    },
                    "internal": {
                        "thread": "M8x0.75-6H", "mates": "section.rear", "depth": 9, "tap_lead": 1,
                        "countersink": 8.2,
                    },
                    "bore": [{"diameter": 7.3, "depth": 50, "upper": 0.1}],
                },
                "tail": {"diameter": 12},
            },
        },
        "section": {
            "length": 20,
            "diameter": 11,
            "ends": {
                "rear": {
                    "diameter": 11,
                    "external": {
                        "thread": "M8x0.75-6g", "length": 7, "unformed": 0.5, "chamfer": 0.5,
                    },
                    "bore": [{"diameter": 5, "depth": 20, "upper": 0.1}],
                    "bottom": "through",
                },
                "front": {"diameter": 11},
            },
        },
    },
}  # fmt: skip


def gadwall(changes: dict[str, Any] | None = None) -> Pen:
    """The pen with keys changed (``parts.cap.length``; None: the key goes)."""
    tree = copy.deepcopy(TREE)
    for path, value in (changes or {}).items():
        *way, last = path.split(".")
        at: Any = tree
        for step in way:
            at = at[int(step)] if isinstance(at, list) else at.setdefault(step, {})
        key = int(last) if isinstance(at, list) else last
        if value is None:
            del at[key]
        else:
            at[key] = value
    return Pen.model_validate(tree)


def resolved(changes: dict[str, Any] | None = None) -> ResolvedPen:
    """Its ends at their limits."""
    return resolve(gadwall(changes), SHOP)
