"""One working end in the sequence of operations: from gripping the shank to unclamping it."""

from __future__ import annotations

from mandrelgen.core.tolerance import floor_to, text_of
from mandrelgen.model import corner
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.feature import Feature, FeatureKind
from mandrelgen.model.mandrel import MandrelKind, ThreadData
from mandrelgen.workshop.turning import bar_stock, thread_alternatives
from mandrelgen.workshop.turning.cup_operations import (
    LATE,
    bored,
    thin_walled,
    with_late_mouth,
)
from mandrelgen.workshop.turning.working_end import Operation, WorkingEnd

# The piece is clocked to this share of the tightest run-out asked for (common practice).
SHARE = 0.25


SPINDLE_END = "the shank end"


def worked(end: WorkingEnd, gripped: bool = False) -> list[Operation]:
    """The steps of one end, all in one setting; ``gripped``: it is held already."""
    n = end.setting
    over = "Turn the piece round: hold the finished shank in a collet of its size"
    if end.second:
        over = "Turn round again, the finished end in the spindle, held on the same shank"
    grip = Operation(
        n,
        f"{over}, at least {text_of(SHOWN)} of it in front of the collet, clocked to "
        f"{true_to(end)}. Don't unclamp until this end is finished",
        "thread, seat and what centres come out true to the shank only in one setting",
    )
    steps = [*([] if gripped else [grip]), *_faces(end), _seat(end)]
    steps += [s for s in (_behind(end), _plain(end), bored(end), _grooved(end)) if s is not None]
    if end.thread is not None:
        cut = [] if end.thread.order == "blank" else [_cut(end, end.thread)]
        steps += [*cut, with_late_mouth(end, _dress(end, end.thread))]
    else:
        text = f"{_finish_seat(end)}. Break the edges; check by the list below"
        steps.append(Operation(n, text, _FACE_LAST, _seat_last(end)))
    again = Operation(
        n,
        f"Indicate the shank beside the collet once more: {true_to(end)}, as when it was gripped; "
        "only then unclamp",
        "in this setting seat and thread always seem true; only the shank shows that the piece has "
        "not moved",
    )
    return [*steps, again]


def true_to(end: WorkingEnd) -> str:
    """How true the piece is indicated; never truer than half the form asked of what the indicator
    runs on."""
    kinds = (Kind.RUNOUT, Kind.FACE_RUNOUT)
    every = end.mandrel.characteristics
    asked = [c.upper for c in every if c.kind in kinds and c.upper]
    form = max((c.upper or 0.0 for c in every if c.kind is Kind.CYLINDRICITY), default=0.0)
    if not asked:
        return "run true"
    limit = text_of(floor_to(max(SHARE * min(asked), form / 2), 0.001))
    return f"{limit} or better" + " (its own out-of-roundness apart)" * (form > 0)


def _reference(end: WorkingEnd) -> tuple[str, float] | None:
    """What an end's faces are measured from before there is a seat: its name and z."""
    z = next(s.z1 for s in end.mandrel.outer if s.feature == "shank")
    if end.bar:
        return None
    if end.second:
        return "the shank's front shoulder", z
    if end.mandrel.kind is MandrelKind.DOUBLE_ENDED:
        return None
    if end.back:
        return "the shank's shoulder", z
    return SPINDLE_END, end.mandrel.outer[0].z0


def _lower(text: str) -> str:
    return text[0].lower() + text[1:]


def _tip(end: WorkingEnd) -> float:
    """z of the end's foremost face."""
    return end.mandrel.outer[0].z0 if end.second else end.mandrel.outer[-1].z1


# Left on outside diameters and on the seat's face by the roughing cuts, mm (common practice, no
# source).
OVER = 0.5
ROUGH_PROUD = 0.2


_TURNED = (FeatureKind.COLLAR, FeatureKind.REGISTER, FeatureKind.THREAD, FeatureKind.SPIGOT)


def _rough(end: WorkingEnd) -> str:
    """The roughing cut, and what the bar has not enough for."""
    bar = bar_stock.choose(end.mandrel).bar
    less: dict[str, str] = {}
    for s in end.mandrel.outer:
        size = max(s.d0, s.d1)
        if bar is None or s.feature.end is not end.end or s.feature.kind not in _TURNED:
            continue
        if bar - size < OVER - 1e-9:
            word = s.feature.word_at(end.end)
            less[word] = f"but the {word}: a bar of ⌀{text_of(bar)} leaves it "
            less[word] += f"{text_of(max(bar - size, 0.0))}"
    told = f" ({', '.join(less.values())})" if less else ""
    return (
        f"Rough all outside diameters {text_of(OVER)} over{told}, the seat's face "
        f"{text_of(ROUGH_PROUD)} proud"
    )


def _faces(end: WorkingEnd) -> list[Operation]:
    """Nose faced (not if the seat is the foremost face: that is faced with the collar), centred;
    roughing."""
    n, out, ref = end.setting, [], _reference(end)
    centre = end.ids(("centre.nose.diameter",))
    if abs(_tip(end) - end.at("seat")) > 1e-9:
        far = text_of(abs(_tip(end) - ref[1])) if ref else ""
        if ref and ref[0] == SPINDLE_END:
            text = (
                f"Face the nose to {far} from {SPINDLE_END}: that end is in the collet, so "
                "measure the piece before closing it and take the rest off by the carriage dial"
            )
        else:
            text = f"Face the nose to {far} from {ref[0]}" if ref else "Face the nose clean"
        if not centre:
            return [Operation(n, f"{text}; {_lower(_rough(end))}")]
        text += "; centre it and bring the tailstock up lightly"
        why = "a slim end bends away from the tool without the centre"
        out.append(Operation(n, text, why, centre))
        out.append(Operation(n, _rough(end)))
    return out


# Left on the locating face until everything else is cut, mm (common practice, no source).
PROUD = 0.1
# Shank that stays in front of the turner's collet, to indicate on, mm (common practice, no source).
SHOWN = 8.0
# What the seat's step and the step behind it finish, by own name.
_SEAT = ("collar.diameter", "seat.runout", "seat.roughness", "nose.end")


def _foremost(end: WorkingEnd) -> str:
    """The size that places the seat behind the foremost face ("" if it is that face)."""
    if abs(_tip(end) - end.at("seat")) < 1e-9:
        return ""
    return "nose.end" if "nose" in end.has else "thread.end"


def _behind_nose(end: WorkingEnd) -> float:
    """How far the seat is to lie behind the foremost face, mm: the middle of what is allowed, for
    who aims at a limit misses half the time."""
    for size in map(end.mandrel.characteristic, end.ids((_foremost(end),))):
        if size.lower is not None and size.upper is not None:
            return (size.lower + size.upper) / 2
    return abs(_tip(end) - end.at("seat"))


def _opens(end: WorkingEnd) -> bool:
    """The relief begins at the locating face: while that stands proud it has not its width."""
    return any(
        s.feature.kind is FeatureKind.RELIEF
        and min(abs(end.at("seat") - z) for z in (s.z0, s.z1)) < 1e-9
        for s in end.mandrel.outer
        if s.feature.end is end.end
    )


def _seat_ids(end: WorkingEnd) -> tuple[str, ...]:
    names = {*_SEAT, _foremost(end)} - {""}
    if _opens(end):
        names.add("relief.width")
    if end.back:
        names.add("neck.end" if "neck" in end.has else "collar.length")
    return end.ids(names)


def _seat(end: WorkingEnd) -> Operation:
    ahead, ref = _foremost(end), _reference(end)
    if (end.back and ref is not None) or not ahead:
        where = f"{text_of(abs(end.at('seat') - ref[1]))} from {ref[0]}" if ref else "clean"
    else:
        where = f"{text_of(_behind_nose(end))} behind the nose"
    face = "seat" if ahead else "rim, which is the seat,"
    proud, why = text_of(PROUD), "one face to measure from; it is finished last"
    back, behind = "", _behind_ids(end)
    if behind and "neck" not in end.has:
        # One cut: nothing parts the collar from what is behind it.
        back = f"; turn the collar back to {text_of(_far(end, 'collar.start'))} from there"
        why += "; the collar's far shoulder makes the shank's length" * ("shank.length" in behind)
    late, collar = thin_walled(end), end.ids(("collar.diameter",))
    if late and back:
        back += f", {text_of(LATE)} over: it is finished when the inside is cut"
    turn = "" if back or end.plain else "Turn the collar; " if ahead else "turn the collar; "
    rough = "" if ahead or end.plain else f"{_rough(end)}; "
    text = f"{rough}{turn}face"
    return Operation(
        end.setting,
        f"{text[0].upper()}{text[1:]} the {face} {where}, but leave it {proud} proud. Zero the "
        f"dial {proud} deeper: every position of this end counts from there, the face as it will "
        f"be{back}",
        why,
        tuple(
            i
            for i in (*_seat_ids(end), *(behind if back else ()))
            if i not in _seat_last(end) and not (late and i in collar)
        ),
    )


def _far(end: WorkingEnd, station: str) -> float:
    """How far a station lies from the seat, mm (0: there is none)."""
    there = end.end.named(station) in end.mandrel.stations
    return abs(end.at("seat") - end.at(station)) if there else 0.0


_FACE_LAST = "threading pulls at the face and raises burrs on it"


def _seat_last(end: WorkingEnd) -> tuple[str, ...]:
    """What the last cut on the locating face finishes: all that is measured from it as it is."""
    return tuple(i for i in _seat_ids(end) if i not in end.ids(("collar.diameter",)))


def _finish_seat(end: WorkingEnd) -> str:
    at = next((s.corner for s in end.mandrel.outer if s.corner is not None
               and s.feature.end is end.end), None)  # fmt: skip
    nose = f" with a tool nose of R {corner.said(at)}" if at and _foremost(end) else ""
    return f"Finish the locating face: the last {text_of(PROUD)}, to zero{nose}"


def _behind_ids(end: WorkingEnd) -> tuple[str, ...]:
    """What the cut behind the seat finishes: collar's length, neck, the shank's shoulder."""
    taken = set(_seat_ids(end))
    ids = tuple(
        i for i in end.ids({"collar.length", "neck.diameter", "neck.end"}) if i not in taken
    )
    double = end.mandrel.kind is MandrelKind.DOUBLE_ENDED
    if (not end.back and not double and not end.bar) or end.second:
        ids += tuple(c.id for c in end.mandrel.characteristics if c.id == "shank.length")
    return ids


def _behind(end: WorkingEnd) -> Operation | None:
    """The neck; without one the collar is turned back together with its face."""
    ids = _behind_ids(end)
    if not ids or "neck" not in end.has:
        return None
    start, stop = (text_of(_far(end, n)) for n in ("collar.start", "neck.start"))
    why = "its far shoulder makes the shank's length" if "shank.length" in ids else ""
    text = f"Cut the neck behind the collar, {start} to {stop} from the seat"
    return Operation(end.setting, text, why, ids)


def _plain(end: WorkingEnd) -> Operation | None:
    """Register, spigots and nose chamfer; the register's end is made by the relief."""
    names = ("register.diameter", "register.runout", "nose.chamfer", "nose.angle")
    ids = end.ids(names, (FeatureKind.SPIGOT,))
    if not ids:
        return None
    found = [n for n in ("spigot1", "spigot2", "register") if n in end.has]
    words = " and ".join(dict.fromkeys(Feature(n).word for n in found)) or "nose"
    chamfer = ", chamfer the nose" if "nose" in end.has and words != "nose" else ""
    why = (
        "before the thread: nothing oversize stands beside the threading tool, and the grooves "
        "keep its burr away"
        if end.thread is not None
        else "in the same setting as the seat"
    )
    run_on = ""
    if "register" in end.has and end.thread is not None:
        # The thread's blank still stands over it: beside it the register would be a blind groove.
        run_on = "; run the register's diameter on over the thread's length"
    return Operation(
        end.setting, f"Finish the {words} with a finishing cut{run_on}{chamfer}", why, ids
    )


_K = FeatureKind
_GROOVES = (_K.RELIEF, _K.RUN_IN, _K.UNDERCUT, _K.CHAMFER)


def _grooved(end: WorkingEnd) -> Operation | None:
    """Crest of an external thread, relief, undercuts, lead-in chamfer."""
    if end.thread is not None and not end.thread.limits.external:
        return None
    taken = set(_seat_ids(end))
    names = ("thread.major_diameter", "thread.diameter", "register.end", "thread.end",
             "thread.runout")  # fmt: skip
    ids = tuple(i for i in end.ids(names, _GROOVES) if i not in taken)
    if not ids:
        return None
    if end.thread is None:
        return Operation(end.setting, "Cut the undercut at the seat", "", ids)
    from_here = f", from {text_of(PROUD)} on (finishing the face opens it to its width)"
    relief = f"relief{from_here if _opens(end) else ''}"
    grooves = [
        w
        for f, w in (("relief", relief), ("runin", "thread undercut at the free end"))
        if f in end.has
    ]
    text = "Turn the thread's crest"
    text += f"; cut {' and '.join(grooves)}" if grooves else ""
    leaves = ("", "the tool ends in the groove; ", "the tool starts and ends in the grooves; ")[
        len(grooves)
    ]
    return Operation(
        end.setting,
        f"{text}; chamfer the entry",
        f"{leaves}the chamfer keeps the first turn whole",
        ids,
    )


_STARTS = (
    ": indexed by the top slide, all starts to each depth before the next; by opening the gear "
    "train or the drive, each start to its full depth before the next, the dial's last reading "
    "the same"
)


def _cut(end: WorkingEnd, t: ThreadData) -> Operation:
    """The thread itself."""
    crest = "major" if t.limits.external else "minor"
    said = (
        "major_diameter",
        "pitch_diameter",
        "minor_diameter",
        "pitch",
        "lead",
        "starts",
        "depth",
        "incomplete",
    )
    names = {f"thread.{n}" for n in said} - {f"thread.{crest}_diameter"}
    ids, n = end.ids(names), end.setting
    own = thread_alternatives.tool_of(end.mandrel, t)
    if t.order == "my-tool" and own.usable:
        away = "; take the revolving centre away for it" if "nose" in end.has else ""
        text = f"Cut the thread with the customer's own {own.tool}, guided by the tailstock{away}"
        return Operation(n, text, "started by hand it leans", ids)
    if t.order == "stock-tap":
        text = "Tap the thread with a stock tap by its card, guided by the tailstock"
        return Operation(n, text, "started by hand it leans", ids)
    if t.order == "my-tool":
        text = f"Cut the thread with a single point by its card: {own.text}"
        return Operation(n, text, "ask the customer before cutting", ids)
    many = t.form.starts > 1
    return Operation(
        n,
        "Cut the thread by its card" + (_STARTS if many else ""),
        "so every start is left at the same depth; what is opened for indexing is opened once a "
        "start" if many else "",
        ids,
    )  # fmt: skip


def _dress(end: WorkingEnd, t: ThreadData) -> Operation:
    text, tried = "The thread is left uncut: its blank is finished. Break the edges", ""
    why = "last, when nothing pulls at the face or raises burrs on it any more"
    if t.order != "blank":
        starts = "each start" if t.form.starts > 1 else "the thread"
        with_ = "a file" if t.limits.external else "a scraper or a small stone"
        text = f"Deburr the incomplete first turn of {starts} with {with_}; wire-brush"
        tried = ", try the test piece"
        why = f"{_FACE_LAST}; once out of the collet the thread cannot be picked up truly again"
    last, thin = _seat_last(end), ""
    if thin_walled(end):
        text += ". Finish the collar's outside with light cuts and a sharp tool"
        thin = "boring and threading move so thin a wall; "
        last = (*end.ids(("collar.diameter",)), *last)
    return Operation(
        end.setting,
        f"{text}. {_finish_seat(end)}. Check by the list below{tried}",
        f"{thin}{why}",
        last,
    )
