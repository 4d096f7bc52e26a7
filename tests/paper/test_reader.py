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
from tests.support.bench_pens import SPIGOT, made

TAN30 = math.tan(math.radians(30))
CREST = 5.9435  # half the middle of the crest's limits
# Read off the drawing's picture, zero at the seat.
READING: dict[str, Any] = {
    "points": [
        [-53.5, 6.5], [-53.0, 7.0], [-7.5, 7.0], [-7.5, 6.3], [-1.5, 6.3], [-1.5, 6.8], [0, 6.8],
        [0, 5.35], [2.1, 5.35], [2.1 + (CREST - 5.35) / TAN30, CREST],
        [7.1 - (CREST - 5.35), CREST], [7.1, 5.35], [8.6, 5.35],
    ],
    "bores": [],
    "sizes": [
        {"balloon": 1, "size": 0.5, "min": 0.3, "max": 0.7,
         "angle": {"size": 45, "general": True}},
        {"balloon": 2, "size": 14, "min": 13.957, "max": 14},
        {"balloon": 3, "size": 46, "general": True},
        {"balloon": 6, "size": 12.6, "general": True},
        {"balloon": 7, "size": 7.5, "general": True},
        {"balloon": 8, "size": 13.6, "min": 13.5, "max": 13.6},
        {"balloon": 9, "size": 1.5, "min": 1.3, "max": 1.7},
        {"balloon": 12, "size": 10.7, "min": 10.5, "max": 10.7},
        {"balloon": 13, "size": 2.1, "min": 2.1, "max": 2.3},
        {"balloon": 14, "size": 30, "min": 27, "max": 33},
        {"balloon": 15, "size": 7.1, "min": 7.0, "max": 7.1},
        {"balloon": 21, "size": 10.7, "min": 10.5, "max": 10.7,
         "angle": {"size": 45, "min": 40, "max": 50}},
        {"balloon": 22, "size": 8.6, "general": True},
    ],
    "needs": [
        {"balloon": 4, "max": 0.015, "datum": ""},
        {"balloon": 5, "max": 1.6},
        {"balloon": 10, "max": 0.02, "datum": "A"},
        {"balloon": 11, "max": 1.6},
        {"balloon": 20, "max": 0.03, "datum": "A"},
    ],
    "threads": [
        {
            "name": "M12xPh2.4P0.8-6f", "external": True, "hand": "right", "starts": 3,
            "pitch": 0.8, "lead": 2.4, "major": [11.812, 11.962],
            "pitch_diameter": [11.336, 11.442], "minor": [10.844, 11.096],
            "judged_by": "go gauge or test piece",
        }
    ],
    "centre_holes": [],  # note 9: none allowed
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
    # 13 corners, each limit and need of 18 numbers, and the thread.
    assert report.agreed > 13 + 20 + 12


def test_zero_and_the_crests_nominal_size_are_the_readers_choice() -> None:
    def other(reading: dict[str, Any]) -> None:
        reading["points"] = [[z + 53.5, r] for z, r in reading["points"]]
        # The thread drawn at M12: its chamfer and flank then end a little further along.
        reading["points"][9] = [53.5 + 2.1 + (6.0 - 5.35) / TAN30, 6.0]
        reading["points"][10] = [53.5 + 7.1 - (6.0 - 5.35), 6.0]

    assert compared(other).differences == []


def test_the_order_of_reading_is_the_readers_choice() -> None:
    def other(reading: dict[str, Any]) -> None:
        reading["points"].reverse()
        reading["sizes"].reverse()
        rows = [
            {"balloon": 16, "min": 11.812, "max": 11.962}, {"balloon": 19, "size": 0.8},
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
    """The thread's end taken from the collar's far side instead of the seat."""
    for i in (10, 11):
        reading["points"][i][0] -= 1.5


def gone(reading: dict[str, Any]) -> None:
    del reading["points"][7:9]


def extra(reading: dict[str, Any]) -> None:
    reading["points"].insert(12, [8.0, 5.0])


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
        (off, "read z 5.006, r 5.944", 2),
        (gone, "relief", 2),
        (extra, "no such corner: z 8.000, r 5.000", 1),
        (number(2, min=13.973), "(2) shank.diameter, least: the design has 13.957", 1),
        (number(7, size=7.0), "(7) neck.end, size: the design has 7.5, read 7", 1),
        (number(9, general=True), "(9) collar.length, under the general tolerance", 1),
        (number(10, datum="B"), "(10) seat.runout, datum: the design has A", 1),
        (number(11, max=0.8), "(11) seat.roughness, largest", 1),
        (number(20, max=0.02), "(20) thread.runout, largest: the design has 0.03", 1),
        (number(22, balloon=23), "sizes: no circled number 23", 1),
        (thread(starts=1, lead=0.8), "thread, starts: the design has 3, read 1", 2),
        (thread(judged_by="test piece"), "judged_by", 1),
        (thread(minor=[10.844, None]), "thread, minor, largest: the design has 11.096", 1),
        (thread(name="M12x0.8-6f"), "it is not named 'M12x0.8-6f'", 1),
        (thread(name="M12×Ph2.4P0.8-6g"), "it is not named 'M12×Ph2.4P0.8-6g'", 1),
        (thread(name="M12×Ph2.4P0.8 - 6f"), "", 0),
        (thread(name="M11xPh2.4P0.8"), "it is not named 'M11xPh2.4P0.8'", 1),
        (lambda r: r["centre_holes"].append({"end": "nose", "size": "A1.6/3.35"}),
         "centre hole, nose: read, but there is none", 1),
        (lambda r: r["bores"].append([[0, 2], [9, 2]]), "number of bores", 1),
        (lambda r: r.update(flats={"across": 11}), "flats: read, but there are none", 1),
    ],
)  # fmt: skip
def test_a_wrong_reading_is_told(change: Any, said: str, count: int) -> None:
    report = compared(change)
    assert said in "\n".join(report.differences)
    assert len(report.differences) == count, report.differences


def test_a_centre_hole_left_out_or_misread_is_told() -> None:
    """The example has none: the same plug with a spigot, and a centre asked for in its nose."""
    (d,) = [
        d
        for d in made("heron", f'{SPIGOT}centre_holes = "nose"\n')[2]
        if d.planned.id == "cap-mouth-plug"
    ]
    assert d.mandrel is not None
    spigotted = json.loads(mandrel_json(d.mandrel))
    hole = {"end": "nose", "size": "A1.6/3.35", "keep": "may remain"}
    corners = [
        [z, s[d] / 2] for s in spigotted["outer"] for z, d in ((s["z0"], "d0"), (s["z1"], "d1"))
    ]

    def told(holes: list[dict[str, Any]]) -> list[str]:
        reading = {"points": corners, "centre_holes": holes}
        return reader.compare(reading, spigotted).differences

    assert told([hole]) == []
    assert told([]) == ["centre hole, nose: not read"]
    (difference,) = told([hole | {"size": "A1/2.12"}])
    assert difference.startswith("centre hole, nose: the design has A1.6/3.35")


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
    assert "no corner read at z 8.600" in capsys.readouterr().out
    for wrong in ('{"points": [1]}', '{"pints": []}', "[]", "{}", "no JSON"):
        file.write_text(wrong)
        assert reader.main([str(file), str(tmp_path)]) == 2
