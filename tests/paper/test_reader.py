"""The comparison of a reader's outline with the design: a reading taken by eye from the sheet of
the README's example agrees, and each mistake a reader could make is told."""

from __future__ import annotations

import copy
import json
import math
from pathlib import Path
from typing import Any

import pytest

from mandrelgen.archive.design_hash import mandrel_json
from tests.long import reader
from tests.paper.test_dimensions import MANDRELS, rebuilt
from tests.support.bench_pens import made

TAN30 = math.tan(math.radians(30))
CREST = 5.9435  # half the middle of the crest's limits
# Read off the drawing's picture, zero at the seat.
READING: dict[str, Any] = {
    "points": [
        [-53.5, 6.0], [-53.0, 6.5], [-7.5, 6.5], [-7.5, 6.3], [-1.5, 6.3], [-1.5, 6.8], [0, 6.8],
        [0, 6.1], [0.8, 6.1], [0.8, 5.35], [1.7, 5.35], [1.7 + (CREST - 5.35) / TAN30, CREST],
        [7.1 - (CREST - 5.35), CREST], [7.1, 5.35], [9.6, 5.35], [9.6, 5.475], [19.6, 5.475],
        [20.1, 4.975],
    ],
    "bores": [],
    "sizes": [
        {"balloon": 1, "size": 0.5, "min": 0.3, "max": 0.7},
        {"balloon": 2, "size": 45, "general": True},
        {"balloon": 3, "min": None, "max": None},
        {"balloon": 4, "size": 13, "min": 12.973, "max": 13},
        {"balloon": 5, "size": 46, "general": True},
        {"balloon": 8, "size": 12.6, "general": True},
        {"balloon": 9, "size": 7.5, "general": True},
        {"balloon": 10, "size": 13.6, "min": 13.557, "max": 13.6},
        {"balloon": 11, "size": 1.5, "min": 1.4, "max": 1.6},
        {"balloon": 14, "size": 12.2, "min": 12.09, "max": 12.2},
        {"balloon": 15, "size": 0.8, "general": True},
        {"balloon": 16, "size": 10.7, "min": 10.5, "max": 10.7},
        {"balloon": 17, "size": 0.9, "min": 0.9, "max": 1.0},
        {"balloon": 18, "size": 30, "general": True},
        {"balloon": 19, "size": 7.1, "min": 7.0, "max": 7.1},
        {"balloon": 26, "size": 45, "general": True},
        {"balloon": 27, "size": 10.7, "min": 10.5, "max": 10.7},
        {"balloon": 28, "size": 2.5, "min": 2.5, "max": 2.7},
        {"balloon": 29, "size": 10.95, "min": 10.907, "max": 10.95},
        {"balloon": 30, "min": None, "max": None},
        {"balloon": 31, "size": 0.5, "min": 0.3, "max": 0.7},
        {"balloon": 32, "size": 45, "general": True},
        {"balloon": 33, "size": 20.1, "general": True},
    ],
    "needs": [
        {"balloon": 6, "max": 0.008, "datum": ""},
        {"balloon": 7, "max": 0.8},
        {"balloon": 12, "max": 0.02, "datum": "A"},
        {"balloon": 13, "max": 1.6},
    ],
    "threads": [
        {
            "name": "M12xPh2.4P0.8-6f", "external": True, "hand": "right", "starts": 3,
            "pitch": 0.8, "lead": 2.4, "major": [11.812, 11.962],
            "pitch_diameter": [11.336, 11.442], "minor": [10.844, 11.096], "judged_by": "limits",
        }
    ],
    "centre_holes": [
        {"end": "rear", "size": "A1.6/3.35", "keep": "may remain"},
        {"end": "nose", "size": "A1.6/3.35", "keep": "may remain"},
    ],
}  # fmt: skip
DOUBLE = (
    '\n[[mandrels.requests]]\nid = "both"\nholds = "barrel.mouth.internal"\n'
    'also_holds = "section.rear"\nkind = "double-ended"\nshank_diameter = 16.0\n'
)
CAP = "heron-cap-mouth-plug"


def design(name: str) -> dict[str, Any]:
    return json.loads(mandrel_json(MANDRELS[name]))  # type: ignore[no-any-return]


def compared(change: Any = None) -> reader.Report:
    reading = copy.deepcopy(READING)
    if change is not None:
        change(reading)
    return reader.compare(reading, design(CAP))


def test_a_right_reading_agrees_in_everything_and_leaves_nothing_out() -> None:
    report = compared()
    assert report.differences == []
    assert report.unread == []
    # 18 corners, each limit and need of 27 numbers, the thread and two centre holes.
    assert report.agreed > 18 + 27 + 12 + 4


def test_zero_and_the_crests_nominal_size_are_the_readers_choice() -> None:
    def other(reading: dict[str, Any]) -> None:
        reading["points"] = [[z + 53.5, r] for z, r in reading["points"]]
        # The thread drawn at M12: its chamfer and flank then end a little further along.
        reading["points"][11] = [53.5 + 1.7 + (6.0 - 5.35) / TAN30, 6.0]
        reading["points"][12] = [53.5 + 7.1 - (6.0 - 5.35), 6.0]

    assert compared(other).differences == []


def test_the_order_of_reading_is_the_readers_choice() -> None:
    def other(reading: dict[str, Any]) -> None:
        reading["points"].reverse()
        reading["sizes"].reverse()
        rows = [
            {"balloon": 20, "min": 11.812, "max": 11.962}, {"balloon": 23, "size": 0.8},
            {"balloon": 24, "size": 2.4}, {"balloon": 25, "size": 3},
        ]  # fmt: skip
        reading["sizes"] += rows

    assert compared(other).differences == []


def test_threads_of_two_ends_are_told_apart() -> None:
    (mandrel,) = (d.mandrel for d in made("heron", DOUBLE)[2] if d.mandrel is not None)
    both = json.loads(mandrel_json(mandrel))
    corners = [[s["z0"], s["d0"] / 2] for s in both["outer"]]
    threads = [
        {"name": "M8.5x0.75-6H", "external": False, "pitch_diameter": [8.013, 8.145]},
        {"name": "M8.5x0.75-6g", "external": True, "pitch_diameter": [7.891, 7.991]},
    ]
    for order in (threads, threads[::-1]):
        report = reader.compare({"points": corners, "threads": order}, both)
        assert not [d for d in report.differences if "thread," in d and "outside" not in d]


def off(reading: dict[str, Any]) -> None:
    """The thread's end taken from the register instead of the seat."""
    for i in (12, 13):
        reading["points"][i][0] += 0.8


def gone(reading: dict[str, Any]) -> None:
    del reading["points"][7:9]


def extra(reading: dict[str, Any]) -> None:
    reading["points"].insert(16, [12.0, 5.0])


def number(n: int, **new: Any) -> Any:
    def change(reading: dict[str, Any]) -> None:
        row = next(r for k in ("sizes", "needs") for r in reading[k] if r["balloon"] == n)
        row.update(new)

    return change


def thread(**new: Any) -> Any:
    return lambda reading: reading["threads"][0].update(new)


@pytest.mark.parametrize(
    ("change", "said", "count"),
    [
        (off, "read z 7.306, r 5.944", 2),
        (gone, "register", 2),
        (extra, "no such corner: z 12.000, r 5.000", 1),
        (number(4, min=12.957), "(4) shank.diameter, least: the design has 12.973", 1),
        (number(9, size=7.0), "(9) neck.end, size: the design has 7.5, read 7", 1),
        (number(11, general=True), "(11) collar.length, under the general tolerance", 1),
        (number(12, datum="B"), "(12) seat.runout, datum: the design has A", 1),
        (number(13, max=0.8), "(13) seat.roughness, largest", 1),
        (number(33, balloon=34), "sizes: no circled number 34", 1),
        (thread(starts=1, lead=0.8), "thread, starts: the design has 3, read 1", 2),
        (thread(judged_by="sample part"), "judged_by", 1),
        (thread(minor=[10.844, None]), "thread, minor, largest: the design has 11.096", 1),
        (thread(name="M12x0.8-6f"), "it is not named 'M12x0.8-6f'", 1),
        (thread(name="M12×Ph2.4P0.8-6g"), "it is not named 'M12×Ph2.4P0.8-6g'", 1),
        (thread(name="M12×Ph2.4P0.8 - 6f"), "", 0),
        (thread(name="M11xPh2.4P0.8"), "it is not named 'M11xPh2.4P0.8'", 1),
        (lambda r: r["centre_holes"].pop(), "centre hole, nose: not read", 1),
        (lambda r: r["bores"].append([[0, 2], [9, 2]]), "number of bores", 1),
        (lambda r: r.update(flats={"across": 11}), "flats: read, but there are none", 1),
    ],
)  # fmt: skip
def test_a_wrong_reading_is_told(change: Any, said: str, count: int) -> None:
    report = compared(change)
    assert said in "\n".join(report.differences)
    assert len(report.differences) == count, report.differences


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_the_outline_a_program_reads_off_the_drawing_agrees(name: str) -> None:
    """`tests.support.redraw` reads the DXF alone, bores too."""
    paper, _ = rebuilt(MANDRELS[name])
    n = _outside(paper)
    outside, inside = paper[:n], paper[n:]
    mandrel = design(name)
    reading = {"points": [p for z0, r0, z1, r1 in outside for p in ([z0, r0], [z1, r1])],
               "bores": [[p for z0, r0, z1, r1 in inside for p in ([z0, r0], [z1, r1])]]
               if inside else []}  # fmt: skip
    report = reader.compare(reading, mandrel)
    assert report.differences == []
    assert len(report.unread) > 10


def _outside(paper: list[tuple[float, float, float, float]]) -> int:
    """How many pieces belong to the outside: its pieces run from the spindle's end on."""
    return next((i for i in range(1, len(paper)) if paper[i][0] < paper[i - 1][2] - 1e-6),
                len(paper))  # fmt: skip


def test_the_program_prints_and_counts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "mandrel.json").write_bytes(mandrel_json(MANDRELS[CAP]))
    file = tmp_path / "reading.json"
    file.write_text(json.dumps({**READING, "questions": ["Is the thread gauged?"]}))
    assert reader.main([str(file), str(tmp_path)]) == 0
    assert "asked: Is the thread gauged?\n0 differences" in capsys.readouterr().out
    file.write_text(json.dumps({"points": READING["points"][:-1]}))
    assert reader.main([str(file), str(tmp_path)]) == 1
    assert "no corner read at z 20.100" in capsys.readouterr().out
    for wrong in ('{"points": [1]}', '{"pints": []}', "[]", "{}", "no JSON"):
        file.write_text(wrong)
        assert reader.main([str(file), str(tmp_path)]) == 2
