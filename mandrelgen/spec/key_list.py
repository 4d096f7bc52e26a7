"""Every key of the pen and shop files in plain words, from the models' own descriptions."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from enum import Enum
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.lengths import Length
from mandrelgen.spec.legal import bare, fields
from mandrelgen.spec.old_fixture import OldFixture
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.schema import SAID_ELSEWHERE
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import old_fixture, starter, starter_names

_A = {"pen": "a pen", "shop": "a shop", "old fixture": "an old fixture"}

FILES: dict[str, type[BaseModel]] = {"pen": Pen, "shop": Shop, "old fixture": OldFixture}


@dataclass(frozen=True, slots=True)
class Key:
    """A key: the file, the table as a person writes it, what it means, an example (a line of a
    starter, or of its kind), what counts if it is left out (empty: it is needed)."""

    file: str
    table: str
    name: str
    means: str
    example: str
    default: str

    @property
    def path(self) -> str:
        """``parts.<name>.length``."""
        return f"{self.table}.{self.name}" if self.table else self.name


def keys(word: str = "") -> tuple[Key, ...]:
    """Every key, or those with ``word`` in their path or meaning (any case), files in order."""
    wanted = word.strip().lower()
    found = [k for file, model in FILES.items() for k in _of(file, model, (), _examples(file))]
    return tuple(k for k in found if wanted in k.path.lower() or wanted in k.means.lower())


def _of(
    file: str, model: type[BaseModel], path: tuple[str, ...], shown: dict[str, str]
) -> Iterator[Key]:
    for name, field in fields(model).items():
        kind = bare(field.annotation)
        below, steps = _table(kind)
        yield Key(
            file=file,
            table=".".join(path),
            name=name,
            means=_means(field, below),
            example=_example((*path, name), kind, below, shown),
            default=_default(model, name, field, below),
        )
        if below is not None and not ("requests" in path and name == "use"):
            yield from _of(file, below, (*path, name, *steps), shown)


def _table(kind: object) -> tuple[type[BaseModel] | None, tuple[str, ...]]:
    """The model of the table a key holds, and what stands between: a name, an entry of a list."""
    steps: tuple[str, ...] = ()
    while get_origin(kind) in (dict, tuple):
        many = get_origin(kind) is dict
        kind = bare(get_args(kind)[1 if many else 0])
        steps = (*steps, "<name>") if many else steps
    found = kind if isinstance(kind, type) and issubclass(kind, BaseModel) else None
    return found, steps


def _means(field: FieldInfo, below: type[BaseModel] | None) -> str:
    text = field.description or ((below.__doc__ or "") if below else "")
    return " ".join(text.split()).rstrip(".")


def _default(
    model: type[BaseModel], name: str, field: FieldInfo, below: type[BaseModel] | None
) -> str:
    if name in SAID_ELSEWHERE.get(model.__name__, ()):
        return "its joint or part says it"
    if field.is_required():
        return ""
    value = field.default
    if value is None or isinstance(value, BaseModel | tuple | dict):
        return "nothing" if below is not None else "not said"
    return _toml(value)


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Enum):
        return f'"{value.value}"'
    if isinstance(value, Length):
        return f"{float(value):g}"
    if isinstance(value, int | float):
        return f"{value:g}"
    return f'"{value}"'


def _example(
    path: tuple[str, ...], kind: object, below: type[BaseModel] | None, shown: dict[str, str]
) -> str:
    name = path[-1]
    if below is not None:
        return ""
    for known in (".".join(path), name):
        if known in shown:
            return shown[known]
    if isinstance(kind, type) and issubclass(kind, Enum):
        return f'{name} = "{next(iter(kind)).value}"'
    return f"{name} = true" if kind is bool else ""


_PAIR = re.compile(
    r"(?<![\w.])([a-z][a-z0-9_]*) = (\"[^\"\n]*\"|true|false|-?[\d.]+(?:-[\d-]+)?|\[[^{}\[\]\n]*\])"
)


def _examples(file: str) -> dict[str, str]:
    """What the starters write for each key, by its path; for keys that stand in comments only, by
    their bare name."""
    names = starter_names(file) if file != "old fixture" else ()
    texts = [starter(file, n).decode() for n in names] or [old_fixture().decode()]
    found: dict[str, str] = {}
    for text in texts:
        for path, line in _written(FILES[file], tomllib.loads(text), ()):
            found.setdefault(path, line)
    set_names = {path.rsplit(".", 1)[-1] for path in found}
    for text in texts:
        for match in _PAIR.finditer(text):
            if match[1] not in set_names:
                found.setdefault(match[1], match[0])
    return found


def _written(
    model: type[BaseModel], table: Any, path: tuple[str, ...]
) -> Iterator[tuple[str, str]]:
    """The plain values of a file with the paths of their keys as the list names them."""
    for name, value in table.items() if isinstance(table, dict) else ():
        field = fields(model).get(name)
        if field is None:
            continue
        below, steps = _table(bare(field.annotation))
        here = (*path, name)
        if below is None:
            if not isinstance(value, dict):
                yield ".".join(here), f"{name} = {_value(value)}"
            continue
        rows = [value]
        for _ in steps:
            rows = [v for row in rows if isinstance(row, dict) for v in row.values()]
        for row in [r for v in rows for r in (v if isinstance(v, list) else [v])]:
            yield from _written(below, row, (*here, *steps))


def _value(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(_value(v) for v in value)}]"
    return _toml(value) if isinstance(value, bool | str | float | int) else str(value)


def page() -> str:
    """The list as the README's page prints it, in Markdown."""
    rows: list[str] = []
    for file in FILES:
        rows += ["", f"### The file of {_A[file]}", ""]
        rows += ["| key | means | for example | left out |", "|---|---|---|---|"]
        for k in (k for k in keys() if k.file == file):
            left = k.default or "**needed**"
            shown = f"`{k.example}`" if k.example else ""
            rows.append(f"| `{k.path}` | {_cell(k.means)} | {_cell(shown)} | {_cell(left)} |")
    return "\n".join(rows).strip() + "\n"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
