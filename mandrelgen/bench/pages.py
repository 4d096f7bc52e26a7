"""The bench's pages as titles and tables of text, ready to be laid out; nothing is computed."""

from __future__ import annotations

from dataclasses import dataclass

from mandrelgen.bench.card import ThreadPages, TurnerCard
from mandrelgen.bench.gears import ChangeGears, Train
from mandrelgen.bench.infeed import flank_infeed
from mandrelgen.toleranced import signed_text, text_of

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: ``widths`` are shares of the page's width; ``ids`` the characteristic of each row
    (empty where there is none)."""

    title: str
    heads: Row
    widths: tuple[float, ...]
    rows: tuple[Row, ...]
    ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Page:
    """A page: its grids from top to bottom, and notes under them."""

    id: str
    title: str
    grids: tuple[Grid, ...]
    notes: tuple[str, ...] = ()


PAIR = (0.28, 0.72)


def tables(card: TurnerCard) -> tuple[Page, ...]:
    """The turner's pages and the inspection sheet of one mandrel."""
    cut = [_threading(t) for t in card.threads]
    measured = [_measuring(t) for t in card.threads]
    pages = [Page("work", f"Order of work: {card.title}", (_stock(card), _steps(card)))]
    for t, a, b in zip(card.threads, cut, measured, strict=True):
        name = t.card.designation
        grids = [a, *([_indexing(t)] if t.indexing else []), *_gears(t.gears, t.cutting)]
        pages.append(Page("threading", f"Threading card: {name}", tuple(grids), _notes(t)))
        pages.append(Page("measuring", f"Measuring: {name}", (b, *_gauges(t)), t.reach.instead))
    pages.append(Page("checks", "Set-ups at the lathe", (_checks(card),)))
    pages.append(Page("inspection", "Inspection sheet", (_inspection(card),), card.asked_of_shop))
    return tuple(pages)


def _stock(card: TurnerCard) -> Grid:
    s = card.stock
    bar = f"⌀{text_of(s.bar)}" if s.bar is not None else "none held"
    rows = (
        ("bar", f"{s.material}, {bar} × {text_of(s.length)} for each piece ({s.note})"),
        ("finished", f"widest ⌀{text_of(s.widest)}, {text_of(s.finished_length)} long"),
        ("mass", f"bar {s.bar_mass:.0f} g, finished about {s.finished_mass:.0f} g"),
        ("basis", s.source),
    )
    return Grid("Stock", ("", ""), PAIR, rows)


def _steps(card: TurnerCard) -> Grid:
    rows = tuple((str(n), step.what, step.why) for n, step in enumerate(card.order_of_work, 1))
    return Grid("Suggested order of work", ("", "step", "why here"), (0.05, 0.5, 0.45), rows)


def _threading(t: ThreadPages) -> Grid:
    c = t.card
    starts = f"{c.starts} starts" if c.starts > 1 else "1 start"
    rows: list[Row] = [
        ("thread", f"{c.designation}, class {c.tolerance_class}, {c.hand} hand"),
        ("order", c.instruction),
        ("P, Ph", f"P {text_of(c.pitch, 4)}, Ph {text_of(c.lead, 4)}, {starts}"),
        ("turn or bore to" if c.external else "bore to", f"⌀{c.crest}" if c.external else c.bore),
    ]
    if t.cutting:
        rows += _cutting(t)
    rows += [("tap or die", x) for x in c.taps]
    return Grid("Threading", ("", ""), PAIR, tuple(rows))


def _cutting(t: ThreadPages) -> list[Row]:
    c = t.card
    rows: list[Row] = [
        (
            "depth to finished root",
            f"{text_of(c.depths.full_form)} radial with a full-form tool, "
            f"{text_of(c.depths.sharp)} with a sharp V (less its nose radius)",
        ),
        (
            "cross slide after each pass",
            " · ".join(text_of(p, 2) for p in c.passes[:-1]) + f" · {text_of(c.passes[-1])}",
        ),
        ("passes", f"{len(c.passes)} ({c.passes_why}), then one at the same depth"),
        (
            "top slide at 30°",
            f"× 1.155: {text_of(flank_infeed(c.passes[-1]))} in all for a full-form tool",
        ),
        (
            "speed, CNC or with a stop",
            f"{c.speed_range[0]} to {c.speed_range[1]}/min ({c.speed_why})"
            if c.speed_range
            else c.speed_why,
        ),
    ]
    if c.leaving:
        rows.append(("leaving the groove", f"{c.leaving.advice} ({c.leaving.basis})"))
    rows.append(
        (
            "tool clearance",
            f"lead angle at the root {text_of(c.clearance.lead_angle_root, 1)}°: "
            f"{c.clearance.advice}",
        )
    )
    if c.bar:
        rows.append(
            (
                "boring bar",
                f"no thicker than ⌀{text_of(c.bar.thickest, 1)}, reach {text_of(c.bar.reach, 1)}: "
                f"{c.bar.advice}",
            )
        )
    return rows


def _indexing(t: ThreadPages) -> Grid:
    i = t.indexing
    assert i is not None
    angles = ", ".join(f"{text_of(a, 2)}°" for a in i.angles)
    gears = ", ".join(f"{g.teeth} (every {g.step} teeth)" for g in i.gears) or "none owned divides"
    rows = (
        ("by spindle angle", angles),
        ("by the top slide", f"set parallel to the bed, forward {text_of(i.shift, 4)} for each "
                             "start, by an indicator"),
        ("by a gear on the spindle (1 : 1)", gears),
        (
            "by a slotted drive plate",
            f"{i.starts} slots, {text_of(360 / i.starts, 2)}° apart; each 0.1 mm at radius "
            f"{text_of(i.plate_radius)} costs {text_of(i.per_slot_tenth, 4)} of pitch diameter",
        ),
        (
            "what an error costs",
            f"{text_of(i.per_degree)} of pitch diameter for each degree, "
            f"{text_of(i.per_hundredth)} for each 0.01 mm",
        ),
        (
            "room for it",
            f"least play {text_of(i.room)}: used up by {text_of(i.angle_allowed, 1)}° or "
            f"{text_of(i.shift_allowed)} mm"
            if i.room > 0
            else "none at worst limits: index as exactly as you can",
        ),
    )  # fmt: skip
    return Grid("Indexing the starts", ("", ""), PAIR, rows)


def _gears(g: ChangeGears, cutting: bool) -> list[Grid]:
    if not cutting:
        return []
    shown = [*g.exact[:3], *g.near[: 1 if g.exact else 3]]
    rows = tuple(_train(t) for t in shown) or (("none", "", "", ""),)
    title = f"Change gears for lead {text_of(g.lead, 4)}, lead screw {g.lead_screw}, gearbox 1 : 1"
    heads = ("driver/driven × driver/driven", "lead", "error in 25 mm", "costs of the fit")
    return [Grid(title, heads, (0.4, 0.2, 0.2, 0.2), rows)]


def _train(t: Train) -> Row:
    idler = " with any idler" if len(t.gears) == 2 else ""
    if t.exact:
        return (t.text + idler, text_of(float(t.lead), 4), "exact", "nothing")
    return (t.text + idler, text_of(float(t.lead), 4), signed_text(t.error, 4), text_of(t.fit, 4))


def _notes(t: ThreadPages) -> Row:
    if not t.cutting:
        return ()
    return ("Gears: the first turns with the spindle. Check the train by scratching one turn.",)


def _measuring(t: ThreadPages) -> Grid:
    rows: list[Row] = []
    if t.wires:
        w = t.wires
        rows += [
            ("wires", f"⌀{text_of(w.wire)} (best {text_of(w.best_wire)}), {w.count} of them"),
            ("over wires", f"{text_of(w.lower)} to {text_of(w.upper)}, aim at {text_of(w.aim)}"),
            ("the lead adds", f"{text_of(w.correction, 4)} (counted in above; {w.source})"),
            ("setting", w.setting),
        ]
    elif t.card.external:
        rows.append(("wires", "none of the wires owned rests on these flanks"))
    rows.append(("reach", ("yes: " if t.reach.wires else "NO: ") + t.reach.why))
    rows += [("instead", x) for x in t.reach.instead]
    return Grid("Pitch diameter", ("", ""), PAIR, tuple(rows))


def _gauges(t: ThreadPages) -> list[Grid]:
    if not t.gauges:
        return [Grid("Gauges", ("", ""), PAIR, (("none", t.no_gauges),))]
    rows = tuple(
        (g.name, f"{text_of(g.pitch, 4)} ± {text_of(g.pitch_half, 4)}", text_of(g.wear, 4),
         f"{text_of(g.crest, 4)} ± {text_of(g.crest_half, 4)}", g.basis)
        for g in t.gauges
    )  # fmt: skip
    several = f", lead {text_of(t.card.lead, 4)}, {t.card.starts} starts" if (
        t.card.starts > 1) else ""  # fmt: skip
    heads = ("gauge", "pitch diameter", "worn out at", "major (plug), minor (ring)", "table")
    return [Grid(f"Gauges by ISO 1502, if made{several}", heads, (0.16, 0.24, 0.16, 0.28, 0.16),
                 rows)]  # fmt: skip


def _checks(card: TurnerCard) -> Grid:
    rows = tuple((c.what, c.how) for c in card.checks)
    return Grid("Before letting go of the shank", ("feature", "how"), (0.4, 0.6), rows)


def _inspection(card: TurnerCard) -> Grid:
    rows = []
    for x in card.inspection:
        tool = f"{x.instrument} (U {text_of(x.uncertainty or 0)})" if x.proof == "home" else (
            x.instead if x.proof == "look" else f"ask the shop: {x.instead}")  # fmt: skip
        zone = "-"
        if x.accept is not None:
            low, high = (None if v is None else text_of(v) for v in x.accept)
            zone = f"{low} to {high}" if low and high else f"at most {high}" if high else (
                f"at least {low}")  # fmt: skip
        rows.append((str(x.number), x.what, x.nominal, x.limits, tool, zone, ""))
    heads = ("no.", "characteristic", "nominal", "limits", "instrument", "proved by", "read")
    return Grid(
        "Every characteristic, by its balloon", heads,
        (0.05, 0.23, 0.1, 0.15, 0.22, 0.13, 0.12), tuple(rows),
        tuple(x.id for x in card.inspection),
    )  # fmt: skip
