"""The bench's pages as titles and tables of text, ready to be laid out; nothing is computed."""

from __future__ import annotations

from mandrelgen.core.tolerance import text_of
from mandrelgen.paper.reports import thread_pages
from mandrelgen.paper.reports.grids import Grid, GridPage, Row, pairs
from mandrelgen.workshop.turning.inspection_plan import InspectionLine
from mandrelgen.workshop.turning.turner_card import TurnerCard

__all__ = ["Grid", "GridPage", "Row", "tables"]


def tables(card: TurnerCard) -> tuple[GridPage, ...]:
    """The turner's pages and the inspection sheet of one mandrel."""
    pages = [
        GridPage(
            "work",
            f"Sequence of operations: {card.title}",
            (_stock(card), _steps(card), _checks(card)),
        )
    ]
    for t in card.threads:
        name = f"Threading and measuring: {t.card.designation}"
        pages.append(GridPage("threading", name, thread_pages.grids(t)))
    pages.append(GridPage("inspection", "Inspection sheet", (_inspection(card),), _reading(card)))
    return tuple(pages)


def _stock(card: TurnerCard) -> Grid:
    s = card.stock
    bar = f"⌀{text_of(s.bar)}" if s.bar is not None else "none held"
    parts = f"{text_of(s.finished_length)} + {s.faced} × {text_of(s.facing)} facing"
    parts += f" + {text_of(s.part_off)} parting cut"
    parts += (
        f" + {text_of(s.grip)} in the chuck" if s.grip else "; what the chuck holds, once a bar"
    )
    rows = (
        ("bar", f"{s.material}, {bar} × {text_of(s.length)} for each piece ({parts}); {s.note}"),
        ("finished", f"widest ⌀{text_of(s.widest)}, {text_of(s.finished_length)} long"),
        ("mass", f"bar {s.bar_mass:.0f} g, finished about {s.finished_mass:.0f} g"),
        ("basis", s.source),
    )
    return pairs("Stock", rows)


def _steps(card: TurnerCard) -> Grid:
    sizes = {x.id: x for x in card.inspection}
    rows = tuple(
        (str(n), str(step.setting or "-"), step.what, step.why,
         "; ".join(dict.fromkeys(_finished(sizes[i]) for i in step.finishes)))
        for n, step in enumerate(card.order_of_work, 1)
    )  # fmt: skip
    return Grid(
        "Suggested sequence of operations",
        ("", "set-up", "step", "why here", "finishes: balloon and limits"),
        (0.035, 0.065, 0.37, 0.25, 0.28),
        rows,
    )


def _finished(line: InspectionLine) -> str:
    """``4: ⌀12.973 to 13``; a need or an angle by its balloon alone."""
    return f"{line.number}: {line.size}" if line.size else str(line.number)


def _checks(card: TurnerCard) -> Grid:
    rows = tuple((str(c.step), c.what, c.how, "") for c in card.checks)
    return Grid(
        "Measure at the lathe, while it can be reached",
        ("after step", "feature", "how", "read"),
        (0.09, 0.33, 0.47, 0.11),
        rows,
    )


def _inspection(card: TurnerCard) -> Grid:
    rows = []
    for x in card.inspection:
        tool = f"{x.instrument} (U {text_of(x.uncertainty or 0)})" if x.proof == "home" else (
            x.instead if x.proof == "look" else f"ask the shop: {x.instead}" if x.inspected
            else f"not at home: {x.instead}")  # fmt: skip
        zone = "-"
        if x.accept is not None:
            low, high = (None if v is None else text_of(v) for v in x.accept)
            zone = f"{low} to {high}" if low and high else f"at most {high}" if high else (
                f"at least {low}")  # fmt: skip
        rows.append((str(x.number), x.what, x.nominal, x.limits, tool, zone, "", ""))
    heads = ("no.", "characteristic", "nominal", "limits", "instrument", "accept between",
             "supplier actual", "customer actual")  # fmt: skip
    return Grid(
        title="Every characteristic, by its balloon",
        heads=heads,
        widths=(0.04, 0.2, 0.085, 0.135, 0.235, 0.125, 0.09, 0.09),
        rows=tuple(rows),
        ids=tuple(x.id for x in card.inspection),
    )


def _reading(card: TurnerCard) -> tuple[str, ...]:
    """How to read the inspection sheet."""
    asked = [x for x in card.inspection if x.proof == "shop" and x.inspected]
    numbers = ", ".join(str(x.number) for x in asked)
    free = [str(x.number) for x in card.inspection if x.proof == "shop" and not x.inspected]
    return (
        "U: how far a reading may be off either way (expanded uncertainty, k = 2: about 95 times "
        "in 100).",
        "Accept between: a reading in this range proves the size although it may be off by U (ISO "
        "14253-1: the limits drawn in by U). A reading outside the limits by more than U proves it "
        "wrong; between the two this instrument decides nothing.",
        "Nominal: a thread's is its basic size; its limits may keep away from it.",
        f"Cannot be proved at home, ask the shop for its readings: {numbers}."
        if asked
        else "Every inspected size can be proved with the instruments at home.",
        *([f"Not at home: beyond these instruments too, but the fit does not hang on it: "
           f"{', '.join(free)}."] if free else []),
        "Supplier actual: what the turner read, at least where it is asked of the shop; customer "
        "actual: what the maker read. One copy for each piece. Read by: ____________   "
        "on: ____________   accepted: ______",
    )  # fmt: skip
