"""The maker's wishes merged with the designer's defaults."""

from __future__ import annotations

from dataclasses import dataclass

from mandrelgen.spec.pen import CentreHoles, Fit, Options, ThreadOrder
from mandrelgen.spec.shop import Shop

DEFAULT_MATERIAL = "11SMn30"
# Nut face to seat: room for a narrow tool rest and a hand (common practice, no source).
DEFAULT_STAND_OFF = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """Every option resolved; None where the designer chooses. Lengths in mm."""

    fit: Fit
    thread_class: str
    deviation: float | None
    material: str
    quantity: int
    shank_diameter: float | None
    shank_length: float | None
    stand_off: float
    spigot_diameter: float | None
    spigot_length: float | None
    flats: bool
    centre_holes: CentreHoles
    through_bore: float
    thread_order: ThreadOrder
    soft_washer: float
    marking: str
    tailstock_button: bool
    pens: int | None = None
    # What the maker said himself; where he did not, the verdict may settle it.
    fit_asked: bool = False
    flats_asked: bool | None = None


def merge(request: Options | None, defaults: Options, shop: Shop) -> Wishes:
    """The request's own wishes, else the pen's defaults, else the shop's, else ours."""

    def pick(name: str, fallback: object) -> object:
        for source in (request, defaults):
            value = getattr(source, name, None) if source is not None else None
            if value is not None:
                return value
        return fallback

    def length(name: str, fallback: float | None) -> float | None:
        value = pick(name, fallback)
        return None if value is None else float(value)  # type: ignore[arg-type]

    return Wishes(
        fit=Fit(str(pick("fit", Fit.NORMAL))),
        thread_class=str(pick("thread_class", "")),
        deviation=length("deviation", None),
        material=str(pick("material", DEFAULT_MATERIAL)),
        quantity=int(str(pick("quantity", 1))),
        shank_diameter=length("shank_diameter", shop.mandrel_diameter),
        shank_length=length("shank_length", None),
        stand_off=length("stand_off", DEFAULT_STAND_OFF) or 0.0,
        spigot_diameter=length("spigot_diameter", None),
        spigot_length=length("spigot_length", None),
        flats=bool(pick("flats", fallback=False)),
        centre_holes=CentreHoles(str(pick("centre_holes", CentreHoles.BOTH))),
        through_bore=length("through_bore", 0.0) or 0.0,
        thread_order=ThreadOrder(str(pick("thread_order", ThreadOrder.SINGLE_POINT))),
        soft_washer=length("soft_washer", 0.0) or 0.0,
        marking=str(pick("marking", "")),
        tailstock_button=bool(pick("tailstock_button", fallback=False)),
        pens=None if pick("pens", None) is None else int(str(pick("pens", 0))),
        fit_asked=any(pick(n, None) is not None for n in ("fit", "thread_class", "deviation")),
        flats_asked=None if pick("flats", None) is None else bool(pick("flats", fallback=False)),
    )
