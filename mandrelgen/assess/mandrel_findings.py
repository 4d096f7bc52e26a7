"""Findings about a mandrel in use, worded from its verdict; nothing is computed here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mandrelgen.core.errors import Finding, Level
from mandrelgen.core.tolerance import ceil_to, text_of
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.strength import StrengthCheck

if TYPE_CHECKING:  # the page of the verdict is drawn where no pen file is read
    from mandrelgen.design.designed import Designed

THIN = 0.5

# What to do about each kind of check that fails, by the first word of its id.
REMEDY = {
    "bend": "lighter cuts, the tailstock up, a shorter stand_off, or a stronger material",
    "catch": "the tailstock up, and light cuts far from the mandrel",
    "twist": "a larger neck or a stronger material",
    "slip": "draw the collet up with its spanner, or a larger shank",
    "strip": "more engagement, or a stronger material on the side that strips",
    "tension": "a larger thread, or a stronger material",
    "lip": "a thicker lip (finish the outside last), more engagement, or a soft washer and "
    "light cuts",
    "cup": "a larger collar, or a stronger material",
    "tenon": "a smaller bore under the tenon, or lighter cuts",
    "seat": "a soft washer, a wider ring, or light cuts",
}


def check(designed: tuple[Designed, ...]) -> tuple[Finding, ...]:
    """Findings of every verdict."""
    found: list[Finding] = []
    for d in designed:
        for v, where in ((d.verdict, d.planned.id), (d.verdict_b, f"{d.planned.id}, end B")):
            if v is not None:
                found += of_verdict(v, where)
    return tuple(found)


def of_verdict(v: Assessment, where: str) -> list[Finding]:
    """Everything bad about one end, in plain words with the number."""
    out = _Out(where)
    _fit(v, out)
    _true(v, out)
    for c in v.checks:
        if not c.passes:
            _strength(c, out)
    _thread(v, out)
    _speed(v, out)
    return out.found


class _Out:
    """Collects findings of one place."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.found: list[Finding] = []

    def error(self, code: str, message: str, remedy: str) -> None:
        self.found.append(
            Finding(level=Level.ERROR, code=code, where=self.where, message=message, remedy=remedy)
        )

    def warn(self, code: str, message: str, remedy: str) -> None:
        self.found.append(
            Finding(
                level=Level.WARNING, code=code, where=self.where, message=message, remedy=remedy
            )
        )


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
    for c in v.conflicts:
        out.warn(
            "use.locators",
            f"{c.message}: {text_of(c.needed)} against {text_of(c.available)} allowed"
            if c.available < 1 and not c.id.endswith(".thread")
            else f"{c.message}: it leans {text_of(c.needed * 1000, 1)} mm in a metre, "
            f"{text_of(c.available * 1000, 1)} are free",
            "a looser spigot or thread (fit 'free'), a shorter spigot, or cut the part's thread "
            "and bore in one setting",
        )
    if v.seat_conflict_friction:
        out.warn(
            "use.no_centring",
            "with this much friction at the seat the thread does not pull itself to the middle: "
            "the whole play counts",
            "wax the seat, or measure both threads",
        )


def _true(v: Assessment, out: _Out) -> None:
    if v.stiffness is None:
        return  # a button steadies the part; nothing is turned true by it
    step, wall = v.truth.step, v.truth.wall
    tight = step.states.tight
    if not step.met:
        top = step.gains[0] if step.gains else None
        by = text_of(ceil_to(tight.statistical - step.target, 0.001))
        out.warn(
            "use.step",
            f"the step at {f'joint {step.joint}' if step.joint else 'its end'} may be "
            f"{text_of(tight.statistical)} (radial, statistical, pulled tight; worst "
            f"{text_of(tight.worst)}): {by} over the target of {text_of(step.target)}"
            + (
                f"; halving '{top.cause.label}' ({top.cause.id}) would take "
                f"{text_of(top.statistical)} off"
                if top
                else ""
            ),
            "measure the threads or fit the mandrel to the part, "
            + (
                "bore a true register, or turn both parts together for the last cut"
                if step.at_held_end
                else "or turn both parts together for the last cut: this joint is far from the "
                "held end"
            ),
        )
    if wall is not None and wall.worst < THIN:
        through = wall.statistical <= 0
        say = out.error if through else out.warn
        say(
            "use.wall",
            f"the wall {wall.where} may be left {text_of(max(wall.worst, 0), 2)} thin "
            f"({text_of(wall.true, 2)} if all is true, {text_of(wall.statistical, 2)} "
            "statistically)",
            "a smaller bore or a larger outside there, or a truer face and thread on the part",
        )


def _strength(c: StrengthCheck, out: _Out) -> None:
    kind, unit = c.kind, f" {c.unit}"
    places = 2 if c.unit == "N·m" else 0
    out.warn(
        f"use.{kind}",
        f"{c.label}: {c.demand:.{places}f}{unit} where {c.capacity:.{places}f}{unit} "
        f"are borne (safety {text_of(c.factor, 2)}, {text_of(c.asked, 1)} asked)",
        REMEDY.get(kind, "lighter cuts"),
    )


def _thread(v: Assessment, out: _Out) -> None:
    held = v.screwed
    if held is None:
        return
    if held.locking < 1:
        out.warn(
            "use.locking",
            f"the thread does not lock itself: it has {text_of(held.locking, 2)} of the friction "
            "needed, so the part can run back when the spindle stops",
            "fewer starts, a finer pitch, or the tailstock up",
        )
    if held.flats_needed and not v.flats:
        out.warn(
            "use.flats",
            f"after a catch {text_of(held.freeing_catch, 1)} N·m free the part, more than a hand "
            "gives, and there are no spanner flats",
            "flats = true (a double-ended mandrel has them at its first end only), or a strap",
        )
    if not held.forward:
        out.warn(
            "use.sense",
            "left-hand thread: forward running unscrews the part",
            "run in reverse, only with a chuck that cannot unscrew and the tailstock up",
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
    (out.error if said else out.warn)(
        "use.speed",
        "turning refused: " + "; ".join(s.refused),
        f"at most {s.governing.speed:.0f} 1/min ({s.governing.why}), with the tailstock up if it "
        "is plastic; else use it to try the fit by hand",
    )
    if v.life is not None and said and v.life.high == 0:
        out.error("use.life", v.life.basis, "a metal mandrel")
