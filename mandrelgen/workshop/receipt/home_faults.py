"""What readings and tests prove against a mandrel, whether it matters, and what mends it.

A size proved outside its limits is a fault of the turner's; it matters where the use misses what
the joint needs by the same budget as a design's, or where a test by hand fails. What a test shows
to serve is no harm, whatever a caliper says. Who can mend what: common practice, no source; the
amounts are estimates (``data/judging.toml``).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from mandrelgen.assess.mandrel_findings import THIN
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.practice import judged
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.standards.materials import material
from mandrelgen.workshop.receipt import home_asks, home_shank
from mandrelgen.workshop.receipt.comparison import EndInUse
from mandrelgen.workshop.receipt.home_asks import Asks
from mandrelgen.workshop.receipt.home_evidence import Evidence
from mandrelgen.workshop.receipt.home_form import thread_at
from mandrelgen.workshop.receipt.home_tests import HALF_TURN, PIN, SHAKE, HomeTest, Standing
from mandrelgen.workshop.receipt.readings import SHANK, Reading
from mandrelgen.workshop.turning import instruments
from mandrelgen.workshop.turning.inspection_plan import limits_text
from mandrelgen.workshop.turning.names import what

STEEL = 150_000  # MPa: brass and aluminium stay below it
_THREAD = (Kind.THREAD_MAJOR, Kind.THREAD_PITCH_DIAMETER, Kind.THREAD_MINOR)
_RUN_OUT = (Kind.RUNOUT, Kind.FACE_RUNOUT)
_GUIDES = (FeatureKind.SPIGOT, FeatureKind.REGISTER)


@dataclass(frozen=True, slots=True)
class Rework:
    """What would mend it: of which characteristic (``balloon`` 0: none is drawn), what to do,
    how much (mm, off a diameter or a length), and whether the maker can."""

    id: str
    balloon: int
    what: str
    amount: float
    maker: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Something proved wrong: ``balloons`` of the drawing, ``said`` what was found there with its
    uncertainty, ``harms`` whether the use suffers, ``why`` or why not, and what mends it; ``size``:
    a reading outside limits, else a test by hand; ``asks``: what has to be known before it is the
    turner's; ``binds``: what the drawing says of it, for the letter."""

    id: str
    balloons: tuple[int, ...]
    said: str
    harms: bool
    why: str
    rework: Rework | None = None
    size: bool = True
    asks: Asks | None = None
    binds: str = ""


@dataclass(frozen=True, slots=True)
class Missed:
    """What the use misses that the design met: by an axis that is off (mismatch, far end, wall; ""
    if nothing), and room by the characteristics it hangs on, each in words."""

    axis: str
    room: Mapping[str, str]


def missed(sides: Sequence[EndInUse]) -> Missed:
    """What the ends in use miss, more than a figure that is compared may be off."""
    tolerance = judged("compare", "tolerance")
    room: dict[str, str] = {}
    for s in sides:
        for f in s.figures:
            if f.id.startswith("fit.") and f.more and f.worse and (f.made or 0.0) < -tolerance:
                id = f.id.removeprefix("fit.")
                room.setdefault(id, f"{f.label}: {text_of(-(f.made or 0.0))} too little at worst")
    return Missed(next((t for s in sides if (t := _axis(s, tolerance))), ""), room)


def _axis(s: EndInUse, tolerance: float) -> str:
    """What an end misses since its axis is off, by the figures of the budget; "" if nothing."""
    made, drawn = _both(s, "joint_step.centred")
    if made > max(s.need, drawn) + tolerance:
        place = f"at {s.joint}" if s.joint else "where the parts meet"
        return (f"mismatch {place} typically {text_of(made)}, and {text_of(s.need)} is what the "
                f"joint bears (as drawn {text_of(drawn)})")  # fmt: skip
    made, drawn = _both(s, "runout_end")
    times = judged("receipt", "far_end")
    if made > times * drawn + tolerance:
        return (f"the part's far end runs out by {text_of(made, 2)}, more than {times:g} times the "
                f"{text_of(drawn, 2)} of the design")  # fmt: skip
    if any(f.id == "thinnest_wall" for f in s.figures):
        made, drawn = _both(s, "thinnest_wall")
        if made < THIN <= drawn:
            return f"it leaves a wall of {text_of(made, 2)} (as drawn {text_of(drawn, 2)})"
    return ""


def _both(s: EndInUse, id: str) -> tuple[float, float]:
    """A figure as made and as designed."""
    f = s.figure(id)
    return f.made or 0.0, f.designed or 0.0


def faults(e: Evidence) -> tuple[Fault, ...]:
    """Everything proved wrong, sizes in the order of their balloons, then tests."""
    sizes, tests = list(_sizes(e, missed(e.sides))), list(_tests(e))
    told = {f.id for f in sizes if f.harms}
    # A test that fails for a size that is told already needs no cure of its own.
    found = [
        f if f.rework is None or f.rework.id not in told
        else replace(f, rework=None, harms=False, why="it follows from the size named before")
        for f in tests
    ]  # fmt: skip
    return (*sizes, *found)


def _sizes(e: Evidence, use: Missed) -> Iterator[Fault]:
    ids = dict.fromkeys([c.id for c in e.drawn.characteristics] + [r.id for r in e.readings])
    for id in ids:
        mine = e.of(id)
        if e.verdict(id) is not Conformity.REJECT:
            continue
        worst = next(r for r in mine if r.verdict is Conformity.REJECT)
        c = next((c for c in e.drawn.characteristics if c.id == id), None)
        n = e.balloon(id)
        if c is None:  # a run-out asked in words
            yield Fault(
                id=id, balloons=(), said=f"run-out of the thread: {_read(worst)}",
                harms=bool(use.axis) or not e.sides, why=use.axis or BORNE,
            )  # fmt: skip
            continue
        if instruments.informative(e.drawn, c):
            continue
        harms, why = _harm(e, c, worst, use)
        yield Fault(
            id=id, balloons=(n,), said=f"{what(c)}, {limits_text(c)}: {_read(worst)}", harms=harms,
            why=why, rework=rework_of(e, c, worst),
        )  # fmt: skip


def _read(r: Reading) -> str:
    """A reading as the turner is told it."""
    if r.value is None:
        return f"fails by {r.instrument}"
    if r.instrument == HALF_TURN:
        return (f"I read {text_of(r.value)} ± {text_of(r.uncertainty)} (indicator, mandrel turned "
                "half round in my collet: half the vector difference)")  # fmt: skip
    if r.instrument == SHAKE:
        return f"the piece has {text_of(r.raw or 0.0)} of play on it, more than the limits give"
    return f"I read {text_of(r.value)} ± {text_of(r.uncertainty)} ({r.instrument})"


BORNE = "no harm: joint, far end and wall bear it"


def _harm(e: Evidence, c: Characteristic, r: Reading, use: Missed) -> tuple[bool, str]:
    """Whether a size outside its limits matters, and why or why not."""
    metal = surplus(e.drawn, c, r)
    loose = c.kind is Kind.THREAD_PITCH_DIAMETER or c.feature.kind in _GUIDES
    if c.kind in _RUN_OUT or (loose and metal < 0):
        if not e.sides:
            return c.functional, "no joint is known to judge it by"
        return bool(use.axis), use.axis or BORNE
    if (held := home_shank.harm(e, c, r)) is not None:
        return held
    if (shown := _shown_to_serve(e, c)) is not None:
        return False, f"no harm: {shown}"
    if c.id in use.room:
        return True, use.room[c.id]
    if c.feature.kind is FeatureKind.COLLAR and c.kind is Kind.DIAMETER and metal > 0:
        return True, "the finishing tool would touch it"
    if c.functional:
        return True, "the use hangs on it, and no test shows that it serves"
    return False, _hangs_elsewhere(e.drawn)


_BEARS = {
    FeatureKind.THREAD: "the thread", FeatureKind.SEAT: "the locating face",
    FeatureKind.SPIGOT: "the spigot", FeatureKind.REGISTER: "the register",
    FeatureKind.COUNTERBORE: "the counterbore", FeatureKind.SHANK: "the shank",
}  # fmt: skip


def _hangs_elsewhere(drawn: Mandrel) -> str:
    """Why a size does no harm: what the use hangs on instead."""
    kinds = {c.feature.kind for c in drawn.characteristics if c.functional}
    named = [said for kind, said in _BEARS.items() if kind in kinds]
    if not named:
        return "no harm: the use does not hang on it"
    listed = " and ".join(x for x in (", ".join(named[:-1]), named[-1]) if x)
    return f"no harm: the use hangs on {listed}"


def _shown_to_serve(e: Evidence, c: Characteristic) -> str | None:
    """What a test by hand shows that this size is for; None if none was done, or it fails."""
    tests: tuple[str, ...] = ()
    if c.id == SHANK:
        tests = ("clamps",)
    elif c.kind in _THREAD:
        tests = (c.end.named("screws"),)
    elif c.kind is Kind.LENGTH and c.functional:
        tests = (c.end.named("seats"),)
    elif c.feature.kind in (*_GUIDES, FeatureKind.COUNTERBORE):
        screws = thread_at(e.drawn, c.end) is not None
        tests = (c.end.named("screws" if screws else "enters"),)
    for id in tests:
        found = e.test(id)
        if found is not None and found.state is Standing.HOLDS:
            return found.shows
    return None


def surplus(mandrel: Mandrel, c: Characteristic, r: Reading) -> float:
    """Metal too much (above 0) or too little (below 0), mm on the size; 0 for a need, or a gauge's
    word."""
    if r.value is None or c.kind in _RUN_OUT or (c.lower is None and c.nominal == 0):
        return 0.0
    if c.upper is not None and r.value > c.upper:
        out = r.value - c.upper
    elif c.lower is not None and r.value < c.lower:
        out = r.value - c.lower
    else:
        return 0.0
    return -out if instruments.is_inside(mandrel, c) else out


def rework_of(e: Evidence, c: Characteristic, r: Reading) -> Rework | None:
    """What takes a size into its limits, to their middle; None where metal would have to be put
    on, or where nothing finished can be moved (a run-out of the thread)."""
    n = e.balloon(c.id)
    if c.kind is Kind.FACE_RUNOUT and r.value is not None:
        said = ("face the locating face lightly, the shank in my collet, until it runs true: "
                f"about {text_of(r.value, 2)} off at the high place (balloon {n})")  # fmt: skip
        return Rework(id=c.id, balloon=n, what=said, amount=r.value, maker=_soft(e.drawn))
    if surplus(e.drawn, c, r) <= 0 or r.value is None or c.lower is None or c.upper is None:
        return None
    if c.kind is Kind.THREAD_PITCH_DIAMETER:
        return None
    to = _aim(c.lower, c.upper)
    amount = abs(r.value - to)
    mark = "" if c.kind is Kind.LENGTH else "⌀"
    verb = f"take {text_of(amount)} off"
    if instruments.is_inside(e.drawn, c):
        verb = f"open by {text_of(amount)}" if mark else f"deepen by {text_of(amount)}"
    said = (f"{verb} {mark}{text_of(r.value)} ({what(c)}, balloon {n}), to {mark}{text_of(to)} "
            f"(limits {limits_text(c)})")  # fmt: skip
    return Rework(id=c.id, balloon=n, what=said, amount=amount, maker=_maker_can(e.drawn, amount))


def _aim(lower: float, upper: float) -> float:
    """The middle of two limits, to the hundredth where one lies between them, mm."""
    rough = round((lower + upper) / 2, 2)
    return rough if lower < rough < upper else (lower + upper) / 2


def _maker_can(mandrel: Mandrel, amount: float) -> bool:
    """Fine abrasive by hand takes little off anything; a scraper more off what is soft."""
    if amount <= judged("receipt", "abrasive"):
        return True
    return _soft(mandrel) and amount <= judged("receipt", "scraped")


def _soft(mandrel: Mandrel) -> bool:
    """Brass, aluminium, plastic: what hand tools on a wood lathe cut."""
    return material(mandrel.ordering.material).youngs_modulus < STEEL


def _tests(e: Evidence) -> Iterator[Fault]:
    """Tests by hand that fail."""
    for t in e.tests:
        end = MandrelEnd.of(t.id)
        own = t.id.removeprefix(end.value)
        if t.state is not Standing.FAILS or own.startswith("runout.") or own == "shake":
            continue
        if any(r.instrument == PIN for i in t.stands_for for r in e.of(i)):
            continue  # told as a size
        ids = (end.named("seat.runout"),) if own in ("seats", "rocks") else t.stands_for
        numbers = tuple(n for i in ids if (n := e.balloon(i)))
        asks = home_asks.asks(e, t)
        why = "without it the mandrel does not hold the part" if asks is None else asks.why
        yield Fault(
            id=t.id, balloons=numbers, said=f"{_by(own)}: {t.shows}", harms=True, why=why,
            rework=_cure(e, t, own), size=False, asks=asks, binds=home_asks.binds(e, t),
        )  # fmt: skip


def _by(own: str) -> str:
    """What was tried, and with what."""
    return "tried in my collet" if own == "clamps" else "tried by hand with my part or test piece"


def _cure(e: Evidence, t: HomeTest, own: str) -> Rework | None:
    """What mends a test that fails: the size that was read and has metal to spare, the maker's own
    die or tap, a light cut on the face."""
    ids = t.stands_for
    for c in e.drawn.characteristics:
        if c.id in ids:
            for r in e.of(c.id):
                if surplus(e.drawn, c, r) > 0 and (found := rework_of(e, c, r)) is not None:
                    return found
    end = MandrelEnd.of(t.id)
    thread = thread_at(e.drawn, end)
    own_cut = thread is not None and thread.order in (ThreadOrder.MY_TOOL, ThreadOrder.BLANK)
    if own == "screws" and thread is not None and own_cut:
        tool = "die" if thread.limits.external else "tap"
        id = thread.feature.size("pitch_diameter")
        said = f"run my {tool} over the thread again, by hand, guided by the tailstock"
        mine = thread.order == ThreadOrder.BLANK or _soft(e.drawn)
        return Rework(id=id, balloon=e.balloon(id), what=said, amount=0.0, maker=mine)
    if own in ("seats", "rocks"):
        id = end.named("seat.runout")
        paper = judged("receipt", "paper")
        said = ("feel for a burr and stone it off; else face the locating face lightly, the shank "
                f"in my collet, about {text_of(paper)} (balloon {e.balloon(id)})")  # fmt: skip
        return Rework(id=id, balloon=e.balloon(id), what=said, amount=paper, maker=_soft(e.drawn))
    return None
