"""One thread's tables: how to cut it, index it, gear it, measure it; nothing is computed."""

from __future__ import annotations

from mandrelgen.core.tolerance import ceil_to, floor_to, signed_text, text_of
from mandrelgen.paper.reports.grids import Grid, Row, pairs
from mandrelgen.workshop.turning import infeed
from mandrelgen.workshop.turning.change_gears import ChangeGears, Train
from mandrelgen.workshop.turning.infeed import Span, flank_infeed
from mandrelgen.workshop.turning.thread_alternatives import ThreadAlternative
from mandrelgen.workshop.turning.turner_card import ThreadPages


def grids(t: ThreadPages) -> tuple[Grid, ...]:
    """Every table of one thread, in the order the turner needs them."""
    out = [_card(t)]
    if t.cutting:
        out += [_depths(t), _lathe(t)]
        out += [_indexing(t)] if t.indexing else []
        out.append(_gears(t.gears, t.indexing.starts if t.indexing else 1))
    if t.card.order != "blank":
        out += [_measuring(t), _gauges(t)]
    return tuple(out)


def _card(t: ThreadPages) -> Grid:
    c = t.card
    starts = f"{c.starts} starts" if c.starts > 1 else "1 start"
    rows: list[Row] = [
        (
            "thread",
            f"{c.designation}, class {c.tolerance_class}, {c.hand} hand, pitch P "
            f"{text_of(c.pitch, 5)}, lead Ph {text_of(c.lead, 5)}, {starts}",
        ),
        ("order", c.instruction),
        ("turn to" if c.external else "bore to", f"⌀{c.crest}" if c.external else c.bore),
    ]
    rows += [(_variant(c.order, v), v.text) for v in c.variants if v.tool != c.order]
    return pairs(f"Threading card: {c.designation}", rows)


def _variant(order: str, v: ThreadAlternative) -> str:
    if not v.usable:
        return "not possible"
    if v.tool == "blank":
        return "as a blank, if agreed"
    return (
        f"with the {v.tool}" if order in ("my-tool", "stock-tap") else f"with a {v.tool}, if agreed"
    )


def _depths(t: ThreadPages) -> Grid:
    """Depth by the crest as it was measured."""
    c, f = t.card, t.card.feed
    crest = "outside" if c.external else "bore"
    rows = tuple((f"⌀{text_of(r.crest)}", _span(r.full_form), _span(r.sharp)) for r in f.rows)
    other = tuple(
        f"(⌀ − {text_of(d)}) / 2" if c.external else f"({text_of(d)} − ⌀) / 2"
        for d in (f.root, f.apex)
    )
    return Grid(
        f"Depth, radial; zero is the point just touching the finished {crest}, as it measures",
        (
            f"{crest} measures",
            "full-form tool: aim (from to)",
            "V tool, less its nose radius r: aim (from to)",
        ),
        (0.2, 0.38, 0.42),
        (*rows, ("any other ⌀", *other)),
    )


def _nose(t: ThreadPages) -> str:
    nose = t.card.feed.nose
    if nose is None:
        return "no nose radius leaves the root within its limits: use a full-form tool"
    low, high = _printed(nose)
    return (
        f"nose radius r {text_of(low, 2)} to {text_of(high, 2)} leaves the root within its "
        "limits at every depth above"
    )


def _printed(nose: tuple[float, float]) -> tuple[float, float]:
    """The nose radii that a page names: within what holds the root, to hundredths."""
    return ceil_to(nose[0], 0.01), floor_to(nose[1], 0.01)


def _v_depth(feed: infeed.Feed) -> str:
    """Where a V tool stops, against the passes of a full-form one: not always behind them."""
    if feed.nose is None:
        return ""
    on = "goes on to its own depth, in steps like the last of these (common practice)"
    short = "stops at its own depth, before the last of these"
    low, high = _printed(feed.nose)
    if high <= feed.same:
        return f". A V tool {on}"
    if low >= feed.same:
        return f". A V tool {short}"
    same = text_of(feed.same)
    return f". A V tool of r {same} goes as deep; with less it {on}; with more it {short}"


def _insert(t: ThreadPages) -> str:
    """Which kind of threading insert suits, and what the other kind changes."""
    c = t.card
    crest, side = ("outside", "over") if c.external else ("bore", "under")
    text = (
        f"partial profile (a V that does not top) suits, since the {crest} is finished before: "
        "the V tool's radius and depth. "
    )
    if c.topping.pitch is None:
        return text + (
            f"Full profile (tops, P {text_of(c.pitch, 4)}) does not: it would leave the {crest} "
            "outside its limits"
        )
    low, high = c.topping.pitch
    return text + (
        f"Full profile (tops, P {text_of(c.pitch, 4)}) cuts the {crest} too: leave that 0.05 to "
        f"0.1 {side} on the diameter (common practice, no source), and go by the pitch diameter, "
        f"not by the table of depths; at {text_of(ceil_to(low, 0.001))} to "
        f"{text_of(floor_to(high, 0.001))} the {crest} comes out within its limits"
    )


def _span(s: Span) -> str:
    low, aim, high = (text_of(v) for v in s)
    return f"{aim} ({low} to {high})"


def _lathe(t: ThreadPages) -> Grid:
    c = t.card
    middle = c.feed.rows[len(c.feed.rows) // 2]
    rows: list[Row] = [
        (
            "cross slide",
            f"at ⌀{text_of(middle.crest)}, full form, zero as above: "
            + " · ".join(text_of(p, 2) for p in c.passes[:-1])
            + f" · {text_of(c.passes[-1])}, then once more at the same depth; radial, so twice "
            "that on a dial that shows diameter. Another crest: put the difference into the first "
            f"pass{_v_depth(c.feed)}",
        ),
        ("passes", f"{c.passes_why}; {_chips(len(c.passes))}"),
        ("V tool", _nose(t)),
        ("insert", _insert(t)),
        ("top slide at 29.5°", _flank(t)),
        ("speed", _speed(t)),
    ]
    rows += _tool(t)
    if c.bar:
        rows.append(
            (
                "boring bar",
                f"no thicker than ⌀{text_of(c.bar.thickest, 1)}, reach {text_of(c.bar.reach, 1)}: "
                f"{c.bar.advice}",
            )
        )
    owned = ", ".join(map(str, t.gears.owned))
    basis = "a usual set, since none is listed:" if t.gears.assumed else "those listed:"
    text = f"by the table below, checked by scratching one turn; reckoned with {basis} {owned}. "
    text += f"Another lead screw: a/b × c/d = {text_of(t.gears.lead, 5)} / its pitch"
    return pairs("At the lathe", [*rows, ("half nuts", c.half_nuts), ("change gears", text)])


def _tool(t: ThreadPages) -> list[Row]:
    c, rows = t.card, []
    if c.leaving:
        side = (
            f"; each 0.1 less there gains {text_of(c.leaving.per_tenth, 0)}/min, each 0.1 more "
            "costs it"
            if c.external
            else ""
        )
        rows.append(
            (
                "leaving the relief",
                f"{c.leaving.advice}. The tool crosses it in {text_of(c.leaving.turns, 2)} turns "
                f"({c.leaving.basis}{side})",
            )
        )
        if c.leaving.instead:
            rows.append(("better: outwards", c.leaving.instead))
    return [
        *rows,
        ("beside the thread", c.beside.advice),
        (
            "tool clearance",
            f"lead angle at the {'root' if c.external else 'crest'} "
            f"{text_of(c.clearance.steepest, 1)}°: {c.clearance.advice}",
        ),
    ]


def _chips(passes: int) -> str:
    """How the chip's area goes over the passes; see `infeed.eased`."""
    if passes < 3:
        return "the first takes less than half of the chip"
    first = infeed.first_share()
    return (
        f"from the third on all take the same area of chip, the first {text_of(first)} of it, the "
        f"second {text_of(1 - first)}"
    )


def _flank(t: ThreadPages) -> str:
    text = (
        f"instead of radial: set over 29.5° from the cross slide's way, so that the edge ahead "
        f"in the feed cuts; {text_of(flank_infeed(1.0))} × the depth along the flank, "
        f"{text_of(flank_infeed(t.card.passes[-1]))} for the last pass above, at its ⌀"
    )
    text += (
        ". Half a degree under 30° (practice), so that the trailing flank is scraped clean; the "
        "figures are for 30°, 0.5 % more"
    )
    if t.indexing:
        text += (
            ". Not together with indexing by the top slide: then it stands along the bed, and the "
            "infeed is radial, by the cross slide"
        )
    return text


def _speed(t: ThreadPages) -> str:
    c = t.card
    if c.speed_range is None:
        return c.speed_why
    low, high = c.speed_range
    return (
        f"{low} to {high}/min ({c.speed_why}), only where a control or a stop ends the pass by "
        "itself; by hand as below"
    )


def _indexing(t: ThreadPages) -> Grid:
    i = t.indexing
    assert i is not None
    angles = ", ".join(f"{text_of(a, 2)}°" for a in i.angles)
    train = t.gears.best.gears[:1] if t.gears.best else ()
    gears = ", ".join(
        f"{g.teeth} (every {g.step} teeth{', the first of the train below' * (g.teeth in train)})"
        for g in i.gears
    ) or "none owned divides"  # fmt: skip
    rows: list[Row] = [
        (
            "by spindle angle",
            f"{angles}, with a clutch or dog that lets the drive go at any angle; a train of gears "
            "closes again only at whole teeth, as below; the half nuts stay closed. Each start to "
            "its full depth before the next",
        ),
        (
            "by a gear on the spindle",
            f"mark the teeth of a gear that turns 1 : 1 with it, open the train, turn on, close: "
            f"{gears}. Each start to its full depth before the next: the train is opened once a "
            "start",
        ),
        (
            "by the top slide",
            f"parallel to the bed, on by {text_of(i.shift, 4)} for each start, by an indicator, "
            "every time in the same direction so that its play is taken up; infeed radial by the "
            "cross slide; all starts to each depth before the next, so the tool wears alike for "
            "every start",
        ),
        (
            "by a catch plate",
            f"{i.starts} slots, {text_of(360 / i.starts, 2)}° apart: only for work driven by a dog "
            "between centres, which the sequence of operations does not use; each 0.1 mm at radius "
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
            f"{text_of(i.shift_allowed)} mm along the axis; the drawing allows "
            f"{text_of(i.spacing)}, half of it, since the part's own starts are not even either"
            if i.room > 0
            else "none at worst limits: index as exactly as you can",
        ),
    ]
    return pairs(f"Indexing the {i.starts} starts: one of these ways", rows)


def _gears(g: ChangeGears, starts: int) -> Grid:
    shown = g.exact[:3] or g.near[:3]
    if g.without_127 is not None:
        shown = (*shown, g.without_127)
    rows = tuple(_train(t, starts) for t in shown) or (("none within 2 % of the fit", "", "", ""),)
    if g.missing is not None:
        rows += ((f"no exact train: a wheel of {g.missing} would make one", "", "", ""),)
    title = f"Change gears: lead {text_of(g.lead, 5)}, lead screw {g.lead_screw}, gearbox 1 : 1"
    heads = (
        "a/b × c/d: a turns with the spindle, b and c on one stud, d on the lead screw",
        "lead",
        "error in 25 mm",
        f"costs of the fit over {text_of(g.engagement, 1)} engaged",
    )
    return Grid(title, heads, (0.38, 0.14, 0.18, 0.3), rows)


def _train(t: Train, starts: int) -> Row:
    idler = " with any idler" if len(t.gears) == 2 else ""
    if starts > 1:
        idler += "; indexes" if t.indexes(starts) else f"; does not index: {t.gears[0]} teeth"
    if t.exact:
        return (t.text + idler, text_of(float(t.lead), 4), "exact", "nothing")
    return (t.text + idler, text_of(float(t.lead), 4), signed_text(t.error, 4), text_of(t.fit, 4))


def _measuring(t: ThreadPages) -> Grid:
    free = ", for information: fit to the test piece governs" if (
        t.card.order == "my-tool") else ""  # fmt: skip
    title = f"Pitch diameter{free}"
    rows: list[Row] = []
    if not t.card.external:
        return pairs(title, [("with", x) for x in t.reach.instead])
    if t.wires:
        w = t.wires
        rows += [
            (
                "over wires",
                f"{text_of(w.lower)} to {text_of(w.upper)}, aim at {text_of(w.aim)}, over "
                f"{w.count} wires ⌀{text_of(w.wire)} (best {text_of(w.best_wire)})",
            ),
            (
                "lead-angle correction",
                f"the slope of the groove, {text_of(w.correction, 4)} ({w.source})",
            ),
            ("setting", w.setting),
        ]
    else:
        rows.append(("over wires", "none of the wires owned rests on these flanks"))
    rows.append(("access for the anvil", ("yes: " if t.reach.wires else "NO: ") + t.reach.why))
    rows += [("instead", x) for x in t.reach.instead]
    return pairs(title, rows)


def _gauges(t: ThreadPages) -> Grid:
    if not t.gauges:
        return pairs("Gauges", [("none", t.no_gauges)])
    rows = tuple(
        (g.name, f"{text_of(g.pitch, 4)} ± {text_of(g.pitch_half, 4)}", text_of(g.wear, 4),
         f"{text_of(g.crest, 4)} ± {text_of(g.crest_half, 4)}", g.basis)
        for g in t.gauges
    )  # fmt: skip
    several = f", lead {text_of(t.card.lead, 4)}, {t.card.starts} starts" if (
        t.card.starts > 1) else ""  # fmt: skip
    heads = (
        "gauge",
        "pitch diameter",
        "wear limit",
        "major (plug), minor (ring)",
        "table's values",
    )
    return Grid(f"Gauges by ISO 1502, if made{several}", heads, (0.16, 0.24, 0.16, 0.28, 0.16),
                 rows)  # fmt: skip
