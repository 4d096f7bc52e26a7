"""What every model of a written file shares."""

from __future__ import annotations

import datetime
import unicodedata
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
)
from pydantic_core import core_schema

from mandrelgen.core.lengths import Length
from mandrelgen.standards import material_names

LONGEST = 2000
"""No length of a pen or its tooling is longer, mm."""

LARGEST_DEVIATION = 1
"""No deviation is larger, mm."""

_RESERVED = {"con", "prn", "aux", "nul"} | {f"{p}{n}" for p in ("com", "lpt") for n in range(1, 10)}


class Strict(BaseModel):
    """Frozen, and closed against unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


def _parse(value: object) -> Length:
    if isinstance(value, int | float) and not isinstance(value, Length) and abs(value) > 1e9:
        raise ValueError(f"the number is too large; allowed is up to {LONGEST} mm")
    return Length.parse(value)


def _positive(value: object) -> Length:
    length = _parse(value)
    if not 0 < length <= LONGEST:
        raise ValueError(f"{length.written} is outside the allowed 0 < length ≤ {LONGEST} mm")
    return length


def _not_negative(value: object) -> Length:
    length = _parse(value)
    if not 0 <= length <= LONGEST:
        raise ValueError(f"{length.written} is outside the allowed 0 ≤ length ≤ {LONGEST} mm")
    return length


def _deviation(value: object) -> Length:
    text = value.strip() if isinstance(value, str) else ""
    sign = -1 if text[:1] in ("-", "−") and text else 1
    length = _parse(text[1:] if text[:1] in ("-", "−", "+") else value)
    if abs(length) > LARGEST_DEVIATION:
        raise ValueError(
            f"a deviation of {sign * length:g} mm is absurd; "
            f"allowed is −{LARGEST_DEVIATION} to +{LARGEST_DEVIATION} mm"
        )
    return Length(sign * length.exact, text or length.written)


def _not_reserved(value: str) -> str:
    if value in _RESERVED:
        raise ValueError(f"'{value}' is a name some computers keep for themselves")
    return value


def _one_form(value: str) -> str:
    """One code point per accented letter (Unicode NFC), as the font and the fold of names need."""
    return unicodedata.normalize("NFC", value).strip()


def _no_number(value: object) -> object:
    if isinstance(value, bool | int | float):
        raise ValueError("a date is written 2026-05-31, without quotes")
    return value


_INCH_TEXT: dict[str, Any] = {
    "type": "string",
    "maxLength": 40,
    "description": "12.5 mm, 3/8 in, 0.375 in",
}


class _Read:
    """How a length is read and described, said once: with pydantic's own markers it is worked out
    anew for each of some sixty fields."""

    def __init__(self, read: Callable[[object], Length], **bounds: float) -> None:
        self.schema = core_schema.no_info_plain_validator_function(read)
        self.json: dict[str, Any] = {"anyOf": [{"type": "number", **bounds}, _INCH_TEXT]}

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Read by the function alone, which gives a Length or refuses. A copy: pydantic notes in
        it what goes for one field."""
        return self.schema.copy()

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """A number within the bounds, or a text; pydantic writes a field's default into it."""
        return {"anyOf": [dict(a) for a in self.json["anyOf"]]}


Size = Annotated[Length, _Read(_positive, maximum=LONGEST, exclusiveMinimum=0)]
"""A length above zero: a number in mm, or a text such as ``3/8 in``."""

Distance = Annotated[Length, _Read(_not_negative, maximum=LONGEST, minimum=0)]
"""A length of zero or more."""

Deviation = Annotated[
    Length, _Read(_deviation, maximum=LARGEST_DEVIATION, minimum=-LARGEST_DEVIATION)
]
"""A signed deviation in mm, at most ±1."""

Id = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_-]{0,31}$"), AfterValidator(_not_reserved)]
"""A table key: lower-case letters, digits, dash and underscore."""

Text = Annotated[str, Field(max_length=80), AfterValidator(_one_form)]
"""A short text for the paper."""

_MATERIAL = Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9.+_ -]{0,31}$")

RodName = Annotated[str, _MATERIAL, AfterValidator(material_names.rod_or_name)]
"""A pen part's material, by its key or by the name on the rod: ``cast-acrylic``, ``hard rubber``.
Held as the key; a name that is not read stays, and is told by the checks."""

BarName = Annotated[str, _MATERIAL, AfterValidator(material_names.bar_or_name)]
"""A mandrel's material, by its key or by the name of the bar: ``1.4305``, ``brass``."""

Place = Annotated[str, Field(max_length=80)]
"""An end of a part, written ``part.end``; where it has two threads ``part.end.external``."""

Flag = Annotated[bool, Field(strict=True)]
"""``true`` or ``false``; no text and no number."""

Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
"""A finite number."""

Whole = Annotated[int, Field(strict=True)]
"""A whole number."""

Day = Annotated[datetime.date, BeforeValidator(_no_number)]
"""A date, 2026-05-31."""
