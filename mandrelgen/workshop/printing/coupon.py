"""The calibration coupon: a stepped pin, a block of holes, and a ladder of rings and plugs.

Pin and holes are at their nominal size, not compensated, so that what a caliper reads is what the
printer does. Ring and plug of the same mark carry the same allowance a side.
"""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Stretch, ThreadForm
from mandrelgen.workshop.printing.judge import PrintLevel, thread_level
from mandrelgen.workshop.printing.plate import HoleBlock, Notches, Plate, PlatePiece
from mandrelgen.workshop.printing.printer import Printer
from mandrelgen.workshop.printing.shape import PrintedShape, ready
from mandrelgen.workshop.printing.thread import basic_form, printed_thread

ALLOWANCES = (0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4)
PINS = (12.0, 10.0, 8.0, 6.0)
HOLES = (10.0, 8.0, 6.0, 4.0)
STEP = 6.0
SPACING = 20.0
COLUMNS = 5
# Threads to try, coarser until one prints: diameter and pitch of ISO 261, mm.
THREADS = ((10.0, 1.0), (10.0, 1.25), (10.0, 1.5), (12.0, 1.75), (16.0, 2.0))
RING_LENGTH, PLUG_LENGTH, HANDLE = 8.0, 9.0, 7.0
# Past the root of a thread's end cones, mm on the radius.
PASS = 0.15


@dataclass(frozen=True, slots=True)
class Coupon:
    """The plate, its ladder's thread, and the marks: allowance of mark n is ALLOWANCES[n]."""

    plate: Plate
    diameter: float
    pitch: float

    @property
    def thread(self) -> str:
        """As the trade writes it."""
        return f"M{self.diameter:g}x{self.pitch:g}"


def coupon(printer: Printer) -> Coupon:
    """The coupon for a printer, its ladder in the finest of THREADS that prints well there."""
    d, pitch = next(
        (
            (d, p)
            for d, p in THREADS
            if thread_level(
                basic_form(external=True, diameter=d, pitch=p),
                basic_form(external=False, diameter=d, pitch=p),
                printer,
            )
            is PrintLevel.GOOD
        ),
        THREADS[-1],
    )
    shapes = [("ring", ring(d, pitch, a, printer)) for a in ALLOWANCES]
    shapes += [("plug", plug(d, pitch, a, printer)) for a in ALLOWANCES]
    pieces = []
    for k, (name, shape) in enumerate(shapes):
        mark = k % len(ALLOWANCES)
        pieces.append(
            PlatePiece(
                name=f"{name} {ALLOWANCES[mark]:.2f}",
                profile=shape.profile(),
                x=k % COLUMNS * SPACING,
                y=k // COLUMNS * SPACING,
                marks=_marks(mark, shape, printer),
            )
        )
    at = len(shapes)
    pins = PlatePiece(
        "pins", pin_shape(printer).profile(), at % COLUMNS * SPACING, at // COLUMNS * SPACING
    )
    block = _block(at // COLUMNS * SPACING)
    return Coupon(Plate((*pieces, pins), (block,)), d, pitch)


def plug(d: float, pitch: float, allowance: float, printer: Printer) -> PrintedShape:
    """A ladder plug: handle on the bed, thread upwards, basic profile less the allowance."""
    form = printed_thread(
        "thread", basic_form(external=True, diameter=d, pitch=pitch), allowance, printer.flat
    ).printed
    body = d + 4.0
    return ready(plug_shape(form, body, HANDLE, PLUG_LENGTH), printer)[0]


def ring(d: float, pitch: float, allowance: float, printer: Printer) -> PrintedShape:
    """A ladder ring: basic profile plus the allowance."""
    form = printed_thread(
        "thread", basic_form(external=False, diameter=d, pitch=pitch), allowance, printer.flat
    ).printed
    return ready(ring_shape(form, d + 6.0, RING_LENGTH), printer)[0]


def plug_shape(form: ThreadForm, body: float, handle: float, length: float) -> PrintedShape:
    """A turned plug: a handle of diameter ``body``, a groove, the thread with 45° ends, mm."""
    groove = form.root_diameter - 2 * PASS
    rise = (form.crest_diameter - groove) / 2
    z1, z2, z3 = 1.0, 1.0 + rise, 1.0 + rise + length
    return PrintedShape(
        (
            Stretch(feature=Feature("handle"), z0=-handle, z1=0.0, d0=body, d1=body),
            Stretch(feature=Feature("relief"), z0=0.0, z1=z1, d0=groove, d1=groove),
            Stretch(
                feature=Feature("relief.flank"), z0=z1, z1=z2, d0=groove, d1=form.crest_diameter
            ),
            Stretch(
                feature=Feature("thread"),
                z0=z2,
                z1=z3,
                d0=form.crest_diameter,
                d1=form.crest_diameter,
                thread=form,
            ),
            Stretch(
                feature=Feature("chamfer"), z0=z3, z1=z3 + rise, d0=form.crest_diameter, d1=groove
            ),
        )
    )


def ring_shape(form: ThreadForm, body: float, length: float) -> PrintedShape:
    """A turned ring: outside ``body``, threaded through, countersunk at both ends, mm."""
    mouth = form.root_diameter + 2 * PASS
    rise = (mouth - form.crest_diameter) / 2
    crest = form.crest_diameter
    return PrintedShape(
        (Stretch(feature=Feature("body"), z0=0.0, z1=length, d0=body, d1=body),),
        (
            Stretch(feature=Feature("countersink.rear"), z0=0.0, z1=rise, d0=mouth, d1=crest),
            Stretch(
                feature=Feature("thread"),
                z0=rise,
                z1=length - rise,
                d0=crest,
                d1=crest,
                thread=form,
            ),
            Stretch(
                feature=Feature("countersink"), z0=length - rise, z1=length, d0=crest, d1=mouth
            ),
        ),
    )


def pin_shape(printer: Printer) -> PrintedShape:
    """The stepped pin, thickest on the bed."""
    steps = tuple(
        Stretch(feature=Feature("body"), z0=k * STEP, z1=(k + 1) * STEP, d0=d, d1=d)
        for k, d in enumerate(PINS)
    )
    return ready(PrintedShape(steps), printer)[0]


def _block(y: float) -> HoleBlock:
    """Holes with 3 mm between them, beside the pin."""
    x, holes = 0.0, []
    for d in HOLES:
        holes.append((d, x + 3 + d / 2))
        x += 3 + d
    length = x + 3
    middle = tuple((d, at - length / 2) for d, at in holes)
    return HoleBlock(
        name="holes",
        length=length,
        width=max(HOLES) + 6,
        height=STEP,
        holes=middle,
        x=3 * SPACING + 14,
        y=y,
    )


def _marks(count: int, shape: PrintedShape, printer: Printer) -> Notches:
    """As wide as two lines, at least 0.8; on the body's upper half, clear of the foot."""
    body = next(s for s in shape.outer if s.feature in ("body", "handle") and s.d0 == s.d1)
    wide = max(0.8, 2 * printer.feature)
    return Notches(
        count=count, radius=body.d0 / 2, wide=wide, deep=0.6, z0=body.z0 + 1.5, z1=body.z1 - 1.0
    )
