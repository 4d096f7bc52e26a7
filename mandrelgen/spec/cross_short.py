"""Checks of the short forms: joints name ends of parts that are there; skip and hold name parts."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.core.errors import Path
from mandrelgen.spec.cross_refs import Named
from mandrelgen.spec.joints import EndRef, joints, split_place
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.remark import Remark, shown


def table_remarks(pen: Pen, named: Named) -> Iterator[Remark]:
    """Both ends of each joint are ``part.end`` of two parts of the file, each used once."""
    parts = {ref.part for ref in named.features}
    taken: dict[tuple[str, str], str] = {}
    for name, joint in pen.joints.items():
        for side, text in (("external", joint.external), ("internal", joint.internal)):
            path: Path = ("joints", name, side)
            steps = [s.strip() for s in text.split(".")]
            if len(steps) != 2 or not all(steps):
                yield Remark(
                    "joints.form", path, f"{shown(text)} is not an end",
                    "write part.end: barrel.mouth (the end's name is yours to choose)",
                )  # fmt: skip
            elif steps[0] not in parts:
                yield _no_part(path, steps[0], parts)
            elif (other := taken.setdefault((text, side), name)) != name:
                yield Remark(
                    "joints.twice", path,
                    f"the {side} thread of {text} is already in the joint {shown(other)}",
                    "for a second part on the same thread give that part's end its own thread "
                    "with mates",
                )  # fmt: skip
        if joint.external.split(".")[0] == joint.internal.split(".")[0]:
            yield Remark(
                "joints.itself", ("joints", name, "internal"),
                "both ends are of one part", "a joint is of two parts",
            )  # fmt: skip


def wanted_remarks(pen: Pen, named: Named) -> Iterator[Remark]:
    """``skip`` and ``hold`` name parts of the file, ``hold`` an end that has what holds it."""
    parts = {ref.part for ref in named.features}
    for i, name in enumerate(pen.mandrels.skip):
        if name not in parts:
            yield _no_part(("mandrels", "skip", i), name, parts)
    for name, end in pen.mandrels.hold.items():
        path: Path = ("mandrels", "hold", name)
        ref = EndRef(name, end)
        if name not in parts:
            yield _no_part(path, name, parts)
        elif ref not in named.features:
            yield Remark(
                "hold.end", path, f"{name} has no end {shown(end)}",
                f"its ends: {', '.join(r.end for r in named.features if r.part == name)}",
            )  # fmt: skip
        elif not named.features[ref]:
            yield Remark(
                "hold.end", path, f"{ref} has no thread and no bore to hold it by",
                "name its other end, or give this one a thread or a bore",
            )  # fmt: skip
        elif name in pen.mandrels.skip:
            yield Remark(
                "hold.end", path, f"{name} is skipped and held at once", "keep one of the two"
            )


def inside_remarks(pen: Pen, named: Named) -> Iterator[Remark]:
    """What goes inside names ends that are there; a clip's ring sits on a tenon in a joint."""
    i = pen.inside
    for keys, text in (
        (("nib_unit", "front"), i.nib_unit.front if i.nib_unit else None),
        (("reservoir", "into"), i.reservoir.into if i.reservoir else None),
        (("clip_ring", "on"), i.clip_ring.on if i.clip_ring else None),
        (("posting", "end"), i.posting.end if i.posting else None),
    ):
        if text is None:
            continue
        path: Path = ("inside", *keys)
        split = split_place(text)
        if split is None or split[0] not in named.features:
            ref = split[0] if split else EndRef(text, "")
            yield Remark("inside.end", path, f"there is no end {shown(text)}", named.unknown(ref))
        elif keys[0] == "clip_ring" and split[0] not in {j.external for j in joints(pen)}:
            yield Remark(
                "inside.end", path, f"{text} has no tenon that screws into another part",
                "name the end whose tenon goes through the ring",
            )  # fmt: skip
    if i.inner_cap is not None and i.nib_unit is None:
        yield Remark(
            "inside.nib", ("inside", "inner_cap"),
            "an inner cap is given, and no nib that goes into it",
            "add [inside.nib_unit] stick_out = …",
        )  # fmt: skip


def _no_part(path: Path, name: str, parts: set[str]) -> Remark:
    from mandrelgen.spec.legal import nearest

    guess = nearest(name, parts)
    return Remark(
        "part.unknown", path, f"there is no part {shown(name)}",
        (f"did you mean '{guess}'? " if guess else "")
        + f"Parts in this file: {', '.join(sorted(parts))}",
    )  # fmt: skip
