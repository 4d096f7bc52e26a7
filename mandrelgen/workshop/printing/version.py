"""The print version of a part: the same stretches and thread patches, compensated for a printer."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.half_section import TOUCH, Profile
from mandrelgen.model.mandrel import Flats, Mandrel, Stretch
from mandrelgen.workshop.printing.printer import NOMINAL, Printer
from mandrelgen.workshop.printing.shape import PrintedShape, bores, held, ready
from mandrelgen.workshop.printing.thread import PrintedThread, printed_thread


@dataclass(frozen=True, slots=True)
class PrintVersion:
    """A part ready to print: shape, its threads as designed and printed, what was changed."""

    printer: Printer
    shape: PrintedShape
    threads: tuple[PrintedThread, ...]
    changes: tuple[str, ...]

    @property
    def profile(self) -> Profile:
        """The half-section."""
        return self.shape.profile()


def of_mandrel(mandrel: Mandrel, printer: Printer) -> PrintVersion:
    """The print version of a mandrel, whole, its shank end on the bed."""
    return of_shape(PrintedShape(mandrel.outer, mandrel.inner, mandrel.flats), printer)


def of_shape(shape: PrintedShape, printer: Printer) -> PrintVersion:
    """Compensate a part. What enters the pen's part shrinks by the external thread's allowance all
    over, what takes it (a bore with a thread) grows by the internal one's; other outsides and holes
    are corrected to come out at their size. ``nominal`` leaves everything as it is."""
    threads: dict[str, PrintedThread] = {}
    for s in (*shape.outer, *shape.inner):
        if s.thread is not None:
            allowance = printer.allowance(s.thread.external)
            threads[s.feature] = printed_thread(s.feature, s.thread, allowance, printer.flat)
    if printer.name == NOMINAL:
        return PrintVersion(printer, shape, tuple(threads.values()), ())
    outer = _joined(tuple(_outer(s, printer, threads) for s in shape.outer), shape.outer)
    taking = _taking(shape.inner)
    inner = _joined(
        tuple(_inner(s, s in taking, printer, threads) for s in shape.inner), shape.inner
    )
    moved = PrintedShape(outer, inner, _flats(shape.flats, printer))
    out, said = ready(moved, printer)
    return PrintVersion(
        printer, out, tuple(threads.values()), (*_said(shape, printer, threads), *said)
    )


def _outer(s: Stretch, printer: Printer, threads: dict[str, PrintedThread]) -> Stretch:
    if s.thread is not None:
        return _threaded(s, threads[s.feature])
    less = printer.outside if held(s.feature) else 2 * printer.external_thread
    crests = _crests(threads)

    def moved(d: float) -> float:
        return crests.get(d, max(0.0, d - less))

    return replace(s, d0=moved(s.d0), d1=moved(s.d1))


def _crests(threads: dict[str, PrintedThread]) -> dict[float, float]:
    """The crests of threads that fade, as designed and as printed: their cylinders run on, mm."""
    return {
        t.designed.crest_diameter: t.printed.crest_diameter
        for t in threads.values()
        if t.designed.fade
    }


def _inner(
    s: Stretch, taking: bool, printer: Printer, threads: dict[str, PrintedThread]
) -> Stretch:
    if s.thread is not None:
        return _threaded(s, threads[s.feature])
    more = 2 * printer.internal_thread if taking else printer.hole
    crests = _crests(threads) if taking else {}

    def moved(d: float) -> float:
        return crests.get(d, d + more) if d else 0.0

    return replace(s, d0=moved(s.d0), d1=moved(s.d1))


def _threaded(s: Stretch, t: PrintedThread) -> Stretch:
    d = t.printed.crest_diameter
    return replace(s, d0=d, d1=d, thread=t.printed)


def _taking(inner: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
    """The stretches of every bore that has a thread."""
    return tuple(s for b in bores(inner) if any(x.thread for x in b) for s in b)


def _joined(moved: tuple[Stretch, ...], old: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
    """Let the cones beside a thread end on its new crest, at their own angle: the thread's ends
    move along the axis for it."""
    out = list(moved)
    for i, (a, b) in enumerate(pairwise(old)):
        if abs(a.z1 - b.z0) > TOUCH or (a.thread is None) == (b.thread is None):
            continue
        before, after = out[i], out[i + 1]
        if a.thread is None and a.d0 != a.d1 and abs(a.d1 - b.d0) < TOUCH:
            z = before.z0 + (a.z1 - a.z0) * (after.d0 - before.d0) / (a.d1 - a.d0)
            out[i], out[i + 1] = replace(before, z1=z, d1=after.d0), replace(after, z0=z)
        elif b.thread is None and b.d0 != b.d1 and abs(a.d1 - b.d0) < TOUCH:
            z = after.z1 - (b.z1 - b.z0) * (after.d1 - before.d1) / (b.d1 - b.d0)
            out[i], out[i + 1] = replace(before, z1=z), replace(after, z0=z, d0=before.d1)
    return tuple(out)


def _flats(flats: Flats | None, printer: Printer) -> Flats | None:
    return None if flats is None else replace(flats, across=flats.across - printer.outside)


def _said(
    shape: PrintedShape, printer: Printer, threads: dict[str, PrintedThread]
) -> tuple[str, ...]:
    said = []
    for t in threads.values():
        way = "smaller" if t.designed.external else "larger"
        text = f"{t.feature}: {t.allowance:g} {way} a side"
        if t.crest > 0:
            text += f", crest cut back by {t.crest:.3f} to a flat of {t.printed.crest_flat:.3f}"
        if t.root > 0:
            text += f", root filled by {t.root:.3f} to a flat of {t.printed.root_flat:.3f}"
        said.append(text)
    if any(not held(s.feature) and s.thread is None for s in shape.outer):
        said.append(f"what enters the part: {printer.external_thread:g} smaller a side")
    if any(held(s.feature) for s in shape.outer):
        said.append(f"other outsides: {printer.outside:g} smaller on the diameter")
    if shape.inner:
        said.append(
            f"holes: {printer.hole:g} larger on the diameter, round a thread "
            f"{printer.internal_thread:g} a side"
        )
    return tuple(said)
