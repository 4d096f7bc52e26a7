"""A pen file from nothing: one part, one thread, two sizes. What is taken for the rest is said in
comments beside the keys."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.archive.disk import files
from mandrelgen.core.errors import InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.patch import patched_text
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.taken import MARK
from mandrelgen.workflows.bench_edits import ValueRefusedError, size_of
from mandrelgen.workflows.edit import Transform
from mandrelgen.workflows.measured_thread import thread_or_readings
from mandrelgen.workflows.pen_ids import LONGEST, file_name, free_id
from mandrelgen.workflows.read_inputs import LIMIT

KINDS = ("cap", "barrel", "section", "finial")
INTERNAL = ("cap", "barrel")
"""Held by a thread inside; the others by a tenon."""
SIDE = {"cap": ("mouth", "tail"), "barrel": ("mouth", "nib"), "section": ("rear", "tail"),
        "finial": ("root", "tail")}  # fmt: skip
REACH = {"cap": 9.0, "barrel": 10.0, "section": 8.0, "finial": 6.0}
"""Tapped depth or tenon length, mm, where none is said (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the small form asks: what to hold, its thread, largest diameter, length over all.
    ``thread``: its name, or what calipers read (``crest=9.32, ten=7.5, starts=1``)."""

    kind: str
    thread: str
    diameter: str
    length: str


def start(folder: Path, name: str, wanted: Wanted, archive: Path) -> Path:
    """Write a pen's file, called as near to its name as a file can be, and as no other pen of the
    folder or the ``archive``. Raises InputError for a name
    that is taken, ValueRefusedError for a size or thread that cannot be read, DiskError."""
    name = " ".join(name.split())
    id = _free_id(folder, name, archive)
    text = f'schema = 1\n\n[pen]\nid = "{id}"\n{_named(name or id)}\n'
    text = part_text(text, wanted)
    path = folder / f"{id}.toml"
    read_pen(text.encode("utf-8"), path.name)
    files.make_folder(folder)
    if not files.create_file(path, text.encode("utf-8")):
        raise _taken(name)
    return path


def add_part(wanted: Wanted) -> Transform:
    """One more part for a pen file."""
    return lambda text: part_text(text, wanted)


def part_text(text: str, wanted: Wanted) -> str:
    """A pen file's text with the part at its end. Raises ValueRefusedError."""
    if wanted.kind not in KINDS:
        raise ValueRefusedError(f"choose what to hold: {', '.join(KINDS)}")
    diameter, length = size_of(wanted.diameter), size_of(wanted.length)
    if not wanted.thread.strip():
        raise ValueRefusedError("say its thread, or what your calipers read of it")
    try:
        thread = thread_or_readings(wanted.thread).text
    except ValueError as e:
        raise ValueRefusedError(str(e)) from e
    end, side = SIDE[wanted.kind]
    key = _free(text, wanted.kind)
    reach = REACH[wanted.kind]
    if wanted.kind in INTERNAL:
        cut = f'[parts.{key}.ends.{end}.internal]\nthread = "{thread}"\n' + (
            f"depth = {reach}                     {MARK} so deep: say yours\n"
        )
    else:
        cut = f'[parts.{key}.ends.{end}.external]\nthread = "{thread}"\n' + (
            f"length = {reach}                    {MARK} so long: say yours\n"
        )
    return text.rstrip("\n") + (
        f"\n\n[parts.{key}]\nlength = {_toml(length)}\ndiameter = {_toml(diameter)}\n\n"
        f'[parts.{key}.ends.{end}]\nside = "{side}"\n\n{cut}'
    )


def joined(text: str, external: str, internal: str) -> str:
    """The text with one joint more. Raises as the patch does."""
    from mandrelgen.core.errors import Change

    part, end = external.split(".")
    return patched_text(text, [Change(("parts", part, "ends", end, "external", "mates"), internal)])


def _free(text: str, kind: str) -> str:
    n, key = 1, kind
    while f"[parts.{key}]" in text:
        n += 1
        key = f"{kind}{n}"
    return key


def _free_id(folder: Path, name: str, archive: Path) -> str:
    """The name as a file can be called; with a number behind it where another pen's is called so,
    or has that id. Raises InputError if a pen has this very name, DiskError."""
    first = file_name(name)
    n, id = 1, free_id(first, folder / f"{first}.toml", archive)
    while files.exists(folder / f"{id}.toml"):
        n += 1
        there = files.read_file(folder / f"{id}.toml", LIMIT).decode("utf-8", "replace")
        if _named(name or id).casefold() in there.casefold().splitlines():
            raise _taken(name or id)
        numbered = f"{first[:LONGEST]}-{n}"
        id = free_id(numbered, folder / f"{numbered}.toml", archive)
    return id


def _named(name: str) -> str:
    return f"name = {_quoted(name)}"


def _taken(name: str) -> InputError:
    return InputError.of(
        "new.name", "name", f"there is a pen called {name[:40]} already", "choose another name"
    )


def _toml(value: float | str) -> str:
    return _quoted(value) if isinstance(value, str) else f"{value}"


def _quoted(text: str) -> str:
    import json

    return json.dumps(text, ensure_ascii=False)
