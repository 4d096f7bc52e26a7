"""mandrelgen: from a pen maker's threads and bores to mandrels a metal turner can make.

From Python: ``read_pen`` → ``design_pen`` or ``assess_pen`` → ``write_bytes``, ``to_cadquery``;
``open_archive`` for what was published. The functions are documented in
``mandrelgen.workflows.scripting``; each name here is loaded when it is first used.
"""

from __future__ import annotations

__version__ = "0.2.0"
TYPE_CHECKING = False  # type checkers take it for True; the typing module alone costs 4 ms

if TYPE_CHECKING:
    from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError
    from mandrelgen.model.mandrel import Mandrel
    from mandrelgen.workflows.check import Checked
    from mandrelgen.workflows.read_inputs import Inputs
    from mandrelgen.workflows.scripting import (
        OpenedArchive,
        assess_pen,
        design_pen,
        open_archive,
        read_pen,
        to_cadquery,
        write_bytes,
    )

__all__ = [
    "Checked",
    "DesignError",
    "DiskError",
    "Finding",
    "InputError",
    "Inputs",
    "Mandrel",
    "OpenedArchive",
    "__version__",
    "assess_pen",
    "design_pen",
    "open_archive",
    "read_pen",
    "to_cadquery",
    "write_bytes",
]


def __getattr__(name: str) -> object:
    """The public names, loaded late: ``mandrelgen --version`` must not wait for them."""
    if name not in __all__:
        raise AttributeError(f"module 'mandrelgen' has no attribute '{name}'")
    from importlib import import_module

    # By its name: the version is read by rooms below, which must not seem to import those above.
    return getattr(import_module("mandrelgen.workflows.scripting"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
