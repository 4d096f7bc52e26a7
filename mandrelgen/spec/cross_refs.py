"""Checks of names and threads against one another; no sizes of parts are needed for them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from mandrelgen.core.errors import Level, Path
from mandrelgen.spec.glyphs import char_name, foreign_letters
from mandrelgen.spec.joints import (
    OPPOSITE,
    EndRef,
    Joint,
    differences,
    joints,
    split_place,
    stated,
)
from mandrelgen.spec.pen import MandrelRequest, MandrelType, Part, Pen
from mandrelgen.spec.remark import Remark, shown
from mandrelgen.standards import material_names
from mandrelgen.standards.designation import Designation, ThreadTextError
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.standards.threads import limits

NEAR_DIAMETER = 0.25
"""Mates cut to slightly different diameters on purpose differ by no more, mm (common practice)."""

_METRIC_CLASS = re.compile(r"^[3-9][a-hA-H](?:[3-9][a-hA-H])?$")
_INCH_CLASS = re.compile(r"^[123][AB]$")

FEATURES = ("external", "internal", "bore")

Threads = Mapping[tuple[EndRef, str], Designation]


class Named(NamedTuple):
    """The ends a file names and what each has, whether or not it could be read.

    ``features``: ``external``, ``internal`` and ``bore``, by end.
    """

    features: Mapping[EndRef, frozenset[str]]

    @classmethod
    def of(cls, pen: Pen) -> Named:
        """The ends of a pen that was read."""
        return cls(
            {
                EndRef(part_id, end_id): frozenset(f for f in FEATURES if getattr(end, f))
                for part_id, part in pen.parts.items()
                for end_id, end in part.ends.items()
            }
        )

    def has(self, ref: EndRef, feature: str) -> bool:
        """True if the file gives that end a thread on that side, or a bore."""
        return feature in self.features.get(ref, ())

    def unknown(self, ref: EndRef) -> str:
        """How to mend a reference to an end that is not there."""
        names = sorted(str(e) for e in self.features)
        from mandrelgen.spec.legal import nearest

        guess = nearest(str(ref), names)
        listed = ", ".join(names[:12]) + (" …" if len(names) > 12 else "")
        return (f"did you mean '{guess}'? " if guess else "") + f"Ends in this file: {listed}"


def end_path(ref: EndRef) -> Path:
    """Where an end stands in the pen file."""
    return ("parts", ref.part, "ends", ref.end)


def read_threads(pen: Pen) -> tuple[Threads, tuple[Remark, ...]]:
    """Every thread text read; a remark for each that cannot be, or has the other side's class."""
    threads: dict[tuple[EndRef, str], Designation] = {}
    remarks: list[Remark] = []
    for part_id, part in pen.parts.items():
        for end_id, end in part.ends.items():
            ref = EndRef(part_id, end_id)
            for side, thread in (("external", end.external), ("internal", end.internal)):
                if thread is None:
                    continue
                path = (*end_path(ref), side, "thread")
                try:
                    designation = read_thread(thread.thread)
                except ThreadTextError as error:
                    remarks.append(_unread_thread(path, thread.thread, error))
                    continue
                threads[ref, side] = designation
                remarks.extend(_class_held(path, designation, side))
    return threads, tuple(remarks)


def _unread_thread(path: Path, text: str, error: ThreadTextError) -> Remark:
    letters = foreign_letters(text)
    if letters:
        names = ", ".join(char_name(c) for c in letters)
        return Remark(
            "thread.lookalike",
            path,
            f"{shown(text)} has letters that only look like Latin ones ({names})",
            "type the thread again with Latin letters",
        )
    return Remark("thread.text", path, error.message, error.remedy)


def _class_held(path: Path, thread: Designation, side: str) -> Iterator[Remark]:
    wrong_side = tuple(_class_side(path, thread, side))
    yield from wrong_side
    if not wrong_side:
        try:
            limits(thread, side == "external")
        except NotHeldError as error:
            yield Remark("thread.limits", path, error.message, error.remedy)


def _class_side(path: Path, thread: Designation, side: str) -> Iterator[Remark]:
    klass = thread.tolerance_class
    if not klass:
        return
    inner = klass.endswith("B") if thread.system == "UN" else klass[1:2].isupper()
    if inner != (side == "internal"):
        right = {
            ("M", "internal"): "6H",
            ("M", "external"): "6g",
            ("UN", "internal"): "2B",
            ("UN", "external"): "2A",
        }[thread.system, side]
        yield Remark(
            "thread.class",
            path,
            f"{klass} is the class of an {OPPOSITE[side]} thread; this one is {side}",
            f"write a class such as {right}, or leave the class out",
        )


def mate_remarks(pen: Pen, named: Named) -> Iterator[Remark]:
    """Each ``mates`` names an end that is there and has the opposite thread."""
    for ref, side, text in stated(pen):
        path = (*end_path(ref), *((side,) if side else ()), "mates")
        split = split_place(text)
        if split is None:
            yield Remark(
                "mates.form", path, f"{shown(text)} is not an end", "write part.end: barrel.mouth"
            )
            continue
        other, other_side = split
        if other not in named.features:
            yield Remark(
                "mates.unknown", path, f"there is no end {shown(str(other))}", named.unknown(other)
            )
        elif other == ref:
            yield Remark(
                "mates.itself", path, f"{ref} cannot mate with itself", "name the end it meets"
            )
        elif side:
            wanted = OPPOSITE[side]
            if other_side not in ("", wanted) or not named.has(other, wanted):
                yield Remark(
                    "mates.side",
                    path,
                    f"the {side} thread of {ref} needs an {wanted} thread at {other}, "
                    "and there is none",
                    f"add [{'.'.join(map(str, end_path(other)))}.{wanted}], or name another end",
                )


def joint_remarks(pen: Pen, threads: Threads) -> Iterator[Remark]:
    """Threads that screw together agree in system, pitch, starts, hand and diameter."""
    for joint in joints(pen):
        outer = threads.get((joint.external, "external"))
        inner = threads.get((joint.internal, "internal"))
        if outer is not None and inner is not None:
            yield from _compare(joint, outer, inner)


def _compare(joint: Joint, outer: Designation, inner: Designation) -> Iterator[Remark]:
    path = (*end_path(joint.external), "external", "thread")
    pair = f"{joint.external} ({outer.text}) and {joint.internal} ({inner.text})"
    differ = differences(outer, inner)
    step = abs(outer.diameter - inner.diameter)
    if step > NEAR_DIAMETER:
        differ.append(f"diameter ({outer.diameter:.4g} and {inner.diameter:.4g} mm)")
    if differ:
        yield Remark(
            "joint.differs",
            path,
            f"{pair} do not screw together: they differ in {', '.join(differ)}",
            "correct one of the two threads, or the mates that brings them together",
        )
    elif step > 1e-6:
        yield Remark(
            code="joint.diameter",
            path=path,
            message=f"{pair} differ by {step:.3g} mm in diameter",
            remedy="keep it if they were cut so on purpose; else write the same diameter",
            level=Level.WARNING,
        )


def part_remarks(pen: Pen) -> Iterator[Remark]:
    """A part has one or two ends, which look different ways."""
    for part_id, part in pen.parts.items():
        if "name" in part.model_fields_set and not part.name:
            yield Remark(
                code="part.name",
                path=("parts", part_id, "name"),
                message=f"the name is empty; the paper says {part_id}",
                remedy="write a name, or leave the line out",
                level=Level.WARNING,
            )
        path: Path = ("parts", part_id, "ends")
        if len(part.ends) > 2:
            yield Remark(
                "part.ends",
                path,
                f"{part_id} has {len(part.ends)} ends ({', '.join(part.ends)})",
                "a part has two ends; write what differs as a part of its own",
            )
        yield from _sides(part_id, part, path)


def _sides(part_id: str, part: Part, path: Path) -> Iterator[Remark]:
    seen: dict[str, str] = {}
    for end_id, end in part.ends.items():
        if end.side is None:
            continue
        if end.side in seen:
            yield Remark(
                "part.side",
                (*path, end_id, "side"),
                f"{part_id}.{end_id} and {part_id}.{seen[end.side]} both look to the {end.side}",
                "give one of them the other side",
            )
        seen[end.side] = end_id


def material_remarks(pen: Pen) -> Iterator[Remark]:
    """Every material is one whose values are held."""
    named: list[tuple[Path, str | None]] = [
        (("parts", part_id, "material"), part.material) for part_id, part in pen.parts.items()
    ]
    named.append((("mandrels", "defaults", "material"), pen.mandrels.defaults.material))
    for i, request in enumerate(pen.mandrels.requests):
        named.append((("mandrels", "requests", i, "material"), request.material))
    for path, name in named:
        if name is None:
            continue
        of_part = path[0] == "parts"
        try:
            key = material_names.rod(name) if of_part else material_names.bar(name)
        except NotHeldError as error:
            yield Remark("material.unknown", path, error.message, error.remedy)
            continue
        if of_part and material_names.is_printers(key):
            yield Remark(
                code="material.printers",
                path=path,
                message=f"{key} is a printer's material: values of printed {key} are taken, "
                "not a rod's",
                remedy="write the name on the rod, such as cast acrylic, if it is one",
                level=Level.WARNING,
            )


def request_remarks(pen: Pen, named: Named) -> Iterator[Remark]:
    """Requests hold ends that are there, in a way those ends allow, under names of their own."""
    seen: dict[str, int] = {}
    yield from _thread_class(("mandrels", "defaults"), pen.mandrels.defaults.thread_class, None)
    for i, request in enumerate(pen.mandrels.requests):
        path: Path = ("mandrels", "requests", i)
        if request.id is not None:
            if request.id in seen:
                yield Remark(
                    "request.id",
                    (*path, "id"),
                    f"{shown(request.id)} is already the id of request {seen[request.id] + 1}",
                    "give each request an id of its own, or none",
                )
            seen.setdefault(request.id, i)
        yield from _thread_class(path, request.thread_class, request.kind)
        for key, text in (("holds", request.holds), ("also_holds", request.also_holds)):
            if text is not None:
                yield from _held(named, request, (*path, key), text)


def _held(named: Named, request: MandrelRequest, path: Path, text: str) -> Iterator[Remark]:
    split = split_place(text)
    if split is None:
        yield Remark(
            "holds.form",
            path,
            f"{shown(text)} is not an end",
            "write part.end, or part.end.internal where the end has two threads",
        )
        return
    ref, side = split
    if ref not in named.features:
        yield Remark(
            "holds.unknown", path, f"there is no end {shown(str(ref))}", named.unknown(ref)
        )
        return
    if side and not named.has(ref, side):
        yield Remark(
            "holds.side",
            path,
            f"{ref} has no {side}{'' if side == 'bore' else ' thread'}",
            f"add it to [{'.'.join(map(str, end_path(ref)))}], or name another end",
        )
        return
    needs = {
        MandrelType.PLUG: ("internal", "an internal thread"),
        MandrelType.CUP: ("external", "an external thread"),
        MandrelType.SPIGOT: ("bore", "a bore"),
    }.get(request.kind) if request.kind else None  # fmt: skip
    if (
        needs
        and path[-1] == "holds"
        and (side not in ("", needs[0]) or not named.has(ref, needs[0]))
    ):
        yield Remark(
            "holds.kind",
            path,
            f"a {request.kind} holds {needs[1]}; {text} is none",
            "name another end, choose another kind, or leave kind out",
        )


def _thread_class(path: Path, text: str | None, kind: MandrelType | None) -> Iterator[Remark]:
    if text is None:
        return
    known = _METRIC_CLASS.match(text) or _INCH_CLASS.match(text)
    inner = text[-1:] == "B" or (not _INCH_CLASS.match(text) and text[1:2].isupper())
    wrong = (kind is MandrelType.PLUG and inner) or (kind is MandrelType.CUP and not inner)
    if not known or wrong:
        side = {MandrelType.PLUG: "a plug: 4h, 6g, 2A", MandrelType.CUP: "a cup: 5H, 6H, 2B"}
        yield Remark(
            "request.class",
            (*path, "thread_class"),
            f"{shown(text)} is not a tolerance class for this mandrel's thread",
            f"allowed for {side.get(kind, 'a plug: 4h, 6g, 2A; for a cup: 5H, 6H, 2B')}"
            if kind
            else "allowed for a plug: 4h, 6g, 2A; for a cup: 5H, 6H, 2B",
        )
