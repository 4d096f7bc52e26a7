"""A crest that no part goes over, read on a thread that a part is said to screw on: one of the two
was misread."""

from __future__ import annotations

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.standards.threads import D2_FACTOR, ThreadLimits
from mandrelgen.workshop.turning import instruments


def deepest(part: ThreadLimits) -> float | None:
    """The diameter to which the part's root reaches at its limits, mm. Inside, where ISO 965-1 sets
    none: in the basic form of ISO 68-1 at the greatest pitch diameter.

    M9x0.75-6H by ISO 965-2 (D2 at most 8.645; from memory): 8.645 + 0.6495 · 0.75.

    >>> from mandrelgen.standards.designation import parse
    >>> from mandrelgen.standards.threads import limits
    >>> f"{deepest(limits(parse('M9x0.75-6H'), False)):.3f}"
    '9.132'
    """
    if part.external:
        return part.minor.min
    if part.major.max is not None or part.pitch.max is None:
        return part.major.max
    return part.pitch.max + D2_FACTOR * float(part.designation.pitch)


def why_not(mandrel: Mandrel, c: Characteristic, value: float) -> str:
    """Why no part within its limits screws on to a crest that reads ``value`` (mm), in words; ""
    where one can, or the size is no crest."""
    thread = _thread(mandrel, c)
    if thread is None:
        return ""
    root = deepest(thread.partner)
    inside = instruments.is_inside(mandrel, c)
    if root is None or (value >= root if inside else value <= root):
        return ""
    least = "at least" if inside else "at most"
    return (f"in the form of its thread the part's root reaches {least} ⌀{text_of(root)}, and a "
            f"crest of ⌀{text_of(value)} does not go into it")  # fmt: skip


def _thread(mandrel: Mandrel, c: Characteristic) -> ThreadData | None:
    """The thread whose crest this is."""
    crest = Kind.THREAD_MINOR if instruments.is_inside(mandrel, c) else Kind.THREAD_MAJOR
    if c.kind is not crest:
        return None
    return next((t for t in mandrel.threads if t.feature == c.feature), None)
