"""What stands in the thread's block and title block beside the characteristics."""

from __future__ import annotations

import math
from dataclasses import replace

from fontTools.ttLib import TTFont

from mandrelgen.assess.settled import designs
from mandrelgen.core.resources import FONT, template_path
from mandrelgen.model.mandrel import MandrelKind
from mandrelgen.paper.drawing.model import Sheet, Text
from mandrelgen.paper.drawing.text_block import Block
from mandrelgen.paper.drawing.thread_view import thread_table
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from tests.paper.test_sheet_ink import sheet_of
from tests.support.samples_sheet import cup, plug


def words(shown: Sheet | Block) -> str:
    texts = shown.texts() if isinstance(shown, Sheet) else shown.drawn
    return " ".join(t.text for t in texts if isinstance(t, Text))


def over(pitch_diameter: float, wire: float, pitch: float, lead: float) -> float:
    """H28's formula, written out by hand: E − 0.866 P + 3 W, and 0.75 W (Ph/(π E))² for the
    slope."""
    slope = 0.75 * wire * (lead / (math.pi * pitch_diameter)) ** 2
    return pitch_diameter - math.sqrt(3) / 2 * pitch + 3 * wire + slope


def test_the_reading_over_the_turners_wires_stands_in_the_thread_table() -> None:
    """Against NBS Handbook H28 (formula from memory)."""
    data = plug().threads[0]
    band, d = data.limits.pitch, data.limits.designation
    wire = 0.6 * float(d.pitch)
    said = words(thread_table(data, (), {}, (wire,)))
    assert band.min is not None
    assert band.max is not None
    low, high = (over(e, wire, float(d.pitch), d.lead) for e in (band.min, band.max))
    tail = said.split("wires ")[1].split()
    assert 0.0 <= float(tail[0]) - low < 0.001
    assert 0.0 <= high - float(tail[1]) < 0.001


def test_no_reading_over_wires_of_a_bore_a_blank_or_with_wires_that_do_not_fit() -> None:
    inside, outside = cup().threads[0], plug().threads[0]
    for data, wires in ((inside, ()), (replace(outside, order="blank"), ()), (outside, (3.0,))):
        assert "wires" not in words(thread_table(data, (), {}, wires))


def test_several_starts_are_said_at_the_thread_and_their_rule_in_its_table() -> None:
    mandrel = plug()
    data = mandrel.threads[0]
    d = replace(data.limits.designation, starts=3)
    several = replace(data, limits=replace(data.limits, designation=d))
    said = words(thread_table(several, (), {}))
    assert "(3 starts)" in said
    assert "Single-start tolerance (factor 1); the standard's clause for several starts" in said
    assert "start" not in words(thread_table(data, (), {})).lower()
    extended = replace(data, limits=replace(data.limits, extended=True, source="by ourselves"))
    assert "by ourselves" in words(thread_table(extended, (), {}))
    wider = replace(several, limits=replace(several.limits, factor=1.2))
    assert "× 1.2 of a single start's" in words(thread_table(wider, (), {}))


def test_the_title_block_says_the_unit_and_what_a_shop_calls_the_steel() -> None:
    mandrel = plug()
    order = replace(mandrel.ordering, material="11SMn30")
    said = words(sheet_of(replace(mandrel, ordering=order)))
    assert "Dimensions in mm" in said
    assert "11SMn30+C (EN1A, 12L14)" in said


def test_the_diameter_sign_is_as_high_as_the_digits() -> None:
    font = TTFont(template_path(FONT))
    sign, digit = (font["glyf"][font.getBestCmap()[ord(c)]] for c in "⌀0")
    assert abs(sign.yMax - digit.yMax) < 0.02 * digit.yMax
    assert abs(sign.yMin - digit.yMin) < 0.02 * digit.yMax


def test_the_drill_point_of_a_blind_bore_is_said_with_its_angle() -> None:
    """118° is what a stock drill has (common practice, no source); a plug has none."""
    pen = read_pen(starter("pen", "heron"), "heron.toml")
    made = designs(pen, read_shop(starter("shop", "bench"), "bench.toml"))
    cups = [d.mandrel for d in made if d.mandrel is not None and d.mandrel.kind is MandrelKind.CUP]
    assert cups
    for mandrel in cups:
        assert "Drill point of the bore: 118°, as the drill" in words(sheet_of(mandrel))
    assert "Drill point" not in words(sheet_of(plug()))


def test_the_spacing_of_several_starts_is_half_of_what_the_least_play_bears() -> None:
    """M12xPh2.4P0.8: 60° flanks feel an axial error √3-fold on the pitch diameter (FED-STD-H28,
    from memory). Basic d2 is 12 − 0.6495·0.8 = 11.480; 6f begins 0.038 below (ISO 965-1)."""
    pen = read_pen(starter("pen", "heron"), "heron")
    found = designs(pen, read_shop(starter("shop", "bench"), "bench"))
    mandrel = next(d.mandrel for d in found if d.mandrel and d.mandrel.id == "cap-mouth-plug")
    data = mandrel.threads[0]
    half = math.floor(1000 * 0.038 / math.sqrt(3) / 2) / 1000
    assert half == 0.010
    assert "Spacing of starts within 0.01 along the axis" in words(thread_table(data, (), {}))
    decided = next(d for d in mandrel.decisions if d.id == "thread.spacing")
    assert "0.01 " in decided.value
    assert "0.038" in decided.why
    # A pair without play, the customer's own die and one start have no such limit.
    none = replace(data, partner=data.limits)
    assert "test piece screws home in every one" in words(thread_table(none, (), {}))
    assert "Spacing" not in words(thread_table(replace(data, order="my-tool"), (), {}))
    assert "Spacing" not in words(thread_table(plug().threads[0], (), {}))


def test_the_lead_in_of_several_starts_has_its_size_said() -> None:
    pen = read_pen(starter("pen", "heron"), "heron")
    found = designs(pen, read_shop(starter("shop", "bench"), "bench"))
    by = {d.mandrel.id: d.mandrel for d in found if d.mandrel is not None}
    nose = next(s for s in by["cap-mouth-plug"].outer if s.feature == "nose")
    said = words(sheet_of(by["cap-mouth-plug"]))
    assert f"chamfer's small diameter, ⌀{nose.d1:g} (0/−0.2)" in said
    assert "lead-in runs on" not in words(sheet_of(by["barrel-mouth-plug"]))
