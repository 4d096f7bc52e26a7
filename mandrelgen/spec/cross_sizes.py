"""Checks of a pen's sizes against one another that need no design."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.core.errors import Level, Path
from mandrelgen.spec.cross_readings import reading_remarks
from mandrelgen.spec.cross_refs import Threads, end_path
from mandrelgen.spec.joints import EndRef
from mandrelgen.spec.pen import (
    BoreStep,
    Bottom,
    DepthFrom,
    End,
    ExternalThread,
    InternalThread,
    Part,
    Pen,
)
from mandrelgen.spec.remark import Remark
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.iso_286 import tolerance
from mandrelgen.standards.tables import NotHeldError

FAR_READING = 1.0
"""A reading of a plain size that is further from the written size is a slip, mm."""

NOTHING = 0.005
"""What is no more than this is nothing, mm."""

# Basic thread height of the ISO and UN profile, 5/8 H per side: D1 = D - 1.0825 P (ISO 68-1).
_D1 = 1.082532


def size_remarks(pen: Pen, threads: Threads) -> Iterator[Remark]:
    """Everything about sizes, part by part, in the order of the file."""
    for part_id, part in pen.parts.items():
        yield from _likely(part_id, part)
        for end_id, end in part.ends.items():
            ref = EndRef(part_id, end_id)
            path = end_path(ref)
            if end.diameter > part.diameter:
                yield _wrong(
                    (*path, "diameter"),
                    f"{end.diameter:g} is more than the part's largest diameter {part.diameter:g}",
                    f"make the part's diameter the larger first ({end.diameter:g}), or this "
                    f"end's {part.diameter:g} at the most",
                )
            outer, inner = threads.get((ref, "external")), threads.get((ref, "internal"))
            if end.external is not None:
                yield from _external((*path, "external"), end.external, end, part, outer)
            if end.internal is not None:
                yield from _internal((*path, "internal"), end.internal, end, part, inner, outer)
            yield from _outside(path, end, part)
            yield from _mouth(path, end, outer)
            yield from _bore(path, end, part)
        yield from _through_bores(part_id, part)


LIKELY = {"length": 250.0, "diameter": 40.0}
"""Parts of pens are seldom larger, mm (common practice, no source)."""


def _likely(part_id: str, part: Part) -> Iterator[Remark]:
    """A 680 for a 68."""
    for key, most in LIKELY.items():
        value = getattr(part, key)
        if value > most:
            yield Remark(
                code="size.unlikely",
                path=("parts", part_id, key),
                message=f"{value:g} mm is a great deal for a pen's part",
                remedy=f"is {value / 10:g} meant? Keep it if it is right",
                level=Level.WARNING,
            )


def _outside(path: Path, end: End, part: Part) -> Iterator[Remark]:
    """The points of the outside go along the part, none wider than the part."""
    before = 0.0
    for i, point in enumerate(end.outside):
        here = (*path, "outside", i)
        if not before <= point.at <= part.length:
            yield _wrong(
                (*here, "at"),
                f"{point.at:g} does not lie between {before:g} (the point before it) and "
                f"{part.length:g} (the part's length)",
                "points go from the end's face inwards",
            )
        before = max(before, point.at)
        if point.diameter > part.diameter:
            yield _wrong(
                (*here, "diameter"),
                f"{point.diameter:g} is more than the part's largest diameter {part.diameter:g}",
                "make the part's diameter the larger, or this one the smaller",
            )
    if end.body is not None and end.body > part.diameter:
        yield _wrong(
            (*path, "body"),
            f"{end.body:g} is more than the part's largest diameter {part.diameter:g}",
            "make the part's diameter the larger, or the body's the smaller",
        )


def _wrong(path: Path, message: str, remedy: str, level: Level = Level.ERROR) -> Remark:
    return Remark(code="size.contradiction", path=path, message=message, remedy=remedy, level=level)


def _external(
    path: Path, thread: ExternalThread, end: End, part: Part, named: Designation | None
) -> Iterator[Remark]:
    if thread.length >= part.length:
        yield _wrong(
            (*path, "length"),
            f"the tenon's {thread.length:g} is not less than the part's length {part.length:g}",
            "the part's length includes its tenons; correct one of the two",
        )
    yield from _said_twice(path, thread)
    lost = (thread.unformed or 0) + (thread.chamfer or 0)
    if lost >= thread.length - NOTHING:
        yield _wrong(
            (*path, "length"),
            f"unformed and chamfer take {lost:g} of {thread.length:g}: no full thread is left",
            "correct length, unformed or chamfer",
        )
    if named is None:
        return
    yield from reading_remarks(path, thread.measured, True, named)
    if named.diameter > part.diameter:
        yield _wrong(
            (*path, "thread"),
            f"{named.text} is larger than the part's diameter {part.diameter:g}",
            "correct the thread or the part's diameter",
        )
    elif named.diameter >= end.diameter:
        yield _wrong(
            (*path, "thread"),
            f"{named.text} leaves no shoulder at the end's diameter {end.diameter:g}",
            "diameter is the shoulder behind the tenon; correct it if there is one",
            Level.WARNING,
        )


def _said_twice(path: Path, thread: ExternalThread) -> Iterator[Remark]:
    """What reading could not write out: the same said in two ways, or sizes that cannot be."""
    if thread.full_thread is not None:
        yield _wrong(
            (*path, "full_thread"),
            f"the last full turn at {thread.full_thread:g} is beyond the shoulder at "
            f"{thread.length:g}"
            if thread.unformed is None
            else "both full_thread and unformed are given",
            "full_thread counts from the tenon's face; give it or unformed, not both",
        )
    if thread.chamfer_diameter is not None:
        yield _wrong(
            (*path, "chamfer_diameter"),
            f"a chamfer that begins at ⌀{thread.chamfer_diameter:g} is larger than the thread"
            if thread.chamfer is None
            else "both chamfer and chamfer_diameter are given",
            "give the diameter at the tenon's face, or the chamfer's length, not both",
        )


def _internal(
    path: Path,
    thread: InternalThread,
    end: End,
    part: Part,
    named: Designation | None,
    outer: Designation | None,
) -> Iterator[Remark]:
    yield from _depths(path, thread, part)
    if named is None:
        return
    yield from reading_remarks(path, thread.measured, False, named)
    around = outer.diameter if outer is not None else end.diameter
    if named.diameter >= around:
        what = f"the external thread {outer.text}" if outer is not None else "the end's diameter"
        yield _wrong(
            (*path, "thread"),
            f"{named.text} does not fit into {what} ({around:g})",
            "correct the thread or the size around it",
        )
    wide = thread.counterbore
    if wide is not None and wide.diameter < named.diameter:
        yield _wrong(
            (*path, "counterbore", "diameter"),
            f"{wide.diameter:g} is less than the thread {named.text} behind it",
            f"a counterbore is at least {named.diameter:g}; correct it or leave it out",
        )
    if wide is not None and wide.diameter >= around:
        yield _wrong(
            (*path, "counterbore", "diameter"),
            f"{wide.diameter:g} leaves no wall inside {around:g}",
            "correct the counterbore or the size around it",
        )
    sink = thread.countersink
    if sink is not None and not named.diameter - _D1 * named.pitch < sink < around:
        yield _wrong(
            (*path, "countersink"),
            f"a countersink of {sink:g} lies outside {named.diameter - _D1 * named.pitch:.2f} "
            f"(the thread's bore) to {around:g} (the size around it)",
            "give the countersink's diameter at the face",
        )


def _depths(path: Path, thread: InternalThread, part: Part) -> Iterator[Remark]:
    deepest = thread.depth or thread.full_thread
    if thread.depth_from is DepthFrom.FLOOR:
        yield Remark(
            "key.missing",
            (*path, "counterbore"),
            "the depth counts from the counterbore's floor, and there is no counterbore",
            'add counterbore = { diameter = …, depth = … }, or depth_from = "face"',
        )
    if deepest is None:
        yield Remark(
            "key.missing",
            (*path, "depth"),
            "neither depth nor full_thread is given",
            "add depth = … (to where the tap stopped) or full_thread = … (to the last good turn)",
        )
        return
    if max(deepest, thread.full_thread or 0) > part.length:
        yield _wrong(
            (*path, "depth" if thread.depth else "full_thread"),
            f"the thread goes {deepest:g} deep into a part {part.length:g} long",
            "correct the depth or the part's length",
        )
    if thread.depth and thread.full_thread and thread.full_thread > thread.depth:
        yield _wrong(
            (*path, "full_thread"),
            f"full_thread {thread.full_thread:g} is deeper than depth {thread.depth:g}",
            "the last full turn comes before the end of the tapped stretch",
        )
    floor = thread.counterbore.depth if thread.counterbore else 0
    last = thread.full_thread or deepest - (thread.tap_lead or 0)
    if last <= floor + NOTHING:
        yield _wrong(
            (*path, "depth" if thread.depth else "full_thread"),
            f"no full thread is left between {floor:g} (counterbore) and {last:g}",
            "depths count from the end's face; correct depth, tap_lead or counterbore",
        )


def _mouth(path: Path, end: End, outer: Designation | None) -> Iterator[Remark]:
    """The bore that opens at the face leaves a wall there (deeper steps may lie where a conical
    part is thicker)."""
    if not end.bore:
        return
    around, what = end.diameter, "the end's diameter"
    if outer is not None and outer.diameter < around:
        around, what = outer.diameter, f"the external thread {outer.text}"
    if end.bore[0].diameter >= around:
        yield _wrong(
            (*path, "bore", 0, "diameter"),
            f"a bore of {end.bore[0].diameter:g} leaves no wall inside {what} ({around:g})",
            "correct the bore or the size around it",
        )


def _bore(path: Path, end: End, part: Part) -> Iterator[Remark]:
    before = None
    for i, step in enumerate(end.bore):
        here = (*path, "bore", i)
        yield from _step_in_part(here, step, part)
        if before is not None:
            yield from _step_behind(here, i + 1, step, before)
        yield from _step_limits(here, step)
        if step.measured and abs(step.measured.value - step.diameter) > FAR_READING:
            yield _wrong(
                (*here, "measured", "value"),
                f"a reading of {step.measured.value:g} is far from the written {step.diameter:g}",
                "read again, or correct the written diameter",
            )
        before = step


def _step_in_part(here: Path, step: BoreStep, part: Part) -> Iterator[Remark]:
    """A step stays inside the part."""
    if step.depth > part.length:
        yield _wrong(
            (*here, "depth"),
            f"the bore goes {step.depth:g} deep into a part {part.length:g} long",
            f'write depth = {part.length:g} and bottom = "through" if it goes right through, else '
            "correct the depth or the part's length",
        )
    if step.diameter >= part.diameter:
        yield _wrong(
            (*here, "diameter"),
            f"a bore of {step.diameter:g} does not fit into the part's {part.diameter:g}",
            "correct the bore or the part's diameter",
        )


def _step_behind(here: Path, count: int, step: BoreStep, before: BoreStep) -> Iterator[Remark]:
    """The ``count``-th step goes deeper than the one before it, and is narrower unless it was
    bored wider on purpose."""
    if step.depth <= before.depth:
        yield _wrong(
            (*here, "depth"),
            f"step {count} ends at {step.depth:g}, not deeper than the step before it "
            f"({before.depth:g})",
            "depths count from the end's face, and steps go from the face inwards",
        )
    if step.diameter > before.diameter and not step.undercut:
        yield _wrong(
            (*here, "diameter"),
            f"step {count} ({step.diameter:g}) is wider than the step before it "
            f"({before.diameter:g})",
            "correct it, or add undercut = true if it was bored so on purpose",
        )


def _step_limits(here: Path, step: BoreStep) -> Iterator[Remark]:
    """Either a class that is held or both deviations, the upper above the lower."""
    if (step.upper is None) != (step.lower is None):
        yield _wrong(
            here, "only one of upper and lower is given", "give both deviations, or neither"
        )
    elif step.upper is not None and step.lower is not None and step.upper < step.lower:
        yield _wrong(
            (*here, "upper"),
            f"the upper deviation {step.upper:g} is below the lower {step.lower:g}",
            "exchange the two",
        )
    if step.tolerance:
        yield from _class_held((*here, "tolerance"), step.diameter, step.tolerance)
    if step.tolerance and step.upper is not None:
        yield _wrong(
            (*here, "tolerance"),
            f"both the class {step.tolerance} and deviations are given",
            "keep one of the two",
        )


def _class_held(path: Path, diameter: float, klass: str) -> Iterator[Remark]:
    try:
        tolerance(diameter, klass)
    except NotHeldError as error:
        yield Remark("bore.class", path, error.message, error.remedy)


def _through_bores(part_id: str, part: Part) -> Iterator[Remark]:
    """Blind bores from both ends together are shorter than the part."""
    blind = [e for e in part.ends.values() if e.bore and e.bottom is not Bottom.THROUGH]
    depth = sum(e.bore[-1].depth for e in blind)
    if len(blind) == 2 and depth >= part.length:
        yield _wrong(
            ("parts", part_id, "ends"),
            f"the bores from both ends ({depth:g} together) meet in a part {part.length:g} long",
            'write bottom = "through" if they do, else correct a depth',
        )
