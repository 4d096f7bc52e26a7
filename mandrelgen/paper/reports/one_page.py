"""A page of tables and notes placed on one A4, its lines closer where there is much to say."""

from __future__ import annotations

from mandrelgen.paper.drawing.model import Page
from mandrelgen.paper.reports.assessment import SmallTable
from mandrelgen.paper.reports.flow import Flow, bullets, grid
from mandrelgen.paper.reports.grids import GridPage

# From line to line, mm; the first that does. Where the page ends.
PITCHES = (4.2, 3.8, 3.5)
LOW = 18.0


def leaves(page: GridPage, notes: str) -> tuple[Page, ...]:
    """The page, on one leaf if it can be; ``notes``: the heading over its notes."""
    found: tuple[Page, ...] = ()
    for pitch in PITCHES:
        found = _leaves(page, notes, pitch)
        if len(found) == 1:
            break
    return found


def _leaves(page: GridPage, notes: str, pitch: float) -> tuple[Page, ...]:
    flow = Flow(bottom=LOW)
    for g in page.grids:
        flow.section(g.title, grid(SmallTable(g.heads, g.widths, g.rows), pitch=pitch), together=2)
    flow.section(notes, bullets(page.notes, pitch))
    return flow.done(page.title)
