"""Threads that nothing screws together: those that fit one another, those that nearly do, and parts
whose threads have no counterpart. How a joint closes is judged only where the file names it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.spec.joints import Apart, EndRef, apart, differences, joints
from mandrelgen.spec.pen import Pen


def check(pen: Pen) -> tuple[Finding, ...]:
    """What stands apart in the file. Raises ThreadTextError."""
    pairs = apart(pen)
    return (*map(_pair, pairs), *_alone(pen, pairs))


def _pair(p: Apart) -> Finding:
    both = f"{p.external} ({p.outer.text}) and {p.internal} ({p.inner.text})"
    if p.fits:
        return Finding(
            level=Level.WARNING,
            code="pen.not_joined",
            where=str(p.external),
            message=f"the threads of {both} fit one another and are not joined: how they close is "
            "not looked at",
            remedy="join them, or leave them apart on purpose",
            remedies=(Remedy((_join(p),), f"screw {p.external} into {p.internal}", reveals=True),),
        )
    return Finding(
        level=Level.WARNING,
        code="pen.not_joined",
        where=str(p.external),
        message=f"{both} have one diameter and do not screw together: they differ in "
        + ", ".join(differences(p.outer, p.inner)),
        remedy="correct one of the two threads if they belong together",
        remedies=tuple(_alike(p)),
    )


def _join(p: Apart) -> Change:
    return Change(_key(p.external, "external", "mates"), str(p.internal))


def _alike(p: Apart) -> Iterator[Remedy]:
    """One of the two threads as the other, and both joined."""
    for ref, side, own, other in (
        (p.external, "external", p.outer, p.inner),
        (p.internal, "internal", p.inner, p.outer),
    ):
        klass = own.tolerance_class if own.system == other.system else ""
        text = replace(other, tolerance_class=klass).text
        bare = replace(other, tolerance_class="").text
        yield Remedy(
            (Change(_key(ref, side, "thread"), text), _join(p)),
            f"{bare} at {ref} too, and screw {p.external} into {p.internal}",
            reveals=True,
        )


def _key(ref: EndRef, side: str, name: str) -> tuple[str, ...]:
    return "parts", ref.part, "ends", ref.end, side, name


def _alone(pen: Pen, pairs: tuple[Apart, ...]) -> Iterator[Finding]:
    """Parts of several that nothing screws to, though they have a thread."""
    near = {r.part for j in joints(pen) for r in (j.external, j.internal)}
    near |= {r.part for p in pairs for r in (p.external, p.internal)}
    for name, part in pen.parts.items():
        threads = [
            (f"{name}.{end_id}", t.thread, other)
            for end_id, end in part.ends.items()
            for t, other in ((end.external, "internal"), (end.internal, "external"))
            if t is not None
        ]
        if len(pen.parts) > 1 and name not in near and threads:
            from mandrelgen.assess.counterparts import counterparts

            place, thread, other = threads[0]
            yield Finding(
                level=Level.NOTE,
                code="pen.no_counterpart",
                where=place,
                message=f"no other part has an {other} thread for its {thread}: how it closes is "
                "not looked at",
                remedy=f"give the part it screws {'into' if other == 'internal' else 'onto'} an "
                f"{other} thread {thread}",
                remedies=tuple(counterparts(pen, EndRef(*place.split(".")), other)),
            )
