"""What a characteristic is called on the bench's papers: a position is called a position."""

from __future__ import annotations

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature, FeatureKind, MandrelEnd

_FEATURE = {
    "rear": "shank-end edge",
    "centre.rear": "centre hole, spindle side",
    "centre.nose": "centre hole, nose",
    "relief.flank": "relief's flank",
    "runin": "thread undercut at the free end",
    "bore": "through bore",
    "pilot": "pilot hole",
    "chamfer": "lead-in chamfer",
    "land": "land at the seat",
}
# Ids whose kind alone would mislead: what they measure, from where.
_SAID = {
    "neck.end": ("neck", "far end from the seat"),
    "register.end": ("register", "length, from the seat"),
    "thread.end": ("thread", "end from the seat, chamfer included"),
    "nose.end": ("nose", "face from the seat"),
    "floor.depth": ("floor", "depth from the seat"),
    "thread.depth": ("thread", "full to at least, from the seat"),
    "thread.incomplete": ("thread", "full from at most, from the seat"),
    "pilot.depth": ("pilot hole", "depth from the seat, without the point"),
    "counterbore.depth": ("counterbore", "depth from the seat"),
    "relief.width": ("relief", "straight width"),
    "runin.width": ("thread undercut at the free end", "width, from the thread's end"),
    "undercut.width": ("undercut", "width, from the seat"),
    "flats.length": ("flats", "length"),
    "flats.start": ("flats", "near end from the shank's shoulder"),
    "thread.diameter": ("thread's blank", "diameter"),
    "thread.starts": ("thread", "number of starts"),
    "thread.runout": ("thread", "run-out of the crest to the shank (A)"),
    "chamfer.diameter": ("lead-in chamfer", "small diameter"),
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


def feature_name(feature: Feature, several: bool = False) -> str:
    """The feature in words; spigots keep their number if there are ``several``."""
    name = _FEATURE.get(feature.own, feature.own if several else feature.word)
    return _lead(feature.end) + name


def _lead(end: MandrelEnd) -> str:
    return "end B, " if end is MandrelEnd.SECOND else ""


def what(c: Characteristic) -> str:
    """The characteristic in words, such as ``neck: far end from the seat``."""
    name, measured = _parts(c, numbered=True)
    return _lead(c.end) + ": ".join(filter(None, (name, measured)))


def asked(c: Characteristic) -> str:
    """The characteristic as a request names it, spigots without their number: ``neck far end
    from the seat``."""
    return _lead(c.end) + " ".join(filter(None, _parts(c, numbered=False)))


def _parts(c: Characteristic, *, numbered: bool) -> tuple[str, str]:
    """The feature's name and what is measured of it, "" where the name says both."""
    if c.own_id in _SAID:
        return _SAID[c.own_id]
    if c.kind in _KIND and c.subject is FeatureKind.THREAD:
        return _KIND[c.kind], ""
    if c.subject is FeatureKind.SPIGOT and c.id == c.feature.size("end"):
        return c.feature.own if numbered else c.feature.word, "end from the seat"
    own = Feature(c.feature.own)
    if c.kind is Kind.CENTRE:
        return feature_name(own), ""
    return feature_name(own, several=numbered and own == "spigot2"), _KIND.get(c.kind, c.kind.value)
