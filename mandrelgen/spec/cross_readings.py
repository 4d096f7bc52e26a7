"""What was read on a thread against the thread it is said to be.

A die or a tap leaves a thread a little off its limits: that is what readings are for. A reading
further off than that belongs to another thread; then the name is doubted, with the threads that
would agree, and nothing is widened to make it fit.
"""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.core.errors import Path
from mandrelgen.spec.pen import Measured
from mandrelgen.spec.remark import Remark
from mandrelgen.standards import measuring
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.tables import NotHeldError

UNDER, OVER = 0.2, 0.1
"""How far outside 6g or 2A a die still leaves a tenon, mm: worn or adjustable dies 0.05 to 0.2
under (common practice, no source); spring-back over the basic size (estimate)."""
BORE_UNDER, BORE_OVER = 0.1, 0.2
"""The same for the bore of a tapped hole in 6H or 2B, mm: spring-back, drilled oversize
(estimates)."""
_UNKNOWN_INSTRUMENT = 0.05
_MOST = 3


def reading_remarks(
    path: Path, measured: Measured | None, external: bool, named: Designation
) -> Iterator[Remark]:
    """The readings that contradict the thread's name. ``path``: the table of the thread."""
    if measured is None:
        return
    # Basic sizes of ISO 68-1: d2 = d - 0.6495 P, D1 = d - 1.0825 P.
    d, p = float(named.diameter), float(named.pitch)
    for key, read, basic in (
        ("crest", measured.crest, d if external else d - 1.082532 * p),
        ("pitch_diameter", measured.pitch_diameter, d - 0.649519 * p),
    ):
        if read is not None and abs(read - basic) > p:
            yield Remark(
                "size.contradiction",
                (*path, "measured", key),
                f"a reading of {read:g} is more than one pitch from {named.text} ({basic:.3f})",
                "crest is the outside of a tenon, the smallest bore of a cap; read again"
                + (_instead(read, measured, external, named) if key == "crest" else ""),
            )
        elif read is not None and key == "crest":
            yield from _doubted(path, float(read), measured, external, named)


def _doubted(
    path: Path, read: float, measured: Measured, external: bool, named: Designation
) -> Iterator[Remark]:
    from mandrelgen.standards import thread_finder

    try:
        predicted = thread_finder.predict(named)["crest" if external else "minor"]
    except NotHeldError:
        return  # said where the thread is named
    u = _uncertainty(measured)
    under, over = (UNDER, OVER) if external else (BORE_UNDER, BORE_OVER)
    if predicted.low - under - u <= read <= predicted.high + over + u:
        return
    others = _others(read, u, external, named)
    what = "crest" if external else "minor diameter"
    yield Remark(
        "thread.doubted",
        (*path, "thread"),
        f"{read:.2f} is not {named.text}, whose {what} is {predicted.low:.2f} to "
        f"{predicted.high:.2f}" + (f": {', '.join(others)}?" if others else ""),
        "write the thread it is, or read again; mandrelgen thread --measured "
        f'"{"crest" if external else "minor"}={read:.2f}, ten=…, starts={named.starts}" '
        "finds it (ten: over ten crests)",
    )


def _instead(read: float, measured: Measured, external: bool, named: Designation) -> str:
    others = _others(float(read), _uncertainty(measured), external, named)
    return f". {read:.2f} could be {', '.join(others)}" if others else ""


def _others(read: float, u: float, external: bool, named: Designation) -> list[str]:
    """The best candidates for the one reading, each diameter once: best first, of those that
    agree alike the nearest in pitch."""
    from mandrelgen.standards import thread_finder as finder

    found = finder.find(
        {
            "crest" if external else "minor": finder.Reading(read, u),
            "starts": finder.Reading(named.starts, 0),
        },
        most=40,
    )
    ordered = sorted(
        found.matches,
        key=lambda m: (
            round(m.z, 3), abs(float(m.candidate.designation.pitch) - float(named.pitch))
        ),
    )  # fmt: skip
    out: dict[float, str] = {}
    for m in ordered:
        d = m.candidate.designation
        if d.diameter != named.diameter or d.pitch.exact != named.pitch.exact:
            out.setdefault(float(d.diameter), d.text)
    return list(out.values())[:_MOST]


def _uncertainty(measured: Measured) -> float:
    """Expanded uncertainty of the reading, mm; the shop's own instruments are not known here."""
    if measured.uncertainty:
        return float(measured.uncertainty)
    try:
        return measuring.uncertainty(measured.instrument)
    except NotHeldError:
        return _UNKNOWN_INSTRUMENT
