"""What a person can type about a pen, in the order of the page: each a key of the pen file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mandrelgen.core.errors import Path
from mandrelgen.core.frozen import dataclass
from mandrelgen.paper.pen_drawing.facts import dotted
from mandrelgen.spec.joints import EndRef, Joint, other_end
from mandrelgen.spec.pen import Bottom, End, Manner, Part, Pen, Side
from mandrelgen.standards import materials
from mandrelgen.workflows.answers.boxes import (
    CHOICE,
    SIZE,
    THREAD,
    Choices,
    Field,
    Group,
    Tree,
)
from mandrelgen.workflows.answers.texts import label

HOLES: Choices = (
    (Manner.DRILLED.value, label("drilled")),
    (Manner.REAMED.value, label("reamed")),
    (Manner.BORED.value, label("bored")),
)
CUT: Choices = (
    (Manner.GUIDED.value, label("guided_in_the_tailstock")),
    (Manner.FREEHAND.value, label("freehand")),
    (Manner.SINGLE_POINT.value, label("screwcut")),
)
BOTTOMS: Choices = (
    (Bottom.DRILL_POINT.value, label("as_the_drill_leaves_it")),
    (Bottom.FLAT.value, label("flat")),
    (Bottom.THROUGH.value, label("through_the_part")),
)
SIDES: Choices = (
    (Side.NIB.value, label("the_nib")),
    (Side.TAIL.value, label("the_tail")),
)


@dataclass(frozen=True, slots=True)
class PartForm:
    """A part's boxes: its own, then each end's."""

    id: str
    name: str
    own: Group
    ends: tuple[Group, ...]


@dataclass(frozen=True, slots=True)
class HoleForm:
    """One step of a bore: which, its boxes."""

    number: int
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class ThreadForm:
    """One end with what is cut into it: threads, holes, how the bore ends. ``asks``: a thread is
    still to be asked for; ``behind``: what is bored from elsewhere, in words."""

    part: str
    end: str
    title: str
    groups: tuple[Group, ...]
    holes: tuple[HoleForm, ...]
    free: tuple[str, ...]
    asks: bool = False
    behind: str = ""


def part_forms(t: Tree, pen: Pen) -> tuple[PartForm, ...]:
    """The boxes of the first step: outsides."""
    whole = t.text(WHOLE_PEN)
    out = []
    for name, part in pen.parts.items():
        own = Group(
            part.name or name,
            (
                t.size(_length(part), "parts", name, "length", needed=True),
                t.size(label("largest_diameter"), "parts", name, "diameter", needed=True),
                replace(
                    t.choice(label("material"), _rods(), _of_all(whole), "parts", name, "material"),
                    unsaid=not whole,
                ),
            ),
            (
                t.words(label("name_on_paper"), "parts", name, "name", taken=name),
                t.flag(label("pale_or_clear_a_bore_would_show"), "parts", name, "pale"),
                t.size(
                    label("thinnest_wall_i_mean_to_leave"),
                    "parts",
                    name,
                    "least_wall",
                    taken=label("by_place_and_material"),
                ),
                *_through(t, name),
            ),
        )
        ends = tuple(_end(t, name, n, e) for n, e in part.ends.items())
        out.append(PartForm(name, part.name or name, own, ends))
    return tuple(out)


def _through(t: Tree, part: str) -> tuple[Field, ...]:
    """The bore right through a part, where the file says it so."""
    there = t.text(("parts", part, "through"))
    return (t.size(label("bore_through_the_part"), "parts", part, "through"),) if there else ()


WHOLE_PEN: Path = ("pen", "material")


KINDS = ("plastic", "wood", "printed", "metal")
"""What pens are made of, the usual kind first."""


def _rods() -> Choices:
    held = sorted(materials.names(), key=lambda m: KINDS.index(materials.material(m).kind))
    return tuple((m, m.replace("-", " ")) for m in held)


def _length(part: Part) -> str:
    """A tenon is part of the length that is asked for."""
    tenon = any(e.external is not None for e in part.ends.values())
    return label("length_with_its_tenon") if tenon else label("length_over_all")


def _of_all(whole: str) -> str:
    """What a part is taken to be made of that does not say its own."""
    if not whole:
        return label("cast_acrylic")
    return label("as_all_parts", material=whole.replace("-", " "))


def pen_group(t: Tree, pen: Pen) -> Group:
    """What is said once of the whole pen: its name, and whose the drawings are."""
    whole = t.choice(label("material_of_all_parts"), _rods(), label("cast_acrylic"), *WHOLE_PEN)
    name = t.words(label("name_of_the_pen"), "pen", "name", needed=True)
    both = (name, replace(whole, unsaid=True))
    nib = t.size(label("nib_stands_out"), "inside", "nib_unit", "stick_out")
    more = (
        *((nib,) if len(pen.parts) > 1 else ()),
        t.words(label("drawn_by"), "pen", "drawn_by"),
        t.words(label("owner"), "pen", "owner"),
    )
    return Group(label("the_whole_pen"), both if len(pen.parts) > 1 else (name,), more)


def _end(t: Tree, part: str, name: str, end: End) -> Group:
    at = ("parts", part, "ends", name)
    written = t.text((*at, "diameter"))
    largest = "" if written else t.text(("parts", part, "diameter"))
    where = label("at_the_shoulder") if end.external is not None else label("at_the_face")
    return Group(
        name,
        (
            Field(
                key=dotted((*at, "diameter")),
                label=label("diameter", where=where),
                value=written,
                kind=SIZE,
                choices=(),
                taken=largest,
                unsaid=not written,
            ),
        ),
        (
            t.choice(label("looks_towards"), SIDES, "", *at, "side"),
            t.size(label("edge_break_on_the_radius"), *at, "edge_break", taken="0.2"),
            t.flag(label("the_face_shows_on_the_finished_pen"), *at, "visible_face"),
            t.flag(label("a_metal_band_holds_this_end"), *at, "band"),
            t.choice(label("face_cut"), CUT, label("guided_in_the_tailstock"), *at, "face_made"),
        ),
    )


def thread_forms(t: Tree, pen: Pen) -> tuple[ThreadForm, ...]:
    """The boxes of the second step: what is cut into each end, and what can be cut into one that
    has nothing yet."""
    out = []
    for part_id, part in pen.parts.items():
        title = part.name or part_id
        out += [_threads(t, part_id, n, e, title) for n, e in part.ends.items()]
        if other := other_end(part_id, part):
            free = ("external", "internal")
            out.append(
                ThreadForm(
                    part=part_id, end=other, title=f"{title}, {other}", groups=(), holes=(),
                    free=free,
                )
            )  # fmt: skip
    return tuple(out)


def _threads(t: Tree, part: str, name: str, end: End, title: str) -> ThreadForm:
    at = ("parts", part, "ends", name)
    groups = []
    if end.external is not None:
        groups.append(_external(t, (*at, "external")))
    if end.internal is not None:
        groups.append(_internal(t, (*at, "internal")))
    # A bore through the part that the file says once is seen at its other end too.
    own = len(end.bore) if t.text((*at, "bore", 0, "depth")) else 0
    holes = tuple(HoleForm(n, tuple(_hole(t, (*at, "bore", n), n))) for n in range(own))
    if own:
        angle = Field(
            key=dotted((*at, "bottom")),
            label=label("the_hole_ends"),
            value=t.text((*at, "bottom")),
            kind=CHOICE,
            choices=BOTTOMS,
            taken=label("as_the_drill_leaves_it"),
        )
        groups.append(Group(label("bottom_of_the_hole"), (angle,)))
    free = [s for s, have in (("external", end.external), ("internal", end.internal)) if not have]
    return ThreadForm(
        part=part,
        end=name,
        title=f"{title}, {name}",
        groups=tuple(groups),
        holes=holes,
        free=tuple(free),
        # The cap screws onto the barrel's mouth: its thread is asked for in the open.
        asks=part.startswith("barrel") and free == ["external"],
        behind=_behind(end) if end.bore and not own else "",
    )


def _behind(end: End) -> str:
    """The steps of a bore through the part, as this end sees them."""
    row = ", ".join(f"⌀{s.diameter:g}" for s in end.bore)
    return label("bored_through", holes=row)


def _thread(t: Tree, at: Path) -> Field:
    key = (*at, "thread")
    return Field(
        key=dotted(key), label=label("thread"), value=t.text(key), kind=THREAD, needed=True
    )


def _external(t: Tree, at: Path) -> Group:
    return Group(
        label("external_thread"),
        (
            _thread(t, at),
            t.size(label("length_of_the_tenon"), *at, "length", needed=True),
            t.size(
                label("incomplete_thread_at_the_shoulder"),
                *at,
                "unformed",
                taken=label("two_pitches"),
            ),
        ),
        (
            t.size(label("lead_in_chamfer"), *at, "chamfer", taken=label("0_65_of_a_pitch")),
            t.choice(label("cut"), CUT, label("guided_in_the_tailstock"), *at, "made"),
            t.size(label("measured_over_the_crest"), *at, "measured", "crest"),
            t.size(label("measured_pitch_diameter"), *at, "measured", _pitch(t, at)),
        ),
        side="external",
    )


def _pitch(t: Tree, at: Path) -> str:
    """The key of a measured pitch diameter: its old name where the file has it."""
    return "pitch" if t.text((*at, "measured", "pitch")) else "pitch_diameter"


def _internal(t: Tree, at: Path) -> Group:
    return Group(
        label("internal_thread"),
        (
            _thread(t, at),
            t.size(label("tapped_to_a_depth_of"), *at, "depth"),
            t.size(
                label("incomplete_thread_at_the_bottom"),
                *at,
                "tap_lead",
                taken=label("two_pitches"),
            ),
        ),
        (
            t.size(label("full_thread_to_a_depth_of"), *at, "full_thread"),
            t.size(
                label("countersink_diameter"),
                *at,
                "countersink",
                taken=label("thread_0_2"),
            ),
            t.size(
                label("counterbore_diameter"),
                *at,
                "counterbore",
                "diameter",
                taken=label("none"),
            ),
            t.size(label("counterbore_depth"), *at, "counterbore", "depth"),
            t.choice(label("cut"), CUT, label("guided_in_the_tailstock"), *at, "made"),
            t.size(label("measured_minor_diameter"), *at, "measured", "crest"),
        ),
        side="internal",
    )


def _hole(t: Tree, at: Path, number: int) -> Iterator[Field]:
    n = number + 1
    yield t.size(label("hole_diameter", n=n), *at, "diameter", needed=True)
    yield t.size(label("hole_depth", n=n), *at, "depth", needed=True)
    yield t.choice(label("hole_made", n=n), HOLES, "drilled", *at, "made")
    # Where the file says them they count before what is made so: they are seen.
    if t.text((*at, "tolerance")):
        yield t.words(label("hole_tolerance", n=n), *at, "tolerance")
    if t.text((*at, "measured", "value")):
        yield t.size(label("hole_measured", n=n), *at, "measured", "value")
    if number:
        yield t.flag(label("hole_undercut", n=n), *at, "undercut")


def joint_key(joint: Joint) -> str:
    """The key of the one box for both threads of a joint."""
    return f"joint.{joint.id}"


def mates_of(ref: EndRef, side: str) -> Path:
    """Where the thread of one side of a joint stands."""
    return ("parts", ref.part, "ends", ref.end, side, "thread")


def all_fields(t: Tree, pen: Pen) -> dict[str, Field]:
    """Every box of both steps by its key."""
    whole = pen_group(t, pen)
    found: list[Field] = [*whole.fields, *whole.more]
    for p in part_forms(t, pen):
        for g in (p.own, *p.ends):
            found += (*g.fields, *g.more)
    for f in thread_forms(t, pen):
        for g in f.groups:
            found += (*g.fields, *g.more)
        for h in f.holes:
            found += h.fields
    return {f.key: f for f in found}
