"""An old fixture as a mandrel: its measured sizes as characteristics, its shape as far as known.

What nobody measured is taken at its worst and said: run-outs at the loosest the designer asks for,
a thread's unread diameters at the limits of its class.
"""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.design import ends, mandrel_thread
from mandrelgen.model.characteristic import MEASURED, Characteristic, Decision, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import (
    ADOPTED,
    Mandrel,
    MandrelKind,
    Ordering,
    Stretch,
    ThreadData,
    ThreadForm,
)
from mandrelgen.spec.old_fixture import OldFixture, OldKind
from mandrelgen.spec.pen import Measured, ThreadBase
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.threads import ThreadLimits, limits

# Taken of an old fixture whose run-out was not measured, mm (common practice, no source).
WORST_RUN_OUT = 0.05
# Behind a cup's floor; nobody can measure it from outside, mm (assumed).
CUP_FLOOR = 3.0
TITLES = {
    OldKind.PLUG: "Plug mandrel", OldKind.CUP: "Cup mandrel", OldKind.SPIGOT: "Spigot mandrel",
}  # fmt: skip


class _Builder:
    """Collects stretches and characteristics; z = 0 at the seat, + towards the nose, mm."""

    def __init__(self, f: OldFixture) -> None:
        shop = Shop.model_validate({"schema": 1})
        given = None if f.uncertainty is None else float(f.uncertainty)
        self.u = ends.uncertainty_of(f.instrument, given, shop)
        self.source = f"measured with {f.instrument}, U {self.u:g}"
        self.outer: list[Stretch] = []
        self.inner: list[Stretch] = []
        self.rows: list[Characteristic] = []
        self.notes: list[str] = []

    def size(self, id: str, feature: str, kind: Kind, value: float) -> None:
        """A measured size: reading ± U."""
        self.rows.append(
            Characteristic(
                id=id,
                feature=Feature(feature),
                kind=kind,
                nominal=value,
                lower=value - self.u,
                upper=value + self.u,
                unit="mm",
                source=self.source,
                written=MEASURED,
                functional=True,
            )
        )

    def run_out(self, id: str, feature: str, kind: Kind, value: float | None) -> None:
        """A run-out, measured or at its worst."""
        known = value is not None
        self.rows.append(
            Characteristic(
                id=id,
                feature=Feature(feature),
                kind=kind,
                nominal=0.0,
                lower=None,
                upper=float(value) if value is not None else WORST_RUN_OUT,
                unit="mm",
                source=self.source if known else "assumed",
                written=MEASURED if known else "assumed",
                datum="A",
            )
        )
        if not known:
            self.notes.append(f"{id} was not measured: {WORST_RUN_OUT:g} is assumed")


def mandrel_of(f: OldFixture) -> Mandrel:
    """The fixture as a mandrel. Raises NotHeldError as the standards do."""
    b = _Builder(f)
    _behind_the_seat(b, f)
    thread = _thread(b, f)
    if f.kind is OldKind.CUP:
        _inside(b, f)
    else:
        _in_front(b, f)
    z0, z1 = b.outer[0].z0, b.outer[-1].z1
    return Mandrel(
        id=f.id,
        kind=MandrelKind(f.kind.value),
        pen=ADOPTED,
        part=f.id,
        end="seat",
        title=f.title or f"{TITLES[f.kind]}, entered from measurements",
        purpose="Older than its record: entered from measurements alone.",
        outer=tuple(b.outer),
        inner=tuple(sorted(b.inner, key=lambda s: s.z0)),
        characteristics=tuple(b.rows),
        decisions=(
            Decision("entered", "how it came here", "measured", "it is older than the archive"),
        ),
        ordering=Ordering(f.material),
        stations={"rear": z0, "seat": 0.0, "nose": z1},
        threads=() if thread is None else (thread,),
        notes=(*f.notes, *b.notes),
    )


def _behind_the_seat(b: _Builder, f: OldFixture) -> None:
    cup = f.kind is OldKind.CUP and f.floor is not None
    length = max(float(f.seat.length), float(f.floor or 0) + CUP_FLOOR if cup else 0.0)
    z = -length
    b.outer = [
        Stretch(
            feature=Feature("collar"),
            z0=z,
            z1=0.0,
            d0=float(f.seat.diameter),
            d1=float(f.seat.diameter),
        )
    ]
    if f.neck is not None:
        d, start = float(f.neck.diameter), z - float(f.neck.length)
        b.outer.insert(0, Stretch(feature=Feature("neck"), z0=start, z1=z, d0=d, d1=d))
        b.size("neck.diameter", "neck", Kind.DIAMETER, d)
        z = start
    d, start = float(f.shank.diameter), z - float(f.shank.length)
    b.outer.insert(0, Stretch(feature=Feature("shank"), z0=start, z1=z, d0=d, d1=d))
    b.size("shank.diameter", "shank", Kind.DIAMETER, d)
    b.size("shank.length", "shank", Kind.LENGTH, float(f.shank.length))
    b.size("collar.diameter", "collar", Kind.DIAMETER, float(f.seat.diameter))
    given = None if f.seat.run_out is None else float(f.seat.run_out)
    b.run_out("seat.runout", "seat", Kind.FACE_RUNOUT, given)


def _thread(b: _Builder, f: OldFixture) -> ThreadData | None:
    t = f.thread
    if t is None:
        return None
    external = f.kind is OldKind.PLUG
    own = _limits(b, f, external)
    form = mandrel_thread.form_of(own)
    start, end = float(t.start), float(t.end)
    if external:
        _outside_thread(b, f, form, start, end)
    else:
        d = form.crest_diameter
        b.inner.append(
            Stretch(feature=Feature("thread"), z0=-end, z1=-start, d0=d, d1=d, thread=form)
        )
    _diameters(b, own)
    partner = limits(replace(own.designation, tolerance_class=""), not external)
    pitch, lead = float(own.designation.pitch), float(own.designation.lead)
    return ThreadData(
        feature=Feature("thread"),
        limits=own,
        partner=partner,
        full_pitches=(end - start) / pitch,
        turns_of_lead=(end - start) / lead,
        order="single-point",
        form=form,
    )


def _outside_thread(b: _Builder, f: OldFixture, form: ThreadForm, start: float, end: float) -> None:
    """Register, relief and thread of a plug, from the seat."""
    first = 0.0
    if f.register_ is not None:
        first, d = float(f.register_.length), float(f.register_.diameter)
        b.outer.append(Stretch(feature=Feature("register"), z0=0.0, z1=first, d0=d, d1=d))
        b.size("register.diameter", "register", Kind.DIAMETER, d)
        b.size("register.end", "register", Kind.LENGTH, first)
    if start > first:
        d = form.root_diameter
        b.outer.append(Stretch(feature=Feature("relief"), z0=first, z1=start, d0=d, d1=d))
    z0, d = max(start, first), form.crest_diameter
    b.outer.append(Stretch(feature=Feature("thread"), z0=z0, z1=end, d0=d, d1=d, thread=form))
    b.size("thread.end", "thread", Kind.LENGTH, end)


def _diameters(b: _Builder, own: ThreadLimits) -> None:
    """The thread's three diameters; one that was read stands in the middle of its reading."""
    for name, kind, band in (
        ("major", Kind.THREAD_MAJOR, own.major),
        ("pitch", Kind.THREAD_PITCH_DIAMETER, own.pitch),
        ("minor", Kind.THREAD_MINOR, own.minor),
    ):
        read = name in own.measured
        nominal = getattr(own.basic, name)
        if read and band.min is not None and band.max is not None:
            nominal = (band.min + band.max) / 2
        b.rows.append(
            Characteristic(
                id=f"thread.{name}_diameter",
                feature=Feature("thread"),
                kind=kind,
                nominal=nominal,
                lower=band.min,
                upper=band.max,
                unit="mm",
                source=b.source if read else own.source,
                written=MEASURED if read else own.tolerance_class,
                functional=True,
            )
        )


def _limits(b: _Builder, f: OldFixture, external: bool) -> ThreadLimits:
    assert f.thread is not None
    t = f.thread
    read = t.crest is not None or t.pitch_diameter is not None
    measured = None
    if read:
        measured = Measured(
            crest=t.crest,
            pitch_diameter=t.pitch_diameter,
            instrument=f.instrument,
            uncertainty=f.uncertainty,
        )
    spec = ThreadBase(thread=t.thread, measured=measured)
    own, said = ends.part_thread(spec, external, Shop.model_validate({"schema": 1}))
    b.notes += said
    if t.pitch_diameter is None:
        b.notes.append(
            f"the thread's pitch diameter was not measured: class {own.tolerance_class} is assumed"
        )
    return own


def _in_front(b: _Builder, f: OldFixture) -> None:
    """Spigot steps and nose; what lies between the steps is taken as their smaller neighbour."""
    z = b.outer[-1].z1
    for n, s in enumerate(f.spigot, 1):
        d = float(s.diameter)
        if s.start > z + 1e-9:
            form = b.outer[-1].thread
            gap = d if form is None else min(d, form.root_diameter)
            b.outer.append(
                Stretch(feature=Feature(f"gap{n}"), z0=z, z1=float(s.start), d0=gap, d1=gap)
            )
        name = f"spigot{n}"
        b.outer.append(
            Stretch(feature=Feature(name), z0=float(s.start), z1=float(s.end), d0=d, d1=d)
        )
        b.size(f"{name}.diameter", name, Kind.DIAMETER, d)
        given = None if s.run_out is None else float(s.run_out)
        b.run_out(f"{name}.runout", name, Kind.RUNOUT, given)
        z = float(s.end)
    nose = max(float(f.nose or 0), z)
    if nose > z + 1e-9:
        d = b.outer[-1].d1
        b.outer.append(Stretch(feature=Feature("nose"), z0=z, z1=nose, d0=d, d1=d))
    b.size("nose.end", "nose", Kind.LENGTH, nose)


def _inside(b: _Builder, f: OldFixture) -> None:
    assert f.counterbore is not None
    assert f.floor is not None
    assert f.thread is not None
    d, depth, floor = float(f.counterbore.diameter), float(f.counterbore.length), float(f.floor)
    end, start = float(f.thread.end), float(f.thread.start)
    crest = b.inner[0].d0
    b.inner.append(Stretch(feature=Feature("counterbore"), z0=-depth, z1=0.0, d0=d, d1=d))
    if start > depth + 1e-9:
        b.inner.append(
            Stretch(feature=Feature("countersink"), z0=-start, z1=-depth, d0=crest, d1=d)
        )
    if floor > end + 1e-9:
        behind = crest if f.relief is None else float(f.relief)
        b.inner.append(Stretch(feature=Feature("relief"), z0=-floor, z1=-end, d0=behind, d1=behind))
        if f.relief is not None:
            b.size("relief.diameter", "relief", Kind.DIAMETER, behind)
    b.size("counterbore.diameter", "counterbore", Kind.DIAMETER, d)
    b.size("counterbore.depth", "counterbore", Kind.LENGTH, depth)
    b.size("floor.depth", "relief", Kind.LENGTH, floor)
    b.run_out("counterbore.runout", "counterbore", Kind.RUNOUT, None)
