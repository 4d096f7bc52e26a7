"""Bar to saw off, its mass, and an order of work that keeps what must be true in one setting."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mandrelgen.mandrel import Mandrel, MandrelKind, Stretch, ThreadData
from mandrelgen.standards import materials, stock
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.toleranced import text_of


@dataclass(frozen=True, slots=True)
class Stock:
    """What to buy for one piece. Lengths in mm, masses in g. ``bar`` None: ``note`` says why."""

    material: str
    widest: float
    bar: float | None
    finished_length: float
    length: float
    bar_mass: float
    finished_mass: float
    note: str
    source: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work, and the reason where the order matters ("" : it does not)."""

    what: str
    why: str = ""


def choose(mandrel: Mandrel) -> Stock:
    """The bar for a mandrel: a skin to turn off all over, faces to face, one parting cut."""
    widest = max(max(s.d0, s.d1) for s in mandrel.outer)
    long = mandrel.outer[-1].z1 - mandrel.outer[0].z0
    length = math.ceil(long + 2 * stock.allowance("facing") + stock.allowance("part_off"))
    material = mandrel.ordering.material
    density = materials.material(material).density
    note = "turned all over"
    bar: float | None
    try:
        bar = stock.bar_for(material, widest + stock.allowance("skin"))
    except NotHeldError as e:
        bar, note = None, f"{e.message}; {e.remedy}"
    shank = next((s.d0 for s in mandrel.outer if s.feature == "shank"), 0.0)
    if bar is not None and abs(shank - widest) < 1e-6:
        note = (
            f"turned all over; bar ground to ⌀{text_of(shank)} h8 or finer saves turning the shank"
        )
    mass = 0.0 if bar is None else math.pi / 4 * bar**2 * length * density / 1000
    return Stock(
        material,
        widest,
        bar,
        long,
        float(length),
        mass,
        finished_volume(mandrel) * density / 1000,
        note,
        "bar sizes from memory; allowances: common practice, no source",
    )


def finished_volume(mandrel: Mandrel) -> float:
    """Volume of the plain stretches, mm³; a thread counts at its pitch diameter."""
    outer = sum(_volume(s) for s in mandrel.outer)
    return outer - sum(_volume(s) for s in mandrel.inner)


def _volume(s: Stretch) -> float:
    a, b = s.d0, s.d1
    if s.thread is not None:
        a = b = s.thread.pitch_diameter
    return math.pi / 12 * abs(s.z1 - s.z0) * (a * a + a * b + b * b)


def order_of_work(mandrel: Mandrel) -> tuple[Step, ...]:
    """A suggested order. The shop may know better; the reasons say what must not be lost."""
    if mandrel.kind is MandrelKind.BUTTON:
        return _button()
    steps = [*_shank(mandrel), *_end(mandrel, "")]
    if mandrel.kind is MandrelKind.DOUBLE_ENDED:
        steps += [
            Step(
                "Turn the piece round in the same collet, on the finished shank; protect the "
                "finished end",
                "both ends refer to the shank, so each is true to it by itself",
            ),
            *_end(mandrel, "b."),
        ]
    if mandrel.flats is not None:
        steps.append(
            Step("Mill the spanner flats, held by the shank", "a vice on turned faces marks them")
        )
    steps.append(
        Step(
            f"Mark {mandrel.ordering.marking or 'the number'} on the neck or the shank's end face; "
            "oil",
            "a mark on shank or seat would stand proud of it",
        )
    )
    return tuple(steps)


def _shank(mandrel: Mandrel) -> list[Step]:
    centre = any(h.at == "rear" for h in mandrel.centre_holes)
    first = "Saw, face the rear" + (" and centre it" if centre else "") + ", chamfer"
    return [
        Step(first),
        Step(
            "Turn the shank to size, held by the other end, tailstock up if it has a centre",
            "everything after it is held by this shank, so it comes first",
        ),
        Step(
            "Turn round: hold the finished shank in a collet of its size, indicate it, and do not "
            "let go of it until the end is finished",
            "thread, seat, register and spigot come out true to the shank only in one setting",
        ),
    ]


def _end(mandrel: Mandrel, prefix: str) -> list[Step]:
    has = {s.feature.removeprefix(prefix) for s in (*mandrel.outer, *mandrel.inner)
           if s.feature.startswith(prefix)}  # fmt: skip
    threads = [t for t in mandrel.threads if t.feature == f"{prefix}thread"]
    out = [Step("Face to length; rough all diameters 0.5 over, seat 0.2 over")]
    if any(h.at == "nose" for h in mandrel.centre_holes) and not prefix:
        out.append(
            Step(
                "Centre the nose and bring the tailstock up lightly",
                "a slim thread bends away from the tool without it",
            )
        )
    internal = bool(threads) and not threads[0].limits.external
    if internal:
        out.append(
            Step(
                "Drill the pilot, bore to the thread's minor diameter, cut the relief and the "
                "counterbore",
                "the relief must be there before the tool runs into it",
            )
        )
    elif threads:
        out.append(
            Step(
                "Turn the thread's crest diameter; cut relief and run-in groove; chamfer",
                "the tool starts and ends in the grooves; the chamfer keeps the first turn whole",
            )
        )
    out += _thread_step(threads)
    last = [n for n in ("register", "spigot1", "spigot2", "counterbore") if n in has]
    names = ", ".join(n.rstrip("12") for n in dict.fromkeys(last))
    out.append(
        Step(
            f"Finish {names + ' and ' if names else ''}seat with a light last cut",
            "after the thread: threading loads the piece and throws a burr at both grooves",
        )
    )
    if threads:
        out.append(
            Step(
                "Dress the feather edge of each start with a file; wire-brush; try the sample part "
                "or gauge before letting go of the shank",
                "once out of the collet the thread cannot be picked up truly again",
            )
        )
    return out


def _thread_step(threads: list[ThreadData]) -> list[Step]:
    if not threads:
        return []
    t = threads[0]
    if t.order == "blank":
        return [Step("Leave the thread's blank uncut, at the limits of the card")]
    if t.order == "my-tool":
        tool = "die" if t.limits.external else "tap"
        return [
            Step(
                f"Cut the thread with the {tool} sent along, guided by the tailstock",
                "started by hand it leans",
            )
        ]
    many = t.form.starts > 1
    return [
        Step(
            "Cut the thread by the card" + (", all starts to each depth before the next" if many
                                            else ""),
            "the tool keeps one setting and wears alike for every start" if many else "",
        )
    ]  # fmt: skip


def _button() -> tuple[Step, ...]:
    return (
        Step("Face, centre and turn the spigot and the face behind it in one setting",
             "the centre must run true to the spigot"),
        Step("Part off, face the back lightly"),
    )  # fmt: skip
