"""Which thread screws into which: the resolved view of every ``mates``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from mandrelgen.spec.pen import End, Part, Pen
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.thread_spelling import read_thread

SIDES = ("external", "internal")
OPPOSITE = {"external": "internal", "internal": "external"}


class EndRef(NamedTuple):
    """An end of a part."""

    part: str
    end: str

    def __str__(self) -> str:
        return f"{self.part}.{self.end}"


class Joint(NamedTuple):
    """An external thread and the internal thread it screws into."""

    external: EndRef
    internal: EndRef

    @property
    def id(self) -> str:
        """A stable name: ``barrel.mouth-cap.mouth`` (external first)."""
        return f"{self.external}-{self.internal}"


def split_place(text: str) -> tuple[EndRef, str] | None:
    """``part.end`` or ``part.end.side`` as an end and a side (empty if not said); else None."""
    steps = [s.strip() for s in text.split(".")]
    if len(steps) == 2 and all(steps):
        return EndRef(steps[0], steps[1]), ""
    if len(steps) == 3 and all(steps) and steps[2] in (*SIDES, "bore"):
        return EndRef(steps[0], steps[1]), steps[2]
    return None


def end_of(pen: Pen, ref: EndRef) -> End | None:
    """The end a reference names, or None."""
    part = pen.parts.get(ref.part)
    return part.ends.get(ref.end) if part else None


def stated(pen: Pen) -> tuple[tuple[EndRef, str, str], ...]:
    """Every ``mates`` as (end, side, text); side is ``external``, ``internal``, or empty."""
    out: list[tuple[EndRef, str, str]] = []
    for part_id, part in pen.parts.items():
        for end_id, end in part.ends.items():
            ref = EndRef(part_id, end_id)
            if end.mates:
                out.append((ref, "", end.mates))
            for side, thread in (("external", end.external), ("internal", end.internal)):
                if thread is not None and thread.mates:
                    out.append((ref, side, thread.mates))
    return tuple(out)


def joint_of(pen: Pen, ref: EndRef, side: str, text: str) -> Joint | None:
    """The joint one ``mates`` makes, or None where there is no such pair of threads.

    A ``mates`` of the end itself makes a joint only if exactly one pair of threads fits.
    """
    split = split_place(text)
    end = end_of(pen, ref)
    other = end_of(pen, split[0]) if split else None
    if split is None or end is None or other is None or split[0] == ref:
        return None
    as_external = side != "internal" and end.external is not None and other.internal is not None
    as_internal = side != "external" and end.internal is not None and other.external is not None
    if as_external == as_internal:
        return None
    return Joint(ref, split[0]) if as_external else Joint(split[0], ref)


def joints(pen: Pen) -> tuple[Joint, ...]:
    """Every pair of threads that screw together, each once, in the order of the file.

    A ``mates`` on one side is enough. A thread may stand in several joints: a cap screws on the
    barrel's mouth and, posted, on its tail.
    """
    found = (joint_of(pen, *s) for s in stated(pen))
    return tuple(dict.fromkeys(j for j in found if j is not None))


class Apart(NamedTuple):
    """Two threads of different parts that stand in no joint and have one diameter."""

    external: EndRef
    internal: EndRef
    outer: Designation
    inner: Designation

    @property
    def fits(self) -> bool:
        """Whether they screw together: pitch, starts and hand agree too."""
        return not differences(self.outer, self.inner)


def differences(outer: Designation, inner: Designation) -> list[str]:
    """In what two threads of one diameter differ so that they do not screw together, in words with
    both values, mm; empty if they do."""
    found = []
    if outer.left_hand != inner.left_hand:
        found.append("hand")
    if outer.pitch.exact != inner.pitch.exact:
        found.append(f"pitch ({outer.pitch:.4g} and {inner.pitch:.4g} mm)")
    if outer.starts != inner.starts:
        found.append(f"lead ({outer.lead:.4g} and {inner.lead:.4g} mm)")
    return found


def apart(pen: Pen) -> tuple[Apart, ...]:
    """Every pair of threads of different parts that nothing screws together though they have one
    diameter; where one fits, those that do not are left out. Raises ThreadTextError."""
    joined = joints(pen)
    screws = list(_free(pen, "external", {j.external for j in joined}))
    nuts = list(_free(pen, "internal", {j.internal for j in joined}))
    pairs = [
        Apart(screw, nut, outer, inner)
        for screw, outer in screws
        for nut, inner in nuts
        if screw.part != nut.part and outer.diameter.exact == inner.diameter.exact
    ]
    fitting = [p for p in pairs if p.fits]
    served = {r for p in fitting for r in (("x", p.external), ("n", p.internal))}
    return tuple(
        p for p in pairs
        if p.fits or not served & {("x", p.external), ("n", p.internal)}
    )  # fmt: skip


def _free(pen: Pen, side: str, taken: set[EndRef]) -> Iterator[tuple[EndRef, Designation]]:
    for part_id, part in pen.parts.items():
        for end_id, end in part.ends.items():
            thread = end.external if side == "external" else end.internal
            ref = EndRef(part_id, end_id)
            if thread is not None and ref not in taken:
                yield ref, read_thread(thread.thread)


OTHER = {"cap": "crown", "barrel": "tail", "section": "front", "finial": "top"}
"""What a part's second end is called where the file has only its first."""


def other_end(part_id: str, part: Part) -> str:
    """The name for the second end of a part that has one; empty if it has two."""
    if len(part.ends) != 1:
        return ""
    named = OTHER.get(part_id.rstrip("0123456789"), "other")
    return named if named not in part.ends else "other"
