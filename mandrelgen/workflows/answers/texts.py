"""The words of the bench page: one file, ``templates/page/texts/en.toml``, so that they can be
translated. What the program finds out about a pen is worded where it is found out."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from markupsafe import Markup, escape

from mandrelgen.core.resources import template_path

LANGUAGE = "en"


@lru_cache(maxsize=1)
def texts() -> Mapping[str, str]:
    """Every text by its dotted key. Raises DiskError if the file is missing."""
    data = template_path(f"page/texts/{LANGUAGE}.toml").read_bytes()
    return dict(_flat("", tomllib.loads(data.decode("utf-8"))))


def _flat(head: str, table: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        if isinstance(value, Mapping):
            yield from _flat(f"{head}{key}.", value)
        else:
            yield head + key, str(value)


def text(key: str, count: int | None = None, **values: object) -> str:
    """A text with its values, plain. With ``count`` its key ends in ``.1`` or ``.n``, and
    ``{n}`` in it is the count. Raises KeyError."""
    if count is not None:
        key, values = f"{key}.{'1' if count == 1 else 'n'}", {"n": count, **values}
    return texts()[key].format(**values)


def label(key: str, **values: object) -> str:
    """What a box of the pen's or shop's pages is called, or may be set to. Raises KeyError."""
    return text(f"field.{key}", None, **values)


def say(key: str, count: int | None = None, **values: object) -> Markup:
    """As :func:`text`, for a template: text and values are escaped, except markup given as such."""
    safe = {k: v if isinstance(v, Markup) else escape(v) for k, v in values.items()}
    if count is not None:
        key, safe = f"{key}.{'1' if count == 1 else 'n'}", {"n": escape(count), **safe}
    return Markup(escape(texts()[key]).format(**safe))
