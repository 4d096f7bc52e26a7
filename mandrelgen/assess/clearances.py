"""Where part and mandrel stand clear of each other, at every combination of both limits."""

from __future__ import annotations

from mandrelgen.assess.locators import PLAIN, fit_of, hole_at
from mandrelgen.assess.setup import Situated
from mandrelgen.design.ends import TappedEnd
from mandrelgen.mechanics.assessment_types import Gap


def gaps(s: Situated) -> tuple[Gap, ...]:
    """Play of thread, spigots and register; room that must be left before the seat bears."""
    return (*_thread(s), *_plain(s), *_seat_first(s))


def _thread(s: Situated) -> list[Gap]:
    fitted = fit_of(s)
    if fitted is None or s.thread is None:
        return []
    play, left = fitted
    ate = f" (lead and spacing errors take {left.eaten:.3f})" if left.eaten > 5e-4 else ""
    pitch = "thread.pitch_diameter"
    return [
        Gap(
            id=pitch,
            label=f"play on the pitch diameter{ate}",
            kind="play",
            least=left.play_min,
            most=play.pitch_max,
        ),
        Gap("thread.major_diameter", "screw's crest in the nut's root", "play", play.outside),
        Gap("thread.minor_diameter", "nut's crest over the screw's root", "play", play.inside),
        Gap(
            "thread.engagement",
            "full thread engaged",
            "engagement",
            s.thread.full_pitches * float(s.thread.limits.designation.pitch),
        ),
    ]


def _plain(s: Situated) -> list[Gap]:
    found = []
    for st in s.mandrel.outer:
        c = s.size(st.feature.size("diameter"))
        if not st.feature.is_here(*PLAIN) or c is None:
            continue
        hole = hole_at(s, st)
        if hole is None or c.lower is None or c.upper is None:
            continue
        label = f"{st.feature} in the {hole.made} bore"
        low, high = hole.size.lower - c.upper, hole.size.upper - c.lower
        found.append(Gap(id=c.id, label=label, kind="play", least=low, most=high))
    return found


def _free_mouth(s: Situated, end: TappedEnd) -> float:
    """How deep, mm, the part's counterbore lets the mandrel's crest stand free; 0 without one."""
    crest, hole = s.upper("thread.major_diameter"), end.counterbore
    if hole is None or crest is None or hole.size.lower <= crest:
        return 0.0
    return hole.end


def _seat_first(s: Situated) -> list[Gap]:
    washer = s.wishes.soft_washer
    found: list[Gap] = []

    def room(id: str, label: str, least: float | None) -> None:
        if least is not None:
            found.append(Gap(id, label, "seat", least))

    def less(a: float | None, b: float | None) -> float | None:
        return None if a is None or b is None else a - b

    if s.tapped is not None:
        end = s.upper("thread.end")
        room("thread.end", "mandrel's thread to the end of the part's full thread",
             less(s.tapped.full_min + washer, end))  # fmt: skip
        room("thread.incomplete", "incomplete threads to the end of the part's free mouth",
             less(_free_mouth(s, s.tapped) + washer, s.upper("thread.incomplete")))  # fmt: skip
        room("nose.end", "nose to the bottom of the bore",
             less(s.tapped.bottom_min + washer, s.upper("nose.end")))  # fmt: skip
        if s.tapped.counterbore is not None:
            room("register.end", "register to the bottom of the counterbore",
                 less(s.tapped.counterbore.end + washer, s.upper("register.end")))  # fmt: skip
    if s.tenon is not None:
        room("floor.depth", "tenon's nose to the floor",
             less(s.lower("floor.depth"), s.tenon.length.upper - washer))  # fmt: skip
        room("thread.depth", "tenon's nose to the end of the full thread",
             less(s.lower("thread.depth"), s.tenon.length.upper - washer))  # fmt: skip
        room("counterbore.depth", "incomplete threads to the end of the counterbore",
             less(s.lower("counterbore.depth"), s.tenon.unformed_max - washer))  # fmt: skip
        room("counterbore.diameter", "part's crest in the counterbore",
             less(s.lower("counterbore.diameter"), s.tenon.thread.major_max_worst))  # fmt: skip
        room("relief.diameter", "part's crest in the relief",
             less(s.lower("relief.diameter"), s.tenon.thread.major_max_worst))  # fmt: skip
    return found
