"""The thread: its profile as a picture of symbols, its sizes as a table."""

from __future__ import annotations

import math
from dataclasses import replace

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import ThreadData, ThreadForm
from mandrelgen.paper.drawing.model import Arc, Drawn, Hatch, Item, Line, LineStyle, Mark, Text
from mandrelgen.paper.drawing.symbols import SMALL, H, arrow, balloon
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import clean, width_of
from mandrelgen.paper.drawing.words import limits

ROW = 6.0
# Longer words are no tolerance class: they say how the limits were found.
LONGEST_CLASS = 6
_NAMES = {
    Kind.THREAD_MAJOR: ("Major ⌀ d", "Major ⌀ D"),
    Kind.THREAD_PITCH_DIAMETER: ("Pitch ⌀ d2", "Pitch ⌀ D2"),
    Kind.THREAD_MINOR: ("Minor ⌀ d1", "Minor ⌀ D1"),
    Kind.PITCH: ("Pitch P", "Pitch P"),
    Kind.LEAD: ("Lead Ph", "Lead Ph"),
    Kind.COUNT: ("Starts n", "Starts n"),
}
# Sizes that are one number, no limits; they stand last in the table.
_EXACT = (Kind.PITCH, Kind.LEAD, Kind.COUNT)


def of_thread(
    cs: tuple[Characteristic, ...], data: ThreadData, threads: tuple[ThreadData, ...]
) -> tuple[Characteristic, ...]:
    """The characteristics that belong to one thread of the mandrel."""
    if len(threads) <= 1:
        return cs
    return tuple(c for c in cs if c.feature == data.feature or c.end is data.feature.end)


def thread_name(data: ThreadData) -> str:
    """Designation with its tolerance class: ``M9x0.75-6g``, ``M9x0.75-6g-LH``; in brackets,
    ``M9x0.75 (6g)``, where the customer's own tool cuts and the class judges nothing."""
    d, klass = data.limits.designation, clean(data.limits.tolerance_class)
    text = clean(d.text)
    if not klass or len(klass) > LONGEST_CLASS:
        return text
    if data.order == "my-tool":
        return f"{clean(replace(d, tolerance_class='').text)} ({klass})"
    if klass in text:
        return text
    # A gauge's word stands behind the class of the thread it is for.
    return f"{text}-{klass}" if d.tolerance_class else clean(replace(d, tolerance_class=klass).text)


def thread_table(
    data: ThreadData, cs: tuple[Characteristic, ...], numbers: dict[str, int]
) -> Block:
    """Designation, then a row for every size: balloon, name, lower and upper limit."""
    cols = (8.0, 24.0, 18.0, 18.0)
    wide = sum(cols)
    external = data.limits.external
    head = thread_name(data)
    facts = _facts(data)
    drawn: list[Drawn] = [Text((0.0, 0.0), head, H)]
    y = -4.8
    for fact in facts:
        drawn.append(Text((0.0, y), fact, SMALL))
        y -= 4.2
    top = y + 2.4
    for x, text in zip(
        (cols[0], cols[0] + cols[1], cols[0] + cols[1] + cols[2]),
        ("mm", "min.", "max."),
        strict=True,
    ):
        drawn.append(Text((x + 1, top - 4.3), text, SMALL))
    y = top - ROW
    rules = [top, y]
    for c in cs:
        drawn += _row(c, external, cols, y, numbers, data.order == "my-tool")
        y -= ROW
        rules.append(y)
    for rule in rules:
        drawn.append(Line(((0.0, rule), (wide, rule)), LineStyle.TABLE))
    x = 0.0
    exact = sum(c.kind in _EXACT for c in cs)
    for i, w in enumerate((0.0, *cols)):
        x += w
        # The rule between the limits stops where sizes without limits begin.
        end = y + ROW * exact if i == 3 else y
        drawn.append(Line(((x, top), (x, end)), LineStyle.TABLE))
    return block(drawn)


_ORDERS = {
    "single-point": "single-pointed to the limits",
    "my-tool": "cut with the customer's {tool}; in brackets: information",
    "blank": "not cut: blank at the crest",
    "ground": "ground to the limits",
}


def _facts(data: ThreadData) -> list[str]:
    """What the table's numbers don't say: hand, profile, crest and root, order."""
    d = data.limits.designation
    hand = "LEFT" if data.form.left_hand else "right"
    profile = "ISO 68-1"
    if d.system != "M":
        profile = f"ASME B1.1, {text_of(d.threads_per_inch)} TPI"
    # ISO 965-1:2013: R of an external root at least 0.125 P (a rule for bolts, advice here).
    root = (
        f"Crest flat; root flat or R ≥ {text_of(0.125 * data.form.pitch, 2)}"
        if data.limits.external
        else "Crest flat; root flat or rounded"
    )
    if data.order == "ground":
        root = "Crest flat; root of any form within its limit"
    if data.order == "my-tool":
        root = f"({root})"
    order = _ORDERS.get(data.order) or clean(data.order)
    return [
        f"{'External' if data.limits.external else 'Internal'} thread, {hand} hand",
        f"Profile 60° ({profile})",
        root,
        f"Thread: {order.format(tool='die' if data.limits.external else 'tap')}",
    ]


def _row(
    c: Characteristic,
    external: bool,
    cols: tuple[float, ...],
    y: float,
    numbers: dict[str, int],
    auxiliary: bool,
) -> list[Drawn]:
    """One size of the thread: two limits, or across both columns what has none; ``auxiliary`` ones
    stand in brackets (ISO 129-1)."""
    name = _NAMES[c.kind][0 if external else 1]
    low, high = limits(c)
    base = y - ROW + (ROW - SMALL) / 2
    x1, x2, x3 = cols[0], cols[0] + cols[1], cols[0] + cols[1] + cols[2]
    items: list[Item] = [Text((x1 + 1, base), name, SMALL)]

    def shown(text: str) -> str:
        return f"({text})" if auxiliary and text != "–" else text

    if c.kind in _EXACT:
        # 25.4/32 = 0.79375 is 0.7938, whatever its binary form.
        text = text_of(c.nominal + 1e-9, 3 if c.kind is Kind.COUNT else 4)
        items.append(Text((x3, base), shown(text), SMALL, "middle"))
    else:
        for x, text in ((x2, low or "–"), (x3, high or "–")):
            items.append(Text((x + 1, base), shown(text), SMALL))
    out: list[Drawn] = [Mark("thread row", c.id, tuple(items))]
    if c.id in numbers:
        out.append(balloon(numbers[c.id], (cols[0] / 2, y - ROW / 2), c.id))
    return out


def thread_profile(data: ThreadData) -> Block:
    """Two and a half ridges of the thread, enlarged, with P, Ph, 60° and the diameters named; the
    table beside it has the numbers."""
    form = data.form
    p = form.pitch
    f = next((x for x in (50.0, 20.0, 10.0) if x * p <= 17), 10.0)
    (tip_r, tip_w), (foot_r, foot_w) = _ridge(form)
    pitch_r = form.pitch_diameter / 2
    sign = 1.0 if form.external else -1.0

    def y(r: float) -> float:
        return sign * (r - pitch_r) * f

    points = []
    for k in range(3):
        c = k * p
        points += [
            (c - foot_w / 2, foot_r),
            (c - tip_w / 2, tip_r),
            (c + tip_w / 2, tip_r),
            (c + foot_w / 2, foot_r),
        ]
    path = [(x * f, y(r)) for x, r in points]
    x0, x1 = -p / 2 * f, 2.5 * p * f
    path = [(x0, path[0][1]), *path, (x1, path[-1][1])]
    low = path[0][1] - 5.0
    drawn: list[Drawn] = [
        Hatch((((x0, low), *path, (x1, low)),), 2.5),
        Line(tuple(path), LineStyle.OUTLINE),
        Line(((x0 - 2, 0.0), (x1 + 18, 0.0)), LineStyle.CENTRE),
    ]
    names = ("d", "d2", "d1") if form.external else ("D1", "D2", "D")
    # From the last crest and from the root's outline.
    for r, start in ((tip_r, (2 * p + tip_w / 2) * f), (foot_r, x1)):
        drawn.append(Line(((start, y(r)), (x1 + 8.5, y(r))), LineStyle.DIM))
    for name, r, dy in zip(names, (tip_r, pitch_r, foot_r), (0.9, 0.9, -3.6), strict=True):
        x = x1 + (12.0 if r == pitch_r else 2.0)
        drawn.append(Text((x, y(r) + dy), f"⌀{name}", SMALL))
    top = y(tip_r) + 5
    # From root to root, clear of the angle's arc over the next groove.
    drawn += _span(-p / 2 * f, p / 2 * f, y(foot_r) + 1.0, top, "P")
    n = form.starts
    lead = "Ph = P" if n == 1 else f"Ph = {n} × P"
    drawn += _flank_angle(y(foot_r), y(tip_r), f, foot_w, p)
    title = f"Thread profile ({f:g}:1)   {lead}"
    drawn.append(Text((x0, top + 6), title, SMALL))
    return block(drawn)


def _ridge(form: ThreadForm) -> tuple[tuple[float, float], tuple[float, float]]:
    """Radius and width of the material at a ridge's tip and at its foot, mm."""
    outer = max(form.crest_diameter, form.root_diameter) / 2
    inner = min(form.crest_diameter, form.root_diameter) / 2
    middle, half, t = form.pitch_diameter / 2, form.pitch / 2, math.tan(math.radians(30))
    if form.external:
        return (outer, half - 2 * (outer - middle) * t), (inner, half + 2 * (middle - inner) * t)
    return (inner, half - 2 * (middle - inner) * t), (outer, half + 2 * (outer - middle) * t)


def _span(a: float, b: float, y: float, top: float, text: str) -> list[Drawn]:
    return [
        Line(((a, y), (a, top + 1.5)), LineStyle.DIM),
        Line(((b, y), (b, top + 1.5)), LineStyle.DIM),
        Line(((a, top), (b, top)), LineStyle.DIM),
        arrow((a, top), 180),
        arrow((b, top), 0),
        Text(((a + b) / 2, top + 0.9), text, SMALL, "middle"),
    ]


def _flank_angle(foot: float, tip: float, f: float, foot_w: float, p: float) -> list[Drawn]:
    """The 60° of the groove between the second and third ridge."""
    cx = 1.5 * p * f
    half_root = (p - foot_w) / 2 * f
    # Flanks of the groove meet below its bottom.
    vertex = (cx, foot - half_root / math.tan(math.radians(30)))
    reach = (tip - vertex[1]) / math.cos(math.radians(30)) + 3.5
    drawn: list[Drawn] = [
        Arc(centre=vertex, radius=reach, pen=LineStyle.DIM, start=60.0, end=120.0)
    ]
    for angle, turn in ((60.0, -90.0), (120.0, 90.0)):
        a = math.radians(angle)
        end = (vertex[0] + reach * math.cos(a), vertex[1] + reach * math.sin(a))
        far = (vertex[0] + (reach + 1.5) * math.cos(a), vertex[1] + (reach + 1.5) * math.sin(a))
        start_r = (tip - vertex[1]) / math.cos(math.radians(30))
        start = (vertex[0] + start_r * math.cos(a), vertex[1] + start_r * math.sin(a))
        drawn.append(Line((start, far), LineStyle.DIM))
        drawn.append(arrow(end, angle + turn))
    w = width_of("60°", SMALL)
    drawn.append(Text((cx - w / 2, vertex[1] + reach + 0.9), "60°", SMALL))
    return drawn
