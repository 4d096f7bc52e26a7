"""All that goes to the turner about one mandrel, as values."""

from __future__ import annotations

from fractions import Fraction

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.play import thread_play
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.iso_1502 import Gauge, gauges
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workshop.turning import (
    bar_stock as stock,
)
from mandrelgen.workshop.turning import (
    change_gears as gears,
)
from mandrelgen.workshop.turning import (
    in_process_checks,
    operations,
    over_wires,
    threading,
)
from mandrelgen.workshop.turning import (
    inspection_plan as inspection,
)
from mandrelgen.workshop.turning import (
    start_indexing as indexing,
)
from mandrelgen.workshop.turning.acceptance import in_the_way
from mandrelgen.workshop.turning.bar_stock import BarStock
from mandrelgen.workshop.turning.in_process_checks import InProcessCheck
from mandrelgen.workshop.turning.leaving import Lathe
from mandrelgen.workshop.turning.operations import Operation


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadPages:
    """One thread: how to cut it, index it, gear it, measure it. ``wires`` None: none fits, or an
    internal thread; ``gauges`` empty: ``no_gauges`` says why. ``cutting`` false: the shop does not
    cut it (blank, or the customer's tool)."""

    cutting: bool
    card: threading.ThreadCard
    indexing: indexing.Indexing | None
    gears: gears.ChangeGears
    wires: over_wires.OverWires | None
    reach: over_wires.Reach
    gauges: tuple[Gauge, ...]
    no_gauges: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnerCard:
    """The turner's pages of one mandrel, and the maker's inspection sheet."""

    mandrel: str
    title: str
    lead_screw: str
    stock: BarStock
    order_of_work: tuple[Operation, ...]
    threads: tuple[ThreadPages, ...]
    checks: tuple[InProcessCheck, ...]
    inspection: tuple[inspection.InspectionLine, ...]
    asked_of_shop: tuple[str, ...]


def turner_card(mandrel: Mandrel, shop: Shop) -> TurnerCard:
    """Work out everything for the lathe of ``shop.turner``. Reads no file, writes none."""
    lines = inspection.sheet(mandrel, shop)
    steps = operations.order_of_work(mandrel)
    return TurnerCard(
        mandrel=mandrel.id,
        title=mandrel.title,
        lead_screw=shop.turner.lead_screw,
        stock=stock.choose(mandrel),
        order_of_work=steps,
        threads=tuple(_thread(mandrel, t, shop) for t in mandrel.threads),
        checks=in_process_checks.checks(mandrel, steps),
        inspection=lines,
        asked_of_shop=inspection.summary(lines),
    )


def _thread(mandrel: Mandrel, t: ThreadData, shop: Shop) -> ThreadPages:
    d, turner = t.limits.designation, shop.turner
    lead: Fraction = d.starts * d.pitch.exact
    screw, nut = (t.limits, t.partner) if t.limits.external else (t.partner, t.limits)
    play = thread_play(screw, nut)
    room = play.pitch_min
    found: tuple[Gauge, ...] = ()
    none = ""
    try:
        found = gauges(t.limits)
    except NotHeldError as e:
        none = f"{e.message}; {e.remedy}"
    if stands := in_the_way(t, mandrel):
        found, none = (), f"⌀{text_of(stands)} in front need not pass through a ring"
    train = gears.find(
        lead,
        turner.lead_screw,
        turner.gears,
        t.full_pitches * float(d.pitch),
        d.starts,
        (play.pitch_min + play.pitch_max) / 2,
    )
    lathe = Lathe(turner.lowest_speed, turner.lead_screw, bool(train.exact))
    return ThreadPages(
        cutting=t.order == "single-point",
        card=threading.card(mandrel, t, lathe),
        indexing=indexing.index(d.starts, float(d.pitch), room, turner.gears),
        gears=train,
        wires=over_wires.over_wires(t, tuple(float(w) for w in turner.wires)),
        reach=over_wires.reach(
            mandrel, t, float(turner.anvil), tuple(float(w) for w in turner.wires)
        ),
        gauges=found,
        no_gauges=none,
    )
