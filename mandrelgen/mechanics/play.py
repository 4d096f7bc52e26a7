"""Play and interference of a screw pair, and walls between threads and bores, at worst limits."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.standards.threads import ThreadLimits


class ThreadPlay(NamedTuple):
    """Diametral play of a screw in a nut, mm; negative is interference.

    ``pitch_min``/``pitch_max``: on the pitch diameter (what the flanks feel);
    ``outside``: least gap between the screw's crest and the nut's root;
    ``inside``: least gap between the nut's crest and the screw's root.
    """

    pitch_min: float
    pitch_max: float
    outside: float
    inside: float

    @property
    def tightest(self) -> float:
        """The smallest of the three, mm: below zero the parts will not go together."""
        return min(self.pitch_min, self.outside, self.inside)


def thread_play(screw: ThreadLimits, nut: ThreadLimits) -> ThreadPlay:
    """Play of ``screw`` in ``nut`` from both parts' limits, mm on diameter.

    The nut's root is at least its basic major diameter plus its deviation (ISO 965-1: D min); the
    screw's root is at most the limiting flat form d1 max (ISO 965-1).

    M10-6H/6g by the limits of ISO 965-2 (D2 9.026 to 9.206, d2 8.862 to 8.994, d at most 9.968;
    from memory): 9.026 − 8.994 and 9.206 − 8.862 on the pitch diameter, 10 − 9.968 outside.

    >>> from mandrelgen.standards.designation import parse
    >>> from mandrelgen.standards.threads import limits
    >>> play = thread_play(limits(parse("M10-6g"), True), limits(parse("M10-6H"), False))
    >>> f"{play.pitch_min:.3f} {play.pitch_max:.3f} {play.outside:.3f}"
    '0.032 0.344 0.032'
    """
    return ThreadPlay(
        pitch_min=_need(nut.pitch.min) - _need(screw.pitch.max),
        pitch_max=_need(nut.pitch.max) - _need(screw.pitch.min),
        outside=_need(nut.major.min) - _need(screw.major.max),
        inside=_need(nut.minor.min) - _need(screw.minor.max),
    )


def root_min(screw: ThreadLimits) -> float:
    """Smallest diameter that a screw's groove leaves, d3 min, mm."""
    return _need(screw.minor.min)


def root_max(nut: ThreadLimits) -> float:
    """Largest diameter that a nut's groove reaches, D max = D2 max + 0.794 P, mm
    (ASME B1.13M's form; ISO 965-1 sets no limit)."""
    return nut.major_max_worst


def wall(outer_min: float, inner_max: float) -> float:
    """Thinnest wall between two coaxial diameters, mm, eccentricity not included.

    >>> wall(9.0, 6.5)
    1.25
    """
    return (outer_min - inner_max) / 2


def _need(value: float | None) -> float:
    if value is None:
        raise ValueError("this limit is not set by the standard")
    return value
