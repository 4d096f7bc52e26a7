"""What a person types to find a fixture, taken apart: threads in any spelling that a box takes, and
words. ``cap M13 three starts`` asks for the word and for a thread."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from mandrelgen.archive.query import ThreadAsked
from mandrelgen.core.frozen import dataclass
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.thread_spelling import read_thread

MOST = 6
"""Most words of one thread: M13 x 0.8 in three starts."""
_BEGINS = re.compile(r"(?:m|#|no\.?|⌀|ø)?\s*[\d.¼½¾⅜⅝⅞]", re.IGNORECASE)
_CREST = re.compile(r"m(\d{1,3}(?:[.,]\d{1,4})?)", re.IGNORECASE)
_STARTS = re.compile(r"starts?\b", re.IGNORECASE)
_PITCH = re.compile(r"[x×*]|\d[.,]\d|\bp(?:h|itch)?\b|tpi|lead", re.IGNORECASE)
_ANY = "M12x0.8"  # any thread: the reader of threads reads how many starts are said behind it


@dataclass(frozen=True, slots=True)
class Asked:
    """The threads that were asked for, and the other words."""

    threads: tuple[ThreadAsked, ...]
    words: tuple[str, ...]


def taken_apart(text: str) -> Asked:
    """What a person typed. Never refuses: what is no thread is a word."""
    tokens = text.split()
    threads: list[ThreadAsked] = []
    words: list[str] = []
    at = 0
    while at < len(tokens):
        for count in range(min(MOST, len(tokens) - at), 0, -1):
            found = _thread(tokens[at : at + count])
            if found is not None:
                threads.append(found)
                at += count
                break
        else:
            words.append(tokens[at])
            at += 1
    return Asked(tuple(threads), tuple(words))


def _thread(tokens: Sequence[str]) -> ThreadAsked | None:
    """These words as one thread, or as a part of what is said of one: its crest, its starts."""
    text = " ".join(tokens)
    starts = _STARTS.search(text) is not None
    if crest := _CREST.fullmatch(text):
        return ThreadAsked(diameter=float(crest[1].replace(",", ".")))
    if starts and _CREST.fullmatch(tokens[0]) and not _PITCH.search(" ".join(tokens[1:])):
        return None  # a crest with starts says no pitch: the coarse one is not meant
    try:
        if starts and len(tokens) <= 2 and "x" not in text.lower():
            return ThreadAsked(starts=read_thread(f"{_ANY} {text}").starts)
        if _BEGINS.match(text):
            d = read_thread(text)
            # Crest and pitch alone leave open how many starts there are.
            known = d.starts > 1 or starts
            return ThreadAsked.of(d) if known else replace(ThreadAsked.of(d), starts=None)
    except NotHeldError:
        pass
    return None
