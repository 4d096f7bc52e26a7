"""A suggested sequence of operations: every characteristic is finished by exactly one step.

Plan: where bar of the shank's size is sold, the working end in one chucking on the bar as it is
bought. Else the shank first, held by the other end; then the piece turned round in a collet on the
finished shank and not unclamped until that end is finished. The seat is faced a little proud as
soon as the end is roughed and sets the axial zero; it is finished last, when nothing loads it any
more.
"""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel, MandrelKind, shank_front
from mandrelgen.standards import stock
from mandrelgen.workshop.turning.bar_stock import from_bar, parted
from mandrelgen.workshop.turning.end_operations import SHOWN, true_to, worked
from mandrelgen.workshop.turning.marking import marked
from mandrelgen.workshop.turning.working_end import Operation, WorkingEnd, end_of

__all__ = ["Operation", "order_of_work"]

# How much further than its length a shank is turned whose shoulder is cut later, mm (common
# practice, no source; the neck or collar behind it is longer).
SPARE = 1.0
_K = FeatureKind


def order_of_work(mandrel: Mandrel) -> tuple[Operation, ...]:
    """The steps of one mandrel. The shop may know better; the reasons say what must not be lost."""
    if mandrel.kind is MandrelKind.BUTTON:
        return _button(mandrel)
    double = mandrel.kind is MandrelKind.DOUBLE_ENDED
    if from_bar(mandrel):
        return (*_in_one_chucking(mandrel), *_after(mandrel))
    front = end_of(mandrel, MandrelEnd.FIRST, 2)
    steps = [*_shank(mandrel, front), *worked(front)]
    if double:
        steps += worked(end_of(mandrel, MandrelEnd.SECOND, 3))
    return (*steps, *_after(mandrel))


def _in_one_chucking(mandrel: Mandrel) -> list[Operation]:
    """The bar is the shank: the working end is cut on it, then the bar is drawn out and parted."""
    end = replace(end_of(mandrel, MandrelEnd.FIRST, 1), bar=True)
    ids = {c.id for c in mandrel.characteristics}
    own = ("shank.diameter", "shank.cylindricity", "shank.roughness")
    far = ("rear.chamfer", "rear.angle", "centre.rear.diameter", "shank.length", "bore.diameter")
    last = tuple(i for i in far if i in ids)
    rear, front = mandrel.outer[0].z0, mandrel.outer[-1].z1
    size = next(s for s in mandrel.outer if s.feature == "shank").d0
    facing = stock.allowance("facing")
    out = front - (shank_front(mandrel) or 0.0) + SHOWN + facing
    return [
        Operation(
            1,
            f"Bar ⌀{text_of(size)} as bought, measured first, in a collet of its size, "
            f"{text_of(out)} standing out: {text_of(facing)} to face off, at least "
            f"{text_of(SHOWN)} stays shank; indicated beside the collet to {true_to(end)}. Don't "
            "unclamp until the working end is finished",
            "the bar is the shank: what is cut now comes out true to it in one chucking",
            tuple(i for i in own if i in ids),
        ),
        *worked(end, gripped=True),
        *_off_the_bar(mandrel, front - rear, last),
    ]


def _off_the_bar(mandrel: Mandrel, long: float, last: tuple[str, ...]) -> list[Operation]:
    """The finished end parted off, ``long`` over all; turned round only where something is cut into
    the shank's end."""
    if parted(mandrel):
        return [
            Operation(
                0,
                f"Open the collet and draw the bar out. Groove it {text_of(long)} behind the "
                "foremost face, chamfer the shank's edge in the groove, then part off with a blade "
                "ground at a slant, so that the pip stays on the bar; file flat what is left of it",
                "nothing is indicated or turned round for the shank's end, which holds nothing",
                last,
            )
        ]
    facing = text_of(stock.allowance("facing"))
    centre = ", centre it" if "centre.rear.diameter" in last else ""
    drilled = ", drill the through bore" if "bore.diameter" in last else ""
    return [
        Operation(
            0,
            f"Open the collet, draw the bar out and part off {facing} longer than "
            f"{text_of(long)} over all",
        ),
        Operation(
            2,
            f"Turn round, the shank in the same collet: face the parted end to "
            f"{text_of(long)} over all{centre}{drilled}, chamfer it",
            "parting leaves a pip and a rough face; nothing is indicated for it, since the shank's "
            "end holds nothing",
            last,
        ),
    ]


def _shank(mandrel: Mandrel, front: WorkingEnd) -> list[Operation]:
    ids = {c.id for c in mandrel.characteristics}
    rear = tuple(i for i in ("rear.chamfer", "rear.angle", "centre.rear.diameter") if i in ids)
    double = mandrel.kind is MandrelKind.DOUBLE_ENDED
    centred = "centre.rear.diameter" in ids
    first = "Face the shank end clean" + (", centre it" if centred else "")
    if double:
        first = "Face end B, 1 left on"
    edge = () if double else tuple(i for i in rear if i in ("rear.chamfer", "rear.angle"))
    own = ["shank.diameter", "shank.cylindricity", "shank.roughness"]
    own += ["shank.length"] if front.back and not double else []
    bore = ("bore.diameter",) if "bore.diameter" in ids else ()
    steps = [
        Operation(
            1,
            f"Grip the bar by its other end. {first}",
            "",
            tuple(i for i in rear if i not in edge),
        ),
    ]
    if bore:
        steps.append(
            Operation(1, "Drill the through bore", "the shank is turned over it true", bore)
        )
    support = (
        "revolving centre in the shank end's centre hole" if centred else "without a tailstock"
    )
    shank = next(s for s in mandrel.outer if s.feature == "shank")
    long = shank.z1 - mandrel.outer[0].z0
    text = f"Turn the shank, {support}"
    if double:
        text += ", over its whole length; rough end B below it"
    elif front.back:
        text += f", to a shoulder {text_of(long)} from the shank end"
    else:
        text += f", to {text_of(long + SPARE)} from the shank end (the neck or collar is cut "
        text += f"back to {text_of(long)} later)"
    steps.append(
        Operation(
            1,
            text
            + (", then chamfer its end" if edge else "")
            + ". Measure it now: from here on it is in the collet",
            "everything after is held by this shank",
            (*edge, *(i for i in own if i in ids)),
        )
    )
    return steps


def _after(mandrel: Mandrel) -> list[Operation]:
    out = []
    flats = tuple(c.id for c in mandrel.characteristics if c.feature == "flats")
    if flats:
        out.append(
            Operation(0, "Mill the spanner flats, held by the shank in a collet block, "
                 "thread and seat covered",
                 "a vice on turned faces marks them, and so do chips", flats)
        )  # fmt: skip
    out.append(
        Operation(
            0,
            f"{marked(mandrel)}; oil",
            "a mark on shank or seat would stand proud of it",
        )
    )
    return out


def _button(mandrel: Mandrel) -> tuple[Operation, ...]:
    """Centre hole and spigot in one setting: the collar's side outwards, the spigot behind it."""

    def those(*kinds: FeatureKind, at: str = "") -> tuple[str, ...]:
        drilled = f"centre.{at}.diameter"
        every = mandrel.characteristics
        return tuple(c.id for c in every if c.subject in kinds or c.id == drilled)

    nose, rear = mandrel.outer[-1].z1, mandrel.outer[0].z0
    return (
        Operation(
            1,
            "Leave the bar standing out by the whole length and the parting tool. Face the end "
            "and centre it",
            "this centre takes the revolving centre in use",
            those(at="rear"),
        ),
        Operation(
            1,
            f"Live centre up. Turn the collar; {text_of(-rear)} behind the end face the seat, "
            "which looks towards the spindle, and is the axial zero; behind it undercut and "
            "spigot",
            "centre and spigot come out true to each other only in one setting",
            those(_K.COLLAR, _K.UNDERCUT, _K.SPIGOT, _K.SEAT),
        ),
        Operation(1, f"Part off {text_of(nose)} behind the seat, 0.5 over"),
        Operation(
            2,
            f"Turn round, hold lightly by the collar: face the nose to {text_of(nose)} from "
            "the seat" + (", centre it" if those(at="nose") else "") + ", chamfer",
            "",
            those(_K.NOSE, at="nose"),
        ),
        Operation(0, f"{marked(mandrel)}; oil"),
    )
