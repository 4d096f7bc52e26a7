"""The one font of paper and drawing file, as the PDF library reads it from its file."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from functools import cache
from types import ModuleType
from typing import Any

from mandrelgen.core.resources import FONT, template_path

NAME = "DejaVuSansCondensed"
# The PDF library cannot name letters behind the Basic Multilingual Plane to a reader of the PDF.
_LAST = 0xFFFF


def load_reportlab() -> None:
    """Import reportlab, once; call it before any other import from there.

    Its import runs ``~/.reportlab_mods`` and ``~/.reportlab_settings`` (or modules of those names)
    and heeds variables ``RL_…``: code of the user's home, and other bytes on another machine. So
    empty modules stand in for the two, and the variables are hidden meanwhile.
    """
    if "reportlab.rl_config" in sys.modules:
        return
    hidden = {name: os.environ.pop(name) for name in list(os.environ) if name.startswith("RL_")}
    for name in ("reportlab_mods", "reportlab_settings"):
        sys.modules.setdefault(name, ModuleType(name))
    try:
        import reportlab.rl_config  # noqa: F401
    finally:
        os.environ.update(hidden)


@cache
def font() -> Any:
    """The font as reportlab's ``TTFont``, its file read once; the subsets it gives out are kept for
    each document apart."""
    load_reportlab()
    from reportlab.pdfbase.ttfonts import TTFont

    return TTFont(NAME, str(template_path(FONT)))


@cache
def advances() -> Mapping[str, int]:
    """Advance width of every letter that may be used, font units."""
    face = font().face
    # reportlab gives thousandths of the em.
    unit = face.unitsPerEm / 1000
    return {chr(c): round(w * unit) for c, w in face.charWidths.items() if c <= _LAST}
