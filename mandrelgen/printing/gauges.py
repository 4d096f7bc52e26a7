"""Go and not-go gauges of a thread as turned parts: shape, model form and characteristics."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mandrelgen.characteristic import Characteristic, Kind
from mandrelgen.mandrel import FLANK_HALF_ANGLE, ThreadForm
from mandrelgen.printing.coupon import plug_shape, ring_shape
from mandrelgen.printing.shape import Shape
from mandrelgen.standards.gauges_iso_1502 import Gauge, gauges
from mandrelgen.standards.threads import ThreadLimits

# Thread lengths in pitches: a go gauge covers the thread, a not-go gauge has few turns. ISO 1502
# gives lengths by the thread; these are a choice.
GO_PITCHES, NOT_GO_PITCHES = 8.0, 3.5
# Root flat as a share of the pitch: deeper than the work's crest reaches (choice).
ROOT_FLAT = 1 / 8
HANDLE = 12.0


@dataclass(frozen=True, slots=True)
class GaugePart:
    """A gauge to be turned: ``id`` for file names (``go-plug``), its sizes, its model (at mid
    limits) and its characteristics."""

    id: str
    title: str
    sizes: Gauge
    form: ThreadForm
    shape: Shape
    characteristics: tuple[Characteristic, ...]

    def text(self) -> str:
        """The gauge's limits as lines of plain text."""
        rows = [self.title, f"source: {self.sizes.source} ({self.sizes.basis})"]
        for c in self.characteristics:
            limits = "" if c.lower is None else f"   {c.lower:.4f} to {c.upper:.4f}"
            rows.append(f"  {c.kind.value:24} {c.nominal:.4f} {c.unit}{limits}")
        rows.append(f"  worn out at pitch diameter {self.sizes.wear:.4f} mm")
        rows.append(
            "  GO must pass the whole thread by hand; NOT GO may enter two turns at most, from "
            "either end. Mark NOT GO red."
        )
        return "\n".join(rows)


def gauge_parts(work: ThreadLimits) -> tuple[GaugePart, GaugePart]:
    """Go and not-go gauge of ``work``: plugs for an internal thread, rings for an external one.
    Raises NotHeldError where ISO 1502 is not held."""
    go, no = gauges(work)
    return _part(work, go, "go", GO_PITCHES), _part(work, no, "not-go", NOT_GO_PITCHES)


def _part(work: ThreadLimits, sizes: Gauge, word: str, pitches: float) -> GaugePart:
    d = work.designation
    pitch, lead = float(d.pitch), float(d.lead)
    plug = not work.external
    deep = pitch * (0.5 - ROOT_FLAT) / math.tan(math.radians(FLANK_HALF_ANGLE))
    root = sizes.pitch - deep if plug else sizes.pitch + deep
    form = ThreadForm(plug, d.starts, pitch, d.left_hand, sizes.crest, sizes.pitch, root)
    length = max(pitches * pitch, 1.2 * lead)
    body = max(form.crest_diameter, form.root_diameter) + (4.0 if plug else 8.0)
    shape = plug_shape(form, body, HANDLE, length) if plug else ring_shape(form, body, length + 1.5)
    kind = "plug" if plug else "ring"
    title = f"{sizes.name} for {d.text} {'internal' if plug else 'external'}"
    title += f" {work.tolerance_class}"
    return GaugePart(f"{word}-{kind}", title, sizes, form, shape, _characteristics(form, sizes))


def _characteristics(form: ThreadForm, g: Gauge) -> tuple[Characteristic, ...]:
    crest = Kind.THREAD_MAJOR if form.external else Kind.THREAD_MINOR

    def size(id: str, kind: Kind, value: float, half: float | None) -> Characteristic:
        low, high = (None, None) if half is None else (value - half, value + half)
        return Characteristic(
            f"gauge.{id}", "thread", kind, value, low, high, source=g.source, functional=True
        )

    return (
        size("crest_diameter", crest, g.crest, g.crest_half),
        size("pitch_diameter", Kind.THREAD_PITCH_DIAMETER, g.pitch, g.pitch_half),
        size("pitch", Kind.PITCH, form.pitch, None),
        size("lead", Kind.LEAD, form.lead, None),
    )
