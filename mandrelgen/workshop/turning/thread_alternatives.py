"""Other ways to the thread: a die or tap sent along, or a blank; whether they can be used. mm."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.standards import cutting
from mandrelgen.workshop.turning.tool_clearance import turned_to_nose

CLASS_OF_TAP = {"4H": "1", "5H": "1", "6H": "2", "6G": "3", "7H": "3"}


class ThreadAlternative(NamedTuple):
    """One way to make the thread: ``usable`` false if the geometry forbids it; ``text`` says how,
    or why not. ``tool``: die, tap or blank; ``reach``: how near the seat its thread is full."""

    tool: str
    usable: bool
    text: str
    reach: str = ""


def variants(mandrel: Mandrel, thread: ThreadData) -> tuple[ThreadAlternative, ...]:
    """Tool sent along, and blank, for this thread on this mandrel."""
    tool = die(mandrel, thread) if thread.limits.external else tap(mandrel, thread)
    return (tool, blank(thread))


def tool_of(mandrel: Mandrel, thread: ThreadData) -> ThreadAlternative:
    """The customer's own die or tap: can it be used here?"""
    return variants(mandrel, thread)[0]


def die(mandrel: Mandrel, thread: ThreadData) -> ThreadAlternative:
    """A die must pass over everything between nose and thread, and its lead needs room behind."""
    row = turned_to_nose(mandrel, thread.feature.end)
    at = next(i for i, s in enumerate(row) if s.feature == thread.feature)
    root = thread.limits.minor.min or thread.form.root_diameter
    entry = thread.feature.beside(FeatureKind.CHAMFER)
    ahead = [s.feature for s in row[at + 1 :] if s.feature != entry]
    sizes = {name: _upper(mandrel, name) for name in ahead}
    name = max(sizes, key=lambda n: sizes[n], default=None)
    if name is not None and sizes[name] > root + 1e-9:
        return ThreadAlternative(
            "die",
            usable=False,
            text=f"a die can't be used: it has to pass over the {name.word_at(thread.feature.end)}"
            f" (up to ⌀{upper_limit_text(sizes[name])}), and its teeth may come down to the root, "
            f"⌀{lower_limit_text(root)}",
        )
    grooves = FeatureKind.RELIEF
    high = [s.z1 for s in row[:at] if max(s.d0, s.d1) > root and s.feature.kind is not grooves]
    wall = max(high, default=None)
    text = f"die {_name(thread)}: run it on from the nose, held square in the tailstock"
    lead = cutting.rule("tool", "die_lead").value * thread.form.pitch
    reach = f"thread full up to the relief, where the die's lead (about {text_of(lead, 2)}) ends"
    first = mandrel.stations.get(thread.feature.end.named("thread.first"))
    if first is not None:
        seat = mandrel.stations[thread.feature.end.named("seat")]
        text, reach = _up_to_the_seat(text, abs(first - seat), lead)
    elif wall is not None and row[at].z0 - wall < lead:
        missing = lead - (row[at].z0 - wall)
        text += (
            f"; the seat's side stops it {text_of(row[at].z0 - wall, 2)} behind the thread while "
            f"its lead is about {text_of(lead, 2)}: turn it round for the last turns, or clean up "
            f"the last {text_of(missing, 2)} with a single point"
        )
        reach = (
            f"the die (lead about {text_of(lead, 2)}, {text_of(row[at].z0 - wall, 2)} behind the "
            "thread) turned round for the last turns; incomplete thread beside the relief may "
            "remain"
        )
    return ThreadAlternative("die", usable=True, text=text, reach=reach)


def _up_to_the_seat(text: str, left: float, lead: float) -> tuple[str, str]:
    """How a die is run on where nothing but the seat stops it, and how far the thread is full:
    ``left``, mm, may stay incomplete."""
    text += f"; incomplete threads up to {text_of(left, 2)} from the seat are allowed"
    if lead > left + 1e-9:
        text += f", and its lead is about {text_of(lead, 2)}: turn it round for the last turns"
    return text, f"thread full from {text_of(left, 2)} off the seat on: no groove behind it"


def tap(mandrel: Mandrel, thread: ThreadData) -> ThreadAlternative:
    """A tap's lead must find room between the end of the thread and the floor."""
    inner, beside = {s.feature: s for s in mandrel.inner}, thread.feature.beside
    own, relief = inner[thread.feature], inner.get(beside(FeatureKind.RELIEF))
    ahead = inner.get(beside(FeatureKind.PILOT)) or inner.get(beside(FeatureKind.BORE))
    second = thread.feature.end is MandrelEnd.SECOND
    end = own.z1 if second else own.z0
    floor = end if relief is None else (relief.z1 if second else relief.z0)
    full = mandrel.stations.get(thread.feature.end.named("thread.full"))
    if relief is None and own.thread is None and full is not None:  # a blank bored for a tap
        end = full
    fade = own.thread.fade if own.thread is not None else 0.0
    if fade and ahead is not None:
        end += -fade if second else fade
        floor = ahead.z1 if second else ahead.z0
    room, seat = abs(floor - end), mandrel.stations.get(beside(FeatureKind.SEAT), 0.0)
    p = thread.form.pitch
    forms = [(n, cutting.rule("tool", n).value * p) for n in ("tap_c_lead", "tap_e_lead")]
    fits = [n[4].upper() for n, lead in forms if lead <= room + 1e-9]
    if not fits:
        return ThreadAlternative(
            "tap",
            usable=False,
            text=f"a tap can't be used: its lead is at least {text_of(forms[-1][1], 2)} and only "
            f"{text_of(room, 2)} lie between the thread's end and the floor, so the last turns "
            "would not be full",
        )
    klass = CLASS_OF_TAP.get(thread.limits.tolerance_class)
    text = f"tap {_name(thread)}"
    if thread.limits.designation.system == "M" and klass:
        text += f", class ISO {klass} (ISO 2857, from memory)"
    last = text_of(abs(floor - seat) - 0.3, 1)
    asked = [c for c in mandrel.characteristics if c.id == thread.feature.size("depth")]
    if asked and asked[0].lower is not None and asked[0].upper is not None:
        # The drawing says how deep the thread is full; the point may go no further than the hole.
        deep = f"{lower_limit_text(asked[0].lower)} to {upper_limit_text(asked[0].upper)}"
        stop = f"stop with its first full tooth {deep} from the seat, its point at most {last}"
    else:
        stop = f"stop {last} from the seat"
    text += (
        f", lead form {' or '.join(fits)} (DIN 2197, from memory): {text_of(room, 2)} of room "
        f"behind the thread; {stop}; guided by the tailstock"
    )
    if ahead is not None and ahead.d0 < own.d0:
        text += f"; a pointed end must pass the ⌀{text_of(max(ahead.d0, ahead.d1), 1)} hole ahead"
        text += " or be ground off"
    to = "up to the relief" if relief else f"down to {text_of(abs(end - seat), 2)} from the seat"
    reach = f"thread full {to}, where the tap's lead has {text_of(room, 2)} of room"
    return ThreadAlternative("tap", usable=True, text=text, reach=reach)


def blank(thread: ThreadData) -> ThreadAlternative:
    """The thread left uncut, at its crest's limits."""
    band = thread.limits.crest
    limits = f"⌀{lower_limit_text(band.min or 0)} to {upper_limit_text(band.max or 0)}"
    what = "turned" if thread.limits.external else "bored"
    return ThreadAlternative(
        "blank",
        usable=True,
        text=f"left {what} at {limits}, grooves and chamfers cut, not threaded",
    )


def _name(thread: ThreadData) -> str:
    d = thread.limits.designation
    return d.text + (f" with {d.starts} starts" if d.starts > 1 else "")


def _upper(mandrel: Mandrel, feature: str) -> float:
    """Largest diameter a feature may have: its upper limit, else as drawn."""
    for c in mandrel.characteristics:
        if c.id == f"{feature}.diameter" and c.upper is not None:
            return c.upper
    return max(max(s.d0, s.d1) for s in mandrel.outer if s.feature == feature)
