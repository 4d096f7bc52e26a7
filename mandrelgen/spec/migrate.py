"""From older forms of pen and shop files to the present one."""

from __future__ import annotations

CURRENT = {"pen": 1, "shop": 1}
"""The version a file of each kind carries as ``schema``."""


class SchemaVersionError(ValueError):
    """A file of a version this program cannot read.

    ``remedy`` says what to do; ``newer``: the file was written for a later program.
    """

    def __init__(self, message: str, remedy: str, newer: bool = False) -> None:
        self.message = message
        self.remedy = remedy
        self.newer = newer
        super().__init__(f"{message}; {remedy}")


def migrate(data: dict[str, object], kind: str) -> dict[str, object]:
    """The data of a ``pen`` or ``shop`` file in the present form, ``data`` left as it is.

    Version 1 is the first and the present one. Raises SchemaVersionError for any other.
    """
    current = CURRENT[kind]
    if "schema" not in data:
        raise SchemaVersionError("schema is missing", f"add schema = {current} as the first line")
    version = data["schema"]
    if isinstance(version, bool) or not isinstance(version, int):
        raise SchemaVersionError(
            "schema is not a whole number", f"write schema = {current}, without quotes"
        )
    if version > current:
        raise SchemaVersionError(
            f"schema = {version if version < 10**6 else '(a very large number)'} is newer than "
            f"this program, which reads {current}",
            "install a newer mandrelgen, or write the file in the older form",
            newer=True,
        )
    if version < 1:
        raise SchemaVersionError(
            f"there never was a schema = {version if version > -(10**6) else '(very small)'}",
            f"write schema = {current}",
        )
    return dict(data)
