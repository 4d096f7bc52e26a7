"""The maker's wishes merged with the designer's defaults."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.pen import CentreHoles, Fit, Options, ThreadOrder, ThreadRelief
from mandrelgen.spec.shop import Shop

# Stainless where the shop screwcuts: wet sanding rusts free-cutting steel, and aluminium and brass
# grey a pale resin; brass for the maker's own die or tap, which steel chips (common practice, no
# source).
SCREWCUT_MATERIAL, OWN_TOOL_MATERIAL = "1.4305", "CW614N"
# What a turner cuts with tools of his own.
TURNERS = (ThreadOrder.SINGLE_POINT, ThreadOrder.STOCK_TAP)
# Nut face to seat: room for a narrow tool rest and a hand (common practice, no source).
DEFAULT_STAND_OFF = 15.0


class Body(NamedTuple):
    """A cup's body as the shank beside it settles it: ⌀ in mm; ``bar``: it is the shank's bar."""

    diameter: float
    bar: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """Every option resolved; None where the designer chooses. Lengths in mm, Ra in µm."""

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
    centre_holes: CentreHoles | None
    through_bore: float
    thread_order: ThreadOrder
    soft_washer: float
    marking: str
    tailstock_button: bool
    pens: int | None = None
    run_out: float | None = None
    seat_run_out: float | None = None
    shank_form: float | None = None
    roughness: float | None = None
    thread_relief: ThreadRelief | None = None
    # What the maker said himself; where he did not, the verdict may settle it.
    fit_asked: bool = False
    flats_asked: bool | None = None
    material_asked: bool = True
    # Nobody said how the thread is cut.
    thread_open: bool = False
    # Settled by the designer once it knows the shank (None: by the part's ring alone).
    body: Body | None = None

    @property
    def screwcutting_open(self) -> bool:
        """Whether a stock tap may give way to screwcutting, which leaves a groove."""
        return self.thread_open and self.thread_relief is not ThreadRelief.NONE


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

    order = ThreadOrder(str(pick("thread_order", ThreadOrder.SINGLE_POINT)))
    usual = SCREWCUT_MATERIAL if order in TURNERS else OWN_TOOL_MATERIAL
    centred, relief = pick("centre_holes", None), pick("thread_relief", None)
    return Wishes(
        fit=Fit(str(pick("fit", Fit.NORMAL))),
        thread_class=str(pick("thread_class", "")),
        deviation=length("deviation", None),
        material=str(pick("material", usual)),
        material_asked=pick("material", None) is not None,
        quantity=int(str(pick("quantity", 1))),
        shank_diameter=length("shank_diameter", shop.mandrel_diameter),
        shank_length=length("shank_length", None),
        stand_off=length("stand_off", DEFAULT_STAND_OFF) or 0.0,
        spigot_diameter=length("spigot_diameter", None),
        spigot_length=length("spigot_length", None),
        flats=bool(pick("flats", fallback=False)),
        centre_holes=None if centred is None else CentreHoles(str(centred)),
        through_bore=length("through_bore", 0.0) or 0.0,
        thread_order=order,
        thread_open=pick("thread_order", None) is None,
        thread_relief=None if relief is None else ThreadRelief(str(relief)),
        soft_washer=length("soft_washer", 0.0) or 0.0,
        marking=str(pick("marking", "")),
        tailstock_button=bool(pick("tailstock_button", fallback=False)),
        pens=None if pick("pens", None) is None else int(str(pick("pens", 0))),
        run_out=length("run_out", None),
        seat_run_out=length("seat_run_out", None),
        shank_form=length("shank_form", None),
        roughness=length("roughness", None),
        fit_asked=any(pick(n, None) is not None for n in ("fit", "thread_class", "deviation")),
        flats_asked=None if pick("flats", None) is None else bool(pick("flats", fallback=False)),
    )
