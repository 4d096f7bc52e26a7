"""The designer's workbench: collects stretches, sizes, decisions and doubts."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import NamedTuple

from mandrelgen.core.errors import Finding, Level
from mandrelgen.core.tolerance import Toleranced
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.model.characteristic import Characteristic, Decision, Kind
from mandrelgen.model.feature import Feature, MandrelEnd
from mandrelgen.model.mandrel import CentreHole, HeldPart, Stretch, ThreadData, ThreadForm
from mandrelgen.standards.iso_2768 import linear

GENERAL = "ISO 2768-m"
# A chamfer only breaks an edge or leads in: ISO 2768-m's ±1° for short legs would ask closer than
# its use, so a note of the sheet says ±5° (common practice, no source).
CHAMFER_HALF, CHAMFERS = 5.0, "note on chamfers"


class BodyRoom(NamedTuple):
    """Least and greatest diameter of a cup's body, and the largest cut into it, mm."""

    least: float
    greatest: float
    inside: float


@dataclass
class Draft:
    """One working end in the making, z = 0 at its seat, + towards the nose, mm.

    Mutable on purpose, and never leaves the designer: the frozen result is
    :class:`mandrelgen.model.mandrel.Mandrel`.
    """

    where: str
    outer: list[Stretch] = field(default_factory=list)
    inner: list[Stretch] = field(default_factory=list)
    characteristics: list[Characteristic] = field(default_factory=list)
    decisions: list[Decision] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    stations: dict[str, float] = field(default_factory=dict)
    threads: list[ThreadData] = field(default_factory=list)
    centre_holes: list[CentreHole] = field(default_factory=list)
    held: list[HeldPart] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    flats: tuple[float, float, float] | None = None
    settled: ToleranceChoice = field(default_factory=ToleranceChoice)
    # What a cup's body has room for; None: no cup.
    body: BodyRoom | None = None

    # -- geometry -------------------------------------------------------------------------------
    def turn(
        self,
        feature: str,
        z0: float,
        z1: float,
        d: float,
        d1: float | None = None,
        thread: ThreadForm | None = None,
    ) -> None:
        """Add a stretch of the outside; the row stays sorted by z."""
        self.outer.append(_stretch(feature, z0, z1, d, d1, thread))
        self.outer.sort(key=lambda s: s.z0)

    def bore(
        self,
        feature: str,
        z0: float,
        z1: float,
        d: float,
        d1: float | None = None,
        thread: ThreadForm | None = None,
    ) -> None:
        """Add a stretch of a bore."""
        self.inner.append(_stretch(feature, z0, z1, d, d1, thread))

    def station(self, name: str, z: float) -> None:
        """Name an axial position."""
        self.stations[name] = z

    # -- sizes ----------------------------------------------------------------------------------
    def diameter(
        self,
        feature: str,
        size: Toleranced,
        decision: str,
        source: str = "",
        functional: bool = False,
    ) -> None:
        """Record ``<feature>.diameter`` with its own tolerance."""
        self._size(
            f"{feature}.diameter", feature, Kind.DIAMETER, size, decision, source, functional
        )

    def general_diameter(self, feature: str, nominal: float, decision: str) -> Toleranced:
        """Record ``<feature>.diameter`` under the general tolerance, and return its limits."""
        size = linear(nominal)
        self._size(
            f"{feature}.diameter", feature, Kind.DIAMETER, size, decision, GENERAL, functional=False
        )
        return size

    def length(
        self,
        id: str,
        feature: str,
        between: tuple[str, str],
        size: Toleranced | None,
        decision: str,
        source: str = "",
        functional: bool = False,
    ) -> Toleranced:
        """Record a length between two named stations; ``size`` None: general tolerance."""
        if size is None:
            size = linear(abs(self.stations[between[1]] - self.stations[between[0]]))
            source = GENERAL
        self._size(id, feature, Kind.LENGTH, size, decision, source, functional, between)
        return size

    def chamfer(
        self,
        id: str,
        feature: str,
        between: tuple[str, str],
        angle: float,
        size: Toleranced,
        decision: str,
        source: str = "",
    ) -> None:
        """Record a chamfer's axial length and its angle to the axis, under the note on chamfers."""
        self._size(
            id, feature, Kind.CHAMFER, size, decision, source, functional=False, between=between
        )
        lean = Toleranced.symmetric(angle, CHAMFER_HALF, CHAMFERS)
        self._size(
            f"{feature}.angle", feature, Kind.ANGLE, lean, decision, COMMON, functional=False
        )

    def angle(
        self, id: str, feature: str, nominal: float, decision: str, half: float | None = None
    ) -> None:
        """Record an angle to the axis, degrees, ± ``half``; without it ±1° (ISO 2768-1, shorter leg
        up to 10 mm)."""
        if half is None:
            size, source = Toleranced.symmetric(nominal, 1.0, GENERAL), GENERAL
        else:
            size, source = Toleranced.symmetric(nominal, half), COMMON
        self._size(id, feature, Kind.ANGLE, size, decision, source, functional=False)

    def need(
        self,
        id: str,
        feature: str,
        kind: Kind,
        upper: float,
        unit: str,
        decision: str,
        source: str,
        datum: str = "",
    ) -> None:
        """Record a geometrical or surface need: an upper limit. A surface's texture is seen, not
        proved: nothing here depends on its figure."""
        self.characteristics.append(
            Characteristic(
                id=id,
                feature=Feature(feature),
                kind=kind,
                nominal=0.0,
                lower=None,
                upper=upper,
                unit=unit,
                source=source,
                decision=decision,
                functional=kind is not Kind.ROUGHNESS,
                datum=datum,
            )
        )

    def plain(
        self,
        id: str,
        feature: str,
        kind: Kind,
        nominal: float,
        decision: str,
        source: str,
        limits: tuple[float | None, float | None] = (None, None),
        written: str = "",
        unit: str = "mm",
        functional: bool = False,
    ) -> None:
        """Record a value with the limits a standard sets (or none)."""
        self.characteristics.append(
            Characteristic(
                id=id,
                feature=Feature(feature),
                kind=kind,
                nominal=nominal,
                lower=limits[0],
                upper=limits[1],
                unit=unit,
                source=source,
                decision=decision,
                written=written,
                functional=functional,
            )
        )

    def _size(
        self,
        id: str,
        feature: str,
        kind: Kind,
        size: Toleranced,
        decision: str,
        source: str,
        functional: bool,
        between: tuple[str, str] | None = None,
    ) -> None:
        unit = "°" if kind is Kind.ANGLE else "mm"
        self.characteristics.append(
            Characteristic(
                id=id,
                feature=Feature(feature),
                kind=kind,
                nominal=size.nominal,
                lower=size.lower,
                upper=size.upper,
                unit=unit,
                source=source,
                decision=decision,
                written=size.note,
                general=size.note in (GENERAL, CHAMFERS),
                functional=functional,
                between=between,
            )
        )

    # -- reasons and doubts ---------------------------------------------------------------------
    def decide(self, id: str, what: str, value: str, why: str, source: str = "") -> str:
        """Record a decision and return its id."""
        self.decisions.append(
            Decision(id=id, what=what, value=value, why=why, source=source or COMMON)
        )
        return id

    def assume(self, texts: tuple[str, ...], known: tuple[str, ...] = ()) -> None:
        """Record what had to be assumed of the part, and what readings or the shop file say of it:
        for the maker, not for the drawing."""
        for n, text in enumerate(known, 1):
            why = "measured on the part, or said of the tool in the shop file"
            self.decide(f"part.known{n}", "taken of the part", text, why)
        for n, text in enumerate(texts, 1):
            self.decide(f"part.assumed{n}", "taken of the part", text, "the pen file does not say")

    def error(
        self, code: str, message: str, remedy: str, lacks: float | None = None, brief: str = ""
    ) -> None:
        """The mandrel cannot be made or cannot work; ``lacks``: by how much, mm."""
        self.findings.append(
            Finding(
                level=Level.ERROR,
                code=code,
                where=self.where,
                message=message,
                remedy=remedy,
                value=None if lacks is None else round(lacks, 4),
                brief=brief,
            )
        )

    def warn(self, code: str, message: str, remedy: str, brief: str = "") -> None:
        """A doubt."""
        self.findings.append(
            Finding(
                level=Level.WARNING, code=code, where=self.where, message=message, remedy=remedy,
                brief=brief,
            )
        )  # fmt: skip

    @property
    def failed(self) -> bool:
        """True once an error stands."""
        return any(f.level is Level.ERROR for f in self.findings)

    # -- double-ended ---------------------------------------------------------------------------
    def mirrored(self, shift: float) -> Draft:
        """The same end turned round as the second, its seat at ``shift``."""
        out = Draft(self.where, findings=self.findings)
        named = MandrelEnd.SECOND.named

        def flip(s: Stretch) -> Stretch:
            return Stretch(
                feature=Feature(named(s.feature)),
                z0=shift - s.z1,
                z1=shift - s.z0,
                d0=s.d1,
                d1=s.d0,
                thread=s.thread,
                corner=s.corner,
            )

        out.outer = [flip(s) for s in reversed(self.outer)]
        out.inner = [flip(s) for s in reversed(self.inner)]
        out.stations = {named(k): shift - z for k, z in self.stations.items()}
        out.decisions = [
            replace(d, id=named(d.id), what=f"end B: {d.what}") for d in self.decisions
        ]
        out.characteristics = [
            replace(
                c,
                id=named(c.id),
                feature=Feature(named(c.feature)),
                decision=named(c.decision),
                between=c.between and (named(c.between[0]), named(c.between[1])),
            )
            for c in self.characteristics
        ]
        out.threads = [replace(t, feature=Feature(named(t.feature))) for t in self.threads]
        out.centre_holes = [replace(h, at="rear") for h in self.centre_holes]
        out.held = [
            HeldPart(h.name, tuple((shift - z, r) for z, r in h.outline)) for h in self.held
        ]
        out.notes = [f"End B: {n}" for n in self.notes]
        if self.flats is not None:
            out.flats = (shift - self.flats[1], shift - self.flats[0], self.flats[2])
        return out


COMMON = "common practice, no source"


def _stretch(
    feature: str, z0: float, z1: float, d: float, d1: float | None, thread: ThreadForm | None
) -> Stretch:
    return Stretch(
        feature=Feature(feature), z0=z0, z1=z1, d0=d, d1=d if d1 is None else d1, thread=thread
    )
