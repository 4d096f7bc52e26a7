"""Numbers of fixtures as people type them: ``mg-1``, ``MG 0001``, ``1``, ``mg1:b``."""

from __future__ import annotations

import re
from collections.abc import Iterable

from mandrelgen.archive.naming import number_text
from mandrelgen.archive.root import Archive

_SAID = re.compile(r"^\s*(?P<prefix>[a-z0-9]*[a-z])?[\s_-]*0*(?P<count>[1-9][0-9]*)\s*"
                   r"(?::\s*(?P<revision>[a-z0-9.]+))?\s*$", re.IGNORECASE)  # fmt: skip


def numbers(archive: Archive, said: Iterable[str]) -> tuple[str, ...]:
    """The numbers as the archive writes them, each once; what is no number stays as typed, so that
    looking it up says so.

    Raises InputError for a number that is too long.
    """
    return tuple(dict.fromkeys(_number(archive.prefix, t) for t in said))


def _number(prefix: str, text: str) -> str:
    match = _SAID.match(text)
    if match is None or (match["prefix"] or prefix).upper() != prefix.upper():
        return text.strip()
    number = number_text(prefix, int(match["count"]))
    return f"{number}:{match['revision'].upper()}" if match["revision"] else number
