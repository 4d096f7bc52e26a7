"""The pen with every end resolved to limits, for the checks between its parts."""

from __future__ import annotations

from dataclasses import dataclass

from mandrelgen.design import ends
from mandrelgen.mechanics.joint import Closing, close, drill_point, walls_of_tenon
from mandrelgen.mechanics.play import ThreadPlay, thread_play
from mandrelgen.spec.joints import EndRef, Joint, end_of, joints
from mandrelgen.spec.pen import Bottom, End, Part, Pen
from mandrelgen.spec.shop import Shop


@dataclass(frozen=True, slots=True)
class PenWall:
    """A least wall at worst limits, mm: where it is and between what."""

    where: str
    between: str
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A joint of the pen: how it closes and how it plays."""

    joint: Joint
    closing: Closing
    play: ThreadPlay
    lead: float
    starts: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TapHole:
    """The hole under an internal thread against the thread's minor limits, mm."""

    where: str
    lower: float
    upper: float
    allowed_lower: float
    allowed_upper: float


@dataclass(frozen=True, slots=True)
class Crown:
    """Material left between the bore's drill point and the far side, mm."""

    where: str
    left: float


@dataclass(frozen=True, slots=True)
class Passage:
    """A part that must pass through a thread: its diameter and the thread's least minor, mm."""

    part: str
    through: str
    diameter: float
    free: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ResolvedPen:
    """Everything the pen-level checks speak of."""

    walls: tuple[PenWall, ...]
    joints: tuple[Joined, ...]
    tap_holes: tuple[TapHole, ...]
    crowns: tuple[Crown, ...]
    passages: tuple[Passage, ...]


def resolve(pen: Pen, shop: Shop) -> ResolvedPen:
    """Resolve every end and joint. Raises ThreadLimitError or NotHeldError as the standards do."""
    walls: list[PenWall] = []
    holes: list[TapHole] = []
    crowns: list[Crown] = []
    for name, part in pen.parts.items():
        for end_name, end in part.ends.items():
            where = f"{name}.{end_name}"
            walls += _walls(where, part, end, shop)
            holes += _tap_hole(where, part, end, shop)
        crowns += _crowns(name, part, shop)
    joined = tuple(_joined(pen, j, shop) for j in joints(pen))
    return ResolvedPen(
        walls=tuple(walls),
        joints=joined,
        tap_holes=tuple(holes),
        crowns=tuple(crowns),
        passages=_passages(pen, joints(pen), shop),
    )


def _walls(where: str, part: Part, end: End, shop: Shop) -> list[PenWall]:
    found: list[PenWall] = []
    tapped = ends.tapped_end(part, end, shop) if end.internal is not None else None
    holes = tapped.holes if tapped else ends.plain_holes(part, end, shop)[0]
    if end.external is not None:
        tenon = ends.tenon_end(end, shop)
        for text, value in walls_of_tenon(
            tenon.thread,
            tenon.length.upper,
            tapped.thread if tapped else None,
            [(h.start, h.size.upper) for h in holes],
        ):
            found.append(PenWall(where, text, value))
    body = float(end.diameter) - 2 * float(end.edge_break)
    if tapped is not None and end.external is None:
        found.append(
            PenWall(
                where, "internal thread and outside", (body - tapped.thread.major_max_worst) / 2
            )
        )
    if holes:
        widest = max(h.size.upper for h in holes)
        found.append(PenWall(where, "bore and outside", (float(end.diameter) - widest) / 2))
    return found


def _tap_hole(where: str, part: Part, end: End, shop: Shop) -> list[TapHole]:
    if end.internal is None or not end.bore:
        return []
    tapped = ends.tapped_end(part, end, shop)
    if "minor" in tapped.thread.measured:
        return []
    covering = [h for h in tapped.holes if h.start <= tapped.start < h.end]
    band = tapped.thread.minor
    return [
        TapHole(
            where=where,
            lower=h.size.lower,
            upper=h.size.upper,
            allowed_lower=band.min or 0.0,
            allowed_upper=band.max or 0.0,
        )
        for h in covering
    ]


def _crowns(name: str, part: Part, shop: Shop) -> list[Crown]:
    found = []
    for end_name, end in part.ends.items():
        depth = max([float(s.depth) for s in end.bore], default=0.0)
        if not depth or end.bottom is Bottom.THROUGH:
            continue
        d = float(end.bore[-1].diameter)
        point = drill_point(d, end.drill_point_angle) if end.bottom is Bottom.DRILL_POINT else 0.0
        opposite = max(
            (
                max(
                    float(e.internal.depth or e.internal.full_thread or 0) if e.internal else 0.0,
                    max([float(s.depth) for s in e.bore], default=0.0),
                )
                for n, e in part.ends.items()
                if n != end_name
            ),
            default=0.0,
        )
        found.append(Crown(f"{name}.{end_name}", float(part.length) - depth - point - opposite))
    return found


def _joined(pen: Pen, j: Joint, shop: Shop) -> Joined:
    outside, inside = end_of(pen, j.external), end_of(pen, j.internal)
    if outside is None or inside is None:
        raise ValueError(f"{j.id} names no ends")
    tenon = ends.tenon_end(outside, shop)
    tapped = ends.tapped_end(pen.parts[j.internal.part], inside, shop)
    lead = float(tenon.thread.designation.lead)
    closing = close(
        tenon_length=tenon.length,
        tenon_full_end=tenon.full_end,
        unformed=tenon.unformed_max,
        start=tapped.start,
        full=tapped.full_min,
        hole_end=tapped.bottom_min,
        lead=lead,
    )
    return Joined(
        joint=j,
        closing=closing,
        play=thread_play(tenon.thread, tapped.thread),
        lead=lead,
        starts=tenon.thread.designation.starts,
    )


def _passages(pen: Pen, found: tuple[Joint, ...], shop: Shop) -> tuple[Passage, ...]:
    """A part screwed into an end whose outside takes a cap must pass the cap's thread."""
    out: list[Passage] = []
    for cap in found:
        for inner in found:
            if inner.internal == cap.external:
                passing = pen.parts[inner.external.part]
                part = pen.parts[cap.internal.part]
                end = end_of(pen, EndRef(cap.internal.part, cap.internal.end))
                if end is None:
                    continue
                free = ends.tapped_end(part, end, shop).thread.minor.min or 0.0
                out.append(
                    Passage(inner.external.part, str(cap.internal), float(passing.diameter), free)
                )
    return tuple(out)
