"""Receipt at home on a sample of the simulated mandrels (`tests.long.receipt_study` takes 2,000 of
each), with bars that chance seldom misses, and what the simulation itself is made of."""

from __future__ import annotations

import ast
import math
import random
from pathlib import Path

import pytest

from tests.judging import receipt_world as world
from tests.judging.receipt_study import SEED, WAYS, Tally, run, settings

COUNT = 30
CALIPERS, _, _, FULL, _, STRICT = WAYS


@pytest.fixture(scope="module")
def tallies() -> list[Tally]:
    return [run(s, COUNT, ways=(CALIPERS, FULL)) for s in settings()]


def test_with_everything_tried_few_bad_are_used_and_few_good_sent_back(
    tallies: list[Tally],
) -> None:
    bad, good = (sum(t.of(kind) for t in tallies) for kind in (False, True))
    assert bad >= 8  # the sample has both
    assert good >= 25
    used = sum(t.bad[FULL]["use it"] for t in tallies)
    back = sum(t.good[FULL]["send back"] for t in tallies)
    assert used <= 0.2 * bad
    assert back <= 0.12 * good


def test_everything_tried_always_finishes_and_calipers_alone_let_none_into_use(
    tallies: list[Tally],
) -> None:
    for t in tallies:
        for kind in (t.good, t.bad):
            assert kind[FULL]["not finished"] == 0
            assert kind[CALIPERS]["use it"] == 0
    assert sum(t.good[CALIPERS]["not finished"] for t in tallies) > 0


def test_the_strict_way_with_these_instruments_finishes_no_good_one(tallies: list[Tally]) -> None:
    assert sum(t.good[STRICT]["use it"] for t in tallies) == 0
    assert sum(t.good[STRICT]["not finished"] for t in tallies) > 0


def test_the_simulation_imports_nothing_of_the_program() -> None:
    tree = ast.parse(Path(world.__file__).read_text(encoding="utf-8"))
    names = [a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names]
    names += [n.module or "" for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
    assert not [n for n in names if n.startswith(("mandrelgen", "tests"))]


def test_the_truth_knows_good_from_bad() -> None:
    """A mandrel as drawn is good; each thing that can be wrong makes it bad under its own name."""
    setting, *_ = settings()
    f = setting.facts
    middle = world.AsMade(
        shank=sum(f.shank) / 2, crest=sum(f.crest) / 2, pitch=sum(f.pitch) / 2, thread=0j, seat=0j,
        axial=(0.0,), burr=False, part_pitch=sum(f.part_pitch) / 2,
    )  # fmt: skip
    worse = {
        "shank": {"shank": f.shank[1] + 0.05}, "thread": {"axial": (0.12,)},
        "face": {"burr": True}, "lean": {"seat": complex(0.01 * f.seat_diameter)},
        "mismatch": {"thread": 0.3j},
    }  # fmt: skip
    assert world.faults(f, middle, random.Random(1)) == []
    for name, change in worse.items():
        made = world.AsMade(**{**vars(middle), **change})
        assert name in world.faults(f, made, random.Random(1)), name


def test_a_cup_is_bad_if_the_part_s_thread_touches_it() -> None:
    *_, setting = settings()
    f = setting.facts
    assert f.hole is not None
    assert f.part_major < f.hole[0]
    middle = world.AsMade(
        shank=sum(f.shank) / 2, crest=sum(f.crest) / 2, pitch=sum(f.pitch) / 2, thread=0j, seat=0j,
        axial=(0.0,), burr=False, part_pitch=sum(f.part_pitch) / 2, hole=sum(f.hole) / 2,
    )  # fmt: skip
    tight = {"hole": f.part_major - 0.01}, {"beside": 0.5j}, {"crest": f.part_minor - 0.01}
    assert world.faults(f, middle, random.Random(1)) == []
    for change in (*tight, {"pitch": middle.part_pitch - 0.01}):
        made = world.AsMade(**{**vars(middle), **change})
        assert "thread" in world.faults(f, made, random.Random(1)), change
    # A wide thread holds loosely: the play is the thread's less the part's.
    assert world.play_of(middle, middle.pitch - 0.1) == pytest.approx(0.1)


def test_what_is_read_scatters_as_stated() -> None:
    setting, *_ = settings()
    f, rng = setting.facts, random.Random(SEED)
    m = world.AsMade(
        shank=13.98,
        crest=10.9,
        pitch=10.44,
        thread=0.06 + 0j,
        seat=0j,
        axial=(0.0,),
        burr=False,
        part_pitch=10.6,
    )
    found = [float(world.calipers(m, 0.03, 0.05, rng)["shank.diameter"][:5]) for _ in range(800)]
    spread = math.sqrt(sum((x - 13.98) ** 2 for x in found) / len(found))
    assert spread == pytest.approx(math.hypot(0.015, 0.01 / math.sqrt(12)), rel=0.1)
    halves = []
    for _ in range(800):
        said = world.indicator(f, m, rng)
        v = []
        for n in (1, 2):
            amount, _, spot = said[f"runout.thread.{n}"].partition("@")
            v.append(float(amount) * complex(math.cos(math.radians(float(spot))),
                                             math.sin(math.radians(float(spot)))))  # fmt: skip
        halves.append(abs(v[0] - v[1]) / 2)
    assert sum(halves) / len(halves) == pytest.approx(0.06, abs=0.002)
