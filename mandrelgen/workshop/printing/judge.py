"""Can it be printed? A verdict with its figures, and what would help."""

from __future__ import annotations

import math
from collections.abc import Iterable
from enum import IntEnum

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.mandrel import FLANK_HALF_ANGLE, ThreadForm
from mandrelgen.spec.shop import Shop
from mandrelgen.workshop.printing.printer import NOMINAL, Printer, limit, names, printer, rule
from mandrelgen.workshop.printing.shape import PrintedShape, thinnest
from mandrelgen.workshop.printing.thread import (
    DEPTH_FACTOR,
    PrintedThread,
    basic_form,
    overlap,
    printed_thread,
)
from mandrelgen.workshop.printing.version import PrintVersion

# Pitches a trial may be made in instead, mm (ISO 261).
TRIAL_PITCHES = (0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0)
_FLAT_NOISE = 0.01


class PrintLevel(IntEnum):
    """How well something prints; the worst of its lines decides."""

    GOOD = 0
    MARGINAL = 1
    NO = 2

    @property
    def word(self) -> str:
        """For paper."""
        return ("prints", "marginal", "does not print")[self]


@dataclass(frozen=True, slots=True)
class PrintFigure:
    """One figure: what, its value, what is asked, and how it stands."""

    id: str
    text: str
    level: PrintLevel


@dataclass(frozen=True, slots=True)
class Printability:
    """Every figure, the worst level, and what would help where it is not good."""

    lines: tuple[PrintFigure, ...]
    helps: tuple[str, ...]

    @property
    def level(self) -> PrintLevel:
        """The worst line's."""
        return max((line.level for line in self.lines), default=PrintLevel.GOOD)

    def text(self) -> str:
        """The verdict as lines of plain text."""
        rows = [f"Can it be printed: {self.level.word}"]
        rows += [f"  {line.level.word:14} {line.text}" for line in self.lines]
        rows += [f"  would help: {h}" for h in self.helps]
        return "\n".join(rows)


def judge(version: PrintVersion, partners: dict[str, ThreadForm], shop: Shop) -> Printability:
    """Judge a print version. ``partners``: the real thread at mid-limits that each printed thread,
    by feature, must hold in; a thread without one is judged against its own basic profile."""
    p = version.printer
    lines: list[PrintFigure] = []
    helps: list[str] = []
    for t in version.threads:
        partner = partners.get(t.feature) or _mate(t.designed)
        found = thread_lines(t, partner, p)
        lines += found
        if max(line.level for line in found) > PrintLevel.GOOD:
            helps += _helps(t, partner, p, shop)
    lines += _shape_lines(version.shape, p)
    return Printability(tuple(lines), tuple(dict.fromkeys(helps)))


def thread_lines(t: PrintedThread, partner: ThreadForm, p: Printer) -> list[PrintFigure]:
    """What decides on a thread: layers, depth, hold, crest and root, lower flank, lead angle."""
    pitch, name = t.designed.pitch, t.feature
    layers = pitch / p.layer
    depth = DEPTH_FACTOR * pitch / p.feature
    pair = (t.printed, partner) if t.designed.external else (partner, t.printed)
    # The printed thread swells back into its allowance by what plain sizes do.
    swell = min(max((p.outside if t.designed.external else p.hole) / 2, 0.0), t.allowance)
    hold = (overlap(*pair) + swell) / (DEPTH_FACTOR * pitch)
    step = p.layer / math.tan(math.radians(FLANK_HALF_ANGLE))
    free = rule(p.kind, "overhang") * p.feature
    lead = math.degrees(math.atan2(t.designed.lead, math.pi * t.designed.pitch_diameter))
    width = "line" if p.kind == "fdm" else "pixel"
    lines = [
        _least("layers", f"{name}: {layers:.1f} layers a pitch", layers, p.kind),
        _least("depth", f"{name}: thread depth is {depth:.2f} {width} widths", depth, p.kind),
        PrintFigure(
            "hold",
            f"{name}: {max(hold, 0.0):.0%} of the thread's depth holds in the real thread, "
            f"{swell:.3f} of swelling reckoned in ({limit('overlap_good'):.0%} wanted, "
            f"{limit('overlap_least'):.0%} least)",
            _level(hold, limit("overlap_good"), limit("overlap_least")),
        ),
        PrintFigure(
            "flank",
            f"{name}: the lower flank steps out {step:.3f} a layer ({free:.3f} carries, "
            f"{2 * free:.3f} at most)",
            _level(-step, -free, -2 * free),
        ),
        PrintFigure(
            "lead",
            f"{name}: lead angle {lead:.1f}° ({limit('lead_angle'):g}° and less print smoothly)",
            _level(-lead, -limit("lead_angle"), -math.inf),
        ),
    ]
    narrow = min(t.printed.crest_flat, t.printed.root_flat)
    if narrow < p.flat - _FLAT_NOISE:
        text = f"{name}: a crest or root of {narrow:.3f} is finer than the {p.flat:.3f} formed"
        lines.append(PrintFigure("flat", text, PrintLevel.MARGINAL))
    return lines


def thread_level(form: ThreadForm, partner: ThreadForm, p: Printer) -> PrintLevel:
    """The worst level of a thread printed by ``p``."""
    t = printed_thread("thread", form, p.allowance(form.external), p.flat)
    return max(line.level for line in thread_lines(t, partner, p))


def least_pitch(form: ThreadForm, p: Printer) -> float | None:
    """The finest trial pitch that prints on ``p`` at this diameter (basic profile), mm."""
    d = max(form.crest_diameter, form.root_diameter)
    for pitch in TRIAL_PITCHES:
        if pitch > d / 4:
            return None
        trial = basic_form(form.external, d, pitch)
        mate = basic_form(not form.external, d, pitch)
        if thread_level(trial, mate, p) is PrintLevel.GOOD:
            return pitch
    return None


def _helps(t: PrintedThread, partner: ThreadForm, p: Printer, shop: Shop) -> list[str]:
    form = t.designed
    lines = thread_lines(t, partner, p)
    now = max(line.level for line in lines)
    helps = []
    for name in names(shop):
        if name in (p.name, NOMINAL):
            continue
        other = printer(shop, name)
        level = thread_level(form, partner, other)
        if level < now:
            size = "nozzle" if other.kind == "fdm" else "pixel"
            helps.append(
                f"printer {name} ({other.kind}, {size} {other.feature:g}, layer "
                f"{other.layer:g}): {level.word}"
            )
    coarse = least_pitch(form, p)
    if coarse is not None and coarse > form.pitch:
        helps.append(f"a trial pitch of {coarse:g} on this printer (both parts printed)")
    loose = any(line.id == "hold" and line.level > PrintLevel.GOOD for line in lines)
    if loose and p.dated == "" and p.name != NOMINAL:
        helps.append("calibrate the printer: a smaller allowance leaves more thread")
    helps.append(
        "the mandrel in metal" if now is PrintLevel.NO else "metal for a thread that must hold"
    )
    return helps


def _mate(form: ThreadForm) -> ThreadForm:
    d = form.crest_diameter if form.external else form.root_diameter
    return basic_form(not form.external, d, form.pitch, form.starts, form.left_hand)


def _least(id: str, text: str, value: float, kind: str) -> PrintFigure:
    good, least = rule(kind, f"{id}_good"), rule(kind, f"{id}_least")
    return PrintFigure(id, f"{text} ({good:g} wanted, {least:g} least)", _level(value, good, least))


def _level(value: float, good: float, least: float) -> PrintLevel:
    if value >= good - 1e-9:
        return PrintLevel.GOOD
    return PrintLevel.MARGINAL if value >= least - 1e-9 else PrintLevel.NO


def _shape_lines(shape: PrintedShape, p: Printer) -> Iterable[PrintFigure]:
    wall = thinnest(shape, p.foot)
    if wall is not None:
        yield PrintFigure(
            "wall",
            f"thinnest wall {wall.value:.2f} at z {wall.z:.1f} ({p.good_wall:g} wanted, "
            f"{p.least_wall:g} least)",
            _level(wall.value + 1e-6, p.good_wall, p.least_wall),
        )
    for z, width in undersides(shape, p):
        text = f"an underside of {width:.2f} at z {z:.1f} hangs free: support it there"
        yield PrintFigure("underside", text, PrintLevel.MARGINAL)
    foot = max(shape.outer[0].d0, shape.outer[0].d1)
    slender = shape.height / foot
    yield PrintFigure(
        "slender",
        f"{shape.height:.1f} tall on a foot of {foot:.1f}: {slender:.1f} "
        f"({limit('slender_good'):g} stands alone, up to {limit('slender_least'):g} with a brim)",
        _level(-slender, -limit("slender_good"), -limit("slender_least")),
    )


def undersides(shape: PrintedShape, p: Printer) -> list[tuple[float, float]]:
    """(z, width) of every face off the bed that looks down flatter than the layers carry and is
    wider than a line; threads are judged by themselves."""
    bed = shape.outer[0].z0
    free = rule(p.kind, "overhang") * p.feature
    least = max(p.feature, rule("fdm", "feature"))
    found = []
    for f in shape.profile().faces:
        width, rise = f.r1 - f.r0, abs(f.z1 - f.z0)
        if f.thread is not None or width <= least or min(f.z0, f.z1) < bed + 1e-6:
            continue
        if rise == 0 or p.layer * width / rise > free + 1e-9:
            found.append((min(f.z0, f.z1), width))
    return found
