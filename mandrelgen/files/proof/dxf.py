"""A DXF file opened: its header, its soundness, its drawing, whose entity is whose."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import chain, pairwise
from typing import NamedTuple

from mandrelgen.files.proof.dxf_tags import GROUP, Entity, Point, read
from mandrelgen.files.proof.report import Case

APP = "MANDRELGEN"
_MILLIMETRES, _METRIC = 4, 1
# Group code of a layer's, line type's, text style's and dimension style's name, and its table.
_NAMED = ((8, "LAYER"), (6, "LTYPE"))
_STYLED = {"TEXT": (7, "STYLE"), "DIMENSION": (3, "DIMSTYLE")}
_ANY_LINE = frozenset({"BYLAYER", "BYBLOCK", "CONTINUOUS"})
# Group codes that hold another object's handle.
_POINTERS = frozenset([*range(330, 361), 390])
# A dimension's settings by group code (DIMSTYLE; the same in the overrides of one dimension).
DIMLFAC, DIMDEC, DIMADEC, DIMTOL, DIMLIM, DIMPOST = 144, 271, 179, 71, 72, 3


class File(NamedTuple):
    """What a file draws: entities of its model space, of its blocks by name, rows of its tables by
    table and name (capitals)."""

    model: tuple[Entity, ...]
    blocks: dict[str, tuple[Entity, ...]]
    tables: dict[str, dict[str, Entity]]

    def setting(self, dimension: Entity, code: int, default: str) -> str:
        """A setting of a dimension: its own, else its style's."""
        own = [v for c, v in dimension.extended.get("ACAD", ())]
        if own[:1] == ["DSTYLE"]:
            pairs = dict(zip(own[2:-1:2], own[3:-1:2], strict=False))
            if str(code) in pairs:
                return pairs[str(code)]
        style = self.tables.get("DIMSTYLE", {}).get(dimension.text(3, "STANDARD").upper())
        return style.text(code, default) if style is not None else default

    def factor(self, dimension: Entity) -> float:
        """What a CAD program multiplies the measured length by."""
        return float(self.setting(dimension, DIMLFAC, "1"))

    def picture(self, dimension: Entity) -> tuple[Entity, ...]:
        """The entities of the picture stored with a dimension."""
        return self.blocks.get(dimension.text(2).upper(), ())


def load(case: Case) -> File:
    """The file; notes a wrong unit and everything that makes it unsound."""
    sections = read(case.data)
    header = _header(sections.get("HEADER", []))
    case.equal("header $INSUNITS", _MILLIMETRES, header.get("$INSUNITS"))
    case.equal("header $MEASUREMENT", _METRIC, header.get("$MEASUREMENT"))
    blocks = {name: tuple(row) for name, row in _blocks(sections.get("BLOCKS", [])).items()}
    model = tuple(e for e in sections["ENTITIES"][1:] if e.whole(67) == 0)
    file = File(model, blocks, _tables(sections.get("TABLES", [])))
    _sound(case, file, [e for row in sections.values() for e in row[1:]])
    return file


def _header(section: list[Entity]) -> dict[str, int]:
    """The header's whole numbers by variable."""
    tags = section[0].tags if section else ()
    return {
        name: int(value)
        for (code, name), (kind, value) in pairwise(tags)
        if code == 9 and kind in (70, 280, 290)
    }


def _tables(section: list[Entity]) -> dict[str, dict[str, Entity]]:
    tables: dict[str, dict[str, Entity]] = {}
    for e in section[1:]:
        if e.kind not in ("TABLE", "ENDTAB"):
            tables.setdefault(e.kind, {})[e.text(2).upper()] = e
    return tables


def _blocks(section: list[Entity]) -> dict[str, list[Entity]]:
    blocks: dict[str, list[Entity]] = {}
    here: list[Entity] | None = None
    for e in section[1:]:
        if e.kind == "BLOCK":
            here = blocks[e.text(2).upper()] = []
        elif e.kind == "ENDBLK":
            here = None
        elif here is None:
            raise ValueError(f"{e.kind} stands outside a block")
        else:
            here.append(e)
    return blocks


def _sound(case: Case, file: File, every: list[Entity]) -> None:
    """What a CAD program stumbles over: a handle given twice, or a name or handle that leads
    nowhere."""
    handles = Counter(int(e.handle, 16) for e in every if e.handle)
    for handle, times in handles.items():
        if times > 1:
            case.fault("soundness", "each handle once", f"{handle:X} {times} times")
    for e in every:
        for value in [v for code, v in _outside_groups(e) if code in _POINTERS]:
            if int(value, 16) not in handles and int(value, 16):
                case.fault("soundness", f"what {e.kind} {e.handle} refers to", f"no {value}")
    for e in chain(file.model, *file.blocks.values()):
        for code, table in (*_NAMED, *((_STYLED[e.kind],) if e.kind in _STYLED else ())):
            name = e.text(code).upper()
            if name and name not in file.tables.get(table, {}) and name not in _ANY_LINE:
                case.fault("soundness", f"{table} of {e.kind} {e.handle}", f"no '{name}'")
        for app in e.extended:
            if app.upper() not in file.tables.get("APPID", {}):
                case.fault("soundness", f"APPID of {e.kind} {e.handle}", f"no '{app}'")
        if e.kind == "DIMENSION" and e.text(2).upper() not in file.blocks:
            case.fault("soundness", f"picture of {e.kind} {e.handle}", f"no '{e.text(2)}'")


def _outside_groups(e: Entity) -> Sequence[tuple[int, str]]:
    """The tags that are no application's."""
    if GROUP not in [code for code, _ in e.tags]:
        return e.tags
    found = []
    inside = False
    for code, value in e.tags:
        if code == GROUP:
            inside = value.startswith("{")
        elif not inside:
            found.append((code, value))
    return found


def identity(entity: Entity) -> tuple[str, str] | None:
    """(id, role) of an entity from its extended data; None if it has none."""
    values = [v for c, v in entity.extended.get(APP, ()) if c == 1000]
    return (values[0], values[1]) if len(values) == 2 else None


def place(text: Entity) -> Point:
    """Where a TEXT stands: its alignment point unless it begins at the left of its base line."""
    across, up = text.whole(72), text.whole(73)
    return text.point(10 if (across, up) == (0, 0) or across in (3, 5) else 11)
