"""A box's value put into the file, and what stands refused in other boxes tried again: a value may
hang on another one, and a refusal whose cause is gone must go."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from starlette.exceptions import HTTPException

from mandrelgen.core.errors import Change, InputError
from mandrelgen.page.called import stays
from mandrelgen.page.desk import Desk
from mandrelgen.page.fault import TOLD, Fault, fault_of
from mandrelgen.page.seen import Seen
from mandrelgen.spec.joints import joints
from mandrelgen.workflows import bench_edits, pen_ids
from mandrelgen.workflows.answers.boxes import FLAG, Field
from mandrelgen.workflows.answers.shop_fields import defaults_fields
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.edit import Transform
from mandrelgen.workflows.what_follows import following

NAME = "pen.name"
MOST = 8
"""Refused boxes that are tried together with another: each try reads the whole file."""
HALVES = {"diameter": "depth", "depth": "diameter"}
"""A counterbore's two boxes."""


def box_of(seen: Seen, key: str) -> Field | None:
    """A box of the pen's pages, but a joint's."""
    boxes = {**seen.boxes, **{f.key: f for f in defaults_fields(seen.tree)}}
    return boxes.get(key)


def maker(seen: Seen, key: str, typed: str) -> Callable[[], Transform] | None:
    """What a box does to the file; None for a key that is no box's."""
    if key.startswith("joint."):
        joint = next((j for j in joints(seen.pen) if f"joint.{j.id}" == key), None)
        if joint is None:
            return None
        return lambda: bench_edits.set_joint(seen.tree, joint, typed)
    field = box_of(seen, key)
    if field is None:
        return None
    if key == NAME and typed.strip():
        name = str(bench_edits.value_of(field, typed))
        kept = functools.partial(stays, seen.desk, seen.id)
        return lambda: pen_ids.set_name(name, seen.path, seen.desk.archive, kept)
    value = typed if field.kind != FLAG else "true" if typed else ""
    return lambda: bench_edits.set_field(field, value)


def put(desk: Desk, path: Path, seen: Seen, key: str, typed: str) -> str:
    """One box's value into the file; where it cannot stand alone, with what stands refused in
    others. Gives what is to be said. Raises HTTPException 404 for no box, or as ``Desk.change``;
    the refusal is kept then."""
    make = maker(seen, key, typed)
    if make is None:
        raise HTTPException(404)
    try:
        desk.change(path, make(), key)
    except TOLD as e:
        others = _together(desk, path, seen, key, make)
        if not others:
            desk.refuse(path, _told(seen, e, fault_of(e, key, typed)))
            raise
        for k in others:
            desk.accept(path, k)
        desk.accept(path, key)
        return _taken(seen, others.values())
    desk.accept(path, key)
    return _went_along(seen, key, typed)


def _went_along(seen: Seen, key: str, typed: str) -> str:
    """What changed with a box, and is not to be seen in it."""
    field = box_of(seen, key)
    if field is None or key.rpartition(".")[2] not in ("length", "made"):
        return ""
    change = Change(field.path, bench_edits.value_of(field, typed))
    rows = following(seen.look.data.decode("utf-8-sig"), change)
    if rows and key.endswith(".length"):
        return text("done.bore_along", length=typed.strip())
    gone = {r.path[-1] for r in rows}
    step = key.rpartition(".")[0]
    old = box_of(seen, f"{step}.tolerance")
    if "tolerance" in gone and old is not None:
        return text("done.class_gone", value=old.value)
    return text("done.limits_gone") if gone else ""


def _together(
    desk: Desk, path: Path, seen: Seen, key: str, make: Callable[[], Transform]
) -> Mapping[str, Fault]:
    """The refused boxes that the new value can stand with, each tried alone, then all of them;
    empty: none."""
    others = {k: f for k, f in desk.refused_in(path).items() if k != key}
    row = dict(list(others.items())[-MOST:])
    for some in _some(list(row)):
        try:
            steps = [_made(seen, row[k]) for k in some] + [make()]
            desk.change(path, _one_after(steps))
        except TOLD:
            continue
        return {k: row[k] for k in some}
    return {}


def _some(row: Sequence[str]) -> Iterator[Sequence[str]]:
    yield from ([k] for k in row)
    if len(row) > 1:
        yield row


def _made(seen: Seen, fault: Fault) -> Transform:
    make = maker(seen, fault.key, fault.typed)
    return (lambda old: old) if make is None else make()


def _one_after(steps: Sequence[Transform]) -> Transform:
    def transform(text: str) -> str:
        for step in steps:
            text = step(text)
        return text

    return transform


def again(desk: Desk, path: Path, look: Callable[[], Seen]) -> str:
    """What stands refused tried once more, since the file has changed; what belongs to no box any
    more goes. Gives what is to be said."""
    taken: list[Fault] = []
    seen: Seen | None = None
    left = desk.refused_in(path)
    while left:
        try:
            seen = look()
        except TOLD:
            break
        done = [f for f in left.values() if _goes(desk, path, seen, f)]
        taken += done
        left = desk.refused_in(path) if done else {}
    return _taken(seen, taken) if seen is not None else ""


def _goes(desk: Desk, path: Path, seen: Seen, fault: Fault) -> bool:
    """Whether a refused value stands now; one that does not keeps its newest reason."""
    make = maker(seen, fault.key, fault.typed)
    if make is None:
        desk.accept(path, fault.key)
        return False
    try:
        desk.change(path, make())
    except TOLD as e:
        desk.refuse(path, _told(seen, e, fault_of(e, fault.key, fault.typed)))
        return False
    desk.accept(path, fault.key)
    return True


def _told(seen: Seen, error: Exception, fault: Fault) -> Fault:
    """One of a counterbore's two boxes without the other, said as a person would."""
    way = fault.key.split(".")
    other = HALVES.get(way[-1]) if way[-2:-1] == ["counterbore"] else None
    if other is None or not isinstance(error, InputError):
        return fault
    there = box_of(seen, ".".join((*way[:-1], other)))
    if there is None or bool(there.value) == bool(fault.typed):
        return fault
    name = there.label.lower()
    says = text("pen.half_out", other=name) if there.value else text("pen.half_in", other=name)
    return replace(fault, lines=(says,))


def _taken(seen: Seen, faults: Iterable[Fault]) -> str:
    """What was refused before and stands now."""
    said = []
    for f in faults:
        box = box_of(seen, f.key)
        name = text("pen.joint_box") if box is None else box.label
        said.append(text("pen.now", box=name, value=f.typed or text("pen.nothing")))
    return text("done.tried", what="; ".join(said)) if said else ""
