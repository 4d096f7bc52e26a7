"""What stands on every printed fixture: what it is, how it was compensated, and the cautions."""

from __future__ import annotations

from mandrelgen.assess.printed_speed import Turning
from mandrelgen.workshop.printing.judge import Printability
from mandrelgen.workshop.printing.printer import NOMINAL
from mandrelgen.workshop.printing.version import PrintVersion

NOT_FOR_TURNING = "for fit by hand, not for turning"
BY_HAND = "For trying the fit by hand. Not for turning."
GAUGE = (
    "A printed gauge shows whether a thread starts and screws through; it cannot judge limits of "
    "hundredths. The limits above are for the gauge in hardened metal."
)
# Said on every printed part; a print warm from a motor softens (PLA about 55 °C).
GENERAL = (
    "Keep it away from heat: common filaments soften at 55 to 60 °C, so not on a warm spindle.",
    "Resin prints: wash and cure fully before use; gloves for uncured resin.",
    "Never force it: a printed thread cracks between its layers, and can mark the pen's thread.",
)


def use(turning: Turning | None) -> str:
    """For a title: what the part is for."""
    if turning is None or not turning.allowed:
        return NOT_FOR_TURNING
    return f"for fit by hand; turning at {turning.allowed} rev/min at most"


def cautions(turning: Turning | None = None) -> tuple[str, ...]:
    """The cautions of a printed part. ``turning``: of a fixture, its verdict in the printed
    material; without one the part is no fixture (a gauge, a dummy), and nothing turns with it."""
    if turning is None:
        return (BY_HAND, "Nothing is ever turned with it: it is no mandrel.", *GENERAL)
    if turning.allowed:
        return (
            "For trying the fit by hand. The strength checks allow turning with it in "
            f"{turning.material} at {turning.allowed} rev/min at most.",
            _slowly(turning),
            *GENERAL,
        )
    return (BY_HAND, f"Turning with it is refused: {'; '.join(_why(turning))}.",
            _slowly(turning), *GENERAL)  # fmt: skip


def _why(turning: Turning) -> list[str]:
    """The rules it breaks, and the weakest place with how many more there are."""
    more = len(turning.weak) - 1
    others = f", and {more} more" if more > 0 else ""
    return [*turning.rules, *[f"{w}{others}" for w in turning.weak[:1]]]


def _slowly(turning: Turning) -> str:
    """The speed cap, computed, with what governs it."""
    cap = turning.cap
    if cap is None:
        return "No speed is allowed for it."
    head = "Speed cap" if turning.allowed else "Speed cap, were it allowed,"
    return (
        f"{head} in {turning.material}: {cap.speed // 10 * 10:.0f} rev/min ({cap.why}; "
        f"{cap.basis}), start at {turning.start} or less, tailstock up, light cuts; discard it "
        "after a catch or at the first crack."
    )


def nominal_cautions() -> tuple[str, ...]:
    """What is said of a model that is not compensated."""
    return (
        "Nominal sizes: printed as it is, a thread will not fit. Ask for a printer's version.",
        BY_HAND,
        *GENERAL,
    )


def nominal_text(title: str, *lines: str) -> str:
    """The text file beside a model that is not compensated."""
    return "\n".join(
        [title, "nominal", "", *[f"! {c}" for c in nominal_cautions()], "", *lines, ""]
    )


def package_text(
    title: str,
    number: str,
    made: PrintVersion,
    verdict: Printability,
    lines: tuple[str, ...] = (),
    turning: Turning | None = None,
) -> str:
    """The text file beside a printed part. ``lines``: what else is to be said of it; ``turning``:
    a fixture's verdict in the printed material."""
    head = [title, f"{number}    {made.printer.file_word}", ""]
    if made.printer.name == NOMINAL:
        return "\n".join([*head, *[f"! {c}" for c in nominal_cautions()], "", *lines, ""])
    return "\n".join(
        [
            *head,
            *[f"! {c}" for c in cautions(turning)],
            "",
            *lines,
            "Print with the axis vertical, the end at z = 0 on the bed, solid all through,",
            "sizes in mm, no scaling, no compensation in the slicer (it is in the model).",
            "",
            f"Printer: {made.printer.said()}",
            *[f"  {c}" for c in made.changes],
            "",
            verdict.text(),
            "",
        ]
    )
