"""A fault or hint at a place in a file, before it is given the file's name and a line."""

from __future__ import annotations

from mandrelgen.core.errors import Level, Path
from mandrelgen.core.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Remark:
    """What is wrong at ``path``, and how to mend it."""

    code: str
    path: Path
    message: str
    remedy: str
    level: Level = Level.ERROR


def dotted(path: Path) -> str:
    """``parts.cap.ends.mouth.bore[2].depth``; list positions are counted from 1, as people do."""
    out = ""
    for step in path:
        if isinstance(step, int):
            out += f"[{step + 1}]"
        else:
            word = step if step and len(step) <= 40 and step.isprintable() else repr(step[:40])
            out += f".{word}" if out else word
    return out


def plain(text: str) -> str:
    """A text with everything a screen could choke on written as an escape."""
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)


def shown(value: object) -> str:
    """A value as a person wrote it, cut to a readable length."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = plain(value)
        return f'"{text[:40]}…"' if len(text) > 40 else f'"{text}"'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, int) and abs(value) > 10**12:
        return "a very large number"
    return f"{value}"[:40]
