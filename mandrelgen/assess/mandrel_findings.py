"""Findings about a mandrel in use, worded from its assessment; nothing is computed here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from mandrelgen.assess.pen_joints import Passage
from mandrelgen.core.errors import Finding, Level
from mandrelgen.core.tolerance import floor_to, text_of
from mandrelgen.mechanics.assessment_types import Assessment, Capacity, Mismatch
from mandrelgen.mechanics.combined import Weak, asked_of_free_end
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.mechanics.tailstock import Allowed
from mandrelgen.spec.shop import ChuckMount

if TYPE_CHECKING:  # the assessment page is drawn where no pen file is read
    from mandrelgen.design.designed import Designed
    from mandrelgen.spec.pen import Pen
    from mandrelgen.spec.shop import Shop

THIN = 0.5
# Below this chance a tilted thread that may not seat is worth a note and no more.
LIKELY = 0.5

# What to do about each kind of check that fails, by the first word of its id.
REMEDY = {
    "slip": "tighten the collet with its spanner, or a larger shank",
    "strip": "more engagement, or a stronger material on the side that strips",
    "tension": "a larger thread, or a stronger material",
    "lip": "a thicker lip (finish the outside last), more engagement, or a soft washer and "
    "light cuts",
    "cup": "a larger collar, or a stronger material",
    "tenon": "a smaller bore under the tenon, or lighter cuts",
    "seat": "a soft washer, a wider ring, or light cuts",
}

WHY = {
    Weak.FINISHING: "twice a finishing cut",
    Weak.ROUGHING: "a roughing cut",
    Weak.MANDREL: "a roughing cut: the mandrel gives way before the part",
}


def check(designed: tuple[Designed, ...], pen: Pen, shop: Shop) -> tuple[Finding, ...]:
    """Findings of every assessment, with what may mend them, untried."""
    from mandrelgen.assess.mandrel_remedies import own_tool, proposed
    from mandrelgen.assess.words import on_its_neighbour

    found: list[Finding] = []
    for d in designed:
        for v, where in ((d.verdict, d.planned.id), (d.verdict_b, f"{d.planned.id}, end B")):
            if v is None:
                continue
            together = on_its_neighbour(pen, d, designed)
            for f in of_verdict(v, where):
                if f.code == "use.step" and together:
                    f = replace(f, level=Level.NOTE, message=f"{f.message}; none if you {together}")
                rows = proposed(f, v, d, pen, shop)
                found.append(replace(f, remedies=rows, parts=(d.planned.id,)))
        found += own_tool(d, pen)
    return tuple(found)


def of_designs(
    designed: tuple[Designed, ...], pen: Pen, shop: Shop, passages: tuple[Passage, ...]
) -> tuple[Finding, ...]:
    """What the designer found, with what may mend it, untried. Of a mandrel that nobody needs it is
    no fault: the pen is not changed for it."""
    from mandrelgen.assess.words import needless

    found = []
    for d in designed:
        without = needless(pen, shop, d, designed)
        for f in d.findings:
            if f.level is Level.ERROR and without is not None:
                said = f"{f.message}; no mandrel is needed: {without}"
                f = replace(f, level=Level.NOTE, message=said, remedy="")
            rows = f.remedies
            if f.level is not Level.NOTE and not rows:
                from mandrelgen.assess.mandrel_remedies import of_design

                rows = of_design(f, d, pen, passages)
            found.append(replace(f, remedies=rows, parts=f.parts or (d.planned.id,)))
    return tuple(found)


def of_verdict(v: Assessment, where: str) -> list[Finding]:
    """Everything to be said of one end, in plain words with the number."""
    out = _Out(where)
    _fit(v, out)
    _true(v, out)
    if v.capacity is not None:
        _bears(v, v.capacity, out)
    _strength([c for c in v.checks if not c.passes], out)
    _thread(v, out)
    _mounted(v, out)
    _speed(v, out)
    return out.found


class _Out:
    """Collects findings of one place."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.found: list[Finding] = []

    def say(
        self,
        level: Level,
        code: str,
        message: str,
        remedy: str = "",
        *,
        value: float | None = None,
        less: bool = False,
        firm: bool = False,
    ) -> None:
        self.found.append(
            Finding(
                level=level, code=code, where=self.where, message=message, remedy=remedy,
                value=None if value is None else round(value, 4), less_is_worse=less, firm=firm,
            )
        )  # fmt: skip

    def error(self, code: str, message: str, remedy: str) -> None:
        self.say(Level.ERROR, code, message, remedy)

    def warn(self, code: str, message: str, remedy: str) -> None:
        self.say(Level.WARNING, code, message, remedy)


def _fit(v: Assessment, out: _Out) -> None:
    for g in v.gaps:
        if g.kind == "seat" and g.least < -1e-6:
            out.error(
                "use.bottoms",
                f"{g.label}: touches {text_of(-g.least)} mm before the seat bears ({g.id})",
                "a deeper hole or thread in the part, or a shorter mandrel there",
            )
        elif g.kind == "play" and g.least < -1e-6:
            spacing = g.id == "thread.pitch_diameter" and v.screwed and v.screwed.eaten > 0
            out.warn(
                "use.spacing" if spacing else "use.binds",
                f"{g.label}: binds by {text_of(-g.least)} mm at worst limits"
                + (
                    f", of which lead and start-spacing errors take {text_of(v.screwed.eaten)}"
                    if spacing and v.screwed
                    else ""
                ),
                "fit 'free', or measure the part's thread",
            )
    _locators(v, out)
    if v.seat_conflict_friction:
        out.warn(
            "use.no_centring",
            "with this much friction at the seat the thread does not pull itself to the middle: "
            "the whole play counts",
            "wax the seat, or measure both threads",
        )


def _locators(v: Assessment, out: _Out) -> None:
    """A warning only where the locators bind at any limits or most likely; else the chance."""
    remedy = "a looser spigot or thread (fit 'free'), a shorter spigot, or cut the part's thread "\
        "and bore in one setting"  # fmt: skip
    for c in v.conflicts:
        tilted = c.id.endswith(".thread")
        if not tilted:
            level = Level.WARNING if c.certain else Level.NOTE
            said = f"{c.message}: {text_of(c.needed)} against {text_of(c.available)} to "
            out.say(level, "use.locators", f"{said}{text_of(c.most)} mm of room", remedy)
            continue
        if v.chance < 0.0005:
            continue
        level = Level.WARNING if v.chance >= LIKELY else Level.NOTE
        out.say(
            level,
            "use.locators",
            f"{c.message} in about {v.chance:.1%} of pairs (pitch diameters anywhere within their "
            "limits: an assumption)",
            remedy,
        )


def _true(v: Assessment, out: _Out) -> None:
    if v.stiffness is None:
        return  # a button steadies the part; nothing is turned true by it
    _step(v.truth.step, out)
    wall = v.truth.wall
    if wall is not None and wall.worst < THIN:
        through = wall.statistical <= 0
        out.say(
            Level.ERROR if through else Level.WARNING if wall.statistical < THIN else Level.NOTE,
            "use.wall",
            f"the wall {wall.where} may be left {text_of(max(wall.worst, 0), 2)} thin "
            f"({text_of(wall.true, 2)} if all is true, {text_of(wall.statistical, 2)} in 95 of "
            "100)",
            "a smaller bore or a larger outside there, or a truer face and thread on the part",
        )


def _step(step: Mismatch, out: _Out) -> None:
    """Flush joints are judged; on a reveal an uneven one is noted; elsewhere nothing is felt."""
    j = step.joined
    if j is None:
        return
    most = step.budget.shares[0] if step.budget.shares else None
    said = (
        f"mismatch at joint {step.joint}, tightened: typically {text_of(j.typical)}, seldom above "
        f"{text_of(j.seldom)}"
    )
    cause = f"; the most comes from {most.cause.said}" if most else ""
    if j.outcome is Outcome.NOT_MET:
        out.say(
            Level.WARNING,
            "use.step",
            f"{said}, {text_of(j.over)} over the target of {text_of(j.target)}{cause}",
            "finish the two parts screwed together",
            value=j.seldom,
        )
    elif j.outcome is Outcome.DEPENDS:
        out.say(
            Level.NOTE,
            "use.step",
            f"{said}: whether the target of {text_of(j.target)} is met depends on how well the "
            f"threads centre themselves{cause}",
            "finish the two parts screwed together",
        )
    elif j.uneven:
        out.say(
            Level.NOTE,
            "use.reveal",
            f"{said}, on a shoulder of {text_of(j.shoulder, 2)}: the reveal is visibly uneven",
            "finish the two parts screwed together, or a wider shoulder",
        )


def _bears(v: Assessment, c: Capacity, out: _Out) -> None:
    b = c.judged
    where = "the free end bears" if b.prop is None else "at mid-length, tailstock up, it bears"
    how = ", tailstock away" if b.prop is None else ""
    said = f"{where} {_down(b.force)} N{how}: {b.spot.name} gives way first"
    if c.weak:
        why = c.weak[-1]
        too = c.mandrel < c.asked and not b.spot.of_mandrel
        both = f", then the mandrel at {_down(c.mandrel)} N" if too else ""
        out.say(
            Level.WARNING,
            "use.mandrel_weak" if c.mandrel < c.asked else "use.part_weak",
            f"{said}{both}; {c.asked:.0f} N are required ({WHY[why]}; estimate)",
            "the tailstock up, lighter cuts, or a stronger mandrel or part",
            value=floor_to(b.force, 1.0),
            less=True,
        )
    if v.tailstock and c.far_end is Allowed.NO:
        out.warn(
            "use.far_end", f"the tailstock is to be up, but {c.far_end_why}", "a button, or a pip"
        )
    roughing = asked_of_free_end(False)
    decides = c.free.force < roughing and not v.tailstock and v.roughing_up and not v.finish_only
    if decides and not c.weak and c.far_end is Allowed.ASK:
        out.say(
            Level.NOTE,
            "use.far_end",
            # Without the amount, which --all prints: so several mandrels share one row.
            f"the free end bears less than {roughing:.0f} N, a roughing cut (estimate): rough with "
            "the tailstock up; say what the far end offers a centre",
            'far_end = "pip", "button", "bore" or "nothing", in [mandrels.use]',
        )


def _down(force: float) -> str:
    return f"{floor_to(force, 1.0):.0f}"


def _strength(failing: Sequence[StrengthCheck], out: _Out) -> None:
    """The weakest place, what else would go with it in the same row."""
    if not failing:
        return
    first, *rest = sorted(failing, key=lambda c: (c.factor / c.asked, c.id))
    also = f"; so would: {', '.join(c.label for c in rest)}" if rest else ""
    unit, places = f" {first.unit}", 2 if first.unit == "N·m" else 0
    amount = "stress" if first.unit == "MPa" else "load"
    out.say(
        Level.WARNING,
        f"use.{first.kind}",
        f"{first.label}: {amount} {text_of(first.demand, places)}{unit}, allowable "
        f"{text_of(first.capacity, places)}{unit}: safety factor {first.factor:.2f} "
        f"({first.asked:.1f} required){also}",
        REMEDY.get(first.kind, "lighter cuts"),
        value=floor_to(first.factor, 0.01),
        less=True,
    )


def _thread(v: Assessment, out: _Out) -> None:
    held = v.screwed
    if held is None:
        return
    if held.locking < 1:
        out.warn(
            "use.locking",
            f"the thread is not self-locking (factor {text_of(held.locking, 2)}): the part can run "
            "back when the spindle stops",
            "fewer starts, a finer pitch, or the tailstock up",
        )
    if held.flats_needed and not v.flats:
        out.warn(
            "use.flats",
            f"loosening torque after a dig-in {text_of(held.freeing_catch, 1)} N·m, more than a "
            "rubber strap gives, and there are no spanner flats",
            "flats = true (a double-ended mandrel has them at its first end only)",
        )
    if not held.forward:
        loose = v.chuck is ChuckMount.THREAD
        out.say(
            Level.ERROR if loose else Level.WARNING,
            "use.sense",
            "left-hand thread: forward running unscrews the part"
            + (", and the chuck, screwed on without a lock, may not run in reverse" * loose),
            "run in reverse, only with a chuck that cannot unscrew and the tailstock up",
            firm=loose,
        )


def _mounted(v: Assessment, out: _Out) -> None:
    """What the chuck's mounting forbids; nothing where it is not said."""
    if v.stiffness is None:
        return
    if v.chuck is ChuckMount.TAPER and not v.tailstock:
        out.say(
            Level.ERROR,
            "use.taper",
            "the chuck sits in a taper without a draw-bar and walks out under side load: the "
            "tailstock may never be away",
            "a draw-bar, or the tailstock up all the time",
            firm=True,
        )
    if v.chuck is ChuckMount.THREAD:
        out.say(
            Level.NOTE,
            "use.chuck",
            "the chuck is screwed on without a lock: no reverse, no hard braking",
        )


def _speed(v: Assessment, out: _Out) -> None:
    if v.tailstock_missing:
        out.error(
            "use.tailstock",
            "the tailstock is to be up, but the shop's lathe has none",
            "use.tailstock = false, or lathe.tailstock = true in the shop file",
        )
    s = v.speed
    if s is None or not s.refused:
        return
    said = v.wanted_speed is not None
    out.say(
        Level.ERROR if said else Level.WARNING,
        "use.speed",
        "turning refused: " + "; ".join(s.refused),
        "a metal mandrel; else use it to try the fit by hand",
        firm=True,
    )
