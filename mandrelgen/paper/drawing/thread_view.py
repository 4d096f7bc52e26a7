"""The thread: its name and its sizes as a table."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mandrelgen.core.tolerance import ceil_to, text_of
from mandrelgen.mechanics.fit import LEAST_SPACING, spacing_limit
from mandrelgen.mechanics.play import thread_play
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import ThreadData
from mandrelgen.paper.drawing.model import Drawn, Item, Line, LineStyle, Mark, Text
from mandrelgen.paper.drawing.symbols import SMALL, H, balloon
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import clean, wrapped
from mandrelgen.paper.drawing.words import limits
from mandrelgen.workshop.turning.over_wires import OverWires, over_wires

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


def thread_callout(data: ThreadData) -> str:
    """The thread's name with its number of starts where there are several, as it stands on the
    view and over the table: ``M12xPh2.4P0.8-6g (3 starts)``."""
    starts = data.limits.designation.starts
    return f"{thread_name(data)} ({starts} starts)" if starts > 1 else thread_name(data)


def thread_table(
    data: ThreadData,
    cs: tuple[Characteristic, ...],
    numbers: dict[str, int],
    wires: tuple[float, ...] = (),
) -> Block:
    """Designation, then a row for every size: balloon, name, lower and upper limit; last the
    reading over wires, taken from ``wires`` (mm; none: any) if one of them fits."""
    cols = (8.0, 30.0, 20.0, 20.0)
    wide = sum(cols)
    external = data.limits.external
    head = thread_callout(data)
    facts = [line for fact in _facts(data) for line in wrapped(fact, SMALL, wide)]
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
    # Where each rule begins: rows under one balloon are not parted where it stands.
    rules = [(top, 0.0), (y, 0.0)]
    for i, c in enumerate(cs):
        drawn += _row(c, external, cols, y, data.order == "my-tool")
        if c.id in numbers and not c.said_by:
            rows = sum(1 for o in cs if c.id in (o.id, o.said_by))
            drawn.append(balloon(numbers[c.id], (cols[0] / 2, y - ROW * rows / 2), c.id))
        y -= ROW
        joined = any(after.said_by for after in cs[i + 1 : i + 2])
        rules.append((y, cols[0] if joined else 0.0))
    bottom = y
    # A gauge's notes say its own reading, to tenths of a micrometre.
    if data.order not in ("blank", "ground") and (over := over_wires(data, wires)):
        drawn += _over_wires_row(over, cols, y, data.order == "my-tool")
        y -= ROW
        rules.append((y, 0.0))
    drawn += [Line(((left, rule), (wide, rule)), LineStyle.TABLE) for rule, left in rules]
    exact = sum(c.kind in _EXACT for c in cs)
    return block([*drawn, *_upright(cols, top, bottom, y, bottom + ROW * exact)])


def _upright(
    cols: tuple[float, ...], top: float, bottom: float, end: float, exact: float
) -> Iterator[Line]:
    """The rules between the columns; ``bottom``: below the sizes, ``end``: below the reading over
    wires, ``exact``: above the sizes that have no limits."""
    x = 0.0
    for i, w in enumerate((0.0, *cols)):
        x += w
        # The rule between the limits leaves out the sizes that have none.
        breaks = [(top, exact), (bottom, end)] if i == 3 else [(top, end)]
        # Nor does the reading over wires have a number.
        breaks = [(top, bottom)] if i == 1 else breaks
        for a, b in breaks:
            if a - b > ROW / 2:
                yield Line(((x, a), (x, b)), LineStyle.TABLE)


def _over_wires_row(
    over: OverWires, cols: tuple[float, ...], y: float, auxiliary: bool
) -> list[Drawn]:
    """The pitch diameter as it is read over wires: another way to say it, so without a number."""
    base = y - ROW + (ROW - SMALL) / 2
    # Of an even number of starts two do, or three: the notes say how.
    few = "3 " if over.count == 3 else ""
    out: list[Drawn] = [Text((1.0, base), f"Over {few}⌀{text_of(over.wire)} wires", SMALL)]
    for x, limit in ((sum(cols[:2]), over.lower), (sum(cols[:3]), over.upper)):
        text = text_of(limit, 3)
        out.append(Text((x + 1, base), f"({text})" if auxiliary else text, SMALL))
    return out


_ORDERS = {
    "single-point": "screwcut; judged as the notes say",
    "stock-tap": "tapped with a stock tap, to the limits",
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
        f"Crest flat; root flat or R ≥ {text_of(ceil_to(0.125 * data.form.pitch, 0.01), 2)}, "
        "within the minor diameter's limits"
        if data.limits.external
        else "Crest flat; root flat or rounded"
    )
    if data.order == "ground":
        root = "Crest flat; root of any form within its limit"
    order = _ORDERS.get(data.order) or clean(data.order)
    limits_by = [clean(data.limits.source)] if data.limits.extended else []
    return [
        f"{'External' if data.limits.external else 'Internal'} thread, {hand} hand",
        f"Profile 60° ({profile})",
        # The customer's own tool brings its form.
        *([] if data.order == "my-tool" else [root]),
        f"Thread: {order.format(tool='die' if data.limits.external else 'tap')}",
        *limits_by,
        *_starts_facts(data),
    ]


def _starts_facts(data: ThreadData) -> list[str]:
    """By which rule the limits of several starts were found."""
    if data.limits.designation.starts == 1 or data.order == "ground":
        return []
    spaced = _spacing_facts(data)
    if data.limits.factor != 1.0:
        factor = text_of(data.limits.factor)
        return [*spaced, f"Pitch diameter tolerance × {factor} of a single start's"]
    rule = "single-start tolerance (factor 1)"
    if data.limits.designation.system == "M":
        rule += "; the standard's clause for several starts is not applied"
    return [*spaced, rule[0].upper() + rule[1:]]


def _spacing_facts(data: ThreadData) -> list[str]:
    """How evenly the starts stand; a customer's tool spaces them itself."""
    if data.order != "single-point":
        return []
    pair = (data.limits, data.partner) if data.limits.external else (data.partner, data.limits)
    allowed = spacing_limit(thread_play(*pair).pitch_min)
    if allowed < LEAST_SPACING:
        return ["Spacing of starts: the test piece screws home in every one"]
    return [
        f"Spacing of starts within {text_of(allowed)} along the axis; proof: the test piece "
        "screws on by hand in every start"
    ]


def _row(
    c: Characteristic,
    external: bool,
    cols: tuple[float, ...],
    y: float,
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
    return [Mark("thread row", c.id, tuple(items))]
