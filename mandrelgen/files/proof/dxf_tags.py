"""A DXF file's pairs of group code and value as entities, without a CAD library.

The ordinary read-back looks at a few kinds of entity only; reading them straight from the pairs
(DXF reference, R2010: "Group code value types", "Extended data") is independent of the library that
wrote the file, and quick. ``--prove`` has that library read and audit the whole file besides.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

Tag = tuple[int, str]
Point = tuple[float, float]
# Extended data begins with the application's name; application groups stand between two 102.
APPLICATION, GROUP = 1001, 102


class Entity(NamedTuple):
    """One entity, table row or object: its kind, its own tags, extended data by application."""

    kind: str
    tags: tuple[Tag, ...]
    extended: dict[str, tuple[Tag, ...]]

    def all(self, code: int) -> list[str]:
        """Every value of ``code``, in the file's order."""
        return [v for c, v in self.tags if c == code]

    def text(self, code: int, default: str = "") -> str:
        """The first value of ``code``."""
        for c, v in self.tags:
            if c == code:
                return v
        return default

    def number(self, code: int, default: float = 0.0) -> float:
        """The first value of ``code`` as a number."""
        return float(self.text(code) or default)

    def whole(self, code: int, default: int = 0) -> int:
        """The first value of ``code`` as a whole number."""
        return int(self.text(code) or default)

    def point(self, code: int) -> Point:
        """The point whose x is ``code``. Raises ValueError if there is none."""
        found = next(self.points(code), None)
        if found is None:
            raise ValueError(f"a {self.kind} without its point {code}")
        return found

    def points(self, code: int) -> Iterator[Point]:
        """Every point whose x is ``code``: its y follows with ten more."""
        for (c, x), (d, y) in zip(self.tags, self.tags[1:], strict=False):
            if c == code and d == code + 10:
                yield float(x), float(y)

    @property
    def handle(self) -> str:
        """Its name in the file; a dimension style's stands under another code."""
        return self.text(105 if self.kind == "DIMSTYLE" else 5)


def read(data: bytes) -> dict[str, list[Entity]]:
    """The sections of a file by name, each a list of entities (the first: the section's head).

    Raises ValueError (UnicodeDecodeError among them) if it is no whole DXF file: a line missing, a
    value of the wrong type or not finite, a section or the end of the file not closed.
    """
    lines = data.decode("utf-8").replace("\r\n", "\n").split("\n")
    if len(lines) % 2 == 0 or lines[-1]:
        raise ValueError("the file ends within a pair of lines")
    known = {c: int(c) for c in dict.fromkeys(lines[:-1:2])}
    codes, values = [known[c] for c in lines[:-1:2]], lines[1::2]
    # Most pairs stand there many times, and one is as good as the next.
    for code, value in dict.fromkeys(zip(codes, values, strict=True)):
        check = _CHECKS.get(code)
        if check is not None and not check(value):
            raise ValueError(f"group {code} holds '{value[:40]}'")
    return _sections(codes, values)


def _sections(codes: list[int], values: list[str]) -> dict[str, list[Entity]]:
    starts = [i for i, c in enumerate(codes) if c == 0]
    sections: dict[str, list[Entity]] = {}
    here: list[Entity] | None = None
    if not starts or values[starts[-1]] != "EOF":
        raise ValueError("the file has no end")
    for i, end in itertools.pairwise(starts):
        kind = values[i]
        if (kind == "SECTION") is not (here is None):
            raise ValueError(f"{kind} stands where no section is open, or in an open one")
        if kind == "ENDSEC":
            here = None
            continue
        entity = _entity(kind, codes[i + 1 : end], values[i + 1 : end])
        if here is None:
            name = entity.text(2)
            if name in sections:
                raise ValueError(f"section {name} stands there twice")
            here = sections[name] = []
        here.append(entity)
    if here is not None:
        raise ValueError("a section is not closed")
    return sections


def _entity(kind: str, codes: list[int], values: list[str]) -> Entity:
    if APPLICATION not in codes:
        return Entity(kind, tuple(zip(codes, values, strict=True)), {})
    first = codes.index(APPLICATION)
    extended: dict[str, tuple[Tag, ...]] = {}
    app: list[Tag] = []
    name = ""
    for code, value in zip(codes[first:], values[first:], strict=True):
        if code == APPLICATION:
            name, app = value, []
        else:
            app.append((code, value))
            extended[name] = tuple(app)
    return Entity(kind, tuple(zip(codes[:first], values[:first], strict=True)), extended)


def _finite(value: str) -> bool:
    return math.isfinite(float(value))


def _whole(value: str) -> bool:
    int(value)
    return True


def _handle(value: str) -> bool:
    int(value, 16)
    return True


def _checks() -> dict[int, Callable[[str], bool]]:
    """What each group code's value must be."""
    kinds: list[tuple[Callable[[str], bool], tuple[tuple[int, int], ...]]] = [
        (_finite, ((10, 60), (110, 150), (210, 240), (460, 470), (1010, 1060))),
        (_whole, ((60, 80), (90, 100), (160, 180), (270, 300), (370, 390), (400, 410),
                  (420, 430), (440, 460), (1060, 1072))),
        (_handle, ((5, 6), (105, 106), (320, 370), (390, 400), (480, 482), (1005, 1006))),
    ]  # fmt: skip
    return {c: check for check, ranges in kinds for a, b in ranges for c in range(a, b)}


_CHECKS = _checks()
