"""Play and room between part and mandrel: every gap by plain subtraction of the limits that stand
in the tables (tests/support/on_a_mandrel.py) or are set here."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mandrelgen.assess.clearances import gaps
from mandrelgen.assess.setup import Situated
from mandrelgen.core.tolerance import Toleranced
from mandrelgen.design.ends import Hole
from mandrelgen.mechanics.assessment_types import Gap
from mandrelgen.standards.designation import parse
from tests.support.judged_pens import cup_pen, plug_pen
from tests.support.on_a_mandrel import on_mandrel, stretch, threaded, washed, with_sizes


@pytest.fixture(scope="module")
def plug() -> Situated:
    """M10x0.75 tapped 10 with a lead of 1: full to 9.0, at least 8.8; bore ⌀9.2 H8, 30 deep."""
    return on_mandrel(plug_pen())


@pytest.fixture(scope="module")
def cup() -> Situated:
    """A tenon M10x0.75, 7.8 to 8.2 long, 0.75 of it unformed."""
    return on_mandrel(cup_pen())


def by_id(s: Situated) -> dict[str, Gap]:
    found = gaps(s)
    assert len({g.id for g in found}) == len(found)
    assert all(g.label for g in found)
    return {g.id: g for g in found}


def counterbored(s: Situated, lower: float, upper: float, deep: float) -> Situated:
    hole = Hole(Toleranced(lower, lower, upper), 0.0, deep, True, "bored")
    assert s.tapped is not None
    return replace(s, tapped=s.tapped._replace(counterbore=hole))


def test_a_threads_play_is_the_difference_of_the_limits(plug: Situated) -> None:
    """9.513 − 9.491 and 9.645 − 9.391 on the pitch diameter, 10 − 9.978, 9.188 − 9.166."""
    found = by_id(threaded(plug, full_pitches=4.0))
    pitch = found["thread.pitch_diameter"]
    assert (pitch.kind, pitch.label) == ("play", "play on the pitch diameter")
    assert (pitch.least, pitch.most) == (pytest.approx(0.022), pytest.approx(0.254))
    for id in ("thread.major_diameter", "thread.minor_diameter"):
        assert found[id].least == pytest.approx(0.022)
        assert (found[id].kind, found[id].most) == ("play", None)
    assert (found["thread.engagement"].kind, found["thread.engagement"].least) == (
        "engagement", pytest.approx(3.0),
    )  # fmt: skip


def test_a_cup_has_the_same_play_with_nut_and_screw_exchanged(cup: Situated) -> None:
    """A cup of 6H over 6g: the sizes of the plug, the other way round."""
    found = by_id(cup)
    assert found["thread.pitch_diameter"].least == pytest.approx(0.022)
    assert found["thread.pitch_diameter"].most == pytest.approx(0.254)
    assert found["thread.major_diameter"].least == pytest.approx(10 - 9.978)
    assert found["thread.minor_diameter"].least == pytest.approx(9.188 - 9.166)


def test_crest_and_root_have_each_their_own_gap(plug: Situated) -> None:
    """A crest turned to 9.9 at most leaves 0.1 in a root of 10; a root of 9.1 leaves 0.088."""
    assert plug.thread is not None
    own = plug.thread.limits
    slim = replace(own, major=replace(own.major, max=9.9), minor=replace(own.minor, max=9.1))
    found = by_id(threaded(plug, limits=slim))
    assert found["thread.major_diameter"].least == pytest.approx(0.1)
    assert found["thread.minor_diameter"].least == pytest.approx(0.088)


@pytest.mark.parametrize(
    ("long", "least", "ate"),
    [  # 32 to the inch (0.79375) beside 0.8: 0.0078125 per mm of thread, times cot 30° = 1.7321
        (8.0, 0.022 - 0.10825, " (lead and spacing errors take 0.108)"),
        (0.0400, 0.022 - 0.00054, " (lead and spacing errors take 0.001)"),
        (0.0350, 0.022 - 0.00047, ""),
    ],
)  # fmt: skip
def test_what_another_lead_takes_off_the_play_is_said(
    plug: Situated, long: float, least: float, ate: str
) -> None:
    """It takes off the least play alone: errors may be nil."""
    assert plug.thread is not None
    own = replace(plug.thread.limits, designation=parse("M10x0.8"))
    part = replace(plug.thread.partner, designation=parse("3/8-32 UNEF"))
    thread = stretch("thread", 1.0, 1.0 + long)
    rest = tuple(s for s in plug.mandrel.outer if s.feature != "thread")
    other = replace(plug, mandrel=replace(plug.mandrel, outer=(*rest, thread)))
    found = by_id(threaded(other, limits=own, partner=part))["thread.pitch_diameter"]
    assert found.least == pytest.approx(least, abs=1e-5)
    assert found.most == pytest.approx(0.254)
    assert found.label == f"play on the pitch diameter{ate}"


def test_a_mandrel_without_thread_has_no_play_of_one(plug: Situated) -> None:
    assert not [g for g in gaps(replace(plug, thread=None)) if g.kind in ("play", "engagement")]


def test_a_spigot_plays_in_the_bore_it_stands_in(plug: Situated) -> None:
    """Bore 9.2 to 9.222 around 9.08 to 9.12; a spigot without a size, one without a limit and one
    behind the bore's bottom say nothing, and those after them are still looked at."""
    s = with_sizes(
        plug,
        {"spigot2.diameter": (None, 9.1), "spigot3.diameter": (9.0, None),
         "spigot4.diameter": (9.08, 9.12), "spigot5.diameter": (9.0, 9.1),
         "spigot6.diameter": (9.05, 9.15), "nose.diameter": (8.0, 8.2)},
        *(stretch(f"spigot{n}", 10.0 + n, 11.0 + n) for n in (1, 2, 3, 4)),
        stretch("nose", 16.0, 17.0), stretch("spigot5", 31.0, 33.0),
        stretch("spigot6", 18.0, 19.0),
    )  # fmt: skip
    found = [g for g in gaps(s) if not g.id.startswith("thread")]
    assert [(g.id, g.label, g.kind) for g in found] == [
        (f"spigot{n}.diameter", f"spigot{n} in the reamed bore", "play") for n in (4, 6)
    ]
    assert [(g.least, g.most) for g in found] == [
        (pytest.approx(0.08), pytest.approx(0.142)), (pytest.approx(0.05), pytest.approx(0.172)),
    ]  # fmt: skip


def test_a_register_plays_in_the_counterbore(plug: Situated) -> None:
    s = with_sizes(plug, {"register.diameter": (10.9, 10.95)}, stretch("register", 0.0, 1.0))
    assert "register.diameter" not in by_id(s)
    found = by_id(counterbored(s, 11.0, 11.1, 1.5))["register.diameter"]
    assert (found.least, found.most) == (pytest.approx(0.05), pytest.approx(0.2))
    assert found.label == "register in the bored bore"


ROOM = {"thread.end": (8.0, 8.7), "thread.incomplete": (0.3, 0.4), "nose.end": (27.0, 27.5),
        "register.end": (1.0, 1.2)}  # fmt: skip


@pytest.mark.parametrize("washer", [0.0, 0.5])
def test_nothing_of_a_plug_may_touch_before_its_seat(plug: Situated, washer: float) -> None:
    """Full thread to 8.8, bore's bottom at 29.8, counterbore 1.5: less what stands out most. A
    washer holds the part off by its thickness."""
    s = washed(counterbored(with_sizes(plug, ROOM), 11.0, 11.1, 1.5), washer)
    found = {id: g for id, g in by_id(s).items() if g.kind == "seat"}
    assert {id: g.least for id, g in found.items()} == {
        "thread.end": pytest.approx(0.1 + washer),
        "thread.incomplete": pytest.approx(1.1 + washer),
        "nose.end": pytest.approx(2.3 + washer),
        "register.end": pytest.approx(0.3 + washer),
    }
    assert all(g.most is None for g in found.values())
    assert len({g.label for g in found.values()}) == 4


def test_without_a_counterbore_no_register_is_looked_at(plug: Situated) -> None:
    found = {g.id for g in gaps(with_sizes(plug, ROOM)) if g.kind == "seat"}
    assert found == {"thread.end", "thread.incomplete", "nose.end"}


@pytest.mark.parametrize(
    ("lower", "free"),
    # The mandrel's crest is ⌀9.978 at most.
    [(11.0, 1.5), (9.979, 1.5), (9.978, 0.0), (9.9, 0.0)],
)
def test_incomplete_threads_stand_free_in_a_counterbore_wider_than_their_crest(
    plug: Situated, lower: float, free: float
) -> None:
    s = counterbored(with_sizes(plug, ROOM), lower, lower + 0.1, 1.5)
    assert by_id(s)["thread.incomplete"].least == pytest.approx(free - 0.4)


def test_without_a_crest_or_a_counterbore_no_mouth_is_free(plug: Situated) -> None:
    s = with_sizes(plug, ROOM)
    assert by_id(s)["thread.incomplete"].least == pytest.approx(-0.4)
    bare = counterbored(with_sizes(s, {"thread.major_diameter": None}), 11.0, 11.1, 1.5)
    assert by_id(bare)["thread.incomplete"].least == pytest.approx(-0.4)


def test_what_a_mandrel_has_not_needs_no_room(plug: Situated, cup: Situated) -> None:
    none = dict.fromkeys(("thread.end", "nose.end", "thread.depth", "counterbore.depth",
                          "counterbore.diameter"))  # fmt: skip
    for s in (plug, cup):
        assert [g for g in gaps(with_sizes(s, none)) if g.kind == "seat"] == []


@pytest.mark.parametrize("washer", [0.0, 0.5])
def test_nothing_of_a_cup_may_touch_before_its_seat(cup: Situated, washer: float) -> None:
    """The tenon is 8.2 long at most and unformed over 0.75, its crest ⌀9.978 at most; the least
    depths and diameters of the cup less these."""
    sizes = {"floor.depth": (11.0, 11.2), "thread.depth": (8.7, 9.2),
             "counterbore.depth": (1.1, 1.3), "counterbore.diameter": (10.25, 10.45),
             "relief.diameter": (10.3, 10.5)}  # fmt: skip
    every = by_id(washed(with_sizes(cup, sizes), washer))
    found = {id: g for id, g in every.items() if g.kind == "seat"}
    assert {id: g.least for id, g in found.items()} == {
        "floor.depth": pytest.approx(2.8 + washer),
        "thread.depth": pytest.approx(0.5 + washer),
        "counterbore.depth": pytest.approx(0.35 + washer),
        "counterbore.diameter": pytest.approx(0.272),
        "relief.diameter": pytest.approx(0.322),
    }
    assert len({g.label for g in found.values()}) == 5
