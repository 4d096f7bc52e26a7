"""The models' complaints in plain sentences."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from mandrelgen.core.errors import Path
from mandrelgen.spec.glyphs import latin_twin
from mandrelgen.spec.legal import description, fields, model_at, nearest, tables_with
from mandrelgen.spec.remark import Remark, dotted, shown

_PATTERNS = {
    r"^[a-z][a-z0-9_-]{0,31}$": (
        "lower-case letters a-z, digits, dash and underscore, beginning with a letter, "
        "at most 32 characters"
    ),
    r"^[A-Z]{1,2}\d{1,2}$": "the tolerance class of a hole, such as H8",
    r"^[A-Z][A-Z0-9]{0,7}$": "capital letters and digits, beginning with a letter, at most 8",
    r"^[A-Za-z0-9][A-Za-z0-9.+_ -]{0,31}$": (
        "a material such as cast-acrylic, hard rubber, brass or 1.4305, at most 32 characters"
    ),
    "^(first|third)$": 'one of "first", "third"',
}
_KINDS = {
    "string_type": 'a text in double quotes, such as "M9x0.75"',
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "finite_number": "a finite number",
    "bool_type": "true or false, without quotes",
    "model_type": "a table of keys",
    "dict_type": "a table of keys",
    "tuple_type": "a list in square brackets, or a [[heading]] for each entry",
}


def model_remarks(
    error: ValidationError, model: type[BaseModel], place: Callable[[Path], Path] = tuple
) -> tuple[Remark, ...]:
    """Every complaint of pydantic about ``model`` as a remark, none of it in pydantic's words.

    ``place``: from a path of the written-out file to where the value really stands.
    """
    errors = error.errors(include_url=False)
    guessed = _guessed_keys(errors, model)
    out: dict[Remark, None] = {}
    for e in errors:
        path = place(_path(e["loc"]))
        if e["type"] == "missing" and path in guessed:
            continue
        out[_remark(e, path, model)] = None
    return tuple(out)


def faulty_paths(error: ValidationError) -> tuple[Path, ...]:
    """The paths of every complaint."""
    return tuple(dict.fromkeys(_path(e["loc"]) for e in error.errors()))


def _path(loc: Iterable[str | int]) -> Path:
    """A pydantic location without its own marker for the key of a table."""
    return tuple(step for step in loc if step != "[key]")


def _guessed_keys(errors: Iterable[Mapping[str, Any]], model: type[BaseModel]) -> frozenset[Path]:
    """Missing keys that are there, misspelt: the misspelling is told, not the absence."""
    out = set()
    for e in errors:
        if e["type"] == "extra_forbidden":
            path = _path(e["loc"])
            table = model_at(model, path[:-1])
            if table is not None:
                out.add((*path[:-1], nearest(latin_twin(str(path[-1])), fields(table))))
    return frozenset(out)


def _remark(e: Mapping[str, Any], path: Path, model: type[BaseModel]) -> Remark:
    kind = e["type"]
    table = model_at(model, path[:-1]) if path else model
    key = str(path[-1]) if path else ""
    if kind == "missing":
        meaning = description(table, key) if table else ""
        return Remark(
            "key.missing",
            path,
            f"{dotted(path[-1:])} is missing",
            f"add {key} = …" + (f" ({meaning})" if meaning else ""),
        )
    if kind == "extra_forbidden":
        return _unknown_key(path, key, table, model)
    message, remedy = _value(e, key)
    meaning = description(table, key) if table else ""
    if meaning:
        remedy += f"; {dotted((key,))} means: {meaning}"
    return Remark("value.wrong", path, message, remedy)


def _unknown_key(
    path: Path, key: str, table: type[BaseModel] | None, model: type[BaseModel]
) -> Remark:
    known = tuple(fields(table)) if table else ()
    guess = nearest(latin_twin(key), known)
    allowed = f"allowed here: {', '.join(known)}"
    elsewhere = tables_with(model, key)
    if guess:
        remedy = f"did you mean '{guess}'? {allowed[0].upper()}{allowed[1:]}"
    elif elsewhere:
        remedy = f"'{key}' belongs in {' or '.join(elsewhere)}; {allowed}"
    else:
        remedy = allowed if known else "take the key away"
    return Remark("key.unknown", path, f"{shown(key)} is not a known key here", remedy)


def _value(e: Mapping[str, Any], key: str) -> tuple[str, str]:
    """What was found, and what is allowed instead."""
    kind, found, ctx = str(e["type"]), e.get("input"), e.get("ctx") or {}
    name = dotted((key,)) if key else "the file"
    if kind == "value_error":
        return f"{name}: {ctx.get('error', e['msg'])}", f"correct {name}"
    if kind == "enum":
        allowed = re.findall(r"'([^']*)'", str(ctx.get("expected", "")))
        guess = nearest(found, allowed) if isinstance(found, str) else ""
        hint = f"did you mean {shown(guess)}? Allowed" if guess else "allowed"
        return (
            f"{name} = {shown(found)} is not one of the choices",
            f"{hint}: {', '.join(shown(a) for a in allowed)}",
        )
    if kind == "string_pattern_mismatch":
        allowed_text = _PATTERNS.get(str(ctx.get("pattern")), "another form")
        return f"{shown(found)} is not allowed as {_what(name, found)}", f"allowed: {allowed_text}"
    if bound := _bound(kind, ctx):
        if kind == "too_short":
            what = "a text" if isinstance(found, str) else "at least one entry"
            return f"{name} has nothing in it", f"give {what}"
        if kind in ("string_too_long", "too_long"):
            return f"{name} = {shown(found)} is too long", f"allowed: {bound}"
        return f"{name} = {shown(found)} is out of range", f"allowed: {bound}"
    if kind.startswith("date"):
        return f"{name} = {shown(found)} is not a date", "write a day as 2026-05-31, without quotes"
    allowed_text = _KINDS.get(kind, "something else; see the starter files")
    return f"{name} = {shown(found)} is of the wrong kind", f"give {allowed_text}"


def _what(name: str, found: object) -> str:
    return "the name of a table" if name in (found, repr(found)) else name


def _bound(kind: str, ctx: Mapping[str, Any]) -> str:
    """The limit that was missed, in words; empty if the complaint is not about a limit."""
    forms = {
        "greater_than_equal": ("ge", "{} or more"),
        "less_than_equal": ("le", "{} or less"),
        "greater_than": ("gt", "more than {}"),
        "less_than": ("lt", "less than {}"),
        "string_too_long": ("max_length", "at most {} characters"),
        "too_long": ("max_length", "at most {} characters"),
        "too_short": ("min_length", "at least {}"),
    }
    if kind not in forms:
        return ""
    limit, form = forms[kind]
    value = ctx.get(limit, "?")
    return form.format(f"{value:g}" if isinstance(value, float) else value)
