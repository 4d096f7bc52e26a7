"""The part of a faulty pen that can be read, so that the rest of its faults can be told too."""

from __future__ import annotations

import copy

from pydantic import ValidationError

from mandrelgen.core.errors import Path
from mandrelgen.spec.cross import check_names
from mandrelgen.spec.cross_refs import FEATURES, Named
from mandrelgen.spec.faults import faulty_paths
from mandrelgen.spec.joints import EndRef
from mandrelgen.spec.legal import fields
from mandrelgen.spec.pen import End, Pen
from mandrelgen.spec.remark import Remark

_MOST_ROUNDS = 12
_TITLE = {"id": "x", "name": "x"}
_STAND_IN = {"length": 1.0, "diameter": 1.0, "depth": 1.0, "value": 1.0}
"""Sizes that the checks of names never look at."""


def salvage_remarks(data: dict[str, object]) -> tuple[Remark, ...]:
    """What :func:`check_names` says of the readable part of a pen that does not validate."""
    rest: dict[str, object] = {
        "schema": 1,
        "pen": _TITLE,
        "parts": copy.deepcopy(data.get("parts")),
        "mandrels": copy.deepcopy(data.get("mandrels", {})),
    }
    for _ in range(_MOST_ROUNDS):
        try:
            pen = Pen.model_validate(rest)
        except ValidationError as error:
            faulty = [p for p in faulty_paths(error) if not _stand_in(rest, p)]
            targets = {_target(rest, path) for path in faulty}
            if () in targets or ("parts",) in targets:
                return ()
            for path in sorted(targets, key=_late_first, reverse=True):
                _delete(rest, path)
            continue
        return _certain(check_names(pen, _named(data)), rest, data)
    return ()


def _certain(
    remarks: tuple[Remark, ...], rest: dict[str, object], data: dict[str, object]
) -> tuple[Remark, ...]:
    """Without remarks on list entries whose numbers moved when others were taken away."""
    same = _request_count(rest) == _request_count(data)
    return tuple(r for r in remarks if same or r.path[:2] != ("mandrels", "requests"))


def _request_count(data: dict[str, object]) -> int:
    mandrels = data.get("mandrels")
    requests = mandrels.get("requests") if isinstance(mandrels, dict) else None
    return len(requests) if isinstance(requests, list) else 0


def _stand_in(data: dict[str, object], path: Path) -> bool:
    """Put a stand-in where a size is missing or wrong; False if ``path`` is no such size."""
    here: object = data
    for step in path[:-1]:
        if not _has(here, step):
            return False
        here = here[step]  # type: ignore[index]
    key = path[-1] if path else ""
    if not isinstance(here, dict) or key not in _STAND_IN or here.get(key) == 1.0:
        return False
    here[key] = _STAND_IN[str(key)]
    return True


def _target(data: dict[str, object], path: Path) -> Path:
    """``path`` if it is there, else (a key that is missing) the table around it."""
    here: object = data
    for depth, step in enumerate(path):
        if not _has(here, step):
            return path[:depth]
        here = here[step]  # type: ignore[index]
    return path


def _has(holder: object, step: str | int) -> bool:
    if isinstance(holder, list):
        return isinstance(step, int) and step < len(holder)
    return isinstance(holder, dict) and step in holder


def _late_first(path: Path) -> list[tuple[int, str]]:
    """Sorts list entries by number, so that the last can be taken away first."""
    return [(s, "") if isinstance(s, int) else (-1, s) for s in path]


def _delete(data: dict[str, object], path: Path) -> None:
    here: object = data
    for step in path[:-1]:
        if not _has(here, step):
            return
        here = here[step]  # type: ignore[index]
    if _has(here, path[-1]):
        del here[path[-1]]  # type: ignore[attr-defined]


def _named(data: dict[str, object]) -> Named:
    """Every end the file names, readable or not, with what it has."""
    parts = data.get("parts")
    return Named(
        {
            EndRef(part_id, end_id): _features(end)
            for part_id, part in (parts.items() if isinstance(parts, dict) else ())
            if isinstance(part, dict) and isinstance(part.get("ends"), dict)
            for end_id, end in part["ends"].items()
        }
    )


def _features(end: object) -> frozenset[str]:
    """What an end has; everything if a key is misspelt, for that may be the one in question."""
    keys = set(end) if isinstance(end, dict) else {""}
    return frozenset(FEATURES) if keys - set(fields(End)) else frozenset(keys) & frozenset(FEATURES)
