"""What a characteristic is called on the bench's papers: a position is called a position."""

from __future__ import annotations

from mandrelgen.model.characteristic import Characteristic, Kind

_FEATURE = {
    "rear": "spindle-side edge",
    "centre.rear": "centre hole, spindle side",
    "centre.nose": "centre hole, nose",
    "relief.flank": "relief's flank",
    "runin": "run-in groove",
    "bore": "through bore",
    "pilot": "pilot hole",
    "chamfer": "entry chamfer",
}
# Ids whose kind alone would mislead: what they measure, from where.
_SAID = {
    "neck.end": "neck: its far end from the seat",
    "register.end": "register: length, from the seat",
    "thread.end": "thread: its end (chamfer included) from the seat",
    "nose.end": "nose: its face from the seat",
    "floor.depth": "floor: depth from the seat",
    "pilot.depth": "pilot hole: depth from the seat, without the point",
    "counterbore.depth": "counterbore: depth from the seat",
    "relief.width": "relief: straight width",
    "runin.width": "run-in groove: width, from the thread's end",
    "undercut.width": "undercut: width, from the seat",
    "flats.length": "flats: length, from the shank's end",
    "thread.diameter": "thread's blank: diameter",
    "thread.starts": "thread: number of starts",
    "chamfer.diameter": "entry chamfer: small diameter",
}
_KIND = {
    Kind.RUNOUT: "run-out to the shank (A)",
    Kind.FACE_RUNOUT: "axial run-out to the shank (A)",
    Kind.THREAD_MAJOR: "thread major diameter",
    Kind.THREAD_PITCH_DIAMETER: "thread pitch diameter",
    Kind.THREAD_MINOR: "thread minor diameter",
    Kind.PITCH: "thread pitch P",
    Kind.LEAD: "thread lead Ph",
}
SECOND = "b."


def feature_name(feature: str, several: bool = False) -> str:
    """The feature in words; spigots keep their number if there are ``several``."""
    own = feature.removeprefix(SECOND)
    name = _FEATURE.get(own, own if several else own.rstrip("12"))
    return f"end B, {name}" if own != feature else name


def what(c: Characteristic) -> str:
    """The characteristic in words, such as ``neck: its far end from the seat``."""
    own = c.id.removeprefix(SECOND)
    lead = "end B, " if own != c.id else ""
    if own in _SAID:
        return lead + _SAID[own]
    if c.kind in _KIND and own.startswith("thread."):
        return lead + _KIND[c.kind]
    if own.startswith("spigot") and own.endswith(".end"):
        return f"{lead}{c.feature.removeprefix(SECOND)}: its end from the seat"
    if c.kind is Kind.CENTRE:
        return feature_name(c.feature)
    several = c.feature.removeprefix(SECOND) == "spigot2"
    return f"{feature_name(c.feature, several)}: {_KIND.get(c.kind, c.kind.value)}"
