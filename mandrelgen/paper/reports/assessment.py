"""What the maker's page says: concentricity, strength, speed, and why. Texts, shares and curves
taken from the verdict and worded; nothing is computed but what is rounded for print.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from mandrelgen.assess.mandrel_findings import of_verdict
from mandrelgen.core.errors import Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import floor_to, text_of
from mandrelgen.mechanics.assessment_types import Assessment, Bend, Spread, States
from mandrelgen.mechanics.speed import Cap, Speed
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.paper.reports.summary import freed, paragraph

TITLE = "Concentricity and run-out, strength, speed limit"
# A deflection below this is none to a maker, mm.
LEAST = 0.001
# Causes below this share of the variance are told together.
SMALL = 0.01
NO_SOURCE = "no source"
NOTHING_MEASURED = " ('no source': nothing measured was found)"
LOOSENS = {
    True: "Braking hard, running in reverse and sanding in reverse loosen it.",
    False: "Running forward, sanding forward and braking hard from reverse loosen it.",
}

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One cause of the joint step. ``share`` of the variance, 0 to 1; ``detail`` the id and the
    balloon number of its characteristic; ``value`` what stands at the bar."""

    id: str
    label: str
    detail: str
    share: float
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bow:
    """A deflected shape, ``points`` (z, deflection) in mm: clamped at its first, pushed at
    ``tool``; the seat is z = 0."""

    caption: str
    points: tuple[tuple[float, float], ...]
    tool: float
    deflection: float
    tailstock: bool
    used: bool


@dataclass(frozen=True, slots=True)
class SmallTable:
    """A small table: ``widths`` are shares of the page's width."""

    heads: Row
    widths: tuple[float, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TruthPage:
    """All that the page says of one end of a mandrel; empty where there is nothing to say.

    ``strength`` has every place, the weakest first, the first ``failing`` not strong enough;
    ``strength_notes[n]`` sums up what is left when only the first n are shown. What fails is named
    in ``warnings`` too.
    """

    title: str
    subtitle: str
    story: tuple[str, ...]
    numbers: SmallTable
    bars: tuple[Bar, ...]
    budget_notes: tuple[str, ...]
    bows: tuple[Bow, ...]
    strength: SmallTable | None
    strength_notes: tuple[str, ...]
    failing: int
    speed: SmallTable | None
    thread: tuple[str, ...]
    warnings: tuple[str, ...]
    assumed_title: str
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


def page(
    v: Assessment, numbers: Mapping[str, int], cautions: Sequence[str], end_b: bool
) -> TruthPage:
    """The page of one end. ``numbers``: balloon number by characteristic id; ``end_b``: the other
    end of a double-ended mandrel."""
    bars, notes = _budget(v, numbers)
    ranked = sorted(v.checks, key=lambda c: c.factor / c.asked)
    return TruthPage(
        title=f"{TITLE}{', end B' if end_b else ''}",
        subtitle=f"For the maker. {v.mandrel}, of {v.material}, holding {v.part} at {v.end}.",
        story=tuple(_sentence(line) for line in paragraph(v)),
        numbers=_numbers(v),
        bars=bars,
        budget_notes=notes,
        bows=_bows(v),
        strength=_strength(ranked),
        strength_notes=tuple(_left_out(ranked[n:]) for n in range(len(ranked) + 1)),
        failing=sum(not c.passes for c in ranked),
        speed=_speed(v),
        thread=_thread(v),
        warnings=_warnings(v),
        assumed_title="What this stands on"
        + (NOTHING_MEASURED if any(NO_SOURCE in a for a in v.assumptions) else ""),
        assumed=v.assumptions,
        cautions=tuple(cautions),
    )


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _numbers(v: Assessment) -> SmallTable:
    t = v.truth
    none = ("–", "–")
    joint = f"joint {t.step.joint}" if t.step.joint else "the part's end"
    rows: list[Row] = []
    if v.stiffness is not None:
        rows.append((f"Mismatch at {joint}", *_states(t.step.states)))
    if t.wall is not None:
        where = f"Thinnest wall, {t.wall.where} ({text_of(t.wall.true, 2)} if all is true)"
        rows.append((where, *none, text_of(t.wall.statistical), text_of(t.wall.worst)))
    rows += [
        ("Repeatability when remounted", *none, *_spread(t.remount)),
        ("… with the mandrel taken out too", *none, *_spread(t.regripped)),
        ("Run-out (total reading) at the seat", *_states(t.runout_seat)),
        (f"Run-out at the far end, {text_of(t.end_z, 1)} from the seat", *_states(t.runout_end)),
    ]
    heads = ("mm", "Loose, 95 %", "Loose, worst", "Tightened [estimate], 95 %",
             "Tightened [estimate], worst")  # fmt: skip
    return SmallTable(heads, (72, 24, 22, 33, 29), tuple(rows))


def _states(s: States) -> Row:
    return (*_spread(s.loose), *_spread(s.tight))


def _spread(s: Spread) -> Row:
    return text_of(s.statistical), text_of(s.worst)


def _budget(v: Assessment, numbers: Mapping[str, int]) -> tuple[tuple[Bar, ...], tuple[str, ...]]:
    if v.stiffness is None:
        return (), ()
    step = v.truth.step
    large = [s for s in step.budget.shares if s.of_variance >= SMALL]
    bars = [
        Bar(
            id=s.cause.id,
            label=s.cause.said,
            detail=_detail(s.cause.id, numbers),
            share=s.of_variance,
            value=f"{s.of_variance:.0%}, {text_of(s.eccentricity)} mm",
        )
        for s in large
    ]
    rest = len(step.budget.shares) - len(large)
    left = max(0.0, 1.0 - sum(s.of_variance for s in large))
    added = f"{left:.1%}" if left >= 0.001 else "less than 0.1%"
    more = f" {rest} more causes add {added} together." if rest else ""
    notes = [
        "Bars: share of the 95 % mismatch (tightened: estimate). Behind each: how far off "
        f"the axis that cause alone can put the part, at most.{more}"
    ]
    gains = [g for g in step.gains if g.statistical >= 0.0005][:3]
    if gains:
        said = "; ".join(f"'{g.cause.said}': {text_of(g.statistical)} mm" for g in gains)
        notes.append(f"What would buy most: halving a cause takes this off the mismatch: {said}.")
    return tuple(bars), tuple(notes)


def _detail(id: str, numbers: Mapping[str, int]) -> str:
    return f"{id}, No. {numbers[id]} on the drawing" if id in numbers else id


def _bows(v: Assessment) -> tuple[Bow, ...]:
    st = v.stiffness
    if st is None:
        return ()
    return tuple(_bow(b, st.side, b.tailstock == v.tailstock) for b in (st.away, st.up))


def _bow(b: Bend, side: float, used: bool) -> Bow:
    where = "up" if b.tailstock else "away"
    prop = f", {text_of(b.prop, 0)} N on the tailstock" if b.tailstock else ""
    pushed = text_of(b.tool) if b.tool >= LEAST else f"less than {text_of(LEAST)}"
    caption = (
        f"Tailstock {where}{', as used' if used else ''}: {text_of(side, 1)} N at "
        f"{text_of(b.tool_z, 1)} push it {pushed} mm away{prop}."
    )
    return Bow(
        caption=caption,
        points=b.shape,
        tool=b.tool_z,
        deflection=b.tool,
        tailstock=b.tailstock,
        used=used,
    )


def _warnings(v: Assessment) -> tuple[str, ...]:
    """The warnings and errors in words; a refusal to turn stands with the speed, notes on the
    screen."""
    found = [
        f for f in of_verdict(v, v.mandrel) if f.code != "use.speed" and f.level is not Level.NOTE
    ]
    return tuple(f"{_sentence(f.message)} {_sentence(f.remedy)}".rstrip(". ") + "." for f in found)


def _strength(ranked: Sequence[StrengthCheck]) -> SmallTable | None:
    if not ranked:
        return None
    heads = (
        "Place, the weakest first",
        "Stress or load",
        "Allowable",
        "Safety",
        "Required",
        "Enough?",
    )
    return SmallTable(heads, (62, 32, 26, 18, 22, 20), tuple(_check(c) for c in ranked))


def _left_out(rest: Sequence[StrengthCheck]) -> str:
    weak = sum(not c.passes for c in rest)
    said = []
    if weak:
        said.append(f"{weak} more not strong enough (see What to watch)")
    if len(rest) > weak:
        least = text_of(floor_to(rest[weak].factor / rest[weak].asked, 0.1), 1)
        places = "one place" if len(rest) - weak == 1 else f"{len(rest) - weak} places, each"
        said.append(f"{places} at least {least} times the safety required")
    return f"Besides: {'; '.join(said)}." if said else ""


def _check(c: StrengthCheck) -> Row:
    places = 2 if c.unit == "N·m" else 0
    return (
        c.label,
        f"{text_of(c.demand, places)} {c.unit}",
        f"{text_of(c.capacity, places)} {c.unit}",
        text_of(c.factor, 2) if math.isfinite(c.factor) else "–",
        text_of(c.asked, 1),
        "yes" if c.passes else "NO",
    )


def _speed(v: Assessment) -> SmallTable | None:
    if v.speed is None:
        return None
    rows = tuple(_cap(c) for c in v.speed.caps)
    return SmallTable(("Limit, rpm", "Why, the lowest first", "Basis"), (30, 105, 45), rows)


def _cap(c: Cap) -> Row:
    return f"{floor_to(c.speed, 10.0):,.0f}", c.why, c.basis


def _run(s: Speed) -> str:
    if s.refused:
        return f"Not for turning: {'; '.join(s.refused)}."
    start = f"Start at {s.start:,} rpm; run" if s.start < s.allowed else "Run"
    return f"{start} at {s.allowed:,} rpm at most; less if the lathe maker's instructions say less."


def _thread(v: Assessment) -> tuple[str, ...]:
    said = []
    if v.speed is not None:
        said.append(_run(v.speed))
    h = v.screwed
    if h is not None:
        sense = "forward" if h.forward else "in reverse"
        said.append(f"Running {sense} tightens the part. {LOOSENS[h.forward]}")
        have = "the mandrel has flats" if v.flats else "the mandrel has no flats"
        said.append(
            f"Loosening torque: {text_of(h.freeing, 2)} N·m after normal work, "
            f"{text_of(h.freeing_catch, 2)} N·m after a dig-in: {freed(h)}; {have}."
        )
    return tuple(said)
