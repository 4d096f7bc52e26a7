"""Compares what a reader took from a drawing sheet alone with the design behind it.

    python -m tests.long.reader READING.json FOLDER

FOLDER is a published mandrel's (its ``mandrel.json`` is read as plain JSON; nothing of the program
is used). Every difference is a line; the exit code is 0 without any, 1 with some, 2 if a file is
no reading or no mandrel. What was not read is counted and named apart: it is no difference.

READING.json, all lengths in mm, angles in degrees; every part but ``points`` may be left out:

    {
      "points": [[z, r], ...],     the outside, from the spindle's end to the nose, every corner; z
                                   from any zero the reader likes, r a radius. A thread's crest at
                                   its nominal size or anywhere within its limits
      "bores": [[[z, r], ...]],    each hole along the axis but centre holes, left to right; the
                                   point of a drill may be left out
      "sizes": [{"balloon": 4, "size": 13, "min": 12.973, "max": 13}],
                                   what stands at a circled number; "general": true instead of
                                   limits where the general tolerance holds; "angle": the same of
                                   the angle that stands behind it (0.5 × 45°)
      "needs": [{"balloon": 12, "max": 0.02, "datum": "A"}],
                                   tolerance frames and surface texture; "datum": "" for none
      "threads": [{"name": "M12xPh2.4P0.8-6f", "external": true, "hand": "right", "starts": 3,
                   "pitch": 0.8, "lead": 2.4, "major": [11.812, 11.962],
                   "pitch_diameter": [11.336, 11.442], "minor": [10.844, 11.096],
                   "judged_by": "limits"}],
                                   a missing limit is null; "judged_by": "limits", "test piece", or
                                   "go gauge or test piece"
      "centre_holes": [{"end": "nose", "size": "A1.6/3.35", "keep": "may remain"}],
                                   "end" is "nose" or "shank"
      "flats": {"across": 9, "from": -7.5, "to": -1.5},
      "questions": ["..."]         what the reader would have to ask; printed, not judged
    }
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.long.reader_outline import NoReadingError, Report, bores, outside, plain, points_of, said

KEYS = {
    "points": list, "bores": list, "sizes": list, "needs": list, "threads": list,
    "centre_holes": list, "flats": dict, "questions": list,
}  # fmt: skip
NEEDS = ("run-out", "cylindricity", "roughness")
# Kinds that stand in the part "threads".
IN_THREADS = (
    "thread major diameter", "thread pitch diameter", "thread minor diameter", "pitch", "lead",
    "count",
)  # fmt: skip
SAMPLE = "my-tool"


def _judge(mandrel: dict[str, Any], t: dict[str, Any]) -> str:
    """What decides, by the order and the design's word on gauges; a ring that cannot pass is told
    by the reader."""
    if t["order"] == SAMPLE:
        return "test piece"
    end = "b." if t["feature"].startswith("b.") else ""
    special = any(d["id"] == f"{end}thread.gauge" for d in mandrel["decisions"])
    return "go gauge or test piece" if special else "limits"


def compare(reading: dict[str, Any], mandrel: dict[str, Any]) -> Report:
    """Everything in ``reading`` against ``mandrel``, the content of a ``mandrel.json``. Raises
    NoReadingError."""
    for key, value in reading.items():
        if key not in KEYS:
            raise NoReadingError(f"'{key}' is no part of a reading: {', '.join(KEYS)} are")
        if not isinstance(value, KEYS[key]):
            raise NoReadingError(f"'{key}' must be a {KEYS[key].__name__}")
    if "points" not in reading:
        raise NoReadingError("a reading has 'points'")
    out = Report()
    shift = outside(out, points_of(reading["points"], "points"), mandrel)
    bores(out, reading.get("bores"), mandrel, shift)
    _characteristics(out, reading, mandrel)
    _threads(out, reading.get("threads"), mandrel)
    _holes(out, reading.get("centre_holes"), mandrel)
    _flats(out, reading.get("flats"), mandrel, shift)
    return out


# What stands at the circled numbers


def _printed(c: dict[str, Any]) -> tuple[float | None, float | None]:
    """A characteristic's limits as printed: rounded inwards to its places."""
    k = 10.0 ** c["places"]
    low = None if c["lower"] is None else math.ceil(c["lower"] * k - 1e-6) / k
    high = None if c["upper"] is None else math.floor(c["upper"] * k + 1e-6) / k
    return low, high


def _is_need(c: dict[str, Any]) -> bool:
    return any(word in c["kind"] for word in NEEDS)


def _characteristics(out: Report, reading: dict[str, Any], mandrel: dict[str, Any]) -> None:
    # What another's callout says has no number of its own.
    every = [c for c in mandrel["characteristics"] if not c.get("said_by")]
    behind = {a["said_by"]: a for a in mandrel["characteristics"] if a["kind"] == "angle"}
    seen: set[int] = set()
    for key in ("sizes", "needs"):
        for row in reading.get(key, []):
            number = row.get("balloon") if isinstance(row, dict) else None
            if not isinstance(number, int) or not 1 <= number <= len(every):
                out.differences.append(f"{key}: no circled number {said(number)} on the sheet")
                continue
            if number in seen:
                out.differences.append(f"({number}): read twice")
            seen.add(number)
            c = every[number - 1]
            if _is_need(c) is not (key == "needs"):
                out.differences.append(f"({number}) {c['id']}: a {c['kind']}, read among {key}")
                continue
            (_need if key == "needs" else _size)(out, f"({number}) {c['id']}", c, row)
            if (angle := behind.get(c["id"])) is not None:
                _size(out, f"({number}) {angle['id']}", angle, row.get("angle", {}))
    out.unread += [
        f"({n}) {c['id']}"
        for n, c in enumerate(every, 1)
        if n not in seen and c["kind"] not in IN_THREADS
    ]


def _size(out: Report, what: str, c: dict[str, Any], row: dict[str, Any]) -> None:
    if c["kind"] in IN_THREADS[3:]:
        out.equal(f"{what}, size", round(c["nominal"] + 1e-9, 4), row.get("size"))
        return
    # A centre hole is a designation; of a thread's diameter the limits alone are printed.
    if c["kind"] != "centre hole" and c["kind"] not in IN_THREADS:
        out.equal(f"{what}, size", round(c["nominal"], c["places"]), row.get("size"))
    low, high = _printed(c)
    if row.get("general"):
        out.equal(f"{what}, under the general tolerance", c["general"], True)
        return
    given = row.get("min"), row.get("max")
    if c["general"] and given == (None, None):
        out.differences.append(f"{what}: neither limits nor the general tolerance read")
        return
    out.equal(f"{what}, least", low, given[0])
    out.equal(f"{what}, largest", high, given[1])


def _need(out: Report, what: str, c: dict[str, Any], row: dict[str, Any]) -> None:
    out.equal(f"{what}, largest", _printed(c)[1], row.get("max"))
    out.equal(f"{what}, datum", c["datum"], row.get("datum", ""))


# Threads, centre holes, flats


def _threads(out: Report, threads: Any, mandrel: dict[str, Any]) -> None:
    cut = [t for t in mandrel["threads"] if t["order"] != "blank"]
    if threads is None:
        out.unread += [t["feature"] for t in cut]
        return
    out.equal("number of threads", len(cut), len(threads))
    for t, read in zip(cut, _paired(cut, threads), strict=False):
        what, limits, d = t["feature"], t["limits"], t["limits"]["designation"]
        facts = {
            "external": limits["external"],
            "hand": "left" if d["left_hand"] else "right",
            "starts": d["starts"],
            "pitch": round(d["pitch"] + 1e-9, 4),
            "lead": round(d["starts"] * d["pitch"] + 1e-9, 4),
            "judged_by": _judge(mandrel, t),
        }
        for key, wanted in facts.items():
            if key in read:
                out.equal(f"{what}, {key}", wanted, read[key])
            else:
                out.unread.append(f"{what}, {key}")
        if "name" in read and not _named(limits, str(read["name"])):
            out.differences.append(f"{what}: it is not named '{read['name']}'")
        for key, kind in (("major", "major"), ("pitch_diameter", "pitch"), ("minor", "minor")):
            if key not in read:
                out.unread.append(f"{what}, {key}")
                continue
            places = next((c["places"] for c in mandrel["characteristics"]
                           if c["feature"] == t["feature"]), 3)  # fmt: skip
            wanted = _printed({"lower": limits[kind]["min"], "upper": limits[kind]["max"],
                               "places": places})  # fmt: skip
            for end, a, b in zip(("least", "largest"), wanted, read[key], strict=True):
                out.equal(f"{what}, {key}, {end}", a, b)


def _paired(cut: list[dict[str, Any]], threads: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The read threads in the design's order: by name and side, else by side, else as read."""
    left, found = list(threads), []
    for t in cut:

        def like(read: dict[str, Any], limits: dict[str, Any] = t["limits"]) -> tuple[bool, bool]:
            side = read.get("external") is limits["external"]
            return side, _named(limits, str(read.get("name", "")))

        if left:
            found.append(max(left, key=like))
            left.remove(found[-1])
    return found


def _named(limits: dict[str, Any], name: str) -> bool:
    """True if ``name`` says nominal size, pitch and lead, and the class if there is one."""
    d, klass = limits["designation"], limits["tolerance_class"]
    # Longer words say how limits were found and are no part of the name.
    if len(klass) <= 6 and klass not in name:
        return False
    if d["system"] != "M":
        return f"-{25.4 / d['pitch']:.6g} {d['series']}" in name
    pitch = f"{d['pitch']:g}"
    lead = f"ph{d['starts'] * d['pitch']:g}p{pitch}" if d["starts"] > 1 else pitch
    head = f"m{d['diameter']:g}x{lead}"
    said = str(plain(name))
    return said.startswith(head) and not said[len(head) :][:1].isdigit()


def _holes(out: Report, holes: Any, mandrel: dict[str, Any]) -> None:
    wanted = {h["at"]: h for h in mandrel["centre_holes"]}
    if holes is None:
        out.unread += [f"centre hole, {at}" for at in wanted]
        return
    names = {"shank": "rear", "spindle": "rear"}  # what the sheet calls it
    read = {names.get(h.get("end"), h.get("end")): h for h in holes}
    for at in sorted(wanted.keys() | read.keys(), key=str):
        if at not in wanted or at not in read:
            said = "read, but there is none" if at in read else "not read"
            out.differences.append(f"centre hole, {at}: {said}")
            continue
        h = wanted[at]
        out.equal(f"centre hole, {at}", f"{h['type']}{h['d']:g}/{h['mouth']:g}", read[at]["size"])
        out.equal(f"centre hole, {at}, keep", h["keep"], read[at].get("keep"))


def _flats(out: Report, flats: Any, mandrel: dict[str, Any], shift: float) -> None:
    wanted = mandrel["flats"]
    if flats is None:
        out.unread += ["flats"] if wanted else []
        return
    if wanted is None:
        out.differences.append("flats: read, but there are none")
        return
    out.equal("flats, across", wanted["across"], flats.get("across"))
    for key, end in (("from", "z0"), ("to", "z1")):
        at = flats.get(key)
        out.equal(f"flats, {key}", wanted[end], None if at is None else round(at + shift, 4))


def lines(report: Report, questions: list[str]) -> Iterator[str]:
    """The report as it is printed."""
    yield from report.differences
    if report.unread:
        yield f"not read ({len(report.unread)}): {', '.join(report.unread)}"
    yield from (f"asked: {q}" for q in questions)
    yield f"{len(report.differences)} differences, {report.agreed} agree"


def main(arguments: list[str]) -> int:
    if len(arguments) != 2:
        print(__doc__)
        return 2
    try:
        reading = json.loads(Path(arguments[0]).read_text("utf-8"))
        mandrel = json.loads((Path(arguments[1]) / "mandrel.json").read_text("utf-8"))
        if not isinstance(reading, dict):
            raise NoReadingError("a reading is a JSON object")
        report = compare(reading, mandrel)
    except (OSError, ValueError, NoReadingError) as e:
        print(e, file=sys.stderr)
        return 2
    print("\n".join(lines(report, reading.get("questions", []))))
    return 1 if report.differences else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
