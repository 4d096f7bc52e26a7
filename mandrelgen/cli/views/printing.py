"""What was printed, as text; nothing is computed here."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mandrelgen.workflows.print_versions import PrintedSet


def printed_text(s: PrintedSet) -> str:
    """The printer, and each part with its folder and files."""
    rows = [f"printer {s.printer}"] if s.printer else []
    for m in s.made:
        rows.append(f"{m.id}: {m.level}: {m.folder}")
        rows += [f"  {name}" for name in m.files]
    return "\n".join(rows)
