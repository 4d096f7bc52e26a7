"""How a mandrel is made at the maker's own lathe, step by step, and how it is checked there.

Common practice, no source: everything that carries the part is cut in one chucking, the seat last.
mm from the seat unless a step says otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import ceil_to, floor_to, text_of
from mandrelgen.model import corner
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.spec.shop import ThreadTool, ToolCondition
from mandrelgen.standards import cutting
from mandrelgen.workshop.home.own_drilling import Hole
from mandrelgen.workshop.home.own_sizes import OwnSize

# Left on the seat for the last cut (common practice, no source).
LAST_CUT = 0.1


@dataclass(frozen=True, slots=True)
class OwnStep:
    """One step, and the letters of the sizes to measure before the next."""

    what: str
    measure: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What the steps are worded from. ``stands_out``: how far the finished free end stands out of
    the nut, ``grip``: what is in nut and collet; ``reduced``: ⌀ and length of the end that is
    turned first, where no collet takes the rod; ``blank``: the turner made all but the thread."""

    mandrel: Mandrel
    thread: ThreadData
    tool: ThreadTool | None
    hole: Hole | None
    sizes: Mapping[str, OwnSize]
    stands_out: float
    grip: float
    reduced: tuple[float, float] | None
    blank: bool

    @property
    def name(self) -> str:
        """The thread as the tool is called by."""
        return self.thread.limits.designation.name

    def mark(self, id: str) -> str:
        """The letter of a size; "" if the card has none."""
        return self.sizes[id].mark if id in self.sizes else ""

    def said(self, id: str) -> str:
        """A size with its letter: ``⌀10.55 (A)``."""
        return f"{self.sizes[id].text} ({self.sizes[id].mark})" if id in self.sizes else ""


def steps(w: Work) -> tuple[OwnStep, ...]:
    """The steps, in order."""
    if w.blank:
        return _blank(w)
    front = (_grip(w), *(_outside(w) if w.hole is None else _inside(w, w.hole)))
    return (*front, _seat(w))


def _grip(w: Work) -> OwnStep:
    first = ""
    if w.reduced is not None:
        d, long = w.reduced
        first = (
            f"No collet of yours takes the rod: turn one end to ⌀{text_of(d)} over "
            f"{text_of(long, 1)} first, then reverse it. "
        )
    return OwnStep(
        f"{first}Grip the rod over {text_of(floor_to(w.grip, 1.0))} at least, about "
        f"{text_of(ceil_to(w.stands_out, 1.0))} standing out of the nut. One scribed line over "
        "rod, nut and collet shows a slip, and where a brass one goes back. Face the "
        f"end{_drilled(w)}."
    )


def _drilled(w: Work) -> str:
    """The centre hole of a plug's end, and a hole for the knock-out rod."""
    if w.hole is not None:
        return ""
    centre = next((h for h in w.mandrel.centre_holes if h.at == "nose"), None)
    bore = next((s for s in w.mandrel.inner if s.feature.kind is FeatureKind.BORE), None)
    said = "" if centre is None else f"; centre-drill it, {centre.designation}"
    return said + ("" if bore is None else f"; drill ⌀{text_of(bore.d0)} right through")


def _front(w: Work) -> float:
    """From the seat to the free end as it is aimed at, mm."""
    lengths = [s for s in w.sizes.values() if not s.diameter]
    return max(lengths, key=lambda s: max(s.stations)).aim


def _outside(w: Work) -> tuple[OwnStep, ...]:
    """A plug: turned, grooved, threaded by the die."""
    front = _front(w)
    behind = -w.mandrel.stations.get("collar.start", 0.0)
    neck = w.sizes.get("neck.end")
    first = (
        f"Turn {w.said('collar.diameter')} over {text_of(front + (neck.aim if neck else behind))}"
    )
    first += " from the end."
    if neck is not None:
        first += (
            f" Neck {w.said('neck.diameter')} behind it; the collar keeps "
            f"{text_of(behind + LAST_CUT)}."
        )
    out = [
        OwnStep(first, _marks(w, "collar.diameter", "neck.diameter", "neck.end")),
        OwnStep(
            f"Mark the seat {text_of(front - LAST_CUT)} from the end ({text_of(LAST_CUT)} is left "
            f"for the last cut); up to the mark turn {w.said('thread.major_diameter')}.",
            w.mark("thread.major_diameter"),
        ),
    ]
    out += [
        OwnStep(f"Turn the spigot {w.said(f'{name}.diameter')}, ending at "
                f"{w.said(f'{name}.end')}.",
                _marks(w, f"{name}.diameter", f"{name}.end"))
        for name in ("spigot1", "spigot2") if f"{name}.diameter" in w.sizes
    ]  # fmt: skip
    if "register.diameter" in w.sizes:
        out.append(OwnStep(
            f"Leave a register {w.said('register.diameter')} at the seat, "
            f"{w.said('register.end')} long: until it slides into your part.",
            _marks(w, "register.diameter", "register.end")))  # fmt: skip
    out.append(OwnStep(
        f"Part in a groove {w.said('relief.diameter')}, {w.said('relief.width')} wide, right at "
        "the seat. "
        + (f"Turn the free end to {w.said('chamfer.diameter')} as far as the thread's end "
           f"{w.mark('thread.end')}; chamfer up to the thread at 45°." if "nose.end" in w.sizes
           else f"Chamfer the end at 45° down to {_foot(w)}."),
        _marks(w, "relief.diameter", "relief.width", "chamfer.diameter")))  # fmt: skip
    out.append(OwnStep(_die(w)))
    return tuple(out)


def _foot(w: Work) -> str:
    """How far down the thread's chamfer goes."""
    end = next(s.d1 for s in w.mandrel.outer if s.feature == "chamfer")
    return w.said("chamfer.diameter") or f"⌀{text_of(end)}"


def _die(w: Work) -> str:
    stop = "seat" if "thread.first" in w.mandrel.stations else "groove"
    return (
        f"Spindle locked: run the {w.name} die on by hand, square in the tailstock, up to the "
        f"{stop}; back off and clear chips each turn. {_lead(w)}"
    )


def _lead(w: Work) -> str:
    """What the die leaves at the seat, and what the groove, or the part, takes of it."""
    width = w.sizes.get("relief.width")
    left = w.mandrel.stations.get("thread.first")  # of a blank: no groove is drawn behind it
    own = w.tool.incomplete if w.tool is not None else None
    known = own is not None
    lead = float(own) if own is not None else (
        cutting.rule("tool", "die_lead").value * w.thread.form.pitch
    )  # fmt: skip
    room = width.aim if width is not None else left or 0.0
    basis = "your shop file" if known else "from memory: measure yours"
    if left is not None:
        turned = "" if lead <= room + 1e-9 else ": turn the die round for the last turns"
        return (
            f"Its lead ({text_of(lead, 1)}, {basis}) runs out at the seat; the part's counterbore "
            f"takes {text_of(room, 1)} of it{turned}."
        )
    if lead <= room + 1e-9:
        return f"Its lead ({text_of(lead, 1)}, {basis}) runs out in the groove."
    return (
        f"Its lead ({text_of(lead, 1)}, {basis}) is longer than the groove: turn the die round for "
        "the last turns."
    )


def _inside(w: Work, h: Hole) -> tuple[OwnStep, ...]:
    """A cup: drilled, counterbored, tapped."""
    back = w.mandrel.stations.get("collar.start", 0.0)
    through = f" Drill ⌀{text_of(h.through)} right through first." if h.through else ""
    cb = w.sizes.get("counterbore.diameter")
    return (
        OwnStep(f"Turn {w.said('collar.diameter')} over {text_of(-back, 1)} from the end.",
                _marks(w, "collar.diameter", "collar.length")),
        OwnStep(f"Centre with a centre drill.{through} Drill ⌀{text_of(h.drill)} from the "
                f"tailstock, {text_of(h.deep, 1)} deep at full diameter; clear chips often.",
                "its depth"),
        OwnStep(f"Counterbore {w.said('counterbore.diameter')} × {w.said('counterbore.depth')} "
                "before the tap: a flat drill, or a parting tool used inside; leave a small "
                "chamfer into the hole.",
                _marks(w, "counterbore.diameter", "counterbore.depth") if cb else ""),
        OwnStep(_tap(w, h), "its depth"),
    )  # fmt: skip


def _tap(w: Work, h: Hole) -> str:
    lead = f"{text_of(h.lead, 1)}, {'your shop file' if h.lead_known else 'from memory'}"
    return (
        f"Spindle locked: tap {w.name} by hand, guided by the tailstock, point {text_of(h.tap, 1)} "
        f"deep: the thread is then full to {text_of(h.full, 1)} (the tap's lead taken as {lead}). "
        "Back off and clear chips each turn."
    )


def _seat(w: Work) -> OwnStep:
    what = "collar's front" if w.hole is None else "end face"
    at = next((s.corner for s in w.mandrel.outer if s.corner is not None), None)
    inside = f", inside corner R {corner.said(at)}" if at is not None else ""
    return OwnStep(
        f"Last, a light cut over the {what}: this is the seat. Square, no burr{inside}. Deburr the "
        "first thread. Check it before anything moves.",
        _marks(w, "thread.end", "nose.end", "collar.length", "counterbore.depth"),
    )


def _blank(w: Work) -> tuple[OwnStep, ...]:
    """The turner's blank: only the thread is missing."""
    if w.hole is None:
        cut = _die(w)
    elif "thread.full" in w.mandrel.stations:  # drilled for the tap: it need not reach the floor
        cut = _tap(w, w.hole)
    else:
        cut = (
            f"Spindle locked: tap {w.name} by hand, guided by the tailstock, to the floor; "
            "back off and clear chips each turn."
        )
    return (
        OwnStep("Grip the blank by its shank, as deep as the collet goes; wipe both."),
        OwnStep("Turn it by hand against an indicator, if you have one: the seat and the blank run "
                "true before you cut.", _marks(w, "thread.diameter")),
        OwnStep(cut),
        OwnStep("Deburr the first thread with a fine file. The seat stays as it came."),
    )  # fmt: skip


def _marks(w: Work, *ids: str) -> str:
    return ", ".join(m for m in map(w.mark, ids) if m)


def tool_said(t: ThreadData, tool: ThreadTool | None) -> str:
    """The tool in words, and what is known of it."""
    kind = "die" if t.limits.external else "tap"
    if tool is None:
        return f"a {kind} {t.limits.designation.name} (none in your shop file)"
    worn = {
        ToolCondition.WORN: ", worn: the thread comes out thin, try it on your part early",
        ToolCondition.USED: ", used",
        ToolCondition.NEW: ", new",
    }
    name = f" '{tool.id}'" if tool.id else ""
    state = worn.get(tool.condition, "") if tool.condition is not None else ""
    return f"your {kind} {t.limits.designation.name}{name}{state}"


def checks(w: Work) -> tuple[str, ...]:
    """How it is checked at home, by hand and eye."""
    starts = w.thread.form.starts
    each = f", in each of the {starts} starts" if starts > 1 else ""
    again = "die" if w.hole is None else "tap"
    thick = w.mandrel.ordering.soft_washer
    washer = f", a soft washer {text_of(thick)} thick on the seat" if thick else ""
    again_faced = "" if w.blank else ": face it again"
    return (
        f"Your part, or a test piece cut with the same tools, screws on by hand{each}{washer}. Too "
        f"tight: run the {again} again before you take anything off.",
        "It seats all round: a strip of cigarette paper is held at four places, or soft pencil on "
        "the mandrel rubs off. No marking blue, spirit pen or oil near resin: they stain, craze.",
        f"It does not rock (a burr, or a seat out of square{again_faced}) and runs true by an "
        f"indicator, turned by hand{_runout(w)}.",
    )


def _runout(w: Work) -> str:
    found = [c.upper for c in w.mandrel.characteristics if c.id == "seat.runout"]
    return f": the drawing asks {text_of(found[0] or 0.0)} of the seat" if found else ""
