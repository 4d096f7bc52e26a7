"""A mandrel made by the maker: rod, sizes, steps, how it is checked and how long it lasts.

Everything comes from the design of that very mandrel; what other materials bear is judged by the
rule that judges every mandrel (`assess.own_materials`). Lengths in mm, speeds in rpm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from mandrelgen.assess.own_materials import in_material
from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import ceil_to, text_of
from mandrelgen.design.designed import Designed
from mandrelgen.design.own_tools import cuts
from mandrelgen.design.shank import grips
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.plastic import lasts
from mandrelgen.mechanics.practice import assumed
from mandrelgen.mechanics.work_speed import WorkSpeed
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel, Stretch, ThreadData
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import material_names, stock
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workshop.home import own_steps
from mandrelgen.workshop.home.own_drilling import Hole, hole
from mandrelgen.workshop.home.own_sizes import OwnSize, caliper, sizes
from mandrelgen.workshop.turning.thread_alternatives import die

BRASS = "CW614N"
RODS = (BRASS, "ebonite", "acetal")
"""What one's own mandrel is made of, the one that may leave the collet first."""
# Solid rod behind the drill's point, mm (common practice, no source).
BEHIND_TIP = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnRod:
    """The mandrel of one material. ``diameter`` as sold (None: none is held); ``collet``: size of
    the one that takes it (None: none on the shelf); ``keeps``: it may leave the collet and come
    back; ``back``: how far the part then shifts (95 %, estimate). ``speed``: highest, 0 if
    it must not be turned on, and ``refused`` says why."""

    material: str
    diameter: float | None
    collet: float | None
    keeps: bool
    speed: int
    start: int
    refused: tuple[str, ...]
    lasts: str
    back: float
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnMandrel:
    """The card. ``blank``: the turner makes all but the thread. ``saw``: length to saw off;
    ``stands_out``: of the nut; ``reduced``: ⌀ and length to which one end is turned first, since no
    collet takes the rod; ``work``: speeds of the part on a metal one; ``drawn``: the mandrel
    as it is made at home, for the picture."""

    mandrel: Mandrel
    drawn: Mandrel
    thread: ThreadData
    tool_said: str
    blank: bool
    rods: tuple[OwnRod, ...]
    saw: float
    saw_why: str
    stands_out: float
    reduced: tuple[float, float] | None
    hole: Hole | None
    sizes: tuple[OwnSize, ...]
    steps: tuple[own_steps.OwnStep, ...]
    checks: tuple[str, ...]
    work: tuple[WorkSpeed, ...]
    cautions: tuple[str, ...]
    caliper: float


def own_mandrels(
    pen: Pen, shop: Shop, designed: Sequence[Designed], words: Sequence[Answer]
) -> dict[str, OwnMandrel]:
    """The card of every mandrel that the maker makes, or threads, by planned id."""
    word = {a.planned: a.word for a in words}
    wanted = [d for d in designed if d.mandrel is not None and _own(d, word.get(d.planned.id))]
    if not wanted:
        return {}
    serves = {m: in_material(pen, shop, designed, m) for m in RODS}
    return {
        d.planned.id: _card(shop, d, {m: s[d.planned.id] for m, s in serves.items()})
        for d in wanted
    }


def _own(d: Designed, word: Word | None) -> bool:
    """Whether the maker cuts at least its thread: the word is make, or a blank is ordered."""
    if d.mandrel is None or d.planned.other is not None or not d.mandrel.threads:
        return False
    blank = d.mandrel.threads[0].order == "blank"
    return word is Word.MAKE or (word is Word.ORDER and blank)


def _card(shop: Shop, d: Designed, serves: Mapping[str, Assessment]) -> OwnMandrel:
    m = d.mandrel
    assert m is not None
    assert d.grip is not None
    t = m.threads[0]
    blank = t.order == "blank"
    tools = shop.dies if t.limits.external else shop.taps
    tool = next((x for x in tools if cuts(x, t.limits.designation)), None)
    drilled = None if t.limits.external else hole(m, t, tool)
    if drilled is None and not die(m, t).usable:
        m = without_spigot(m)
    found = sizes(m, t, shop)
    rods = () if blank else tuple(_rod(shop, d, name, v) for name, v in serves.items())
    out = m.outer[-1].z1 + _stand_off(d, serves[BRASS])
    reduced = _reduced(m, rods, shop)
    more = 0.0
    if reduced is not None and drilled is not None:
        more = max(0.0, ceil_to(drilled.tip + BEHIND_TIP - out, 1.0))
    saw, why = _saw(m, more)
    work = own_steps.Work(
        mandrel=m, thread=t, tool=tool, hole=drilled, sizes={s.id: s for s in found},
        stands_out=out + more, grip=_grip(m, out), reduced=reduced, blank=blank,
    )  # fmt: skip
    return OwnMandrel(
        mandrel=m,
        drawn=_from_rod(m if drilled is None else drilled.drawn, rods),
        thread=t,
        tool_said=own_steps.tool_said(t, tool),
        blank=blank,
        rods=rods,
        saw=saw,
        saw_why=why,
        stands_out=out + more,
        reduced=reduced,
        hole=drilled,
        sizes=found,
        steps=own_steps.steps(work),
        checks=own_steps.checks(work),
        work=serves[BRASS].work,
        cautions=m.cautions,
        caliper=caliper(shop, "outside"),
    )


def _stand_off(d: Designed, v: Assessment) -> float:
    """From the nut's face to the seat, mm; 0 where the collet is not known."""
    if v.stiffness is None or d.grip is None:
        return 0.0
    return -v.stiffness.collet_face - d.grip.nut


def _grip(m: Mandrel, out: float) -> float:
    """How much of the piece goes into nut and collet, mm."""
    return m.outer[-1].z1 - m.outer[0].z0 - out


def _reduced(m: Mandrel, rods: Sequence[OwnRod], shop: Shop) -> tuple[float, float] | None:
    """The drawing's shank, for a rod that none of the collets takes."""
    if not rods or rods[0].collet is not None or not shop.collets:
        return None
    shank = next(s for s in m.outer if s.feature == "shank")
    return shank.d0, shank.z1 - shank.z0


def _from_rod(m: Mandrel, rods: Sequence[OwnRod]) -> Mandrel:
    """The mandrel with the first rod behind what is turned, instead of the drawing's shank."""
    rod = rods[0].diameter if rods else None
    if rod is None:
        return m
    return replace(
        m, outer=tuple(replace(s, d0=rod, d1=rod) if s.feature == "shank" else s for s in m.outer)
    )


def without_spigot(m: Mandrel) -> Mandrel:
    """The plug cut off where its thread's chamfer ends: what stands in front only guides, and a die
    cannot pass over it."""
    kept: list[Stretch] = []
    for s in m.outer:
        if s.feature.kind in (FeatureKind.RUN_IN, FeatureKind.SPIGOT, FeatureKind.NOSE):
            break
        kept.append(s)
    there = {s.feature for s in kept}
    gone = {s.feature for s in m.outer} - there
    return replace(
        m,
        outer=tuple(kept),
        inner=(),
        centre_holes=(),
        characteristics=tuple(c for c in m.characteristics if c.feature not in gone),
    )


def _saw(m: Mandrel, more: float) -> tuple[float, str]:
    """What to saw off: the piece, ``more`` that it stands out, a skin at both faces, the saw's own
    cut."""
    long = m.outer[-1].z1 - m.outer[0].z0 + more
    saw, facing = stock.blank_allowance("saw"), stock.blank_allowance("facing")
    why = f"{text_of(long, 1)} + 2 × {text_of(facing)} facing + {text_of(saw)} saw, rounded up"
    return ceil_to(long + 2 * facing + saw, 1.0), why


def _rod(shop: Shop, d: Designed, name: str, v: Assessment) -> OwnRod:
    """The rod of one material and how a mandrel of it serves."""
    m = d.mandrel
    assert m is not None
    assert v.speed is not None
    keeps = name == BRASS
    diameter, collet = _bar(shop, m, name)
    few = int(assumed("words", "pens_on_own").value)
    known = lasts(v.life) if v.life is not None else (
        f"not known: about {few} pens (rule of thumb)"
    )  # fmt: skip
    return OwnRod(
        material=name,
        diameter=diameter,
        collet=collet,
        keeps=keeps,
        speed=v.speed.allowed,
        start=v.speed.start,
        refused=v.speed.refused,
        lasts=known,
        back=v.truth.regripped.statistical,
        cautions=material_names.cautions(name),
    )


def _bar(shop: Shop, m: Mandrel, name: str) -> tuple[float | None, float | None]:
    """The thinnest rod on sale that the mandrel comes out of and a collet takes as it is; without
    such a collet the thinnest that it comes out of."""
    widest = max(max(s.d0, s.d1) for s in m.outer)
    try:
        sold = [b for b in stock.bars(name) if b >= widest - 1e-9]
    except NotHeldError:
        return None, None
    shelf = {g.size for g in grips(shop)}
    held = next(((b, b) for b in sold if b in shelf), None)
    return held or (sold[0] if sold else None, None)
