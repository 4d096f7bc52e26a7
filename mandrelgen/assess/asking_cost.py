"""What it costs to ask: the tolerances that make a mandrel dear, and what the maker would lose by
asking less. Each is tried by judging the mandrel again with that one limit loosened."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice

from mandrelgen.assess import choose_tolerances, runout, speeds
from mandrelgen.assess.mandrel_remedies import option_path
from mandrelgen.assess.setup import Situated
from mandrelgen.assess.stiffness import stiffness
from mandrelgen.core.errors import Change, Remedy
from mandrelgen.core.frozen import dataclass
from mandrelgen.design.designed import Designed
from mandrelgen.design.process import Demand, Process, demands
from mandrelgen.mechanics.assessment_types import Truth
from mandrelgen.mechanics.life import Life
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel, Stretch, ThreadData
from mandrelgen.spec.pen import Fit, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import parse
from mandrelgen.standards.materials import material
from mandrelgen.standards.tables import load
from mandrelgen.standards.threads import Band

MOST = 4
FITTED = (FeatureKind.SPIGOT, FeatureKind.REGISTER)
KEYS = {Kind.RUNOUT: "run_out", Kind.FACE_RUNOUT: "seat_run_out",
        Kind.CYLINDRICITY: "shank_form", Kind.ROUGHNESS: "roughness"}  # fmt: skip
"""Keys of the pen file that say what is asked."""
LOOSER_FIT = {Fit.CLOSE: Fit.NORMAL, Fit.NORMAL: Fit.FREE}


@dataclass(frozen=True, slots=True)
class Figures:
    """What a mandrel gives, mm, at 95 of 100: mismatch at the joint (tightened), shift when the
    part is taken off and put back, the thinnest wall left (None: none is turned); how many pens a
    plastic one lasts, from and to (None: of metal, of which nothing measured is known)."""

    mismatch: float
    remounted: float
    wall: float | None
    pens: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One tolerance, what it takes, and the figures with it and with it loosened. ``ids``: the
    characteristics it stands at; ``remedies``: changes of the pen file that loosen it, to be
    tried; ``gauge``: no gauge maker keeps this thread, a gauge would be made for it."""

    ids: tuple[str, ...]
    demand: Demand
    now: Figures
    loosened: Figures
    remedies: tuple[Remedy, ...] = ()
    gauge: bool = False

    @property
    def process(self) -> Process:
        """What it takes."""
        return self.demand.process

    @property
    def key(self) -> str:
        """The key of the pen file that says what is asked ("": there is none)."""
        return KEYS.get(self.demand.characteristic.kind, "")


def asked(designed: Sequence[Designed], pen: Pen, shop: Shop) -> dict[str, tuple[Asked, ...]]:
    """The tolerances that make each mandrel dear, by its id: at most four, the dearest first."""
    ends = {d.planned.id: choose_tolerances.situated(d, pen, shop) for d in designed}
    near = choose_tolerances.neighbours_of(ends)
    return {
        d.planned.id: tuple(islice(_of(d, ends[d.planned.id], near, pen, shop), MOST))
        for d in designed
        if d.mandrel is not None
    }


def _of(
    d: Designed, ends: Sequence[Situated], near: Mapping[str, Situated], pen: Pen, shop: Shop
) -> Iterator[Asked]:
    found: dict[tuple[Kind, str, str], Asked] = {}
    for n, s in enumerate(ends):
        now = figures(runout.truth(s, near, pen, shop), lasts(s))
        for each in demands(s.mandrel.characteristics, s.mandrel.threads):
            c = each.characteristic
            if c.own_id != c.id or (n and c.feature == "shank"):
                continue  # of the other end, which is judged by itself
            name = c.id if n == 0 else MandrelEnd.SECOND.named(c.id)
            plain = c.kind in (Kind.ROUGHNESS, Kind.CYLINDRICITY)
            key = (c.kind, each.asked, "" if plain else name)
            if key in found:
                found[key] = replace(found[key], ids=(*found[key].ids, name))
                continue
            loose = loosened(s, each)
            found[key] = Asked(
                ids=(name,), demand=each, now=now,
                loosened=figures(runout.truth(loose, near, pen, shop), lasts(s, c, loose)),
                remedies=tuple(_remedies(d, each, pen)), gauge=_gauge(c, s.mandrel.threads),
            )  # fmt: skip
    yield from sorted(found.values(), key=_dearest)


def _dearest(a: Asked) -> tuple[int, bool, float, float]:
    """What needs more than turning first, then what costs the pen something to loosen."""
    lost = a.loosened.mismatch - a.now.mismatch
    idle = a.process is Process.TURNED and a.loosened == a.now
    return -a.process, idle, -round(a.demand.closeness, 6), -lost


def figures(truth: Truth, life: Life | None = None) -> Figures:
    """The figures of an assessment."""
    wall = None if truth.wall is None else truth.wall.statistical
    pens = None if life is None else (life.low, life.high)
    return Figures(truth.step.states.tight.statistical, truth.remount.statistical, wall, pens)


def lasts(
    s: Situated, c: Characteristic | None = None, loose: Situated | None = None
) -> Life | None:
    """How long a plastic mandrel lasts; with ``c`` as ``loose`` has it, its stretches in the middle
    of the wider limits."""
    if s.collet_face is None or material(s.mandrel.ordering.material).kind == "metal":
        return None
    if c is not None and loose is not None:
        s = _in_the_middle(s, c, loose)
    return speeds.life(s, stiffness(s))


def _in_the_middle(s: Situated, c: Characteristic, loose: Situated) -> Situated:
    new = loose.size(c.id)
    if new is None or None in (c.lower, c.upper, new.lower, new.upper):
        return s
    moved = (new.lower + new.upper - c.lower - c.upper) / 2  # type: ignore[operator]

    def stretch(x: Stretch) -> Stretch:
        if x.feature != c.feature:
            return x
        if x.thread is None:
            return replace(x, d0=x.d0 + moved, d1=x.d1 + moved)
        f = x.thread
        return replace(x, thread=replace(
            f, pitch_diameter=f.pitch_diameter + moved, root_diameter=f.root_diameter + moved
        ))  # fmt: skip

    row = s.mandrel
    return replace(s, mandrel=replace(row, outer=tuple(map(stretch, row.outer)),
                                      inner=tuple(map(stretch, row.inner))))  # fmt: skip


def loosened(s: Situated, d: Demand) -> Situated:
    """The same end with that one limit at its next step; what a gauge would find first stays."""
    c = d.characteristic
    low, high = c.lower, c.upper
    if low is None or high is None:
        new = replace(c, upper=d.looser)
    else:
        width = d.looser * (high - low) if c.kind is Kind.THREAD_PITCH_DIAMETER else d.looser
        inside = any(x.feature == c.feature for x in s.mandrel.inner)
        new = replace(c, upper=low + width) if inside else replace(c, lower=high - width)
    others = tuple(new if x is c else x for x in s.mandrel.characteristics)
    mandrel = replace(s.mandrel, characteristics=others)
    if c.kind is not Kind.THREAD_PITCH_DIAMETER:
        return replace(s, mandrel=mandrel)
    return _with_thread(s, mandrel, new)


def _with_thread(s: Situated, mandrel: Mandrel, c: Characteristic) -> Situated:
    def wider(t: ThreadData) -> ThreadData:
        if t.feature != c.feature:
            return t
        return replace(t, limits=replace(t.limits, pitch=Band(c.lower, c.upper)))

    thread = s.thread if s.thread is None else wider(s.thread)
    threads = tuple(map(wider, mandrel.threads))
    return replace(s, mandrel=replace(mandrel, threads=threads), thread=thread)


def _remedies(d: Designed, each: Demand, pen: Pen) -> Iterator[Remedy]:
    """A key of the pen file that loosens it, where it is closer than turning gives."""
    w, c = d.wishes, each.characteristic
    if w is None or each.process is Process.TURNED:
        return
    if c.kind is Kind.THREAD_PITCH_DIAMETER and w.thread_class:
        usual = _usual_class(w.thread_class)
        change = Change(option_path(d, pen, "thread_class"), usual)
        yield Remedy((change,), f"class {usual}")
    elif c.kind in KEYS:
        value = each.looser
        yield Remedy((Change(option_path(d, pen, KEYS[c.kind]), value),), each.looser_text)
    elif w.fit in LOOSER_FIT and (c.kind is Kind.THREAD_PITCH_DIAMETER or c.subject in FITTED):
        fit = LOOSER_FIT[w.fit].value
        yield Remedy((Change(option_path(d, pen, "fit"), fit),), f"fit '{fit}'")


def _usual_class(said: str) -> str:
    """The class that is turned as a matter of course, in the same position."""
    return f"2{said[-1]}" if said[-1] in "AB" else f"6{said.strip()[-1]}"


def _gauge(c: Characteristic, threads: Sequence[ThreadData]) -> bool:
    """Whether a gauge for this thread would have to be made: several starts, or no size of ISO 261
    or of ASME B1.1's series."""
    t = next((t for t in threads if t.feature == c.feature), None)
    if c.kind is not Kind.THREAD_PITCH_DIAMETER or t is None:
        return False
    d = t.limits.designation
    if d.starts > 1 or d.left_hand:
        return True
    size = (d.diameter.exact, d.pitch.exact)
    return size not in {(x.diameter.exact, x.pitch.exact) for x in map(parse, _kept())}


def _kept() -> Iterator[str]:
    for size, pitch in load("iso_261_coarse")["pitch"].items():
        yield f"M{size}x{pitch:g}"
    for size, pitches in load("iso_261_fine")["pitches"].items():
        yield from (f"M{size}x{p:g}" for p in pitches)
    table = load("asme_b1_1_series")
    for series in ("UNC", "UNF", "UNEF"):
        yield from (f"{size}-{tpi} {series}" for size, tpi in table[series].items())
