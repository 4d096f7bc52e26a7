"""The maker's page placed on A4: blocks one under the other, on as many leaves as they need."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.paper.drawing.model import Page
from mandrelgen.paper.reports.assessment import TruthPage
from mandrelgen.paper.reports.flow import LEFT, RIGHT, Flow, bullets, columns, grid, lines
from mandrelgen.paper.reports.plots import bars, bows

# Leaves wanted; to keep to them, no fewer places of strength are listed than LEAST, and no more
# than MOST unless more fail.
WANTED, MOST, LEAST = 2, 12, 3


def leaves(page: TruthPage) -> tuple[Page, ...]:
    """The page as leaves to print: two, by listing fewer places of strength if need be; more only
    if there is that much to say."""
    most = max(MOST, page.failing)
    for listed in range(most, LEAST - 1, -1):
        found = _leaves(page, listed)
        if len(found) <= WANTED:
            return found
    return _leaves(page, most)


def _leaves(page: TruthPage, listed: int) -> tuple[Page, ...]:
    flow = Flow()
    flow.section(page.title, [*lines([page.subtitle]), *bullets(page.story)])
    flow.section("The numbers", [*grid(page.numbers), *lines([NUMBERS_NOTE])])
    if page.bars:
        flow.section(
            "Where the mismatch comes from",
            [*bars(page.bars, LEFT, RIGHT), *lines(page.budget_notes)],
        )
    if page.bows:
        flow.section("How it bends", bows(page.bows, LEFT, RIGHT))
    if page.strength is not None:
        rows = page.strength.rows[:listed]
        flow.section(
            "How strong",
            [
                *grid(replace(page.strength, rows=rows)),
                *lines([page.strength_notes[len(rows)]]),
            ],
            together=3,
        )
    if page.speed is not None:
        flow.section("How fast", [*grid(page.speed), *bullets(page.thread)])
    if page.warnings:
        flow.section("What to watch", bullets(page.warnings))
    if page.assumed:
        flow.section(page.assumed_title, columns(page.assumed))
    if page.cautions:
        flow.section("Where someone can be hurt", bullets(page.cautions))
    return flow.done(page.title)


NUMBERS_NOTE = (
    "Statistical: 95 of 100 parts are at least this good. Worst: every error at its limit, all the "
    "same way. Tightened: on the seat; how far that centres the part is an estimate."
)
