"""Names in the starters that are nobody's who uses them: never passed on, refused on an order."""

from __future__ import annotations

import re

STARTERS_NAMES = ("Reedbed Bench, Withymere", "R. Sedge", "O. Alder", "3 Sluice Lane, Withymere",
                   "01632 960123")  # fmt: skip
"""The people and workshops of the starters, where they live, and their telephone."""

_BLANK = re.compile(
    r"^[\s_.…<>\[\]-]*$|^<.*>$|^(?:your|my) name$|^(?:name|owner|x+|n/?a|todo)$", re.I
)
_NAMES = b"|".join(re.escape(n.encode()) for n in STARTERS_NAMES)
_KEYS = b"owner|drawn_by|approved_by|name|address|phone"
_LINE = re.compile(rb'(?m)^(?:# )?((?:%s) = )"(?:%s)[^"\n]*"' % (_KEYS, _NAMES))


def is_placeholder(text: str) -> bool:
    """True for a name that stands in for one: of a starter, or blanks to fill in.

    >>> [is_placeholder(t) for t in ("R. Sedge", "<your name>", "____", "A. Person")]
    [True, True, True, False]
    """
    return bool(text) and (text in STARTERS_NAMES or bool(_BLANK.match(text.strip())))


def without_names(data: bytes) -> bytes:
    """A starter's text with its people's names taken out of its keys, each left as a comment."""
    return _LINE.sub(rb'# \1""', data)
