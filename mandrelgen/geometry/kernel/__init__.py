"""The CAD kernel through cadquery's own API: an optional package (``mandrelgen[cad]``), loaded only
by what asks for it. OCP, the binding beneath cadquery, is called directly only where cadquery has
no door; each place says why.
"""

from __future__ import annotations

from mandrelgen.core.errors import Finding, InputError, Level

INSTALL = "pip install 'mandrelgen[cad]'"
_LIBRARIES = "; on a bare Debian it also needs 'apt-get install libgl1 libx11-6'"


def require(what: str) -> None:
    """Load cadquery for ``what`` (``--prove``, a format). Raises InputError, in one line how to
    install it, if it or a library of the system that it loads is missing."""
    try:
        import cadquery  # noqa: F401
    except ModuleNotFoundError:
        raise _missing(what, f"{what} needs the CAD kernel, which is not installed", "") from None
    except ImportError as e:  # it is there, but a library of the system is not
        said = f"{what} needs the CAD kernel, which cannot be loaded ({e})"
        raise _missing(what, said, _LIBRARIES) from None


def _missing(where: str, said: str, more: str) -> InputError:
    return InputError(
        [
            Finding(
                level=Level.ERROR,
                code="cad.missing",
                where=where,
                message=said,
                remedy=INSTALL + more,
            )
        ]
    )
