"""The card for a mandrel that the maker makes: one page, placed; nothing is computed."""

from __future__ import annotations

from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.work_speed import WorkSpeed
from mandrelgen.paper.drawing.model import Page
from mandrelgen.paper.reports.assessment import SmallTable
from mandrelgen.paper.reports.flow import (
    LEFT,
    RIGHT,
    Flow,
    beside,
    bullets,
    grid,
    lines,
    numbered,
)
from mandrelgen.paper.reports.own_picture import picture
from mandrelgen.standards import material_names
from mandrelgen.workshop.home.own_mandrel import OwnMandrel, OwnRod
from mandrelgen.workshop.home.own_steps import OwnStep

# The picture stands left of the table of sizes; no ruler stands under the card; from line to line,
# the first that does, mm.
MIDDLE = 106.0
LOW = 18.0
PITCHES = (4.2, 3.8, 3.5, 3.3, 3.2)
# What hangs below a last line stays above the page's foot as well, mm.
HANGS = 0.8


def leaves(card: OwnMandrel) -> tuple[Page, ...]:
    """The card, one page; its title stands in the page's head. Lines stand closer where there is
    much to say."""
    return next((p for p in (_leaves(card, x) for x in PITCHES) if len(p) == 1), None) or _leaves(
        card, PITCHES[-1]
    )


def _leaves(card: OwnMandrel, pitch: float) -> tuple[Page, ...]:
    flow = Flow(bottom=LOW + HANGS)
    rod = "shank" if card.blank else "rod"
    shown = picture(card.drawn, card.sizes, rod, LEFT, MIDDLE)
    table = grid(_sizes(card), MIDDLE + 4.0, RIGHT)
    flow.section("", lines([_head(card)], pitch))
    flow.section("", [beside([shown], table)])
    if card.rods:
        flow.section("Of what", [*grid(_rods(card)), *lines(_stock(card), pitch)])
    flow.section("In this order", numbered([_step(s) for s in card.steps], pitch))
    flow.section("Check it", bullets((*card.checks, *_after(card)), pitch))
    flow.section("Where someone can be hurt", bullets(cautions(card), pitch))
    return flow.done(title(card))


def _step(s: OwnStep) -> str:
    return f"{s.what} Measure {s.measure}." if s.measure else s.what


def title(card: OwnMandrel) -> str:
    """What the card is for."""
    d = card.thread.limits.designation.name
    what = "Cut the thread yourself" if card.blank else "Make it yourself"
    return f"{what}: {card.mandrel.kind.value} for {card.mandrel.part} {card.mandrel.end}, {d}"


def _head(card: OwnMandrel) -> str:
    off = f"the ±{text_of(card.caliper)} that a caliper may be off"
    if card.blank:
        return (
            f"Cut with {card.tool_said}. The turner makes the rest: sizes in mm to try it by as it "
            f"comes. * the fit depends on it: the readings keep away from the limits by {off}."
        )
    return (
        f"Cut with {card.tool_said}. Sizes in mm from the design of the drawing, whose other sizes "
        f"are for a metal turner. * the fit depends on it: the readings keep away from the limits "
        f"by {off}."
    )


def _rods(card: OwnMandrel) -> SmallTable:
    heads = ("Rod", "⌀ on sale", "Collet", "Lasts", "Highest speed, rpm")
    rows = tuple(
        (material_names.common(r.material),
         "none held" if r.diameter is None else f"⌀{text_of(r.diameter)}",
         "none of yours" if r.collet is None else text_of(r.collet),
         r.lasts if r.speed else "–", _speed(r))
        for r in card.rods
    )  # fmt: skip
    return SmallTable(heads, (22, 18, 24, 64, 52), rows)


def _speed(r: OwnRod) -> str:
    if r.speed == 0:
        return f"NOT FOR TURNING: {min(r.refused, key=len)}"
    start = f", start at {r.start:,}" if r.start < r.speed else ""
    up = "" if r.keeps else "; tailstock up"
    return f"{r.speed:,}{start}{up}"


def _stock(card: OwnMandrel) -> tuple[str, ...]:
    work = "; ".join(_work(w) for w in card.work)
    back = [r for r in card.rods if r.keeps]
    names = " and ".join(material_names.common(r.material) for r in card.rods if not r.keeps)
    return (
        f"Saw off {text_of(card.saw)} ({card.saw_why}). Work, where the mandrel may run so: "
        f"{work}.",
        *(f"{material_names.common(r.material).capitalize()} may leave the collet and go back to "
          f"its line: the part shifts by {text_of(r.back, 2)} (95 %, estimate). "
          f"{names.capitalize()}: temporary, in the collet until the last part is done."
          for r in back),
    )  # fmt: skip


def _work(w: WorkSpeed) -> str:
    return f"{w.work.value} {w.low:,.0f} to {w.high:,.0f} rpm"


def _sizes(card: OwnMandrel) -> SmallTable:
    rows = [(s.mark, s.what, s.text, s.limits + (" *" if s.fit else "")) for s in card.sizes]
    if card.hole is not None and not card.blank:
        h = card.hole
        rows.append(("", "drill for the tap", f"⌀{text_of(h.drill)} × {text_of(h.deep, 1)}",
                     "or deeper"))  # fmt: skip
    return SmallTable(
        ("", "size", "drawn" if card.blank else "aim at", "caliper reads"),
        (5, 37, 19, 29),
        tuple(rows),
    )


def _after(card: OwnMandrel) -> tuple[str, ...]:
    """What to do when it is worn."""
    if card.blank:
        return ()
    end = "counterbore.depth" if card.hole is not None else "thread.end"
    mark = next((s.mark for s in card.sizes if s.id == end), "")
    return (
        f"Worn: a marked seat may be skimmed as long as {mark} stays within its readings. Loose, "
        "or running out: make another.",
    )


def cautions(card: OwnMandrel) -> tuple[str, ...]:
    """The lathe's, and those of each rod that may turn."""
    runs = [r for r in card.rods if r.speed]
    rods = tuple(
        f"{material_names.common(r.material).capitalize()}: {'; '.join(said)}."
        for r in runs
        if (said := [c for c in r.cautions if "spirit pen" not in c])  # said where it is checked
    )
    plastic = "Plastic gives way without warning: its speed at most, tailstock up, face shield."
    return (*card.cautions, *((plastic,) if any(not r.keeps for r in runs) else ()), *rods)
