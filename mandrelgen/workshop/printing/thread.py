"""A thread for printing: moved clear by the allowance, crest and root as wide as can be formed."""

from __future__ import annotations

import math
from dataclasses import replace

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.mandrel import FLANK_HALF_ANGLE, ThreadForm

_TAN = math.tan(math.radians(FLANK_HALF_ANGLE))
# What the root may give back of the allowance, so that the real part's crest stays clear.
ROOT_SHARE = 0.5
# The least depth of crest or root from the pitch line that is still modelled, mm.
LEAST_DEPTH = 0.01
# H1, basic thread depth: 5/8 H (ISO 68-1).
DEPTH_FACTOR = 0.541265877


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedThread:
    """A thread as designed and as printed; ``allowance`` a side, ``crest`` and ``root``: how much
    each was cut back or filled, on the radius, mm."""

    feature: str
    designed: ThreadForm
    printed: ThreadForm
    allowance: float
    crest: float
    root: float


def printed_thread(feature: str, form: ThreadForm, allowance: float, flat: float) -> PrintedThread:
    """``form`` moved into its own material by ``allowance`` (radius, mm), pitch diameter, crest and
    root alike. Then the crest is cut back until it is ``flat`` wide, and the root filled towards
    it, by half the allowance at most: a real thread's crest must stay clear."""
    side = -1 if form.external else 1
    moved = replace(
        form,
        crest_diameter=form.crest_diameter + 2 * side * allowance,
        pitch_diameter=form.pitch_diameter + 2 * side * allowance,
        root_diameter=form.root_diameter + 2 * side * allowance,
    )
    reach = max(LEAST_DEPTH, (form.pitch / 2 - flat) / (2 * _TAN))
    crest = max(0.0, abs(moved.crest_diameter - moved.pitch_diameter) / 2 - reach)
    root = max(0.0, abs(moved.root_diameter - moved.pitch_diameter) / 2 - reach)
    root = min(root, ROOT_SHARE * allowance)
    printed = replace(
        moved,
        crest_diameter=moved.crest_diameter + 2 * side * crest,
        root_diameter=moved.root_diameter - 2 * side * root,
    )
    return PrintedThread(
        feature=feature, designed=form, printed=printed, allowance=allowance, crest=crest, root=root
    )


def radial_play(screw: ThreadForm, nut: ThreadForm) -> float:
    """How far the screw may move sideways (or grow) in the nut, a side, mm; negative: it binds.
    The least of the gaps at the flanks, the screw's crest and the nut's crest."""
    return (
        min(
            nut.pitch_diameter - screw.pitch_diameter,
            nut.root_diameter - screw.crest_diameter,
            nut.crest_diameter - screw.root_diameter,
        )
        / 2
    )


def overlap(screw: ThreadForm, nut: ThreadForm) -> float:
    """Depth by which the crests pass each other, a side, mm: what holds the thread."""
    return (screw.crest_diameter - nut.crest_diameter) / 2


def basic_form(
    external: bool, diameter: float, pitch: float, starts: int = 1, left_hand: bool = False
) -> ThreadForm:
    """The basic profile of ISO 68-1 without any tolerance, mm."""
    minor = diameter - 2 * DEPTH_FACTOR * pitch
    mean = diameter - 1.2 * DEPTH_FACTOR * pitch  # d − 3/4 H; H1 = 5/8 H
    crest, root = (diameter, minor) if external else (minor, diameter)
    return ThreadForm(
        external=external,
        starts=starts,
        pitch=pitch,
        left_hand=left_hand,
        crest_diameter=crest,
        pitch_diameter=mean,
        root_diameter=root,
    )
