"""What the archive writes down, as frozen models, each with the version of its form (``schema``).

A file of an older version is migrated as it is read, one of a newer is refused by name.
"""

from __future__ import annotations

import datetime
import json
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from mandrelgen.archive.disk.files import read_file
from mandrelgen.archive.migrations import migrate, newest
from mandrelgen.core.errors import DiskError

MAX_JSON = 4 * 1024 * 1024


def _iso_date(text: str) -> str:
    if datetime.date.fromisoformat(text).isoformat() != text:
        raise ValueError("a date is written YYYY-MM-DD")
    return text


IsoDate = Annotated[str, AfterValidator(_iso_date)]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Id = Annotated[str, Field(min_length=1, max_length=100)]


class _Model(BaseModel):
    # Built when first used: a sheet made without a number writes no record.
    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        populate_by_name=True,
        serialize_by_alias=True,
        defer_build=True,
    )

    def to_bytes(self) -> bytes:
        """As indented JSON with a final newline, keys in the order of the fields."""
        value = self.model_dump(mode="json")
        return (json.dumps(value, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


class _File(_Model):
    schema_: Annotated[int, Field(alias="schema", ge=1, le=1)] = 1


class Marker(_File):
    """The file that makes a folder an archive root."""

    prefix: str
    id: Id


class Slot(_Model):
    """The place a fixture fills; made of table keys, not of display names."""

    pen: Id
    part: Id
    end: Id
    role: Id


class RevisionLine(_Model):
    """One line of the sheet's revision table."""

    revision: str
    date: IsoDate
    text: str


class Known(_Model):
    """A finding that the maker had seen and accepted when a fixture was published, and why;
    ``value``: its amount, as the message prints it."""

    code: str
    where: str
    message: str
    reason: str
    value: float | None = None


class Record(_File):
    """One published revision of one fixture; ``papers``: what its pages print, a hash each (see
    `papers`); ``accepted``: no part of the design, and of no hash of it."""

    schema_: Annotated[int, Field(alias="schema", ge=3, le=3)] = 3
    number: Id
    revision: str
    draft: int = Field(ge=1)
    slot: Slot
    design_hash: Sha256
    kind: str
    title: str
    date: IsoDate
    reason: str = ""
    history: tuple[RevisionLine, ...]
    program: str
    papers: dict[str, Sha256] = {}
    accepted: tuple[Known, ...] = ()
    proof: dict[str, Any] = {}


class FileMark(_Model):
    """What a file must look like."""

    sha256: Sha256
    size: int = Field(ge=0)


class Manifest(_File):
    """Every file of a published folder but the manifest; ``seal`` guards the list itself."""

    files: dict[str, FileMark]
    seal: Sha256


class OrderItem(_Model):
    """A fixture an order asks for, named so that it cannot be mistaken."""

    number: Id
    revision: str
    draft: int = Field(ge=1)
    design_hash: Sha256
    manifest_sha256: Sha256
    quantity: int = Field(1, ge=1)


class Order(_File):
    """A published set: which fixtures, in which revision; ``replaces``: orders of the same pen
    that were never sent, and whose place it takes."""

    schema_: Annotated[int, Field(alias="schema", ge=2, le=2)] = 2
    id: Id
    pen: Id
    items: tuple[OrderItem, ...] = Field(min_length=1)
    facts: dict[str, Any] = {}
    replaces: tuple[Id, ...] = ()
    order_hash: Sha256
    date: IsoDate
    program: str


class EventKind(StrEnum):
    """What can happen to a revision after it was published: the states of `states.State`, readings
    (received, measured), and another slot for the whole number (renamed)."""

    ASKED = "asked"
    QUOTED = "quoted"
    DECLINED = "declined"
    ORDERED = "ordered"
    ARRIVED = "arrived"
    IN_USE = "in-use"
    SENT_BACK = "sent-back"
    REWORKED = "reworked"
    LOST = "lost"
    WITHDRAWN = "withdrawn"
    SUPERSEDED = "superseded"
    RECEIVED = "received"
    MEASURED = "measured"
    RENAMED = "renamed"


class Event(_File):
    """One thing that happened to a revision, in a file of its own; ``data``: readings and their
    verdict, whom was asked, price, days, as plain JSON values."""

    schema_: Annotated[int, Field(alias="schema", ge=2, le=2)] = 2
    number: Id
    revision: str
    draft: int = Field(ge=1)
    kind: EventKind
    date: IsoDate
    by: str = ""
    note: str = ""
    data: dict[str, Any] = {}


_M = TypeVar("_M", bound=_File)


class NewerFormError(DiskError):
    """A file of a newer version: whole, as far as anybody here can tell."""


def parse(model: type[_M], data: bytes, path: Path) -> _M:
    """The bytes of ``path`` as a model. Raises DiskError: damaged, or of a newer schema."""
    try:
        raw = json.loads(data)
        schema = raw["schema"]
        if not isinstance(schema, int) or isinstance(schema, bool):
            raise TypeError("schema is not a whole number")
    except (ValueError, KeyError, TypeError, RecursionError) as exc:
        raise _damaged(path, "it is no JSON with a schema number") from exc
    known = newest(model.__name__)
    if schema > known:
        raise NewerFormError(
            f"{path} was written by a newer mandrelgen: its schema is {schema}, this one reads "
            f"up to {known}.",
            "Install the newer mandrelgen; nothing was changed.",
        )
    if schema < 1:
        raise _damaged(path, f"there never was a schema {schema}")
    try:
        return model.model_validate(migrate(model.__name__, raw))
    except ValidationError as exc:
        first = exc.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise _damaged(path, f"{where}: {first['msg']}") from exc


def _damaged(path: Path, why: str) -> DiskError:
    return DiskError(
        f"{path} is damaged: {why}.",
        "Run `mandrelgen verify` on the archive, then put the file back from a backup.",
    )


def load(model: type[_M], path: Path) -> _M:
    """Read a model from its file. Raises DiskError."""
    return parse(model, read_file(path, MAX_JSON), path)
