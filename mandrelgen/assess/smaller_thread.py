"""A smaller thread for a joint whose tenon leaves its shoulder no room: where the part may not
grow, since it has to pass another's thread, it is the thread that gives way."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from mandrelgen.assess.joint_findings import SPARE
from mandrelgen.assess.pen_joints import Passage
from mandrelgen.core.errors import Change, Remedy
from mandrelgen.core.lengths import Length
from mandrelgen.core.tolerance import floor_to, text_of
from mandrelgen.design.plan import Hold
from mandrelgen.spec.joints import EndRef, joints
from mandrelgen.spec.pen import Pen
from mandrelgen.standards.thread_spelling import read_thread

STEP = 0.5
"""Diameters of threads as makers own taps and dies for them, mm (common practice, no source)."""
COLLAR_STEP = 0.05
"""To which a collar's diameter is rounded, mm."""
LEAST_PITCHES = 5
"""A thread's diameter in pitches at the least: as for the finder's list."""


def smaller_thread(
    hold: Hold, pen: Pen, lacks: float, passages: Iterable[Passage]
) -> Iterator[Remedy]:
    """The joint's thread on both parts, smaller by what the shoulder ``lacks`` a side, mm; the part
    slimmer too where it does not pass what it goes through."""
    joint = next((j for j in joints(pen) if j.external == EndRef(hold.part, hold.end)), None)
    end = pen.parts[hold.part].ends[hold.end]
    if joint is None or end.external is None:
        return
    outer = read_thread(end.external.thread)
    inner = pen.parts[joint.internal.part].ends[joint.internal.end].internal
    slim = {
        path: floor_to(p.free - SPARE, 0.05)
        for p in passages if p.part == hold.part and p.free - SPARE < p.diameter
        for path in (("parts", p.part, "diameter"), *p.ends)
    }  # fmt: skip
    now = float(end.diameter)
    thinner = max(0.0, now - min(slim.values(), default=now))
    # The collar is rounded down with the slimmer part, by as much again at the most.
    size = floor_to(float(outer.diameter) - 2 * lacks - thinner - COLLAR_STEP, STEP)
    if outer.system != "M" or inner is None or size < LEAST_PITCHES * float(outer.pitch):
        return
    changes = [Change(path, most) for path, most in slim.items()]
    for ref, side, text in (
        (joint.external, "external", end.external.thread),
        (joint.internal, "internal", inner.thread),
    ):
        named = replace(read_thread(text), diameter=Length.parse(size)).text
        changes.append(Change(("parts", ref.part, "ends", ref.end, side, "thread"), named))
    bare = replace(outer, diameter=Length.parse(size), tolerance_class="").text
    says = f"{bare} for {joint.external} and {joint.internal}"
    drilled = _tapping_hole(pen, joint.internal, float(outer.diameter) - size)
    if drilled is not None:
        changes.append(drilled)
        says += f", drilled ⌀{text_of(float(drilled.value or 0))}"
    if slim:
        says += f", and {hold.part} ⌀{text_of(min(slim.values()))} or less"
    yield Remedy(tuple(changes), says)


def _tapping_hole(pen: Pen, at: EndRef, less: float) -> Change | None:
    """The first step of the bore under the inner thread, ``less`` mm slimmer with it; None where
    none is said, or one was measured."""
    bore = pen.parts[at.part].ends[at.end].bore
    if not bore or bore[0].measured is not None:
        return None
    path = ("parts", at.part, "ends", at.end, "bore", 0, "diameter")
    return Change(path, round(float(bore[0].diameter) - less, 4))
