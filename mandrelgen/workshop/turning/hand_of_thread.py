"""How a thread of either hand is cut either way: spindle, tool, tumbler. One table for every page.

A right-hand thread comes of a carriage that travels towards the headstock while the spindle runs
forward; reversing either alone gives a left-hand one (kinematics of the screw, alike outside and
inside, under power or with the spindle turned by hand).
"""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass

FORWARD, REVERSE = "forward", "in reverse"


@dataclass(frozen=True, slots=True)
class Running:
    """``spindle``: forward or in reverse; ``tool``, ``tumbler``: how they are set; ``caution``: for
    a chuck that screws on ("" where it is not needed)."""

    spindle: str
    tool: str
    tumbler: str
    caution: str

    @property
    def text(self) -> str:
        """All of it, for a sentence."""
        return ", ".join(filter(None, (f"spindle {self.spindle}", self.tool, self.tumbler,
                                       self.caution)))  # fmt: skip


def running(*, left_hand: bool, external: bool, away: bool) -> Running:
    """The settings for one thread; ``away``: the carriage travels away from the headstock.

    >>> running(left_hand=True, external=True, away=True).spindle
    'forward'
    >>> running(left_hand=True, external=False, away=False).spindle
    'in reverse'
    """
    forward = left_hand == away
    if forward:
        tool = "tool the right way up" + ("" if external else ", on the near side of the bore")
    elif external:
        tool = "tool turned over, or the right way up on the far side"
    else:
        tool = "tool turned over on the near side of the bore, or the right way up on its far side"
    tumbler = f"tumbler set for {'left' if left_hand else 'right'}-hand threads"
    caution = "" if forward else "chuck locked on"
    return Running(FORWARD if forward else REVERSE, tool, tumbler, caution)
