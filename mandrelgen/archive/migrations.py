"""From older forms of the archive's files to the present one: pure steps from version to version.

A file on the disk is never rewritten: it was hashed as it was published.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Step = Callable[[dict[str, Any]], dict[str, Any]]


def _record_1(raw: dict[str, Any]) -> dict[str, Any]:
    """Version 2 says what the pages printed; of an older record nobody knows."""
    return {**raw, "papers": {}}


def _record_2(raw: dict[str, Any]) -> dict[str, Any]:
    """Version 3 says what the maker had accepted; what an older one was made with, its pen file
    says."""
    return {**raw, "accepted": []}


def _event_1(raw: dict[str, Any]) -> dict[str, Any]:
    """Version 2 says ordered where version 1 said released."""
    return {**raw, "kind": "ordered"} if raw.get("kind") == "released" else raw


def _order_1(raw: dict[str, Any]) -> dict[str, Any]:
    """Version 2 says which orders it takes the place of; an older one of none."""
    return {**raw, "replaces": []}


# Kind of file -> version -> the step to the next version.
STEPS: dict[str, dict[int, Step]] = {
    "Record": {1: _record_1, 2: _record_2},
    "Event": {1: _event_1},
    "Order": {1: _order_1},
}

# The word in an event's file name -> the kind a file of that name may hold since.
OLD_LABELS = {"released": "ordered"}


def newest(kind: str) -> int:
    """The present version of a kind of file."""
    return max(STEPS.get(kind, {}), default=0) + 1


def migrate(kind: str, raw: dict[str, Any]) -> dict[str, Any]:
    """The values of a file in the present form; its ``schema`` is a known version."""
    for version in range(raw["schema"], newest(kind)):
        raw = {**STEPS[kind][version](raw), "schema": version + 1}
    return raw
