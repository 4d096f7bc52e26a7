"""What stands on every printed fixture: what it is, how it was compensated, and the cautions."""

from __future__ import annotations

from mandrelgen.mechanics.practice import assumed
from mandrelgen.printing.judge import Verdict
from mandrelgen.printing.printer import NOMINAL
from mandrelgen.printing.version import PrintVersion

NOT_FOR_TURNING = "for fit by hand, not for turning"
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


def cautions() -> tuple[str, ...]:
    """The cautions of a printed fixture, the speed cap among them."""
    cap, start = assumed("speed", "printed_cap"), assumed("speed", "plastic_start")
    return (
        "For trying the fit by hand. Not for turning.",
        "Turning with a printed fixture is refused unless its material, the tailstock and the "
        "speed were entered in the pen file and the strength checks passed.",
        f"Even then never above {cap.value:.0f} rev/min ({cap.basis}), start at "
        f"{start.value:.0f} or less, tailstock up, light cuts; discard it after a catch or at the "
        "first crack.",
        *GENERAL,
    )


def nominal_cautions() -> tuple[str, ...]:
    """What is said of a model that is not compensated."""
    return (
        "Nominal sizes: printed as it is, a thread will not fit. Ask for a printer's version.",
        *cautions()[:3],
    )


def package_text(
    title: str, number: str, made: PrintVersion, verdict: Verdict, lines: tuple[str, ...] = ()
) -> str:
    """The text file beside a printed part. ``lines``: what else is to be said of it."""
    head = [title, f"{number}    {made.printer.file_word}", ""]
    if made.printer.name == NOMINAL:
        return "\n".join([*head, *[f"! {c}" for c in nominal_cautions()], "", *lines, ""])
    return "\n".join(
        [
            *head,
            *[f"! {c}" for c in cautions()],
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
