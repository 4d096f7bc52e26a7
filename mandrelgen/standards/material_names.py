"""Materials by what is written on the rod or the bar, and what each rod asks one to take care of.

Common practice, no source; the tables say what is from memory. The keys of ``materials`` are read
as they always were, in any case.
"""

from __future__ import annotations

import re
from functools import cache

from mandrelgen.standards import materials
from mandrelgen.standards.tables import NotHeldError, load

TABLE = "material_names"


class MaterialAskedError(NotHeldError):
    """A name that could be several materials; ``meanings`` are their keys."""

    def __init__(self, name: str, meanings: tuple[str, ...]) -> None:
        self.meanings = meanings
        listed = ", ".join(f"{m} ({materials.material(m).name})" for m in meanings)
        super().__init__(f"'{name}' could be several materials", f"write one of {listed}")


def rod(name: str) -> str:
    """The key of a pen part's material by the name on the rod (or the bar).

    ``resin`` alone is asked; a printer's material is never taken for a rod: only its own key
    (``PLA``, ``PETG``) is read, and means the printed one. Raises MaterialAskedError, NotHeldError.
    """
    return _key(name, part=True)


def bar(name: str) -> str:
    """The key of a mandrel's material by the name of the bar, of a rod, or of a printed material
    (``resin`` is the printed one here). Raises MaterialAskedError, NotHeldError."""
    return _key(name, part=False)


def rod_or_name(name: str) -> str:
    """:func:`rod`, or the name itself where it is not read: for files, whose checks tell why."""
    return _or_name(name, part=True)


def bar_or_name(name: str) -> str:
    """:func:`bar`, or the name itself where it is not read."""
    return _or_name(name, part=False)


def cautions(key: str) -> tuple[str, ...]:
    """What a rod of that material asks one to take care of; empty for bars."""
    return tuple(load(TABLE)["rods"].get(key, {}).get("cautions", ()))


def spoken(key: str) -> str:
    """A material as it is said, a metal's code behind: ``brass CuZn39Pb3 R430 (CW614N)``.

    A key that is not held is given back.
    """
    try:
        held = materials.material(key)
    except NotHeldError:
        return key
    code = held.kind == "metal" and held.id not in held.name
    return f"{held.name} ({held.id})" if code else held.name


def common(key: str) -> str:
    """What the trade calls it, in a word or two: ``brass``, ``hard rubber``; a key that has no such
    name is given back."""
    table = load(TABLE)
    for group in ("rods", "bars"):
        names = table[group].get(key, {}).get("names")
        if names:
            return str(names[0])
    return key


def is_printers(name: str) -> bool:
    """True if the name is a printer's material, held or not."""
    text = _plain(name)
    held = {i.lower(): i for i in materials.names()}
    if text in held:
        return materials.material(text).kind == "printed"
    return text in load(TABLE)["printers"]["names"]


def _or_name(name: str, part: bool) -> str:
    try:
        return _key(name, part)
    except NotHeldError:
        return name


def _key(name: str, part: bool) -> str:
    text = _plain(name)
    held = {i.lower(): i for i in materials.names()}
    asked: dict[str, list[str]] = load(TABLE)["asked"]
    if part and text in asked:
        raise MaterialAskedError(name, tuple(asked[text]))
    for spelling in (text, text.replace(" ", "-")):
        if spelling in held:
            return held[spelling]
    if text in _by_name():
        return _by_name()[text]
    if text in asked:
        raise MaterialAskedError(name, tuple(asked[text]))
    if is_printers(name):
        allowed = f"a rod is one of {', '.join(load(TABLE)['rods'])}"
        if not part:
            printed = (i for i in materials.names() if materials.material(i).kind == "printed")
            allowed = f"printed materials held are {', '.join(printed)}"
        raise NotHeldError(
            f"'{name}' is a printer's material, and its values are not held", allowed
        )
    return materials.material(name).id


def _plain(name: str) -> str:
    """Small letters, single spaces, without the words rod and bar."""
    text = re.sub(r"[\s_]+", " ", name.strip().lower())
    return re.sub(r"\s*\b(?:rod|bar|blank)$", "", text).strip()


@cache
def _by_name() -> dict[str, str]:
    table = load(TABLE)
    out: dict[str, str] = {}
    for group in ("rods", "bars"):
        for key, row in table[group].items():
            for name in row["names"]:
                out[name] = key
                out.setdefault(name.replace("-", " "), key)
    return out
