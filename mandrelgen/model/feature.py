"""What a turned stretch or a size belongs to: which end, what kind of feature, which of several.

A feature's text is the id that records, drawings and hashes hold (``seat``, ``spigot1``,
``b.relief.flank``). :class:`Feature` is that text and reads its parts, so that an old record needs
no translation and no other module takes an id apart. The names of sizes and stations begin with
the same mark of the end; :class:`End` puts it on, :func:`own_name` takes it off.
"""

from __future__ import annotations

import re
from enum import Enum, StrEnum
from functools import lru_cache


class MandrelEnd(Enum):
    """A working end of a mandrel; the value is what the names of its features begin with."""

    FIRST = ""
    SECOND = "b."
    OTHER = "a."
    """The first end of a double-ended mandrel that is seen from its second."""

    def named(self, own: str) -> str:
        """The name of this end's feature, size or station whose own name is ``own``."""
        return f"{self.value}{own}"

    @classmethod
    def of(cls, name: str) -> MandrelEnd:
        """The end that a feature, size or station of that name belongs to."""
        return next((e for e in (cls.SECOND, cls.OTHER) if name.startswith(e.value)), cls.FIRST)


def own_name(name: str) -> str:
    """The name of a feature, size or station without the mark of its end."""
    return name.removeprefix(MandrelEnd.of(name).value)


def subject_name(id: str) -> str:
    """The name of what a size's id speaks of: the id without its last word (``seat`` of
    ``seat.runout``)."""
    return id.rpartition(".")[0] or id


def from_the_second(name: str) -> str:
    """A name as it reads where the mandrel is seen from its second end: that end's names stand
    bare, the first end's as the other's."""
    if MandrelEnd.of(name) is MandrelEnd.SECOND:
        return own_name(name)
    return MandrelEnd.OTHER.named(name)


class FeatureKind(StrEnum):
    """What a feature is; the value is the word its id is written with."""

    SHANK = "shank"
    NECK = "neck"
    COLLAR = "collar"
    SEAT = "seat"
    UNDERCUT = "undercut"
    RELIEF = "relief"
    LAND = "land"
    """What is left plain between a seat and a thread that runs out in front of it."""
    THREAD = "thread"
    RUN_IN = "runin"
    CHAMFER = "chamfer"
    REGISTER = "register"
    SPIGOT = "spigot"
    NOSE = "nose"
    REAR = "rear"
    CENTRE = "centre"
    PILOT = "pilot"
    BORE = "bore"
    FLOOR = "floor"
    COUNTERBORE = "counterbore"
    COUNTERSINK = "countersink"
    FLATS = "flats"
    GAP = "gap"
    """What nobody measured between two steps of an old fixture."""
    BODY = "body"
    HANDLE = "handle"
    OTHER = ""
    """A name that is none of these words (test pieces, parts of other makers' files)."""


_KINDS = frozenset(k.value for k in FeatureKind)
_WORD = re.compile(r"([a-z]+?)([1-9][0-9]*)?")


class Feature(str):
    """A feature by its id, ``[end]kind[number][.detail]``; equal to, and written as, that text.

    ``detail`` names a piece of the feature that is turned by itself (``relief.flank``,
    ``centre.rear``). Any text is a feature: one that follows no rule is of kind ``OTHER``, its
    own name the detail.
    """

    __slots__ = ()

    @classmethod
    def of(
        cls,
        kind: FeatureKind,
        *,
        number: int = 0,
        detail: str = "",
        end: MandrelEnd = MandrelEnd.FIRST,
    ) -> Feature:
        """The feature of these parts; ``number`` 0: there is only one. Its text reads back as the
        same parts for every kind but ``OTHER``, whose own name is the detail."""
        head = f"{kind.value}{number or ''}"
        return cls(end.named(f"{head}.{detail}" if head and detail else head or detail))

    @property
    def end(self) -> MandrelEnd:
        """The working end it belongs to."""
        return _read(str(self))[0]

    @property
    def kind(self) -> FeatureKind:
        """What it is."""
        return _read(str(self))[1]

    @property
    def number(self) -> int:
        """Which of several (1, 2, …); 0 where there is only one."""
        return _read(str(self))[2]

    @property
    def detail(self) -> str:
        """The piece of the feature; "" for the feature itself."""
        return _read(str(self))[3]

    @property
    def own(self) -> str:
        """Its name without the end."""
        return own_name(self)

    @property
    def word(self) -> str:
        """Its name without end and number: what several of a kind are called."""
        return str(Feature.of(self.kind, detail=self.detail))

    def word_at(self, end: MandrelEnd) -> str:
        """Its word on the papers of ``end``: bare there, with the mark of its end elsewhere."""
        return self.word if self.end is end else self.end.named(self.word)

    def is_whole(self, *kinds: FeatureKind) -> bool:
        """True if it is of one of these kinds on any end, and no mere piece of it."""
        return not self.detail and self.kind in kinds

    def is_here(self, *kinds: FeatureKind) -> bool:
        """True if it is of one of these kinds on the end in work (the first)."""
        return self.end is MandrelEnd.FIRST and self.kind in kinds

    def beside(self, kind: FeatureKind) -> Feature:
        """The feature of that kind on the same end."""
        return Feature.of(kind, end=self.end)

    def size(self, what: str) -> str:
        """The id of its size ``what``, such as ``spigot1.diameter``."""
        return f"{self}.{what}"


@lru_cache(maxsize=1024)
def _read(text: str) -> tuple[MandrelEnd, FeatureKind, int, str]:
    """End, kind, number and detail of a feature's text."""
    end, own = MandrelEnd.of(text), own_name(text)
    head, dot, detail = own.partition(".")
    found = _WORD.fullmatch(head)
    if found is None or found[1] not in _KINDS or (dot and not detail):
        return end, FeatureKind.OTHER, 0, own
    return end, FeatureKind(found[1]), int(found[2] or 0), detail
