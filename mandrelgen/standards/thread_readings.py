"""Readings of an unknown thread as a person writes them: ``crest=9.32, ten=7.5, starts=1``."""

from __future__ import annotations

import re
from collections.abc import Mapping

from mandrelgen.core.lengths import MM_PER_INCH
from mandrelgen.standards.designation import MAX_STARTS
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.thread_finder import KINDS, USUAL_UNCERTAINTY, Reading

EXAMPLE = "crest=9.32±0.03, ten=7.5, starts=1"
LARGEST = 100.0
LEAST_CRESTS, MOST_CRESTS = 2, 40
"""Crests that a pitch is read over where there are not ten."""
_NUM = r"(?:\d{1,4}(?:[.,]\d{1,5})?|[.,]\d{1,5})"
_ONE = re.compile(
    rf"\s*(?P<kind>[A-Za-z_]+)\s*[=:]\s*(?P<v>{_NUM})\s*(?P<unit>mm|inch|in|\")?\s*"
    r"(?:over\s+(?P<n>\d{1,2})\b\s*)?"
    rf"(?:(?:±|\+/-|\+-)\s*(?P<u>{_NUM})\s*(?P<uu>mm|inch|in|\")?)?\s*(?:[,;]|$)",
    re.IGNORECASE,
)


class ReadingsError(ValueError):
    """Readings that cannot be read; ``faults`` holds each as (what is wrong, how to mend it)."""

    def __init__(self, faults: list[tuple[str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(m for m, _ in faults))


def parse_readings(text: str) -> Mapping[str, Reading]:
    """Readings by kind, mm. Kinds: crest, ten (over ten crests), starts, root, minor, lead; each
    may have its expanded uncertainty (k = 2) behind ``±``, else the usual one is assumed.

    Decimal commas, ``;`` and inches (``in``) are read. A short thread's ``ten=5.25 over 7`` is
    reckoned up to ten, its uncertainty too. Raises ReadingsError with every fault.
    """
    found: dict[str, Reading] = {}
    faults: list[tuple[str, str]] = []
    seen: set[str] = set()
    at = 0
    while at < len(text) and text[at:].strip():
        m = _ONE.match(text, at)
        if m is None:
            stop = re.search(r"[;]|,(?!\d)", text[at:])
            piece = text[at : at + stop.start()] if stop else text[at:]
            faults.append((f"'{piece.strip()[:40]}' is not a reading", f"write {EXAMPLE}"))
            at += stop.end() if stop else len(text)
            continue
        at = m.end()
        kind = m["kind"].lower()
        if kind in seen:
            faults.append((f"{kind} is given twice", "give each reading once"))
        else:
            seen.add(kind)
            try:
                found[kind] = _reading(kind, m)
            except NotHeldError as e:
                faults.append((e.message, e.remedy))
    if not faults and not {"crest", "root", "minor"} & set(found):
        faults.append(("no diameter is given", f"add crest, root or minor: {EXAMPLE}"))
    if faults:
        raise ReadingsError(faults)
    return found


def _reading(kind: str, m: re.Match[str]) -> Reading:
    if kind not in KINDS:
        raise NotHeldError(
            f"'{kind}' is no reading of a thread",
            "readings are crest (outside of a screw), ten (over ten crests: from a crest to the "
            "tenth after it), starts (counted at the end), root, minor (bore of a nut), lead",
        )
    value = _mm(m["v"], m["unit"])
    if kind == "starts":
        if m["u"] or m["n"] or value != int(value) or not 1 <= value <= MAX_STARTS:
            raise NotHeldError(
                f"starts = {m['v']} is not a count", f"a whole number from 1 to {MAX_STARTS}"
            )
        return Reading(value, 0.0)
    u = _mm(m["u"], m["uu"] or m["unit"]) if m["u"] else USUAL_UNCERTAINTY[kind]
    if m["n"]:
        if kind != "ten" or not LEAST_CRESTS <= int(m["n"]) <= MOST_CRESTS:
            raise NotHeldError(
                f"{kind} = {m['v']} over {m['n']} is not a reading",
                f"ten may be read over {LEAST_CRESTS} to {MOST_CRESTS} crests: ten=5.25 over 7",
            )
        value, u = (x * 10 / int(m["n"]) for x in (value, u))
    if not 0 < value <= LARGEST:
        raise NotHeldError(f"{kind} = {m['v']} is out of range", f"0 to {LARGEST:g} mm")
    if not 0 < u <= 1:
        raise NotHeldError(f"an uncertainty of ± {m['u']} is out of range", "above 0, at most 1 mm")
    return Reading(value, u, assumed=not m["u"])


def _mm(number: str, unit: str | None) -> float:
    value = float(number.replace(",", "."))
    return value * float(MM_PER_INCH) if unit and unit.lower() != "mm" else value
