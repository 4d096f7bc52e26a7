"""Whether a mandrel that exists would hold a part's end, and what would be different with it.

The mandrel is taken as made where it was measured, put on the part at all limits of both, and then
judged by the very verdict a new design gets; so its joint step compares with the new one's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from mandrelgen.assess.clearances import gaps
from mandrelgen.assess.end_assessment import judge
from mandrelgen.assess.loads import loads
from mandrelgen.assess.setup import Situated, situate, turned_round
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.design import ends, mandrel_thread, seat, shank
from mandrelgen.design.draft import Draft
from mandrelgen.design.options import Wishes, merge
from mandrelgen.design.plan import Hold, Planned
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.model.characteristic import MEASURED, Characteristic, size_text
from mandrelgen.model.feature import Feature, FeatureKind
from mandrelgen.model.mandrel import (
    Mandrel,
    MandrelKind,
    Stretch,
    ThreadData,
    collar_diameter,
    shank_front,
)
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import iso_15488
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.tables import NotHeldError

_NOISE = 1e-6
# A spigot further below its bore than this does not guide (the loosest gap the designer leaves
# and both tolerances), mm.
LOOSEST = 0.4
# Two notations of one thread differ by no more, mm (rounded inch sizes).
SAME_DIAMETER, SAME_PITCH = 0.002, 0.0005
# Told where they differ, as far as a new mandrel has them.
# Threads that differ by no more are a near miss, mm on diameter (own rule).
NEAR = 0.5
TOLD = ("shank.diameter", "collar.diameter", "neck.diameter", "register.diameter",
        "spigot1.diameter", "spigot2.diameter", "nose.end", "thread.end",
        "flats.across")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Fitting:
    """What hinders it (nothing: it would do), what differs from a new one, and how it serves."""

    hinders: tuple[str, ...]
    differs: tuple[str, ...] = ()
    verdicts: tuple[Assessment, ...] = ()

    @property
    def fits(self) -> bool:
        """True if nothing hinders it."""
        return not self.hinders

    @property
    def step(self) -> float:
        """The larger radial joint step of its ends, statistical and tightened, mm."""
        return max((v.truth.step.states.tight.statistical for v in self.verdicts), default=0.0)

    @property
    def met(self) -> bool:
        """True if no end misses its target (joints that are not flush are not judged)."""
        return all(v.truth.step.outcome is not Outcome.NOT_MET for v in self.verdicts)


def fitting(
    m: Mandrel,
    pen: Pen,
    shop: Shop,
    planned: Planned,
    neighbours: Mapping[str, Situated],
    new: Mandrel | None = None,
    wishes: Wishes | None = None,
) -> Fitting:
    """How mandrel ``m`` would serve for ``planned``; ``new``: the one designed for it."""
    wishes = wishes or merge(planned.request, pen.mandrels.defaults, shop)
    tries = [m]
    if m.kind is MandrelKind.DOUBLE_ENDED:
        tries.append(turned_round(m))
    found = [_way(t, m, pen, shop, planned, neighbours, wishes) for t in tries]
    best = min(found, key=lambda f: (len(f.hinders), f.step))
    return replace(best, differs=tuple(_differs(m, new, wishes))) if best.fits else best


def nearly(m: Mandrel, pen: Pen, shop: Shop, hold: Hold) -> bool:
    """Whether a mandrel is worth a word although it does not hold an end: its thread is of the
    right side and within :data:`NEAR` of the part's, or it is a spigot and the part has a bore."""
    end = pen.parts[hold.part].ends[hold.end]
    spec = {"internal": end.internal, "external": end.external}.get(hold.by)
    if spec is None:
        return hold.by == "bore" and m.kind is MandrelKind.SPIGOT
    try:
        theirs = ends.part_thread(spec, hold.by == "external", shop)[0].designation
    except NotHeldError:  # read with an instrument that this shop does not know
        return False
    return any(
        t.limits.external == (hold.by == "internal")
        and abs(t.limits.designation.diameter - theirs.diameter) <= NEAR
        for t in m.threads
    )


def _way(
    m: Mandrel, original: Mandrel, pen: Pen, shop: Shop, planned: Planned,
    neighbours: Mapping[str, Situated], wishes: Wishes,
) -> Fitting:  # fmt: skip
    """One way round; a double-ended plan needs both ends."""
    holds = [(m, planned.hold)]
    if planned.other is not None:
        if original.kind is not MandrelKind.DOUBLE_ENDED:
            return Fitting(("it has one working end, two are wanted",))
        holds.append((_other_end(m, original), planned.other))
    hinders: list[str] = []
    verdicts: list[Assessment] = []
    for mandrel, hold in holds:
        try:
            s, against = _on(mandrel, original, pen, shop, planned, hold, wishes)
            hinders += against
            if s is not None and not hinders:
                verdicts.append(judge(s, neighbours, pen, shop))
        except (NotHeldError, ValueError) as e:
            hinders.append(f"it cannot be judged: {e}")
    return Fitting(tuple(hinders), (), tuple(verdicts))


def _other_end(m: Mandrel, original: Mandrel) -> Mandrel:
    return turned_round(original) if m is original else original


def _on(
    m: Mandrel, original: Mandrel, pen: Pen, shop: Shop, planned: Planned, hold: Hold,
    wishes: Wishes,
) -> tuple[Situated | None, list[str]]:  # fmt: skip
    """The part on the mandrel, and what hinders it."""
    if planned.kind is MandrelType.BUTTON or m.kind is MandrelKind.BUTTON:
        return _on_button(m, pen, shop, planned, hold, wishes)
    if hold.by == "bore" and m.kind is not MandrelKind.SPIGOT:
        return None, ["it holds by a thread, the part has a plain bore"]
    part = pen.parts[hold.part]
    end = part.ends[hold.end]
    thread = next((t for t in m.threads if t.feature == "thread"), None)
    if hold.by != "bore":
        spec = end.internal if hold.by == "internal" else end.external
        if spec is None:
            return None, ["the part has no thread there"]
        theirs, _ = ends.part_thread(spec, hold.by == "external", shop)
        against = _thread(thread, theirs.designation, hold.by == "internal")
        if thread is None or against:
            return None, against
        m = replace(m, threads=tuple(
            replace(t, partner=theirs) if t.feature == "thread" else t for t in m.threads
        ))  # fmt: skip
    grip, against = _grip(original, m, shop, wishes)
    if grip is None:
        return None, against
    use = loads(pen, shop, planned.request, planned.kind)
    s = situate(m, pen, shop, hold, wishes, grip, use)
    engaged = _engaged(s)
    if s.thread is not None and engaged is not None:
        d = s.thread.limits.designation
        turned = replace(
            s.thread, full_pitches=engaged / float(d.pitch), turns_of_lead=engaged / float(d.lead)
        )
        s = replace(s, thread=turned)
    return s, [*_seat(s, shop), *_plain(s, shop), *_gaps(s, engaged)]


def _on_button(
    m: Mandrel, pen: Pen, shop: Shop, planned: Planned, hold: Hold, wishes: Wishes
) -> tuple[Situated | None, list[str]]:
    """The part's open end on a tailstock button: no shank, no thread, all else as on a spigot."""
    if planned.kind is not MandrelType.BUTTON or m.kind is not MandrelKind.BUTTON:
        return None, ["a tailstock button steadies an end, and nothing else does"]
    if hold.by != "bore":
        return None, ["a button goes into a bore"]
    s = situate(m, pen, shop, hold, wishes, None, loads(pen, shop, planned.request, planned.kind))
    cap, _ = ends.passage(s.end, s.holes, shop)
    steps = [c for c in m.characteristics if c.id == f"{c.feature}.diameter"]
    uppers = [
        c.upper for c in steps if c.feature.is_here(FeatureKind.SPIGOT) and c.upper is not None
    ]
    widest = max(uppers, default=0.0)
    if widest > cap + _NOISE:
        return s, [f"its spigot of ⌀{text_of(widest)} does not pass ⌀{text_of(cap)}"]
    return s, [*_seat(s, shop), *_plain(s, shop), *_gaps(s, None)]


def _thread(own: ThreadData | None, theirs: Designation, external: bool) -> list[str]:
    if own is None:
        return ["it has no thread at this end"]
    d = own.limits.designation
    if own.limits.external != external:
        return ["its thread is of the wrong side"]
    if abs(d.diameter - theirs.diameter) > SAME_DIAMETER:
        return [f"its thread is {d.text}, the part's {theirs.text}"]
    if abs(d.pitch - theirs.pitch) > SAME_PITCH or d.starts != theirs.starts:
        return [f"its lead is another: {d.text}, the part's {theirs.text}"]
    if d.left_hand != theirs.left_hand:
        hands = ["left" if x.left_hand else "right" for x in (d, theirs)]
        return [f"its thread is {hands[0]}-hand, the part's {hands[1]}-hand"]
    return []


def _grip(
    original: Mandrel, m: Mandrel, shop: Shop, wishes: Wishes
) -> tuple[shank.Grip | None, list[str]]:
    """The collet on the shelf that takes it."""
    c = next((c for c in original.characteristics if c.id == "shank.diameter"), None)
    front = shank_front(m)
    if c is None or front is None:
        return None, ["it has no shank"]
    # A measured shank may read above its size by the instrument's uncertainty.
    d = c.lower if c.written == MEASURED and c.lower is not None else c.nominal
    draft = Draft(m.id)
    grip = shank.choose(draft, shop, replace(wishes, shank_diameter=d), d)
    if grip is None:
        shelf = ", ".join(f"{x:g}" for x in sorted({g.size for g in shank.grips(shop)})) or "none"
        return None, [f"no collet on the shelf ({shelf}) takes its shank of ⌀{text_of(c.nominal)}"]
    free = shank.free_length(grip, wishes, front)
    length = front - min(s.z0 for s in m.outer if s.feature in ("shank", "rear"))
    if length - free < grip.length * iso_15488.LEAST_INSERTED - _NOISE:
        least = free + grip.length * iso_15488.LEAST_INSERTED
        return None, [
            f"its shank of {text_of(length, 1)} is too short for the collet: {text_of(least, 1)} "
            "is the least"
        ]
    return grip, []


def _seat(s: Situated, shop: Shop) -> Iterator[str]:
    """The ring both share, and collar and neck under the part's finished edge."""
    collar = s.collar
    if collar is None or collar.lower is None or collar.upper is None:
        yield "it has no seat"
        return
    if s.tapped is not None:
        ring = s.tapped.ring
    elif s.tenon is not None:
        ring = s.tenon.ring
    else:
        ring = ends.face_ring(s.end, ends.passage(s.end, s.holes, shop)[1], shop)
    for name, c in (("collar", collar), ("neck", s.size("neck.diameter"))):
        if c is not None and c.upper is not None and c.upper > ring.outer + _NOISE:
            yield (
                f"its {name} of ⌀{text_of(c.upper)} stands out of the part's ring, "
                f"⌀{text_of(ring.outer)}"
            )
    inner = max(ring.inner, s.upper("counterbore.diameter") or 0.0)
    width = (collar.lower - inner) / 2
    if width < seat.MIN_SEAT - _NOISE:
        yield f"only {text_of(max(width, 0), 2)} of its seat would bear, {seat.MIN_SEAT} is needed"


def _plain(s: Situated, shop: Shop) -> Iterator[str]:
    """Spigots and register in every hole they reach into, and through the thread."""
    cap = _thread_passed(s, shop)
    guided: list[float] = []
    for stretch in s.mandrel.outer:
        c = s.size(f"{stretch.feature}.diameter")
        if c is None or c.upper is None:
            continue
        if stretch.feature == "register":
            if s.tapped is None or s.tapped.counterbore is None:
                yield "it has a register, and the part no counterbore for it"
            elif c.upper > s.tapped.counterbore.size.lower + _NOISE:
                yield f"its register of ⌀{text_of(c.upper)} does not enter the counterbore"
        elif stretch.feature.is_here(FeatureKind.SPIGOT):
            bore = min(_reached(s, stretch), default=None)
            if bore is None and s.tapped is None:
                yield f"its {stretch.feature} reaches where the part has no bore"
                continue
            least = min(x for x in (cap, bore) if x is not None)
            if c.upper > least + _NOISE:
                yield (
                    f"its {stretch.feature} of ⌀{text_of(c.upper)} does not pass ⌀{text_of(least)}"
                )
            elif c.lower is not None and bore is not None:
                guided.append(bore - c.lower)
    if s.hold.by == "bore" and guided and min(guided) > LOOSEST + _NOISE:
        yield f"its spigot is {text_of(min(guided), 2)} smaller than the bore and does not guide"


def _thread_passed(s: Situated, shop: Shop) -> float | None:
    """What the part's internal thread lets through, mm, whatever the end is held by; None: there is
    none."""
    if s.end.internal is None:
        return None
    return ends.passage(s.end, s.holes, shop)[0]


def _reached(s: Situated, stretch: Stretch) -> list[float]:
    """The least diameters of the bore along a stretch."""
    washer = s.wishes.soft_washer
    return [
        h.size.lower
        for h in s.holes
        if h.start + washer < stretch.z1 - _NOISE and h.end + washer > stretch.z0 + _NOISE
    ]


def _engaged(s: Situated) -> float | None:
    """Full thread in engagement, mm; None without a thread."""
    stretch, washer = s.stretch("thread"), s.wishes.soft_washer
    if s.thread is None or stretch is None:
        return None
    if s.tapped is not None:
        return min(stretch.z1, s.tapped.full_min + washer) - max(
            stretch.z0, s.tapped.start + washer
        )
    if s.tenon is not None:
        return min(-stretch.z0, s.tenon.full_end - washer) - max(
            -stretch.z1, s.tenon.unformed_max - washer
        )
    return None


def _gaps(s: Situated, engaged: float | None) -> Iterator[str]:
    """Threads that go together, and a seat that bears before anything else touches."""
    if s.thread is not None and engaged is not None:
        pitches = engaged / float(s.thread.limits.designation.pitch)
        if pitches < mandrel_thread.MIN_PITCHES - _NOISE:
            yield (
                f"only {text_of(max(pitches, 0), 1)} full pitches would engage, "
                f"{mandrel_thread.MIN_PITCHES:g} are needed"
            )
    yield from _behind_the_thread(s)
    for gap in gaps(s):
        plain = Feature(gap.id).is_here(FeatureKind.SPIGOT, FeatureKind.REGISTER)
        if (
            gap.kind in ("play", "seat")
            and gap.least < -_NOISE
            and not (plain and gap.kind == "play")
        ):  # spigots are judged over their whole length
            yield f"{gap.label}: {text_of(-gap.least)} too little at worst limits"
    if s.hold.by == "bore":
        holes, bottom = s.holes, max((h.end for h in s.holes), default=0.0)
        nose = s.upper("nose.end")
        if holes and nose is not None and nose > bottom + s.wishes.soft_washer + _NOISE:
            yield f"its nose at {text_of(nose)} touches the bottom of the bore first"


def _behind_the_thread(s: Situated) -> Iterator[str]:
    """A tenon longer than the cup's thread needs a groove behind it."""
    stretch = s.stretch("thread")
    if s.tenon is None or stretch is None or s.size("relief.diameter") is not None:
        return
    fade = stretch.thread.fade if stretch.thread is not None else 0.0
    beyond = s.tenon.length.upper - s.wishes.soft_washer + stretch.z0 + fade
    if beyond > _NOISE:
        yield f"the tenon reaches {text_of(beyond)} behind its thread, where no groove is known"


def _told(m: Mandrel) -> dict[str, Characteristic]:
    return {c.id: c for c in m.characteristics if c.id in TOLD}


def _differs(m: Mandrel, new: Mandrel | None, wishes: Wishes) -> Iterator[str]:
    if new is None:
        return
    own, wanted = _told(m), _told(new)
    # A cup's body that is its shank's bar has no collar size of its own.
    if ("collar.diameter" in own) != ("collar.diameter" in wanted):
        for sizes, mandrel in ((own, m), (wanted, new)):
            body = collar_diameter(mandrel)
            if body is not None:
                sizes["collar.diameter"] = body
    for id in TOLD:
        mine, theirs = own.get(id), wanted.get(id)
        if theirs is None:
            if mine is not None:
                yield f"{id} {size_text(mine)} (new: none)"
        elif mine is None:
            yield f"no {id} (new: {size_text(theirs)})"
        elif abs(mine.nominal - theirs.nominal) > 0.005:
            yield f"{id} {size_text(mine)} (new: {size_text(theirs)})"
    a = [t.limits.tolerance_class for t in m.threads]
    b = [t.limits.tolerance_class for t in new.threads]
    if a != b:
        yield f"thread class {', '.join(a) or 'none'} (new: {', '.join(b) or 'none'})"
    if m.ordering.material != new.ordering.material:
        yield f"material {m.ordering.material} (new: {new.ordering.material})"
    through = any(st.feature == "bore" for st in m.inner)
    if bool(wishes.through_bore) != through:
        yield "no through bore (new: one)" if wishes.through_bore else "a through bore (new: none)"
