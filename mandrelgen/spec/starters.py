"""The starter files that come with the program, as bytes."""

from __future__ import annotations

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.resources import template_names, template_path

FOLDERS = {"pen": "pens", "shop": "shops"}


OLD_FIXTURE = "old-fixture"
"""The name under which ``new`` gives the starter of a file for ``adopt``."""


def old_fixture() -> bytes:
    """The starter of an old fixture's file. Raises DiskError if the installation lacks it."""
    return template_path("fixtures/old.toml").read_bytes()


def starter_names(kind: str) -> tuple[str, ...]:
    """The names of the starters of a kind (``pen`` or ``shop``), sorted."""
    return template_names(FOLDERS[kind], ".toml")


def starter(kind: str, name: str) -> bytes:
    """The starter file ``name`` of a kind (``pen`` or ``shop``), exactly as shipped.

    Raises InputError if there is no such starter, DiskError if the installation lacks its files.
    """
    names = starter_names(kind)
    if name not in names:
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="starter.unknown",
                    where=f"starter {kind}",
                    message=f"there is no starter {kind} '{name[:40]}'",
                    remedy=f"choose one of: {', '.join(names)}",
                )
            ]
        )
    return template_path(f"{FOLDERS[kind]}/{name}.toml").read_bytes()
