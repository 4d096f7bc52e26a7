"""What of a run needs the CAD kernel: said before anything is begun."""

from __future__ import annotations


def require_kernel(only: str | None, prove: bool) -> None:
    """Raises InputError, in one line how to install it, if ``--prove`` or a format of ``--only``
    needs the CAD kernel and it is not there. Otherwise nothing is loaded."""
    asked = "--prove" if prove else ""
    if only is not None and not prove:
        from mandrelgen.files.formats import ASKED

        asked = next((f"the format {f}" for f in ASKED if f in map(str.strip, only.split(","))), "")
    if asked:
        from mandrelgen.geometry import kernel

        kernel.require(asked)
