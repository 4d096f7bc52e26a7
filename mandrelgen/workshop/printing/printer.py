"""A printer as the print version sees it: what it can form and how its sizes come out."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.shop import Calibration, PrinterKind, PrinterSpec, Shop
from mandrelgen.standards.tables import load

NOMINAL = "nominal"
"""The name of the print that is not compensated at all."""

SIZES = ("outside", "hole", "external_thread", "internal_thread")


@dataclass(frozen=True, slots=True)
class Printer:
    """One printer, mm. ``outside`` and ``hole`` are on the diameter (how much larger an outside,
    how much smaller a hole comes out); thread allowances, ``foot`` and walls are a side.

    ``feature`` is the line width or the pixel, ``flat`` the narrowest crest or root it forms.
    ``origins`` says for each of the four sizes where it comes from; ``dated`` is the day of the
    calibration used, "" without one.
    """

    name: str
    kind: str
    feature: float
    layer: float
    outside: float
    hole: float
    external_thread: float
    internal_thread: float
    foot: float
    least_wall: float
    good_wall: float
    origins: tuple[tuple[str, str], ...] = ()
    dated: str = ""

    @property
    def flat(self) -> float:
        """The narrowest crest or root that is formed, mm."""
        if self.name == NOMINAL:
            return 0.0
        layers, lines = rule(self.kind, "flat_layers"), rule(self.kind, "flat_lines")
        return max(layers * self.layer, lines * self.feature)

    @property
    def file_word(self) -> str:
        """What file names say: ``nominal`` or ``print-<printer>``."""
        return NOMINAL if self.name == NOMINAL else f"print-{self.name}"

    def allowance(self, external: bool) -> float:
        """The allowance of a thread, a side, mm."""
        return self.external_thread if external else self.internal_thread

    def said(self) -> str:
        """One line for paper: the values and what they stand on."""
        if self.name == NOMINAL:
            return "nominal sizes, not compensated for any printer"
        values = ", ".join(
            f"{size.replace('_', ' ')} {getattr(self, size):g} ({why})"
            for size, why in self.origins
        )
        head = f"{self.kind}, line {self.feature:g}, layer {self.layer:g} mm"
        dated = f"calibrated {self.dated}" if self.dated else "not calibrated"
        return f"{self.name}: {head}; {dated}; {values}"


def rule(kind: str, key: str) -> float:
    """A value of ``printers.toml`` for a kind of printer."""
    return float(load("printers")["kind"][kind][key]["value"])


def limit(key: str) -> float:
    """A general limit of ``printers.toml``."""
    return float(load("printers")["limits"][key]["value"])


def names(shop: Shop) -> tuple[str, ...]:
    """Every printer that can be asked for: the shop's, the generic ones, ``nominal``."""
    return tuple(dict.fromkeys((*shop.printers, *load("printers")["generic"], NOMINAL)))


def printer(shop: Shop, name: str) -> Printer:
    """The printer of that name, its latest calibration applied. Raises KeyError."""
    if name == NOMINAL:
        # Judged as a common printer would be; nothing is compensated.
        zero = dict.fromkeys((*SIZES, "foot"), 0.0)
        return replace(_from_spec(NOMINAL, generic_spec("fdm-04")), **zero, origins=())  # type: ignore[arg-type]
    spec = shop.printers.get(name)
    return _from_spec(name, spec if spec is not None else generic_spec(name))


def generic_spec(name: str) -> PrinterSpec:
    """A generic printer in the shop file's own words. Raises KeyError."""
    row = load("printers")["generic"][name]
    width = "nozzle" if row["kind"] == PrinterKind.FDM else "pixel"
    return PrinterSpec.model_validate(
        {"kind": row["kind"], width: row["feature"], "layer": row["layer"]}
    )


def latest(spec: PrinterSpec, size: str) -> Calibration | None:
    """The calibration that counts for one of SIZES: the latest that has it; of one day's, the one
    written last."""
    having = [c for c in spec.calibration if getattr(c, size) is not None]
    return max(enumerate(having), key=lambda e: (e[1].date, e[0]))[1] if having else None


def _from_spec(name: str, spec: PrinterSpec) -> Printer:
    kind = spec.kind.value
    days: list[str] = []
    values: dict[str, float] = {}
    origins = []
    for size in SIZES:
        measured, given = latest(spec, size), getattr(spec, size)
        if measured is not None:
            days.append(measured.date.isoformat())
            values[size], why = float(getattr(measured, size)), f"calibrated {days[-1]}"
        elif given is not None:
            values[size], why = float(given), "shop file"
        else:
            values[size], why = rule(kind, size), f"usual for {kind}"
        origins.append((size, why))
    feature = spec.nozzle if spec.kind is PrinterKind.FDM else spec.pixel
    width = float(feature) if feature is not None else rule(kind, "feature")
    least = float(spec.least_wall) if spec.least_wall is not None else _least_wall(kind, width)
    return Printer(
        name=name,
        kind=kind,
        feature=width * rule(kind, "line"),
        layer=float(spec.layer) if spec.layer is not None else rule(kind, "layer"),
        foot=float(spec.foot) if spec.foot is not None else rule(kind, "foot"),
        least_wall=least,
        good_wall=max(least, rule(kind, "good_wall")),
        origins=tuple(origins),
        dated=max(days, default=""),
        **values,
    )


def _least_wall(kind: str, width: float) -> float:
    """Two lines of the nozzle, but no less than the table's wall."""
    return max(2 * width if kind == "fdm" else 0.0, rule(kind, "least_wall"))
