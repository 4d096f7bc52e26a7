"""A thread read back as one would say it aloud."""

from __future__ import annotations

from mandrelgen.standards.designation import Designation


def in_words(d: Designation) -> str:
    """A thread read back: size, pitch, starts, lead and turns, as one would say it aloud."""
    said = ("single start", "two starts", "three starts", "four starts")
    count = said[d.starts - 1] if d.starts <= len(said) else f"{d.starts} starts"
    size = f"{float(d.diameter):.4g} mm" if d.system == "M" else f"{d.diameter.written}"
    pitch = f"pitch {float(d.pitch):.4g} mm"
    if d.system == "UN":
        pitch = f"{d.threads_per_inch:.4g} threads per inch ({pitch})"
    hand = ", left hand" if d.left_hand else ""
    return (
        f"{'metric' if d.system == 'M' else 'inch'} thread, {size} over the crests, {pitch}, "
        f"{count}, lead {d.lead:.4g} mm: one turn closes {d.lead:.4g} mm, 6 mm of thread takes "
        f"{6 / d.lead:.1f} turns{hand}"
    )
