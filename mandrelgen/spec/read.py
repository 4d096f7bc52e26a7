"""Reading pen and shop files: every fault at once, each with its line, in plain words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from mandrelgen.core.errors import Finding, InputError, Level, Path
from mandrelgen.spec import cross
from mandrelgen.spec.expand import Origins, expand
from mandrelgen.spec.migrate import SchemaVersionError, migrate
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.raw import shape_remarks, value_remarks
from mandrelgen.spec.remark import Remark, dotted, plain
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.toml_text import SyntaxFault, decode, parse

Model = TypeVar("Model", bound=BaseModel)


def read_pen(data: bytes, name: str) -> Pen:
    """Read a pen file; ``name`` is what messages call it, e.g. ``pen.toml``.

    Raises InputError with every fault found, each at ``pen.toml:12 parts.cap.length``.
    """
    return _read(data, name, "pen", Pen, cross.check_pen, _salvaged)


def read_shop(data: bytes, name: str) -> Shop:
    """Read a shop file; ``name`` is what messages call it, e.g. ``shop.toml``.

    Raises InputError with every fault found.
    """
    return _read(data, name, "shop", Shop, cross.check_shop, lambda _: ())


def effective_shop(shop: Shop, pen: Pen) -> Shop:
    """The shop with what the pen file says of it: ``lathe`` and ``instruments`` key by key,
    anything else replaced. Raises nothing for a pen from :func:`read_pen`."""
    if not pen.shop:
        return shop
    base = shop.model_dump(by_alias=True, exclude_unset=True)
    for key, value in pen.shop.items():
        if key in ("lathe", "instruments") and isinstance(value, dict):
            base[key] = {**base.get(key, {}), **value}
        else:
            base[key] = value
    return Shop.model_validate(base)


def review(pen: Pen, shop: Shop, data: bytes, name: str) -> tuple[Finding, ...]:
    """Warnings, and faults that show only when pen and shop are seen together.

    ``data`` and ``name`` are the pen file's, for the lines.
    """
    remarks = (*cross.check_pen(pen), *cross.check_together(pen, effective_shop(shop, pen)))
    if not remarks:
        return ()
    text = decode(data, name)
    origins = expand(parse(text)[0])[1]
    return _findings(_once(_placed(remarks, origins)), text, plain(name))


def _read(
    data: bytes,
    name: str,
    kind: str,
    model: type[Model],
    check: Callable[[Model], tuple[Remark, ...]],
    salvage: Callable[[dict[str, object]], tuple[Remark, ...]],
) -> Model:
    name = plain(name)
    text = decode(data, name)
    values, syntax = parse(text)
    if syntax and not values:
        raise InputError(f.finding(name) for f in syntax)
    if shape := shape_remarks(values):
        raise InputError((*_syntax(syntax, name), *_findings(shape, text, name)))
    remarks = [*value_remarks(values)]
    try:
        values = migrate(values, kind)
    except SchemaVersionError as error:
        remarks.append(Remark("file.schema", ("schema",), error.message, error.remedy))
        if error.newer:
            raise InputError(_findings(remarks[-1:], text, name)) from None
        values = {**values, "schema": 1}
    result: Model | None = None
    written_out, origins = expand(_defused(values)) if model is Pen else (_defused(values), None)
    try:
        result = model.model_validate(written_out)
    except ValidationError as error:
        from mandrelgen.spec.faults import model_remarks

        remarks += model_remarks(error, model, origins.place if origins else tuple)
    remarks += _override_remarks(values) if model is Pen else ()
    found = check(result) if result is not None else salvage(written_out)
    remarks += _placed(found, origins) if origins else found
    errors = [r for r in _once(remarks) if r.level is Level.ERROR]
    if syntax:
        # A line left out by the TOML reader may be the very key that now seems to be missing.
        errors = [r for r in errors if r.code != "key.missing"]
    if errors or syntax or result is None:
        raise InputError((*_syntax(syntax, name), *_findings(errors, text, name)))
    return result


def _salvaged(values: dict[str, object]) -> tuple[Remark, ...]:
    from mandrelgen.spec.salvage import salvage_remarks

    return salvage_remarks(values)


def _placed(remarks: Iterable[Remark], origins: Origins) -> tuple[Remark, ...]:
    """The remarks at the keys where a person wrote the values."""
    return tuple(replace(r, path=origins.place(r.path)) for r in remarks)


def _syntax(faults: Iterable[SyntaxFault], name: str) -> tuple[Finding, ...]:
    return tuple(f.finding(name) for f in faults)


def _once(remarks: Iterable[Remark]) -> tuple[Remark, ...]:
    """One remark a place where the bare value was at fault already; no remark twice."""
    remarks = tuple(dict.fromkeys(remarks))
    raw = {r.path for r in remarks if r.code in ("value.number", "key.lookalike", "file.schema")}
    return tuple(
        r
        for r in remarks
        if r.path not in raw or r.code in ("value.number", "key.lookalike", "file.schema")
    )


def _defused(values: dict[str, object]) -> dict[str, object]:
    """The values with whole numbers too long for arithmetic replaced by an infinite one."""

    def clean(value: object) -> object:
        if isinstance(value, dict):
            return {k: clean(v) for k, v in value.items()}
        if isinstance(value, list):
            return [clean(v) for v in value]
        if isinstance(value, int) and not isinstance(value, bool) and abs(value) > 10**15:
            return float("inf")
        return value

    return {k: clean(v) for k, v in values.items()}


def _override_remarks(values: dict[str, object]) -> tuple[Remark, ...]:
    """Faults of the pen's own ``[shop]``, which is a piece of a shop file."""
    override = values.get("shop")
    if not isinstance(override, dict):
        return ()
    below: Path = ("shop",)
    try:
        shop = Shop.model_validate(_defused({"schema": 1, **override}))
    except ValidationError as error:
        from mandrelgen.spec.faults import model_remarks

        remarks = model_remarks(error, Shop)
    else:
        remarks = cross.check_shop(shop)
    return tuple(
        Remark(code=r.code, path=below + r.path, message=r.message, remedy=r.remedy, level=r.level)
        for r in remarks
    )


def _findings(remarks: Iterable[Remark], text: str, name: str) -> tuple[Finding, ...]:
    """Remarks with the file's name and lines, in the order of the file."""
    remarks = tuple(remarks)
    if not remarks:
        return ()
    from mandrelgen.spec.places import Places

    places = Places(text)
    lined = [(places.line(r.path), r) for r in remarks]
    return tuple(
        Finding(
            level=r.level,
            code=r.code,
            where=_where(name, line, r.path),
            message=plain(r.message),
            remedy=plain(r.remedy),
        )
        for line, r in sorted(lined, key=lambda pair: pair[0])
    )


def _where(name: str, line: int, path: Path) -> str:
    return " ".join(t for t in (f"{name}:{line}" if line else name, dotted(path)) if t)
