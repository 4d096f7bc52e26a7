"""Where the files live that come with the program: templates, fonts, schemas."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

from mandrelgen.core.errors import DiskError

_PACKAGE = Path(__file__).resolve().parents[1]
# A wheel carries the templates inside the package; a checkout and an editable install have
# them beside it.
_ROOTS = (_PACKAGE / "templates", _PACKAGE.parent / "templates")

FONT = "fonts/DejaVuSansCondensed.ttf"
"""The one font of paper and DXF, as a name for :func:`template_path`."""


def template_path(name: str) -> Path:
    """The path of a shipped file, named relative to ``templates/`` with forward slashes.

    Raises ValueError if the name leads out of ``templates/``, DiskError if the file is not there.
    """
    parts = PurePosixPath(name)
    if parts.is_absolute() or ".." in parts.parts or "\\" in name or ":" in name:
        raise ValueError(f"'{name}' is not a name inside templates/")
    for root in _ROOTS:
        path = root.joinpath(*parts.parts)
        if path.exists():
            return path
    raise DiskError(
        f"the file templates/{name}, which belongs to mandrelgen, is missing",
        "install mandrelgen again, or restore the templates folder of the checkout",
    )


def template_names(folder: str, suffix: str) -> tuple[str, ...]:
    """The names (without suffix, sorted) of the files ending in ``suffix`` in a templates folder.

    Raises as :func:`template_path`.
    """
    found = template_path(folder).iterdir()
    return tuple(sorted(p.name[: -len(suffix)] for p in found if p.name.endswith(suffix)))
