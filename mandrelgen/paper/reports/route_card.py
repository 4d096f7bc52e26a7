"""The route card as titles and tables of text; nothing is computed."""

from __future__ import annotations

from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.mechanics.work_speed import WorkSpeed
from mandrelgen.paper.reports.grids import Grid, GridPage, Row
from mandrelgen.spec.pen import FarEnd
from mandrelgen.standards.iso_15488 import with_letters
from mandrelgen.workshop.home.part_end import EndStep
from mandrelgen.workshop.home.route import Blank, Chucking, OnMandrel, PartRoute, Route

HEADS = ("", "held in", "in this order", "measure before")
MADE = {"ream": "drill under, ream", "bore": "drill under, bore"}
"""How a hole is said that a drill does not finish."""
WIDTHS = (0.035, 0.275, 0.49, 0.2)


def route_page(r: Route) -> GridPage:
    """The pen maker's card, one page."""
    waits = tuple(f"Not on this card: {part}. Change the pen first: {why}." for part, why in
                  r.held_back)  # fmt: skip
    guide = (
        "Guide taps and dies by the tailstock, clear chips; a tap's hole a pitch or two deeper if "
        "the wall allows."
        if r.tailstock
        else "The shop file says that the lathe has no tailstock: guide taps and dies otherwise."
    )
    return GridPage(
        "route",
        f"Route card: {r.pen}",
        tuple(_part(p, r.tailstock, HEADS if n == 0 else ("",) * 4) for n, p in enumerate(r.parts)),
        (*waits, f"{guide} {_allowed(r)}", *r.cautions),
    )


def _allowed(r: Route) -> str:
    """What the lengths of rod and its diameters are made up of."""
    if not r.parts:
        return ""
    b = r.parts[0].blank
    pip = max(p.blank.centre for p in r.parts)
    centre = f", {text_of(pip)} for a pip on a closed end" if pip else ""
    return (
        f"Length of rod: the finished one + {text_of(b.saw)} to cut off + 2 × {text_of(b.facing)} "
        f"facing{centre}, and what the chuck holds; its ⌀: + {text_of(b.rod - b.diameter)} to "
        f"polish. All of this: {r.source}."
    )


def _part(p: PartRoute, tailstock: bool, heads: Row) -> Grid:
    rows = tuple(_row(c, p.blank, tailstock) for c in p.chuckings)
    return Grid(f"{p.part[:1].upper()}{p.part[1:]}: {_blank(p.blank)}", heads, WIDTHS, rows)


def _blank(b: Blank) -> str:
    return (
        f"{b.made_of}, rod ⌀{text_of(b.rod)} or more, {text_of(b.length)} of it; finished "
        f"⌀{text_of(b.diameter)} × {text_of(b.finished)}"
    )


def _row(c: Chucking, b: Blank, tailstock: bool) -> Row:
    number = str(c.number)
    if c.mandrel is not None:
        return (number, _held(c.mandrel, tailstock), _outside(c, c.mandrel), "-")
    if not c.end:
        return (number, "no mandrel", c.instead, "-")
    where = "rod, in its collet or chuck" if c.first else "blank, reversed, in its collet"
    if tailstock:
        where += "; tailstock for drill, tap, die"
    return (number, where, _work(c, b), _measure(c))


def _work(c: Chucking, b: Blank) -> str:
    """The steps of an end, one after the other."""
    said = [_step(s) for s in c.steps]
    turning = "" if c.turning is None else f" ({_range(c.turning)} rpm)"
    if not c.first:
        return "; ".join([f"{c.end}: face to {text_of(b.finished)}{turning}", *said])
    last = f"part off at {text_of(b.finished + b.facing)}"
    if c.pip and not c.whole:
        last += f", with {text_of(b.centre)} more for a pip"
    return "; ".join([f"{c.end}: face{turning}", *said, last])


def _step(s: EndStep) -> str:
    if s.what == "tenon":
        return f"tenon ⌀{text_of(s.diameter, 2)} × {text_of(s.length)}"
    if s.what == "die":
        return f"die {s.thread} × {text_of(s.length)}, the core solid"
    if s.what == "tap":
        return f"tap {s.thread} × {text_of(s.length)}"
    if s.what == "countersink":
        return mouth(s.diameter, s.unsaid)
    name = MADE.get(s.what, s.what)
    depth = "through" if s.through else f"× {text_of(s.length)}"
    note = " (the pen file does not say the hole)" if s.unsaid else ""
    note += " (undercut: bored behind the narrower one)" if s.undercut else ""
    return f"{name} ⌀{text_of(s.diameter)} {depth}{note}"


def mouth(diameter: float, unsaid: bool) -> str:
    """A mouth's countersink; where the pen file says none, as the design takes it."""
    return f"countersink to ⌀{text_of(diameter)}" + " (taken: none is said)" * unsaid


def _measure(c: Chucking) -> str:
    """Before each die and tap, what it goes over or into."""
    said = []
    for s in c.steps:
        if s.low is None or s.high is None:
            continue
        what = "the die: tenon" if s.what == "die" else "the tap: hole"
        said.append(f"{what} ⌀{lower_limit_text(s.low, 2)} to {upper_limit_text(s.high, 2)}")
    return "; ".join(said) or "-"


_FAR = {
    None: ", far end not said",
    FarEnd.PIP: ", on a pip",
    FarEnd.BORE: ", in the bore",
    FarEnd.BUTTON: ", on a button",
    FarEnd.NOTHING: ", but the far end takes none",
}


def _held(m: OnMandrel, tailstock: bool) -> str:
    where = f"{m.number or m.mandrel}, collet {with_letters(m.collet)}"
    if m.stand_off is not None:
        where += f", seat {text_of(m.stand_off, 1)} from the nut"
    if not tailstock:
        return f"{where}; no tailstock"
    if not (m.tailstock or m.roughing_up):
        return f"{where}; tailstock away"
    up = "up" if m.tailstock else "up to rough, away to finish"
    return f"{where}; tailstock {up}{_FAR[m.far_end]}"


def _outside(c: Chucking, m: OnMandrel) -> str:
    """The outside comes last; speeds by work, and the limit with its reason. One that must not run
    says so first."""
    last = "; then the pip, tailstock away" if c.pip else ""
    if m.speed == 0:
        return f"DO NOT RUN: {m.limited_by}. Outside last{last}"
    if m.speed is None:
        return f"outside last: rough, finish, sand, polish; speed not known{last}"
    first = "".join(f"{x}. " for x in m.first)
    start = f", start at {m.start:,}" if m.start is not None and m.start < m.speed else ""
    work = ", ".join(_range(w) for w in m.work)
    last = f"utside last: {work} rpm; at most {m.speed:,} ({m.limited_by}){start}{last}"
    return f"{first}O{last}" if first else f"o{last}"


def _range(w: WorkSpeed) -> str:
    return f"{w.work.value} {w.low:,.0f} to {w.high:,.0f}"
