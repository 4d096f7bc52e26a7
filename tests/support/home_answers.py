"""What a maker answers of the heron's first mandrel at home, and the day."""

from __future__ import annotations

DAY = "2026-06-01"
CALIPER = {"shank.diameter": "13.98@caliper", "thread.major_diameter": "11.9@caliper"}
GOOD = {
    **CALIPER, "clamps": "yes", "screws.1": "yes", "screws.2": "yes", "screws.3": "yes",
    "shake": "0.08", "seats": "all", "rocks": "no",
    "runout.seat.1": "0.02@90", "runout.seat.2": "0.02@100",
    "runout.thread.1": "0.03@0", "runout.thread.2": "0.02@30",
}  # fmt: skip
HAND = {k: v for k, v in GOOD.items() if not k.startswith(("runout", "shake"))}
"""Everything but what an indicator reads."""
