"""Collects what a mandrel for the drawing's tests consists of."""

from __future__ import annotations

from mandrelgen.model.characteristic import Characteristic, Decision, Kind
from mandrelgen.model.mandrel import (
    Mandrel,
    MandrelKind,
    Ordering,
    Stretch,
    ThreadData,
    ThreadForm,
)
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits

ORDER = Ordering(
    "11SMn30+C (1.0715), ⌀16 bar", 2, marking="TM-0042 on the shank", collet="ISO 15488-20, 12"
)


class Builder:
    """Collects stretches, stations and characteristics of one mandrel."""

    def __init__(self) -> None:
        self.outer: list[Stretch] = []
        self.inner: list[Stretch] = []
        self.cs: list[Characteristic] = []
        self.stations: dict[str, float] = {}
        self.threads: list[ThreadData] = []

    def cyl(self, feature: str, z0: float, z1: float, d: float, d1: float | None = None) -> None:
        self.outer.append(Stretch(feature=feature, z0=z0, z1=z1, d0=d, d1=d if d1 is None else d1))

    def diameter(
        self, id: str, feature: str, d: float, lo: float, hi: float, written: str = ""
    ) -> None:
        source = "ISO 286-2:2010" if written else "ISO 2768-1:1989"
        self.cs.append(
            Characteristic(
                id=id,
                feature=feature,
                kind=Kind.DIAMETER,
                nominal=d,
                lower=d + lo,
                upper=d + hi,
                written=written,
                general=not written,
                source=source,
            )
        )

    def length(
        self, id: str, a: str, b: str, tol: float | None = None, kind: Kind = Kind.LENGTH
    ) -> None:
        n = round(abs(self.stations[b] - self.stations[a]), 6)
        t = 0.1 if tol is None else tol
        self.cs.append(
            Characteristic(
                id=id,
                feature=id.rsplit(".", 1)[0],
                kind=kind,
                nominal=n,
                lower=n - t,
                upper=n + t,
                written="" if tol is None else f"±{tol:g}",
                general=tol is None,
                between=(a, b),
                source="ISO 2768-1:1989",
            )
        )

    def geometric(self, id: str, kind: Kind, feature: str, t: float, datum: str = "") -> None:
        self.cs.append(
            Characteristic(
                id=id,
                feature=feature,
                kind=kind,
                nominal=0.0,
                lower=None,
                upper=t,
                datum=datum,
                functional=True,
            )
        )

    def rough(self, id: str, feature: str, ra: float) -> None:
        self.cs.append(
            Characteristic(
                id=id,
                feature=feature,
                kind=Kind.ROUGHNESS,
                nominal=ra,
                lower=None,
                upper=ra,
                unit="µm",
            )
        )

    def thread(self, feature: str, text: str, external: bool, partner: str = "") -> ThreadForm:
        own, other = limits(parse(text), external), limits(parse(text), not external)
        d = own.designation
        pitch_mid = mid(own.pitch.min, own.pitch.max)
        crest = own.crest
        p = float(d.pitch)
        root = own.basic.minor - 0.1 * p if external else own.basic.major + 0.1 * p
        form = ThreadForm(
            external=external,
            starts=d.starts,
            pitch=p,
            left_hand=d.left_hand,
            crest_diameter=mid(crest.min, crest.max),
            pitch_diameter=pitch_mid,
            root_diameter=root,
        )
        self.threads.append(
            ThreadData(
                feature=feature,
                limits=own,
                partner=other,
                full_pitches=6.2,
                turns_of_lead=6.2 / d.starts,
                order="single-point",
                form=form,
            )
        )
        for name, kind, band, nominal in (
            ("major_diameter", Kind.THREAD_MAJOR, own.major, own.basic.major),
            ("pitch_diameter", Kind.THREAD_PITCH_DIAMETER, own.pitch, own.basic.pitch),
            ("minor_diameter", Kind.THREAD_MINOR, own.minor, own.basic.minor),
        ):
            self.cs.append(
                Characteristic(
                    id=f"{feature}.{name}",
                    feature=feature,
                    kind=kind,
                    nominal=nominal,
                    lower=band.min,
                    upper=band.max,
                    written=own.tolerance_class,
                    source=own.source,
                )
            )
        for name, kind, value in (
            ("pitch", Kind.PITCH, p), ("lead", Kind.LEAD, d.lead), ("starts", Kind.COUNT, d.starts)
        ):  # fmt: skip
            self.cs.append(
                Characteristic(
                    id=f"{feature}.{name}",
                    feature=feature,
                    kind=kind,
                    nominal=float(value),
                    lower=None,
                    upper=None,
                )
            )
        return form

    def done(self, kind: MandrelKind, title: str, **more: object) -> Mandrel:
        decisions = (
            Decision(
                id="spigot",
                what="Spigot diameter",
                value="8.15 h8",
                why="smaller than the bore at its minimum and than the thread's minor diameter",
                source="common practice, no source",
            ),
            Decision(
                id="relief",
                what="Relief",
                value="1.7 wide",
                why="narrow form: the thread keeps its length",
                source="DIN 76-1:2016 form B",
            ),
        )
        return Mandrel(
            id="m1", kind=kind, pen="Heron", part="cap", end="mouth", title=title,
            purpose="Holds the cap by its thread for turning and polishing the outside",
            outer=tuple(self.outer), inner=tuple(sorted(self.inner, key=lambda s: s.z0)),
            characteristics=tuple(self.cs), decisions=decisions,
            ordering=ORDER,
            stations=self.stations, threads=tuple(self.threads),
            notes=("Finish thread, seat and spigot in one setting, held on the finished shank.",
                   "Modelled sizes are nominal; the thread is at the middle of its limits.",
                   "Dress the feather starts of the thread with a file."),
            cautions=("Left-hand and reverse running unscrew the part.",),
            **more,  # type: ignore[arg-type]
        )  # fmt: skip


def mid(a: float | None, b: float | None) -> float:
    assert a is not None
    assert b is not None
    return (a + b) / 2
