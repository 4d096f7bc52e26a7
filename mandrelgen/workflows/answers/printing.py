"""What ``print``, ``gauge`` and ``coupon`` say, as plain values; nothing is computed here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mandrelgen.workflows.answers.plain import View
from mandrelgen.workflows.answers.results import finding

if TYPE_CHECKING:
    from mandrelgen.assess.printed_speed import Turning
    from mandrelgen.workflows.print_versions import PrintedSet


def printed(s: PrintedSet) -> View:
    """What was written, for which printer, and the findings."""
    return {
        "printer": s.printer,
        "printed": [
            {
                "id": m.id,
                "folder": str(m.folder),
                "files": list(m.files),
                "level": m.level,
                "verdict": m.verdict.split("\n"),
                "cautions": list(m.cautions),
                "turning": _turning(m.turning),
            }
            for m in s.made
        ],
        "findings": [finding(f) for f in s.findings],
    }


def _turning(t: Turning | None) -> View | None:
    """Speeds in rev/min; ``allowed`` 0: refused; ``cap`` null: nothing is turned on it."""
    if t is None:
        return None
    return {
        "material": t.material,
        "material_stated": t.stated,
        "refused": list(t.refused),
        "cap": None if t.cap is None else int(t.cap.speed // 10 * 10),
        "cap_why": None if t.cap is None else t.cap.why,
        "start": t.start,
        "allowed": t.allowed,
    }
