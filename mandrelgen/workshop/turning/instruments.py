"""The instruments at hand for a characteristic, with their uncertainty and how to use them.

Home instruments come from the shop file; if it lists none, a caliper alone is assumed. What a
machine shop has is listed too, to say what would prove a size that home cannot.
"""

from __future__ import annotations

import math

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import InstrumentKind, Shop
from mandrelgen.standards import measuring
from mandrelgen.standards.iso_14253 import Conformity, decide
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workshop.turning.acceptance import go_gauge, in_the_way, special_gauge

OUTSIDE, INSIDE, DEPTH = measuring.WHERE
_K = InstrumentKind
# Kinds that measure a characteristic, by where it is: the best first.
_TURNED = {OUTSIDE: (_K.MICROMETER, _K.CALIPER), INSIDE: (_K.PINS, _K.CALIPER)}
_SUITED: dict[Kind, tuple[tuple[InstrumentKind, str], ...]] = {
    Kind.LENGTH: ((_K.DEPTH, DEPTH), (_K.CALIPER, DEPTH)),
    Kind.CHAMFER: ((_K.CALIPER, DEPTH),),
    Kind.ACROSS_FLATS: ((_K.MICROMETER, OUTSIDE), (_K.CALIPER, OUTSIDE)),
    Kind.RUNOUT: ((_K.INDICATOR, OUTSIDE),),
    Kind.FACE_RUNOUT: ((_K.INDICATOR, OUTSIDE),),
    Kind.CYLINDRICITY: ((_K.MICROMETER, OUTSIDE),),
}
_OF_THREAD = (Kind.THREAD_MAJOR, Kind.THREAD_PITCH_DIAMETER, Kind.THREAD_MINOR)
# Width of groove that an instrument enters at all, mm: a micrometer's anvil, a caliper's knife
# edges; and the length of a stretch on which its reading can be trusted, between two wider
# neighbours and beside one (common practice, no source).
_ENTERS = {_K.MICROMETER: 6.35, _K.CALIPER: 0.8}
_NEEDS = {_K.MICROMETER: 6.35, _K.CALIPER: 2.0}
_NEEDS_BESIDE = {_K.MICROMETER: 3.0, _K.CALIPER: 1.0}
# Lengths between faces that a caliper or a depth gauge reaches; the others end at a slope, in a
# groove or behind a narrower bore (common practice, no source).
_PLAIN_LENGTHS = (
    "shank.length", "neck.end", "collar.length", "nose.end", "flats.length", "flats.start",
)  # fmt: skip
# How an angle on a flank of a millimetre is looked at: no protractor's blade rests there.
ANGLE_BY = "comparator, or a protractor on the tool (common practice)"
# What proves what a home shop cannot measure at all.
_ELSEWHERE = {
    Kind.ROUGHNESS: "roughness tester, or comparison plates",
    Kind.ANGLE: ANGLE_BY,
    Kind.RUNOUT: "indicator reading 0.001, shank in V-blocks",
    Kind.FACE_RUNOUT: "indicator reading 0.001, shank in V-blocks against a stop",
    Kind.CYLINDRICITY: "micrometer at three places and three turns, and a V-block for lobes; or a "
    "form tester",
    Kind.LENGTH: "projector or microscope, or the carriage's travel as it was cut",
    Kind.CHAMFER: "by eye with a loupe and a scale",
}


@dataclass(frozen=True, slots=True)
class Tool:
    """An instrument for one job: its name, kind and expanded uncertainty, mm."""

    name: str
    kind: str
    uncertainty: float


def is_inside(mandrel: Mandrel, c: Characteristic) -> bool:
    """True if the characteristic lies in a bore."""
    return c.feature in {s.feature for s in mandrel.inner}


def informative(mandrel: Mandrel, c: Characteristic) -> bool:
    """True for a thread cut with the customer's own tool: its limits are for information, the
    test piece decides."""
    return c.kind in _OF_THREAD and any(
        t.feature == c.feature and t.order == "my-tool" for t in mandrel.threads
    )


def suited(mandrel: Mandrel, c: Characteristic) -> tuple[tuple[InstrumentKind, str], ...]:
    """Kinds of instrument (and where they measure) that can measure a characteristic."""
    inside = is_inside(mandrel, c)
    if c.kind is Kind.DIAMETER:
        if inside:
            return () if _hidden(c) else tuple((k, INSIDE) for k in _TURNED[INSIDE])
        between, _, length = _neighbours(mandrel, c.feature)
        return tuple((k, OUTSIDE) for k in _TURNED[OUTSIDE] if not between or length >= _ENTERS[k])
    if c.kind is Kind.THREAD_MAJOR and not inside:
        return tuple((k, OUTSIDE) for k in _TURNED[OUTSIDE])
    if c.kind is Kind.THREAD_MINOR and inside:
        return tuple((k, INSIDE) for k in _TURNED[INSIDE])
    if c.kind is Kind.THREAD_PITCH_DIAMETER and not inside:
        return ((_K.WIRES, OUTSIDE), (_K.THREAD_MICROMETER, OUTSIDE))
    return _SUITED.get(c.kind, ())


def trusted(mandrel: Mandrel, c: Characteristic) -> tuple[tuple[InstrumentKind, str], ...]:
    """Of the suited kinds those whose reading can be trusted here; only they are advised."""
    if c.kind is Kind.LENGTH and c.own_id not in _PLAIN_LENGTHS:
        return ()
    if c.kind is Kind.DIAMETER and not is_inside(mandrel, c):
        return tuple((k, w) for k, w in suited(mandrel, c) if _gets_in(mandrel, c.feature, k))
    return suited(mandrel, c)


def _hidden(c: Characteristic) -> bool:
    """A relief lies behind the narrower thread: nothing straight reaches it."""
    return c.feature.is_whole(FeatureKind.RELIEF)


def _gets_in(mandrel: Mandrel, feature: str, kind: InstrumentKind) -> bool:
    """Whether the instrument finds room on a stretch between or beside wider neighbours."""
    between, beside, length = _neighbours(mandrel, feature)
    needs = _NEEDS[kind] if between else _NEEDS_BESIDE[kind] if beside else 0.0
    return length >= needs - 1e-9


def _neighbours(mandrel: Mandrel, feature: str) -> tuple[bool, bool, float]:
    """Whether both neighbours of an outside stretch are wider than it, whether one is; its
    length, mm (infinite if there is no such stretch)."""
    row = mandrel.outer
    for i, s in enumerate(row):
        if s.feature == feature:
            near = [*row[i - 1 : i], *row[i + 1 : i + 2]]
            wider = sum(1 for n in near if max(n.d0, n.d1) > max(s.d0, s.d1) + 1e-9)
            return wider == 2, wider >= 1, s.z1 - s.z0
    return False, False, math.inf


def at_home(shop: Shop, mandrel: Mandrel, c: Characteristic) -> tuple[Tool, ...]:
    """The shop's instruments that can measure ``c``, the finest first."""
    return _tools(shop, suited(mandrel, c))


def advised(shop: Shop, mandrel: Mandrel, c: Characteristic) -> tuple[Tool, ...]:
    """The shop's instruments whose reading of ``c`` can be trusted, the finest first."""
    return _tools(shop, trusted(mandrel, c))


def _tools(shop: Shop, kinds: tuple[tuple[InstrumentKind, str], ...]) -> tuple[Tool, ...]:
    owned = {name: (i.kind, i.uncertainty) for name, i in shop.instruments.items()}
    owned = owned or {"caliper": (_K.CALIPER, None)}
    found = []
    for kind, where in kinds:
        for name, (own, u) in owned.items():
            if own is kind:
                found.append(Tool(name, kind.value, _u(kind.value, where, u)))
    return tuple(sorted(found, key=lambda t: (t.uncertainty, t.name)))


def named(shop: Shop, name: str, where: str = "") -> Tool:
    """The instrument of that name, or a kind of instrument at its usual uncertainty.

    Raises NotHeldError naming those that are known.
    """
    if name in shop.instruments:
        own = shop.instruments[name]
        return Tool(name, own.kind.value, _u(own.kind.value, where, own.uncertainty))
    if name in measuring.instruments():
        return Tool(name, name, _u(name, where, None))
    known = sorted({*shop.instruments, *measuring.instruments()})
    raise NotHeldError(f"there is no instrument '{name[:40]}'", f"use {', '.join(known)}")


def elsewhere(
    mandrel: Mandrel, c: Characteristic, sample: bool = True, value: float | None = None
) -> str:
    """What would prove a characteristic that home instruments cannot; ``sample``: whether the
    test piece is named where it judges too; ``value``: about how large it is, mm, so that the
    coarsest usual instrument is named that decides it (None: the finest)."""
    inside = is_inside(mandrel, c)
    if c.kind is Kind.THREAD_PITCH_DIAMETER:
        special = [
            go_gauge(t, mandrel)
            for t in mandrel.threads
            if t.feature == c.feature and special_gauge(t, mandrel)
        ]
        home = ("the test piece screwing home",) if sample else ()
        fit = " or ".join(x for x in (*special, *home) if x)
        if inside:
            return fit if special else "go and not-go plug gauges with this lead and these starts"
        own = [t for t in mandrel.threads if t.feature == c.feature]
        rings = not special and any(not in_the_way(t, mandrel) for t in own)
        even = any(t.form.starts % 2 == 0 for t in own)
        by = "two wires straight opposite" if even else "wires or a thread micrometer"
        if special:
            return f"{by}; or {fit}" if fit else by
        return by + ("; or go and not-go ring gauges" if rings else "")
    if c.own_id == "thread.incomplete":
        return "the test piece screwing home, or a caliper to the first full turn"
    if c.own_id == "thread.depth":
        return "the go gauge, by the turns it screws in (common practice)"
    if c.kind is Kind.THREAD_MAJOR and inside:
        return "the go gauge (the standard sets no upper limit)"
    if c.kind is Kind.THREAD_MINOR and not inside:
        return "the go gauge, or a projector"
    if c.kind in (Kind.DIAMETER, Kind.THREAD_MAJOR, Kind.THREAD_MINOR):
        if inside:
            return "a groove caliper" if _hidden(c) else "pin gauges, or a bore gauge"
        wide = _gets_in(mandrel, c.feature, _K.MICROMETER)
        return _micrometer(c, value) if wide else "blade micrometer (groove micrometer)"
    return _ELSEWHERE.get(c.kind, "")


def _micrometer(c: Characteristic, value: float | None) -> str:
    """The plain one, if what is reckoned with for it decides a size of about ``value``."""
    usual = measuring.uncertainty(_K.MICROMETER.value, OUTSIDE)
    if value is None or decide(value, c.lower, c.upper, usual) is Conformity.UNDECIDED:
        return "micrometer reading 0.001"
    return "micrometer reading 0.01"


def _u(kind: str, where: str, own: float | None) -> float:
    if own is not None:
        return float(own)
    try:
        return measuring.uncertainty(kind, where)
    except NotHeldError:
        return measuring.uncertainty(kind)
