"""Callouts on leaders: tolerance frames, roughness, centre holes."""

from __future__ import annotations

import math
from typing import NamedTuple

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind, subject_name
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.paper.drawing.dimension_assignment import Allotment
from mandrelgen.paper.drawing.dimensions import Flag, Label, Tip, flagged, strip, written
from mandrelgen.paper.drawing.label_ground import Candidate, Ways
from mandrelgen.paper.drawing.label_placement import Annotation
from mandrelgen.paper.drawing.model import Drawn, Item, Line, LineStyle, Mark, Point
from mandrelgen.paper.drawing.symbols import (
    BALLOON_RADIUS,
    H,
    arrow,
    balloon,
    roughness,
    roughness_size,
    tolerance_frame,
    tolerance_frame_width,
)
from mandrelgen.paper.drawing.text_width import clean
from mandrelgen.paper.drawing.views import TOUCH, centre_bores, radius_at
from mandrelgen.paper.drawing.words import frame_value, roughness_value
from mandrelgen.workshop.turning.bar_stock import from_bar


def feature_of(mandrel: Mandrel, c: Characteristic) -> Stretch | None:
    """The longest cylinder (else cone) of the feature ``c`` belongs to."""
    every = [s for s in [*mandrel.outer, *mandrel.inner] if s.feature == c.feature]
    plain = [s for s in every if abs(s.d1 - s.d0) < TOUCH] or every
    return max(plain, key=lambda s: s.z1 - s.z0) if plain else None


class Texture(NamedTuple):
    """A surface's roughness; ``any_process``: it may stay as the bar was drawn or ground."""

    need: Characteristic
    any_process: bool


def texture_of(mandrel: Mandrel, c: Characteristic) -> Texture:
    """The roughness ``c`` with what may have made its surface."""
    return Texture(c, c.subject is FeatureKind.SHANK and from_bar(mandrel))


def frame_wish(
    c: Characteristic,
    tips: list[Tip],
    numbers: dict[str, int],
    levels: list[float],
    rider: Texture | None,
) -> Annotation:
    """A tolerance frame with its leader on the surface it governs, at one of ``tips``; the
    roughness of the same surface (``rider``) stands on the frame."""
    value = frame_value(c)
    datum = clean(c.datum)
    wide = tolerance_frame_width(value, datum)

    def draw(at: Point, side: int) -> tuple[Drawn, ...]:
        number = numbers.get(c.id, 0)
        # The leader joins the frame, so the balloon stands at its other end.
        x = at[0] if side > 0 else at[0] + total - wide
        mark = Mark("frame", c.id, tolerance_frame(c.kind, value, datum, (x, at[1])))
        centre = (at[0] + BALLOON_RADIUS if side < 0 else at[0] + wide + 1 + BALLOON_RADIUS,
                  at[1] + H)  # fmt: skip
        drawn: list[Drawn] = [mark, balloon(number, centre, c.id)] if number else [mark]
        if rider is not None:
            # On the frame's edge, as far from its corner as its own balloon leaves.
            room = wide - reach[1] - 0.5 - 2 * BALLOON_RADIUS
            foot = (x + max(0.3, min(reach[0] + 0.5, room)), at[1] + 2 * H)
            sign = roughness(text, foot, any_process=rider.any_process)
            drawn.append(Mark("roughness", rider.need.id, sign))
            if rider.need.id in numbers:
                far = (
                    foot[0] + reach[1] + 0.5 + BALLOON_RADIUS,
                    foot[1] + 0.9 * BALLOON_RADIUS + 1.6,
                )
                drawn.append(balloon(numbers[rider.need.id], far, rider.need.id))
        return tuple(drawn)

    text = roughness_value(rider.need) if rider is not None else ""
    reach = roughness_size(text)
    total, high = wide + 1 + 2 * BALLOON_RADIUS, 2 * H
    if rider is not None:
        total = max(total, reach[0] + reach[1] + 1 + 2 * BALLOON_RADIUS)
        high += reach[2] + 0.3
    flag = Flag(name=c.id, width=total, height=high, joint=H, draw=draw)
    return flagged(flag, tips, levels, 0.0)


def tips_of(mandrel: Mandrel, c: Characteristic, f: float) -> list[Tip]:
    """Where a leader may touch the surface of ``c`` in the main view: a cylinder from above, a
    face on the extension line that leaves the part at its rim."""
    s = feature_of(mandrel, c)
    if c.kind is Kind.FACE_RUNOUT or (s is None and c.feature in mandrel.stations):
        return _face(mandrel, _face_at(mandrel, c), f)
    if s is None:
        return [Tip((0.0, radius_at(mandrel, 0.0) * f), 270.0)]
    # A bore's surface is touched on its far side, through the bore.
    sign = -1.0 if s in mandrel.inner else 1.0
    r = s.d0 / 2
    found = [
        Tip(((s.z0 + t * (s.z1 - s.z0)) * f, sign * r * f), 270.0)
        for t in (0.2, 0.8, 0.35, 0.65, 0.9, 0.1, 0.5)
    ]
    return [*found, *in_front(mandrel, s, (0.0, 0.0, f, 1.0))]


# How far in front of the free end a leader may touch a surface's extension line, and how far from
# its surface at most, mm on paper.
IN_FRONT, REACH = (3.0, 5.0, 8.0), 15.0


def in_front(mandrel: Mandrel, s: Stretch, view: tuple[float, float, float, float]) -> list[Tip]:
    """Places on the extension line of a surface at the free end (ISO 1101), where a short one has
    no room for its dimension and a leader clearly apart from it; none behind what hides it.
    ``view``: the z drawn at x = 0, the axis's y, the scale, +1 or -1 for the half that is seen."""
    z, axis, f, sign = view
    nose = mandrel.outer[-1].z1
    if s in mandrel.inner:
        free = s.z1 > nose - TOUCH
    else:
        free = all(max(x.d0, x.d1) < s.d1 + TOUCH for x in mandrel.outer if x.z0 > s.z1 - TOUCH)
    y = axis + sign * s.d1 / 2 * f
    return [
        Tip(((nose - z) * f + out, y), 270.0, ((s.z1 - z) * f, y))
        for out in IN_FRONT
        if free and (nose - s.z1) * f + out <= REACH
    ]


def _face_at(mandrel: Mandrel, c: Characteristic) -> float:
    """The face's station."""
    stem = subject_name(c.id)
    names = [c.between[0] if c.between else "", c.feature, stem, f"{stem}.face"]
    return next((mandrel.stations[n] for n in names if n in mandrel.stations), 0.0)


def _face(mandrel: Mandrel, z: float, f: float) -> list[Tip]:
    """The face's extension line is touched from the side the face looks to."""
    left = max((s.d1 / 2 for s in mandrel.outer if abs(s.z1 - z) < TOUCH), default=0.0)
    right = max((s.d0 / 2 for s in mandrel.outer if abs(s.z0 - z) < TOUCH), default=0.0)
    rim = (z * f, max(left, right) * f)
    angle = 180.0 if left >= right else 0.0
    return [Tip((rim[0], rim[1] + up), angle, rim) for up in (4.0, 5.5, 7.0, 9.0, 11.0, 14.0)]


def roughness_wish(
    texture: Texture, tips: list[Tip], numbers: dict[str, int], levels: list[float]
) -> Annotation:
    """A roughness symbol on a leader."""
    c = texture.need
    text = roughness_value(c)
    left, right, high = roughness_size(text)
    wide = left + right + 1 + 2 * BALLOON_RADIUS

    def draw(at: Point, side: int) -> tuple[Drawn, ...]:
        number = numbers.get(c.id, 0)
        base = Line((at, (at[0] + wide, at[1])), LineStyle.DIM)
        foot = (at[0] + left + 0.5, at[1])
        mark = Mark("roughness", c.id, roughness(text, foot, any_process=texture.any_process))
        centre = (at[0] + wide - BALLOON_RADIUS, at[1] + 3.4)
        return (base, mark, balloon(number, centre, c.id)) if number else (base, mark)

    return flagged(
        Flag(name=c.id, width=wide, height=high + 0.3, joint=0.0, draw=draw), tips, levels, 0.0
    )


def hole_wishes(
    mandrel: Mandrel, parts: Allotment, f: float, numbers: dict[str, int], levels: list[float]
) -> list[Annotation]:
    """Centre-hole callouts (ISO 6411): chevron where the hole must or must not stay."""
    out = []
    for hole in mandrel.centre_holes:
        row = centre_bores(mandrel).get(hole.at)
        if row is None:
            continue
        rear = hole.at == "rear"
        end = mandrel.outer[0] if rear else mandrel.outer[-1]
        z, r = (end.z0, end.d0 / 2) if rear else (end.z1, end.d1 / 2)
        mouth = (row[0].d0 if rear else row[-1].d1) / 2
        tip = (z * f, min(mouth, r) * f)
        named = next((c for c in parts.holes if c.feature.detail == hole.at), None)
        id = named.id if named else ""
        out.append(_hole(hole.designation, hole.keep, tip, rear, levels, (id, numbers.get(id, 0))))
    return out


def _hole(
    text: str, keep: str, tip: Point, rear: bool, levels: list[float], who: tuple[str, int]
) -> Annotation:
    """The callout of one hole, on a leader that leaves the end face at ``tip``."""
    label = Label(id=who[0], number=who[1], before="", value="", after="", override=text)
    sign = -1.0 if rear else 1.0
    symbol = _stays(keep, tip, sign)
    out = []
    for k, y in enumerate(levels):
        for run, side in ((r, s) for r in (7.0, 11.0, 15.0) for s in (int(sign), -int(sign))):
            bend = (tip[0] + sign * run, tip[1] + 2.0)
            cost = k + (0.0 if side == sign else 0.3) + 0.05 * (run - 7.0)
            out.append(_hole_candidate(label, symbol, (tip, bend), y, side, cost))
    return Annotation(text, Ways.of(out), (), -500.0)


def _stays(keep: str, tip: Point, sign: float) -> tuple[Item, ...]:
    """The chevron of a hole that must stay, crossed by a stroke if it must not; nothing if it
    may. It opens to the side of ``sign``."""
    words = keep.lower()
    if "may" in words:
        return ()
    a = 2.9
    up = (tip[0] + sign * a, tip[1] + a * 0.577)
    down = (tip[0] + sign * a, tip[1] - a * 0.577)
    chevron = Line((up, tip, down), LineStyle.SYMBOL)
    if "not" not in words:
        return (chevron,)
    stroke = ((tip[0] + sign * 1.0, tip[1] - 2.5), (tip[0] + sign * 2.4, tip[1] + 2.5))
    return chevron, Line(stroke, LineStyle.SYMBOL)


def _hole_candidate(
    label: Label,
    symbol: tuple[Item, ...],
    leader: tuple[Point, Point],
    y: float,
    side: int,
    cost: float,
) -> Candidate:
    """The leader from its tip over its bend to the text at ``y``; an arrow stands on the tip
    where no symbol does."""
    tip, bend = leader
    end = bend[0] + side * (label.width + 1)
    left = bend[0] + 0.5 if side > 0 else end + 0.5

    def build() -> tuple[Drawn, ...]:
        lettering, balloons = written(label, left, y)
        line = Line((tip, bend, (bend[0], y), (end, y)), LineStyle.DIM)
        lean = math.degrees(math.atan2(tip[1] - bend[1], tip[0] - bend[0]))
        items = (line, *lettering, *(symbol or (arrow(tip, lean),)))
        return (Mark("centre hole", label.id, items), *balloons)

    lines = ((*tip, *bend), (bend[0], bend[1], bend[0], y), (bend[0], y, end, y))
    return Candidate(
        boxes=(strip(left, y, label),), lines=lines, cost=cost, build=build, leader=len(lines)
    )
