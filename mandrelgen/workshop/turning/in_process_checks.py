"""How plain features are measured at the lathe, and when: while they can be reached."""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import InstrumentKind
from mandrelgen.workshop.turning import inspection_plan, instruments
from mandrelgen.workshop.turning.names import what
from mandrelgen.workshop.turning.operations import Operation

# From this length on a diameter is measured at two places, mm.
LONG = 4.0
OUTSIDE_FEATURES = ("spigot1", "spigot2", "register", "collar")


@dataclass(frozen=True, slots=True)
class InProcessCheck:
    """One thing to measure: ``step`` the number of the step after which it is measured (the last
    moment it can be reached as it was cut), ``ids`` of its characteristics."""

    step: int
    what: str
    how: str
    ids: tuple[str, ...] = ()


def checks(mandrel: Mandrel, steps: tuple[Operation, ...]) -> tuple[InProcessCheck, ...]:
    """Set-ups for diameters and run-out, in the order of the steps."""
    made = {id: n for n, s in enumerate(steps, 1) for id in s.finishes}
    last = {s.setting: n for n, s in enumerate(steps, 1)}
    out = []
    for c in mandrel.characteristics:
        how = _how(mandrel, c)
        if how:
            n = made[c.id]
            when = last[steps[n - 1].setting] if _late(c) else n
            out.append(InProcessCheck(when, f"{what(c)} {_limits(c)}", how, (c.id,)))
    cut = any(t.order != "blank" for t in mandrel.threads)
    if cut and any(_late(c) for c in mandrel.characteristics):
        out.append(
            InProcessCheck(
                _last_with_thread(mandrel, steps, last),
                "run-out of the thread's flanks",
                "not read: no indicator follows a flank; it is true because it was cut in the "
                "same setting",
            )
        )
    return tuple(sorted(out, key=lambda c: c.step))


def _last_with_thread(mandrel: Mandrel, steps: tuple[Operation, ...], last: dict[int, int]) -> int:
    """The last step of the last setting that finishes anything of a thread."""
    of = {c.id for c in mandrel.characteristics if c.subject is FeatureKind.THREAD}
    return max(last[s.setting] for s in steps if s.setting and of & set(s.finishes))


def _late(c: Characteristic) -> bool:
    """Run-out is read last, when everything that loads the piece is over."""
    return c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT)


def _limits(c: Characteristic) -> str:
    return inspection_plan.size_text(c)


def _how(mandrel: Mandrel, c: Characteristic) -> str:
    own = c.feature.own
    if c.kind is Kind.THREAD_MAJOR and own == "thread" and not instruments.is_inside(mandrel, c):
        return "micrometer over the crest; write it down, the depth of thread counts from it"
    if c.kind is Kind.THREAD_MINOR and instruments.is_inside(mandrel, c):
        return "pin gauges; write the bore down, the depth of thread counts from it"
    if c.kind is Kind.THREAD_PITCH_DIAMETER:
        return 'by the table "Pitch diameter" of these pages; before unclamping'
    if c.id == "shank.diameter":
        return (
            "micrometer at both ends and the middle, each at three turns of 60°: half the spread "
            "is its cylindricity, but for lobes of an odd number, which only a V-block under an "
            "indicator shows. Now, before it goes into the collet"
        )
    if c.kind is Kind.FACE_RUNOUT:
        return (
            "indicator square on the face, needle on the ring, in the collet before unclamping; "
            "afterwards again with the shank in V-blocks against a stop"
        )
    if c.kind is Kind.RUNOUT:
        where = "in the bore" if instruments.is_inside(mandrel, c) else "on top"
        return (
            f"indicator square to the axis, needle {where}, in the collet before unclamping; "
            "afterwards again with the shank in V-blocks"
        )
    if c.kind is Kind.DIAMETER and own == "thread":  # a blank
        return "pin gauges" if instruments.is_inside(mandrel, c) else "micrometer"
    if c.kind is Kind.DIAMETER and own in OUTSIDE_FEATURES:
        return _micrometer(mandrel, c)
    if c.kind is Kind.DIAMETER and own == "counterbore":
        return "pin or plug gauges, or a bore gauge; not a caliper"
    if c.own_id == "thread.depth":
        return "by the tap's turns, counted from where its first full tooth enters"
    if c.own_id == "thread.incomplete":
        return "by eye, with a caliper from the seat to the first turn that is full"
    if c.own_id in ("thread.end", "register.end", "floor.depth"):
        return "by the carriage's travel from the seat (dial indicator or read-out), as it is cut"
    if c.kind is Kind.LENGTH and c.own_id == "relief.width":
        return "by the tool that cuts it: its measured width, and what the slide moved it"
    return ""


def _micrometer(mandrel: Mandrel, c: Characteristic) -> str:
    if InstrumentKind.MICROMETER in {k for k, _ in instruments.trusted(mandrel, c)}:
        long = any(s.feature == c.feature and s.z1 - s.z0 >= LONG for s in mandrel.outer)
        return "micrometer" + (", near both ends" if long else "")
    return "blade micrometer: a flat anvil does not get in beside the wider neighbour"
