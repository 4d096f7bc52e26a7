"""The tables that go with the drawing: sizes, thread data, cautions; and the decisions."""

from __future__ import annotations

from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import Mandrel, MandrelKind, ThreadData
from mandrelgen.paper.drawing.dimension_assignment import FRAME_KINDS, THREAD_KINDS
from mandrelgen.paper.drawing.model import Table
from mandrelgen.paper.drawing.words import limits, number_text
from mandrelgen.standards.threads import Band
from mandrelgen.workshop.turning.names import what


def tables(mandrel: Mandrel, numbers: dict[str, int]) -> tuple[Table, ...]:
    """What whoever cuts it needs: sizes, threads, cautions; ``numbers`` are the drawing's balloon
    numbers."""
    out = [_characteristics(mandrel, numbers)]
    who = "Gauge" if mandrel.kind is MandrelKind.GAUGE else "Mandrel"
    out += [_thread(t, who) for t in mandrel.threads]
    if mandrel.cautions:
        rows = tuple((str(i), c) for i, c in enumerate(mandrel.cautions, 1))
        out.append(Table("Cautions", ("No.", "Caution"), (1, 16), rows))
    return tuple(out)


def _characteristics(mandrel: Mandrel, numbers: dict[str, int]) -> Table:
    rows = []
    for c in mandrel.characteristics:
        low, high = limits(c)
        # What the sheet shows in brackets: for information.
        own = any(t.order == "my-tool" and t.feature == c.feature for t in mandrel.threads)
        aside = "info" if own and c.kind in THREAD_KINDS else ""
        datum = f"datum {c.datum}" if c.datum else ""
        written = ", ".join(w for w in (c.written, datum, aside) if w)
        only_limit = c.kind in FRAME_KINDS or c.kind is Kind.ROUGHNESS
        nominal = "–" if only_limit else number_text(c)
        if c.kind in (Kind.PITCH, Kind.LEAD):
            nominal = _fine(c.nominal)
        rows.append((str(numbers[c.id]), what(c), nominal, low, high, c.unit, written, c.source))
    return Table(
        title="Characteristics",
        heads=("No.", "Size", "Nominal", "Min.", "Max.", "Unit", "Written", "Source"),
        widths=(2.4, 18.0, 5.6, 4.6, 4.6, 2.8, 7.8, 15.6),
        rows=tuple(rows),
        ids=tuple(c.id for c in mandrel.characteristics),
    )


def _fine(pitch: float) -> str:
    """A pitch or lead to 0.0001: 25.4/32 = 0.79375 is 0.7938, whatever its binary form."""
    return text_of(pitch + 1e-9, 4)


def _band(band: Band, places: int = 3) -> str:
    low = "" if band.min is None else lower_limit_text(band.min, places)
    high = "" if band.max is None else upper_limit_text(band.max, places)
    if low and high:
        return f"{low} to {high}"
    return f"min. {low}" if low else f"max. {high}" if high else "–"


def _thread(data: ThreadData, who: str) -> Table:
    own, part = data.limits, data.partner
    fine = 4 if who == "Gauge" else 3
    d = own.designation
    rows = (
        ("Designation", d.text, part.designation.text),
        ("Tolerance class", own.tolerance_class, part.tolerance_class),
        ("Major diameter, mm", _band(own.major, fine), _band(part.major)),
        ("Pitch diameter, mm", _band(own.pitch, fine), _band(part.pitch)),
        ("Minor diameter, mm", _band(own.minor, fine), _band(part.minor)),
        ("Pitch P, mm", _fine(float(d.pitch)), _fine(float(part.designation.pitch))),
        ("Lead Ph, mm", _fine(d.lead), _fine(part.designation.lead)),
        ("Starts", str(d.starts), str(part.designation.starts)),
        (
            "Hand",
            "left" if d.left_hand else "right",
            "left" if part.designation.left_hand else "right",
        ),
        ("Lead angle", f"{text_of(own.lead_angle, 2)}°", f"{text_of(part.lead_angle, 2)}°"),
        (
            "Engaged",
            f"{text_of(data.full_pitches, 2)} full pitches, {text_of(data.turns_of_lead, 2)} "
            f"turns of the lead{'' if who == 'Gauge' else ', at worst limits'}",
            "",
        ),
        (
            "Model drawn at",
            f"crest {text_of(data.form.crest_diameter)}, pitch "
            f"{text_of(data.form.pitch_diameter)}, root {text_of(data.form.root_diameter)} mm",
            "",
        ),
        ("Order", data.order + "; sizes for information" * (data.order == "my-tool"), ""),
        ("Source", own.source, part.source),
    )
    return Table(f"Thread {d.text}", ("", who, "Part"), (8, 14, 14), rows)


def decisions(mandrel: Mandrel) -> tuple[Table, ...]:
    """What was chosen, why and by which source: the maker's own business."""
    if not mandrel.decisions:
        return ()
    rows = tuple((d.what, d.value, d.why, d.source) for d in mandrel.decisions)
    return (Table("Decisions", ("What", "Value", "Why", "Source"), (8, 7, 18, 9), rows),)
