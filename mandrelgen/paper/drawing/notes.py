"""The block of notes."""

from __future__ import annotations

import math
from itertools import pairwise

from mandrelgen.core.tolerance import text_of
from mandrelgen.design.draft import CHAMFERS
from mandrelgen.model import corner
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.inspected import inspected
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.paper.drawing.dimension_labels import label_of
from mandrelgen.paper.drawing.model import Drawn, Mark, Text
from mandrelgen.paper.drawing.symbols import BALLOON_RADIUS, SMALL, H, balloon
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import clean, wrapped
from mandrelgen.paper.drawing.thread_view import thread_name
from mandrelgen.paper.drawing.views import bores, centre_bores
from mandrelgen.standards.iso_15488 import with_letters
from mandrelgen.workshop.turning.acceptance import rule_of
from mandrelgen.workshop.turning.bar_stock import from_bar, parted
from mandrelgen.workshop.turning.marking import marked

LEADING = 4.0
TOUCH = 1e-6
INSPECTED = (
    "Heavy circles: inspected on every piece. The rest: stated or general tolerance, as a rule "
    "not inspected."
)


def notes_block(
    mandrel: Mandrel,
    others: tuple[Characteristic, ...],
    numbers: dict[str, int],
    width: float,
    mark: str = "",
    accepted: tuple[str, ...] = (),
) -> Block:
    """Purpose, notes, marking and order, numbered and wrapped to ``width`` mm; sizes that no view
    shows stand at the end. ``mark`` is the number the fixture carries, ``accepted`` what the maker
    knows of and lives with. Its top left corner is (0, 0)."""
    drawn: list[Drawn] = [Text((0.0, -H), "Notes", H)]
    y = -H - 2.5
    known = [f"Accepted by the maker: {text}." for text in accepted]
    for number, text in enumerate([*_sentences(mandrel, mark), *known], 1):
        lines = wrapped(text, SMALL, width - 6)
        for i, line in enumerate(lines):
            y -= LEADING
            if i == 0:
                drawn.append(Text((0.0, y), f"{number}.", SMALL))
            drawn.append(Text((6.0, y), line, SMALL))
    for c in others:
        y -= 6.5
        label = label_of(c, numbers)
        text = f"{clean(c.feature)}: {label.text}"
        drawn.append(Mark("size", c.id, (Text((2 * BALLOON_RADIUS + 1.5, y), text, SMALL),)))
        if c.id in numbers:
            drawn.append(balloon(numbers[c.id], (BALLOON_RADIUS, y + SMALL / 2), c.id))
    return block(drawn)


def _sentences(mandrel: Mandrel, mark: str) -> list[str]:
    order = mandrel.ordering
    out = [f"Use: {mandrel.purpose}"] if mandrel.purpose else []
    out += list(mandrel.notes)
    if mandrel.kind is MandrelKind.GAUGE:
        return [*out, _hole_note(mandrel), *_gauge_notes(mandrel)]
    out += _thread_notes(mandrel)
    out.append(_geometry_note(mandrel))
    if inspected(mandrel):
        out.append(INSPECTED)
    out.append(_hole_note(mandrel))
    out.append(_point_note(mandrel))
    if any(s.feature == "shank" for s in mandrel.outer):
        out.append(_shank_note(mandrel))
    out.append(_edge_note(mandrel))
    out.append(f"{marked(mandrel, mark)}, etched or engraved, no burr.")
    if order.collet:
        out.append(f"In use held in collet {with_letters(order.collet)}.")
    out.append(_standing_note(mandrel, mark))
    return [s for s in out if s.strip()]


def _gauge_notes(gauge: Mandrel) -> list[str]:
    """What is etched on a gauge, and what the table pages add."""
    where = "on the handle" if gauge.threads[0].limits.external else "on the front face"
    return [
        f"Deburr everywhere; edges without a size as stated for ISO 13715{_chamfers(gauge)}.",
        f"Mark {where}, etched: {gauge.ordering.marking}.",
        "Numbers in circles are the lines of the tables in the making pages, a file of their own; "
        "cautions for use stand there too.",
    ]


def _standing_note(mandrel: Mandrel, mark: str) -> str:
    """What else a reader would have to ask: whether a sheet without a signature is released, what
    the making pages are worth, what the circles mean, and whether a sample is supplied."""
    released = "Released by a written order, signed or not. " if mark else ""
    help_ = "cautions, " if mandrel.cautions else ""
    return (
        f"{released}This drawing takes precedence; numbers in circles name its sizes, here and on "
        f"the making pages ({help_}sequence of operations, measuring: help, on request). Files of "
        "its shape: STEP at nominal sizes, threads at mid-limits; outline DXF with every size at "
        f"mid-limits. {_sent_note(mandrel)}"
    )


def _sent_note(mandrel: Mandrel) -> str:
    """What of the customer's is supplied."""
    samples = "test pieces" if len(mandrel.held) > 1 else "test piece"
    own = {t.limits.external for t in mandrel.threads if t.order == "my-tool"}
    tools = [("die" if external else "tap") for external in sorted(own, reverse=True)]
    several = bool(tools) or len(mandrel.held) > 1
    what = " and ".join([samples, *tools])
    return f"The customer's {what} {'are' if several else 'is'} supplied on loan."


def _thread_notes(mandrel: Mandrel) -> list[str]:
    """How each thread is made and judged, once for all threads that are ordered alike."""
    out = []
    for data in mandrel.threads:
        name = clean(data.limits.designation.text)
        starts = data.limits.designation.starts
        if starts > 1:
            out.append(
                f"{name}: {starts} starts, no start position required; their incomplete first "
                "turns deburred with a file."
            )
        rule = rule_of(data, mandrel)
        if data.order in ("single-point", "stock-tap"):
            out.append(f"{name}: {rule.text}; {rule.supply}.")
        if data.order == "my-tool":
            from mandrelgen.workshop.turning.thread_alternatives import tool_of

            reach = tool_of(mandrel, data).reach
            out.append(
                f"{thread_name(data)}: {rule.text}{f'. Near the seat: {reach}' if reach else ''}."
            )
    return list(dict.fromkeys(out))


def _shank_note(mandrel: Mandrel) -> str:
    """What of the shank need not be turned."""
    marks = "ight marks of a collet round the shank may remain."
    if not from_bar(mandrel):
        return f"L{marks}"
    end = ", its end as parted off, without a pip" if parted(mandrel) else ""
    return (
        "Shank: may stay as the bar is bought where that meets its diameter, cylindricity and Ra"
        f"{end}; l{marks}"
    )


def _edge_note(mandrel: Mandrel) -> str:
    """The collective edges, which would eat a low step."""
    text = f"Deburr everywhere; edges without a size as stated for ISO 13715{_chamfers(mandrel)}"
    steps = [abs(a.d1 - b.d0) / 2 for a, b in pairwise(mandrel.outer)]
    if any(s > TOUCH and corner.is_low(s) for s in steps):
        return (
            f"{text}; at steps nominally {text_of(corner.LOW_STEP)} high or less (on the radius) "
            "edges sharp "
            f"(±0.05), inside corners R {corner.said(corner.AT_LOW_STEPS)}."
        )
    return f"{text}."


def _chamfers(mandrel: Mandrel) -> str:
    """How far a chamfer's angle may be off that has no tolerance of its own."""
    free = {
        text_of(c.upper - c.nominal)
        for c in mandrel.characteristics
        if c.kind is Kind.ANGLE and c.general and c.written == CHAMFERS and c.upper is not None
    }
    return "".join(f"; chamfers ±{half}°" for half in sorted(free))


def _geometry_note(mandrel: Mandrel) -> str:
    """What carries no tolerance frame, so that nobody has to ask whether one was forgotten."""
    free = "Surfaces without a tolerance frame: no geometrical tolerance asked"
    return f"{free}."


def _point_note(mandrel: Mandrel) -> str:
    """The point of a blind bore's drill, which carries no dimension (ISO 6410-1)."""
    centres = list(centre_bores(mandrel).values())
    angles = {
        round(2 * math.degrees(math.atan2(max(s.d0, s.d1) / 2, s.z1 - s.z0)))
        for row in bores(mandrel)
        if row not in centres
        for s in row
        if min(s.d0, s.d1) < TOUCH < max(s.d0, s.d1)
    }
    said = " and ".join(f"{a}°" for a in sorted(angles))
    return f"Drill point of the bore: {said}, as the drill leaves it." if angles else ""


def _hole_note(mandrel: Mandrel) -> str:
    """Where centre holes are wanted, allowed, and nowhere else."""
    said = []
    rear = "handle" if mandrel.kind is MandrelKind.GAUGE else "shank's end"
    for hole in mandrel.centre_holes:
        where = rear if hole.at == "rear" else "nose"
        said.append(f"{where}: {hole.keep}")
    if not said:
        return "No centre holes in the finished piece."
    return f"Centre hole{'s' * (len(said) > 1)}, {', '.join(said)}; no others."
