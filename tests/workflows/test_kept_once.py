"""What is worked out is not worked out again as long as nothing of it changed, and is as soon as
something did."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from mandrelgen.archive.events import revision_of
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.root import open_root
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designer import design_one, designer
from mandrelgen.design.plan import plan
from mandrelgen.workflows.arrived import build_of
from tests.support.archived import publish_pen
from tests.support.judged_pens import plug_pen
from tests.support.randompens import SHOP


def test_a_mandrel_is_designed_once_for_each_choice_of_tolerances() -> None:
    pen = plug_pen()
    (p,) = plan(pen)
    made = designer(pen, SHOP)
    usual, finer = ToleranceChoice(), ToleranceChoice(run_out=0.02)
    assert made(p, usual) is made(p, usual)
    for choice in (usual, finer):
        assert made(p, choice) == design_one(pen, SHOP, p, choice)
    assert made(p, finer) != made(p, usual)
    other = plug_pen(outside=16.0)
    assert designer(other, SHOP)(p, usual) == design_one(other, SHOP, p, usual)


def test_the_drawing_of_a_piece_is_laid_out_once_until_its_record_is_another(
    tmp_path: Path,
) -> None:
    publish_pen(tmp_path / "a", "heron")
    entry = revision_of(open_root(tmp_path / "a"), "MG-0001", "A")
    drawn = read_mandrel(entry.folder)
    first = build_of(entry, drawn)
    assert build_of(entry, read_mandrel(entry.folder)) is first
    later = replace(entry, record=entry.record.model_copy(update={"date": "2026-09-09"}))
    assert build_of(later, drawn).issue.date == "2026-09-09"
    assert "2026-09-09" in [t.text for t in build_of(later, drawn).sheet.texts()]
