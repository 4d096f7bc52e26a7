"""Rod materials by how thin and how warm they may get (``data/rod_groups.toml``, an estimate)."""

from __future__ import annotations

from enum import StrEnum

from mandrelgen.standards.tables import load


class RodGroup(StrEnum):
    """How a part's material behaves thin and warm."""

    FIRM = "firm"
    SOFT = "soft"
    METAL = "metal"


def rod_group(material: str) -> RodGroup:
    """The group of a material's id (case does not matter); firm unless the table says otherwise.

    >>> rod_group("ebonite"), rod_group("cast-acrylic")
    (<RodGroup.SOFT: 'soft'>, <RodGroup.FIRM: 'firm'>)
    """
    wanted = material.strip().lower()
    for name, members in load("rod_groups")["group"].items():
        if wanted in (m.lower() for m in members):
            return RodGroup(name)
    return RodGroup.FIRM
