"""Where each part stands along the pen: apart, capped, posted; mm, the nib at the left."""

from __future__ import annotations

from collections.abc import Mapping

from mandrelgen.core.frozen import dataclass
from mandrelgen.paper.pen_drawing.outline import PartOutline
from mandrelgen.paper.pen_drawing.profile import Point
from mandrelgen.spec.joints import Joint, joints
from mandrelgen.spec.pen import Pen

APART, CAPPED, POSTED = "apart", "capped", "posted"
GAP = 12.0
"""Between parts that are drawn apart, mm."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A part along the pen: its own z = 0 stands at ``offset``, or its other end does, turned
    round."""

    outline: PartOutline
    offset: float
    turned: bool = False

    def z(self, own: float) -> float:
        """A place of the part along the pen."""
        return self.offset + (self.outline.length - own if self.turned else own)

    def looks(self, end: str) -> int:
        """Which way an end looks now: −1 to the left, +1 to the right."""
        return self.outline.ends[end].looks * (-1 if self.turned else 1)

    def points(self, row: tuple[Point, ...]) -> tuple[Point, ...]:
        """Points of the part along the pen."""
        return tuple((self.z(z), r) for z, r in row)

    @property
    def span(self) -> tuple[float, float]:
        """Its left and right end."""
        return self.offset, self.offset + self.outline.length


def known(pen: Pen) -> tuple[str, ...]:
    """The states the file knows: posted only if it names a thread to post on."""
    found = joints(pen)
    row = [APART]
    if found:
        row.append(CAPPED)
    if len(_closed(pen, CAPPED)) < len(found):
        row.append(POSTED)
    return tuple(row)


def placed(pen: Pen, parts: Mapping[str, PartOutline], state: str) -> tuple[Placed, ...]:
    """Every part in one state, in the order of the file. Raises ValueError for a state that the
    file does not know."""
    if state not in known(pen):
        raise ValueError(state)
    row = _screwed(parts, _closed(pen, POSTED if state == POSTED else CAPPED))
    if state == APART:
        row = _apart(row)
    return tuple(row[name] for name in parts)


def closed_joints(pen: Pen, state: str) -> tuple[Joint, ...]:
    """The joints that are shut in a state."""
    return () if state == APART else _closed(pen, state)


def _closed(pen: Pen, state: str) -> tuple[Joint, ...]:
    """One joint for each pair of parts: of several, the one over a part that screws into the same
    end (the cap's, over the section), else the first; posted, the other one."""
    every = joints(pen)
    inner = {j.internal for j in every}
    out: dict[frozenset[str], Joint] = {}
    pairs: dict[frozenset[str], list[Joint]] = {}
    for j in every:
        pairs.setdefault(frozenset((j.external.part, j.internal.part)), []).append(j)
    for pair, row in pairs.items():
        capped = next((j for j in row if j.external in inner), row[0])
        others = [j for j in row if j != capped]
        out[pair] = others[0] if state == POSTED and others else capped
    return tuple(out.values())


def _screwed(parts: Mapping[str, PartOutline], closed: tuple[Joint, ...]) -> dict[str, Placed]:
    """Every part where its joints put it; what nothing joins stands behind, in a row."""
    row: dict[str, Placed] = {}
    waiting = dict(parts)
    count = {n: sum(n in (j.external.part, j.internal.part) for j in closed) for n in parts}
    while waiting:
        name = max(waiting, key=lambda n: (count[n], waiting[n].length))
        end = max((p.span[1] for p in row.values()), default=-GAP)
        group = {name: Placed(waiting[name], 0.0)}
        _join(group, parts, closed)
        shift = end + GAP - min(p.span[0] for p in group.values())
        for n, p in group.items():
            row[n] = Placed(p.outline, p.offset + shift, p.turned)
            del waiting[n]
    return row


def _join(
    group: dict[str, Placed], parts: Mapping[str, PartOutline], closed: tuple[Joint, ...]
) -> None:
    """Add what is joined to the group, one after the other."""
    going = True
    while going:
        going = False
        for j in closed:
            a, b = j.external, j.internal
            if a.part in group and b.part not in group:
                plane = group[a.part].outline.ends[a.end].shoulder
                own = parts[b.part].ends[b.end].face
                group[b.part] = _against(group[a.part], a.end, plane, parts[b.part], b.end, own)
                going = True
            elif b.part in group and a.part not in group:
                plane = group[b.part].outline.ends[b.end].face
                own = parts[a.part].ends[a.end].shoulder
                group[a.part] = _against(group[b.part], b.end, plane, parts[a.part], a.end, own)
                going = True


def _against(
    there: Placed, end: str, plane: float, part: PartOutline, own_end: str, own: float
) -> Placed:
    """``part`` with its ``own`` place against the ``plane`` of ``there``; the ends look at each
    other. A tenon's shoulder meets the other part's face."""
    turned = part.ends[own_end].looks == there.looks(end)
    return Placed(part, there.z(plane) - (part.length - own if turned else own), turned)


def _apart(row: dict[str, Placed]) -> dict[str, Placed]:
    """The same parts in the same order along the pen, none over another."""
    order = sorted(row, key=lambda n: sum(row[n].span))
    out: dict[str, Placed] = {}
    z = 0.0
    for n in order:
        out[n] = Placed(row[n].outline, z, row[n].turned)
        z += row[n].outline.length + GAP
    return out
