"""Whether the threading tool finds room between the thread and what stands beside it. mm."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import floor_to, text_of
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel, Stretch, ThreadData

TAN_30 = math.tan(math.radians(30))
# Kept between the tool's side and the wall (common practice, no source).
AIR = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """A face beside the thread. ``room``: from it to where the tool's point stops; ``height``: how
    far it stands above the thread's root (at its least); ``needed``: half the width there of a
    full 60° point, with air (None: a boring bar's whole front must pass); ``free`` true if any 60°
    tool passes, else the point must stand at most ``side`` from the tool's side; ``ahead`` true
    between thread and nose."""

    name: str
    room: float
    height: float
    needed: float | None
    free: bool
    side: float
    ahead: bool = False


class Beside(NamedTuple):
    """All walls beside a thread, and what they mean for the tool."""

    walls: tuple[Obstacle, ...]
    advice: str


def beside(mandrel: Mandrel, thread: ThreadData) -> Beside:
    """The walls at relief and free undercut, everything else at its finished size."""
    found = _outside(mandrel, thread) if thread.form.external else _inside(mandrel, thread)
    return Beside(tuple(found), _advice(found))


def _advice(walls: list[Obstacle]) -> str:
    tight = [w for w in walls if not w.free]
    if not walls:
        return "nothing stands beside the thread"
    least = min(tight or walls, key=lambda w: w.side)
    if least.needed is None:
        return (
            f"the bar may reach at most {text_of(least.side, 2)} beyond the tool's point: the "
            f"relief is {text_of(least.room, 2)} wide to the {least.name}, and what the bar takes "
            "of it is missing for stopping by hand"
        )
    if tight:
        return (
            f"the point may stand at most {text_of(least.side, 2)} from the tool's side towards "
            f"the {least.name}: {text_of(least.room, 2)} are there, a symmetrical point as high "
            f"as the {least.name} needs {text_of(least.needed, 2)}. Take an insert with its point "
            "set to that side, or grind the side back"
        )
    return "any 60° tool passes: " + ", ".join(
        f"beside the {w.name} it needs {text_of(w.needed or 0, 2)} of {text_of(w.room, 2)}"
        for w in walls
    )


def _outside(mandrel: Mandrel, thread: ThreadData) -> list[Obstacle]:
    own = thread.feature
    row = turned_to_nose(mandrel, own.end)
    at = next(i for i, s in enumerate(row) if s.feature == thread.feature)
    root = thread.limits.minor.min or thread.form.root_diameter
    out: list[Obstacle] = []
    stop = next((s.z1 for s in row[:at] if s.feature == own.beside(FeatureKind.RELIEF)), row[at].z0)
    out += _walls(stop, root, [(s, s.z1) for s in reversed(row[:at]) if s.z1 <= stop], own.end)
    groove = next((s for s in row[at:] if s.feature == own.beside(FeatureKind.RUN_IN)), None)
    if groove is not None:
        beyond = [s for s in row[at:] if s.z0 >= groove.z1 - 1e-9]
        ahead = _walls(groove.z0, root, [(s, s.z0) for s in beyond], own.end)
        out += [replace(w, ahead=True) for w in ahead]
    return out


def _walls(
    stop: float, root: float, faces: list[tuple[Stretch, float]], end: MandrelEnd
) -> list[Obstacle]:
    """Each face that stands higher than all nearer ones."""
    out, top = [], root
    for s, z in faces:
        wide = max(s.d0, s.d1)
        if wide <= top + 1e-9 or _is_relief(s, end):
            continue
        top = wide
        room, height = abs(stop - z), (wide - root) / 2
        needed = height * TAN_30 + AIR
        name = s.feature.word_at(end)
        out.append(_wall(name, room, height, needed))
    return out


def _is_relief(s: Stretch, end: MandrelEnd) -> bool:
    return s.feature.end is end and s.feature.kind is FeatureKind.RELIEF


def _wall(name: str, room: float, height: float, needed: float) -> Obstacle:
    free = needed <= room + 1e-9
    return Obstacle(
        name=name,
        room=room,
        height=height,
        needed=needed,
        free=free,
        side=floor_to(max(room - AIR, 0.0), 0.05),
    )


def _inside(mandrel: Mandrel, thread: ThreadData) -> list[Obstacle]:
    """The floor behind the relief: the bar's front end reaches past the point."""
    own = thread.feature.beside(FeatureKind.RELIEF)
    relief = next((s for s in mandrel.inner if s.feature == own), None)
    if relief is None:
        return []
    room = relief.z1 - relief.z0
    height = (thread.form.root_diameter - thread.form.crest_diameter) / 2
    # The bar is much wider than the point is high: what counts is its whole front.
    return [
        Obstacle(
            name="floor",
            room=room,
            height=height,
            needed=None,
            free=False,
            side=floor_to(room - AIR, 0.05),
        )
    ]


def turned_to_nose(mandrel: Mandrel, end: MandrelEnd) -> list[Stretch]:
    """The outside from spindle to nose as ``end`` is worked, its seat at 0; a second
    end is turned round."""
    if end is MandrelEnd.FIRST:
        return list(mandrel.outer)
    seat = mandrel.stations.get(end.named("seat"), 0.0)
    return [
        Stretch(
            feature=s.feature, z0=seat - s.z1, z1=seat - s.z0, d0=s.d1, d1=s.d0, thread=s.thread
        )
        for s in reversed(mandrel.outer)
    ]
