"""Change gears and indexing: against an exhaustive search with fractions, and worked examples."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.standards.gears import clearance_teeth, lead_of
from mandrelgen.workshop.turning.change_gears import find, meshes
from mandrelgen.workshop.turning.start_indexing import index


def exhaustive(lead: Fraction, screw: Fraction, owned: list[int]) -> tuple[set, Fraction]:
    """Every train tried one by one: the exact ones, and the smallest error of the rest."""
    k = clearance_teeth()
    exact, least = set(), Fraction(10**9)
    for n in (2, 4):
        for g in itertools.permutations(range(len(owned)), n):
            t = tuple(owned[i] for i in g)
            got = screw * Fraction(t[0], t[1])
            if n == 4:
                a, b, c, d = t
                # The gears must pass each other's shafts.
                if a + b < c + k or c + d < b + k:
                    continue
                got *= Fraction(c, d)
            error = abs(got - lead)
            if error == 0:
                exact.add(t)
            else:
                least = min(least, error)
    return exact, least


SETS = [
    [20, 24, 30, 40, 45, 50, 60, 63, 80],
    [28, 32, 35, 40, 55, 63, 65, 127],
    [20, 30, 40, 40, 60, 120, 127],
    [20, 60],
]


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(SETS),
    st.sampled_from(["3 mm", "2 mm", "8 TPI", "4 TPI"]),
    st.sampled_from(
        [Fraction(1, 2), Fraction(3, 4), Fraction(4, 5), Fraction(1), Fraction(127, 160)]
    ),
    st.integers(1, 4),
)
def test_against_the_exhaustive_search(
    owned: list[int], screw: str, pitch: Fraction, starts: int
) -> None:
    lead = pitch * starts
    exact, least = exhaustive(lead, lead_of(screw), owned)
    found = find(lead, screw, owned)
    assert bool(found.exact) == bool(exact)
    assert {t.gears for t in found.exact} <= exact
    for t in found.exact:
        assert t.lead == lead
    # A size that drives and is driven cancels out (four gears doing the work of two). One
    # arrangement of each set of drivers and driven gears is enough; the simplest come first.
    kinds = {
        (frozenset(t[::2]), frozenset(t[1::2])): t
        for t in exact
        if len(t) == 2 or not set(t[::2]) & set(t[1::2])
    }
    assert len(found.exact) == min(4, len(kinds))
    simplest = sorted((len(t), max(t), sum(t)) for t in kinds.values())
    assert [(len(t.gears), max(t.gears), sum(t.gears)) for t in found.exact] == simplest[:4]
    if found.near:
        assert min(abs(t.lead - lead) for t in found.near) == least
    assert [t for t in found.near if t.exact] == []
    # Nothing is offered that misses the lead by more than 2 %.
    assert found.best in (found.exact or found.near or (None,))
    assert all(abs(float(t.lead) / float(lead) - 1) <= 0.02 + 1e-12 for t in found.near)


def test_simple_train_comes_first() -> None:
    """The fewest gears first, and a two-gear train wherever one is exact."""
    found = find(Fraction(12, 5), "3 mm", SETS[0])
    assert found.exact[0].gears == (24, 30)


def test_worked_examples() -> None:
    """Metric on an inch screw (Turning and Boring, F. D. Jones): a lead of 3 mm on 6 TPI wants
    90/127. A pitch of 2 mm on a 6 mm screw wants 1 : 3 (a textbook's exercise)."""
    (train,) = [t for t in find(Fraction(3), "6 TPI", (90, 127, 50)).exact if len(t.gears) == 2]
    assert train.gears == (90, 127)
    assert find(Fraction(2), "6 mm", (20, 60, 45)).exact[0].gears == (20, 60)


def test_without_the_127_wheel() -> None:
    """With 63 in place of 127 the error is told: 40/63 for 80/127 is 0.8 in a thousand, 0.02 mm
    in 25; over 5 mm of thread that is 0.004 of lead and 1.732 times that of pitch diameter."""
    found = find(Fraction(3, 2), "8 TPI", (30, 63, 80, 40), 5.0)
    assert not found.exact
    best = found.best
    assert best is not None
    share = abs(best.lead / Fraction(3, 2) - 1)
    assert abs(best.error) == pytest.approx(25 * float(share))
    assert best.fit == pytest.approx(3**0.5 * 5 * float(share), rel=0.01)


def test_every_train_shown_can_be_set_up() -> None:
    for lead in (Fraction(12, 5), Fraction(3, 4), Fraction(254, 320)):
        found = find(lead, "3 mm")
        for t in (*found.exact, *found.near):
            assert len(set(t.gears)) == len(t.gears)
            if len(t.gears) == 4:
                assert meshes(*t.gears, clearance_teeth())


@pytest.mark.parametrize("bad", [((Fraction(0)), "3 mm", ()), (Fraction(1), "x", ()),
                                 (Fraction(1), "3 mm", (30,))])  # fmt: skip
def test_refused(bad: tuple) -> None:
    with pytest.raises(ValueError, match=r"above 0|lead screw"):
        find(*bad)


def test_indexing() -> None:
    """M12xPh3P1: 8.3 µm of lead for a degree (Ph/360), 1.732 times that of pitch diameter; 10 µm of
    spacing eat 17 µm of the fit."""
    i = index(3, 1.0, 0.026, (20, 24, 30, 45, 63, 80))
    assert i is not None
    assert i.per_degree / 3**0.5 == pytest.approx(0.0083, abs=0.0001)
    assert i.per_hundredth == pytest.approx(0.0173, abs=0.0001)
    assert i.angles == (0, 120, 240)
    assert [(g.teeth, g.step) for g in i.gears] == [(24, 8), (30, 10), (45, 15), (63, 21)]
    assert i.shift == 1.0
    assert i.shift_allowed * 3**0.5 == pytest.approx(0.026)
    assert i.angle_allowed * i.per_degree == pytest.approx(0.026)
    assert index(1, 1.0, 0.1) is None
    tight = index(2, 0.75, -0.01)
    assert tight is not None
    assert tight.angle_allowed == tight.shift_allowed == 0
    with pytest.raises(ValueError, match="pitch"):
        index(2, 0, 0.1)


def test_trains_that_can_be_opened_to_index_the_starts_come_first() -> None:
    """120° are whole teeth of the first gear only if three divide its teeth: of 24/30, 28/35 and
    32/40, all exact for lead 2.4 on a screw of 3 mm, only the first indexes."""
    owned = (20, 24, 25, 28, 30, 32, 35, 40)
    best = find(Fraction(12, 5), "3 mm", owned, 5.0).best
    assert best is not None
    assert best.gears == (20, 25)  # the smallest wheels, were there one start
    found = find(Fraction(12, 5), "3 mm", owned, 5.0, starts=3)
    assert found.best is not None
    assert found.best.gears == (24, 30)
    first = [t.indexes(3) for t in found.exact]
    assert first == sorted(first, reverse=True)
    assert find(Fraction(12, 5), "3 mm", (20, 25, 28, 35), 5.0, starts=3).exact  # else any exact
