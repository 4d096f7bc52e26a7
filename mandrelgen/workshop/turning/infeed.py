"""How deep a threading tool goes, and in which steps. Lengths in mm, radial."""

from __future__ import annotations

import math

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import ceil_to, floor_to
from mandrelgen.model.mandrel import ThreadData, ThreadForm
from mandrelgen.standards import cutting

# What limits are printed to, mm.
PRINTED = 0.001

_H = math.sqrt(3) / 2
COS_FLANK = math.cos(math.radians(30))


@dataclass(frozen=True, slots=True)
class Depths:
    """Radial depth from the turned crest to the finished groove, mm.

    ``full_form``: to a root rounded with H/6 (external; an internal one to the basic major
    diameter). ``sharp``: to the point of a sharp V. A tool with nose radius r goes ``sharp`` − r.
    """

    full_form: float
    sharp: float


def basic_depths(pitch: float, external: bool) -> Depths:
    """Depths of the basic profile (ISO 68-1): 17H/24 and 7H/8 from d, 5H/8 and 3H/4 from D1.

    DIN 13-1 lists for a pitch of 1.5 the depths h3 = 0.920 of the bolt's and H1 = 0.812 of the
    nut's thread (from memory).

    >>> f"{basic_depths(1.5, True).full_form:.3f} {basic_depths(1.5, False).full_form:.3f}"
    '0.920 0.812'
    """
    h = _H * pitch
    return Depths(17 * h / 24, 7 * h / 8) if external else Depths(5 * h / 8, 3 * h / 4)


def depths(form: ThreadForm) -> Depths:
    """Depths for this thread: from its crest at mid-limits to a pitch diameter at mid-limits."""
    h = _H * form.pitch
    to_pitch = abs(form.crest_diameter - form.pitch_diameter) / 2
    return Depths(to_pitch + (h / 3 if form.external else 3 * h / 8), to_pitch + h / 2)


Span = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class AtCrest:
    """Depths (least, aim, most, mm, radial) for a crest that measures ``crest``: with a full-form
    tool, and to the sharp point of a V (a nose radius r goes r less)."""

    crest: float
    full_form: Span
    sharp: Span


@dataclass(frozen=True, slots=True)
class Feed:
    """How deep, counted from the crest as it was measured.

    ``root``: diameter at which a full-form tool's point stops for a pitch diameter at mid-limits;
    ``apex`` that of a sharp V. The depth is half of the difference to the measured crest. ``rows``
    for the crest at its least, middle and largest. ``nose``: nose radii (least, most) of a V tool
    that leave the root within its limits; None if there are none. ``same``: the nose radius with
    which a V tool goes exactly as deep as a full-form one, deeper with less, less deep with more.
    """

    root: float
    apex: float
    rows: tuple[AtCrest, ...]
    nose: tuple[float, float] | None
    same: float


def feed(thread: ThreadData, groove: float | None = None) -> Feed:
    """Depths by the measured crest; ``groove``: the relief's least diameter, which the root of an
    internal thread must not pass. Raises ValueError for a thread without limits of its pitch
    diameter or crest."""
    t, h = thread.limits, _H * thread.form.pitch
    crest, pitch = t.crest, t.pitch
    if crest.min is None or crest.max is None or pitch.min is None or pitch.max is None:
        raise ValueError("a thread to be cut has limits of crest and pitch diameter")
    out = 1.0 if t.external else -1.0
    past = (h / 3 if t.external else 3 * h / 8, h / 2)
    bounds = (pitch.max, (pitch.min + pitch.max) / 2, pitch.min)
    bounds = bounds if t.external else bounds[::-1]

    def span(d: float, more: float) -> Span:
        a, b, c = (out * (d - e) / 2 + more for e in bounds)
        return a, b, c

    # From the limits as every page prints them: an inch thread's lie between its thousandths.
    low, high = ceil_to(crest.min, PRINTED), floor_to(crest.max, PRINTED)
    rows = tuple(
        AtCrest(d, span(d, past[0]), span(d, past[1])) for d in (low, (low + high) / 2, high)
    )
    aim = bounds[1]
    apex = aim - out * h
    return Feed(
        root=aim - out * 2 * past[0],
        apex=apex,
        rows=rows,
        nose=_nose(thread, h, groove),
        same=past[1] - past[0],
    )


def _nose(thread: ThreadData, h: float, groove: float | None) -> tuple[float, float] | None:
    """Radii that hold the root at every depth the pitch diameter's limits allow, not below the
    0.125 P that the sheet asks of a rounded external root (ISO 965-1)."""
    t = thread.limits
    if t.pitch.min is None or t.pitch.max is None:
        return None
    if t.external:
        low, high = t.minor.min, t.minor.max
        if low is None or high is None:
            return None
        least = max(0.125 * thread.form.pitch, (low - (t.pitch.min - h)) / 2)
        radii = least, (high - (t.pitch.max - h)) / 2
    else:
        if t.major.min is None:
            return None
        most = t.major.max if groove is None else groove
        least = 0.0 if most is None else max(0.0, (t.pitch.max + h - most) / 2)
        radii = least, (t.pitch.min + h - t.major.min) / 2
    return radii if radii[0] <= radii[1] else None


@dataclass(frozen=True, slots=True)
class Topping:
    """A full-profile insert, which cuts the crest as well: ``crest`` it leaves over the whole range
    of the pitch diameter's limits (least, largest); ``pitch`` diameters at which that crest is
    within its own limits, None if there are none. mm."""

    crest: tuple[float, float]
    pitch: tuple[float, float] | None


def topping(thread: ThreadData) -> Topping:
    """What a full-profile insert of the basic profile does here (ISO 68-1: crest 3H/8 outside of
    the pitch line of a screw, H/4 inside of that of a nut). Raises ValueError for a thread without
    limits of its pitch diameter or crest."""
    t, h = thread.limits, _H * thread.form.pitch
    crest, pitch = t.crest, t.pitch
    if crest.min is None or crest.max is None or pitch.min is None or pitch.max is None:
        raise ValueError("a thread to be cut has limits of crest and pitch diameter")
    out = 3 * h / 4 if t.external else -h / 2
    low, high = max(pitch.min, crest.min - out), min(pitch.max, crest.max - out)
    return Topping((pitch.min + out, pitch.max + out), (low, high) if low <= high else None)


def flank_infeed(radial: float) -> float:
    """The same depth fed in along a 30° flank (top slide set over), mm.

    By hand: 0.920 / cos 30°.

    >>> f"{flank_infeed(0.920):.3f}"
    '1.062'
    """
    return radial / COS_FLANK


def equal_area(depth: float, passes: int) -> tuple[float, ...]:
    """Depth after each pass when each takes the same chip area: depth·√(k/N).

    Raises ValueError for a depth or a count below 1.

    By hand, 0.92 in four passes: half of it is reached by the first, since √(1/4) = 1/2.

    >>> [f"{d:.3f}" for d in equal_area(0.92, 4)]
    ['0.460', '0.651', '0.797', '0.920']
    """
    _check(depth, passes)
    return tuple(depth * math.sqrt(k / passes) for k in range(1, passes + 1))


def eased(depth: float, passes: int) -> tuple[float, ...]:
    """Depth after each pass with a first pass of 0.3 of a chip area, then equal areas:
    depth·√(ψ/(N − 1)), ψ = 0.3, 1, 2 … (an insert maker's manual). Raises as `equal_area`."""
    _check(depth, passes)
    if passes == 1:
        return (depth,)
    first = first_share()
    return tuple(depth * math.sqrt(psi / (passes - 1)) for psi in (first, *range(1, passes)))


def first_share() -> float:
    """The share of one chip area that the first pass takes."""
    return cutting.rule("infeed", "first_share").value


def passes_for(form: ThreadForm, material: str, depth: float) -> tuple[int, str]:
    """How many passes to ``depth`` (mm, radial), and why. Stainless hardens under a light cut:
    there are no more of them than leave the last one a chip."""
    usual = cutting.usual_passes(form.pitch)
    parts = [f"{usual} usual for the pitch"]
    root = min(form.root_diameter, form.crest_diameter)
    slim = int(cutting.rule("infeed", "slim_passes").value)
    count = usual
    if not form.external or root < cutting.rule("infeed", "slim_root").value:
        count += slim
        parts.append(f"{slim} for a slim {'core' if form.external else 'boring bar'}")
    if material != "1.4305":
        return count, _counted(count, parts)
    count = wished = count + 1
    parts.append("1 for stainless")
    least = cutting.rule("infeed", "stainless_last").value
    while count > 2 and depth - eased(depth, count)[-2] < least:
        count -= 1
    if count == wished:
        return count, _counted(count, parts)
    return count, (
        f"{count} in all: {wished} ({' + '.join(parts)}) would leave the last less than {least:g}, "
        "which rubs"
    )


def _counted(count: int, parts: list[str]) -> str:
    """``6 in all (5 usual for the pitch + 1 for stainless)``."""
    return f"{count} in all ({' + '.join(parts)})" if len(parts) > 1 else parts[0]


def _check(depth: float, passes: int) -> None:
    if depth <= 0 or passes < 1:
        raise ValueError("give a depth above 0 and at least one pass")
