"""What is offered against each finding of a mandrel: which key of the pen file, to what value.

Worked by hand from the heron's file and the rules in the docstrings of ``mandrel_remedies``; what
is tried and kept of it is tested elsewhere (tests/judging/test_remedies.py).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.mandrel_remedies import MOST, of_design, own_tool, proposed
from mandrelgen.assess.settled import designs
from mandrelgen.core.errors import Finding, Level
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.mechanics.tailstock import Allowed
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter

REQUEST = b'\n[[mandrels.requests]]\nholds = "barrel.mouth.internal"\n'
Offered = dict[str, dict[str, Any]]


class Bench:
    """The heron designed, as it is and with a request of its own for the barrel."""

    def __init__(self, more: bytes = b"") -> None:
        self.pen: Pen = read_pen(starter("pen", "heron") + more, "heron.toml")
        self.shop: Shop = read_shop(starter("shop", "bench"), "shop.toml")
        self.designed = {d.planned.hold.part: d for d in designs(self.pen, self.shop)}

    def verdict(self, part: str) -> Assessment:
        verdict = self.designed[part].verdict
        assert verdict is not None
        return verdict

    def offered(self, code: str, part: str, change: Any = None, **more: Any) -> Offered:
        """What is offered: words, and in them the keys with their values."""
        d, v = self.designed[part], self.verdict(part)
        v = replace(v, **(change or {}))
        found = proposed(finding(code, d, **more), v, d, self.pen, self.shop)
        assert len({r.says for r in found}) == len(found) <= MOST
        return {r.says: {".".join(map(str, c.path)): c.value for c in r.changes} for r in found}

    def of_design(self, code: str, part: str, value: float | None = None) -> Offered:
        d = self.designed[part]
        found = of_design(finding(code, d, value=value), d, self.pen, ())
        return {r.says: {".".join(map(str, c.path)): c.value for c in r.changes} for r in found}


def finding(code: str, d: Designed, **more: Any) -> Finding:
    return Finding(
        **{"level": Level.WARNING, "code": code, "where": d.planned.id, "message": "", **more}
    )


@pytest.fixture(scope="module")
def heron() -> Bench:
    return Bench()


@pytest.fixture(scope="module")
def asked() -> Bench:
    return Bench(REQUEST)


@pytest.mark.parametrize(
    ("code", "wanted"),
    [
        ("use.locators", {"fit 'free'": {"defaults.fit": "free"}}),
        ("use.binds", {"fit 'free'": {"defaults.fit": "free"}}),
        ("use.spacing", {"fit 'free'": {"defaults.fit": "free"}}),
        ("use.no_centring", {"wax the seat (friction 0.08)": {"use.seat_friction": 0.08}}),
        ("use.flats", {"spanner flats": {"defaults.flats": True}}),
        ("use.taper", {"the tailstock up all the time": {"use.tailstock": True}}),
        ("use.locking", {"the tailstock up all the time": {"use.tailstock": True}}),
        ("use.tailstock", {"without the tailstock": {"use.tailstock": False}}),
        ("use.far_end", {"a button for the far end": {"use.far_end": "button"},
                         "a pip for the far end": {"use.far_end": "pip"}}),
        ("use.speed", {}), ("use.nothing_known", {}),
    ],
)  # fmt: skip
def test_one_key_for_one_finding(heron: Bench, asked: Bench, code: str, wanted: Offered) -> None:
    """Of the defaults, or of the use of all mandrels; where the mandrel has a request of its own,
    there."""
    everywhere = {w: {f"mandrels.{k}": v for k, v in c.items()} for w, c in wanted.items()}
    assert heron.offered(code, "barrel") == everywhere
    own = {
        w: {f"mandrels.requests.0.{k.removeprefix('defaults.')}": v for k, v in c.items()}
        for w, c in wanted.items()
    }
    assert asked.offered(code, "barrel") == own
    assert heron.offered(code, "barrel", level=Level.NOTE) == {}


def test_a_spigot_that_binds_may_go(heron: Bench) -> None:
    d = heron.designed["barrel"]
    assert d.wishes is not None
    long = replace(d, wishes=replace(d.wishes, spigot_length=20.0))
    found = proposed(finding("use.binds", d), heron.verdict("barrel"), long, heron.pen, heron.shop)
    assert [(r.says, r.changes[0].path[-1], r.changes[0].value) for r in found] == [
        ("fit 'free'", "fit", "free"), ("no spigot", "spigot_length", 0),
    ]  # fmt: skip


def test_a_tailstock_is_offered_where_the_lathe_has_one(heron: Bench) -> None:
    lathe = heron.shop.lathe.model_copy(update={"tailstock": False})
    without = heron.shop.model_copy(update={"lathe": lathe})
    d, v = heron.designed["barrel"], heron.verdict("barrel")
    for code in ("use.taper", "use.locking"):
        assert proposed(finding(code, d), v, d, heron.pen, without) == ()
    said = [r.says for r in proposed(finding("use.part_weak", d), v, d, heron.pen, without)]
    assert said == ["rough it before, on the rod: only finishing cuts on the mandrel"]


ROUGH = {
    "rough it before, on the rod: only finishing cuts on the mandrel": {
        "mandrels.use.finish_only": True
    }
}
UP = {"the tailstock up for finishing too": {"mandrels.use.tailstock": True}}


def test_what_helps_a_part_that_breaks(heron: Bench) -> None:
    """The cap's ⌀14.2 over 12.255 bears 88.12 N. Of 30 asked, none is lacking; of 120, 120/88.12 −
    1 = 0.3618 of the wall's 1.945 on diameter: 0.704, so 14.904, on a step 14.95."""
    c = heron.verdict("cap").capacity
    assert c is not None
    dear = {"capacity": replace(c, asked=120.0)}
    thick = {"⌀14.95 outside there": {"parts.cap.ends.mouth.diameter": 14.95}}
    assert heron.offered("use.part_weak", "cap", dear) == UP | ROUGH | thick
    assert heron.offered("use.mandrel_weak", "cap", dear) == UP | ROUGH | thick
    roughed = heron.offered("use.part_weak", "cap", dear | {"finish_only": True})
    assert roughed == UP | thick
    assert heron.offered("use.part_weak", "cap", dear | {"tailstock": True}) == ROUGH | thick
    # A tenon's outside is its thread's: it does not grow.
    assert heron.offered("use.part_weak", "section") == UP | ROUGH
    assert heron.offered("use.part_weak", "cap", {"capacity": None}) == {}
    # A far end that takes no centre gets a button first.
    closed = {"capacity": replace(c, asked=120.0, far_end=Allowed.NO)}
    button = {"mandrels.use.far_end": "button"}
    assert heron.offered("use.part_weak", "cap", closed) == {
        "a button for the far end, the tailstock up for roughing": button,
        "a button for the far end, the tailstock up": button | {"mandrels.use.tailstock": True},
        **ROUGH,
    }


def test_what_helps_a_mandrel_that_gives_way(heron: Bench) -> None:
    """1.4305 (Rp0.2 190 MPa) is weaker than 11SMn30 (EN 10277: 375 and more): steel is offered, and
    half of the 15 mm that stand out, on whole mm; 11SMn30 itself gets no steel."""
    c = heron.verdict("cap").capacity
    assert c is not None
    spot = replace(c.judged.spot, of_mandrel=True)
    weak = {"capacity": replace(c, judged=c.judged._replace(spot=spot))}
    found = heron.offered("use.mandrel_weak", "cap", weak)
    (steel,) = (k for k, v in found.items() if v == {"mandrels.defaults.material": "11SMn30"})
    assert steel.startswith("of ")
    short = {"a stick-out of 7 from the collet nut": {"mandrels.defaults.stand_off": 7.0}}
    assert found == {steel: {"mandrels.defaults.material": "11SMn30"}} | short | UP
    own = heron.offered("use.mandrel_weak", "cap", weak | {"material": "11SMn30"})
    assert own == short | UP | ROUGH
    printed = heron.offered("use.mandrel_weak", "cap", weak | {"material": "PLA"})
    assert steel in printed


def failing(factor: float, asked: float) -> dict[str, Any]:
    bad = StrengthCheck(id="a", label="", demand=1.0, capacity=factor, unit="N", asked=asked)
    good = StrengthCheck(id="b", label="", demand=1.0, capacity=9.0, unit="N", asked=1.0)
    return {"checks": (good, bad)}


CLOSE = {"fit 'close'": {"mandrels.defaults.fit": "close"}}


@pytest.mark.parametrize("code", ["strip", "lip", "seat", "tension", "tenon"])
def test_a_thread_of_half_the_strength_gets_twice_the_length(heron: Bench, code: str) -> None:
    """Inside: the cap engages 3.078 pitches of 0.8, so 2.462 + 0.4 more, on a half 3: 9 + 3. The
    barrel 6.383 of 0.75: 4.787 + 0.375, 5.5: 11 + 5.5."""
    double = failing(1.0, 2.0)
    assert heron.offered(f"use.{code}", "cap", double) == {
        "tap cap.mouth 12 deep (now 9)": {"parts.cap.ends.mouth.internal.depth": 12.0}, **CLOSE,
    }  # fmt: skip
    assert heron.offered(f"use.{code}", "barrel", double) == {
        "tap barrel.mouth 16.5 deep (now 11)": {"parts.barrel.ends.mouth.internal.depth": 16.5},
        **CLOSE,
    }


def test_a_tenon_grows_with_its_part_and_with_the_hole_it_screws_into(heron: Bench) -> None:
    """Section: 8.064 pitches of 0.75 are 6.048, and 0.375: 6.5 more. 9 + 6.5, its part 29 + 6.5,
    the barrel's thread 11 + 6.5; the barrel's bore of 24 is deep enough. Finial: 6.219 of 0.5 and
    0.25: 3.5. Nothing is longer where no factor is known."""
    double = failing(1.0, 2.0)
    section = float(heron.pen.parts["section"].length)
    assert heron.offered("use.strip", "section", double) == {
        "make the tenon of section.rear 15.5 long (now 9)": {
            "parts.section.ends.rear.external.length": 15.5,
        },
        "make the tenon of section.rear 15.5 long, and barrel.mouth 6.5 deeper for it": {
            "parts.section.ends.rear.external.length": 15.5,
            "parts.section.length": section + 6.5,
            "parts.barrel.ends.mouth.internal.depth": 17.5,
        },
        **CLOSE,
    }
    finial = heron.offered("use.strip", "finial", double)
    assert list(finial.values())[1] == {
        "parts.finial.ends.root.external.length": 9.5,
        "parts.finial.length": 12.5,
        "parts.cap.ends.crown.internal.depth": 11.5,
    }
    assert heron.offered("use.strip", "section", failing(0.0, 2.0)) == CLOSE
    resin = heron.offered("use.strip", "cap", failing(0.0, 2.0) | {"material": "PLA"})
    assert resin == {"of brass": {"mandrels.defaults.material": "CW614N"}} | CLOSE


def test_a_speed_that_is_too_high_comes_down_to_the_cap(heron: Bench) -> None:
    """The lathe's cap, rounded down to 10; a mandrel that is no metal may be of brass instead."""
    speed = heron.verdict("cap").speed
    assert speed is not None
    cap = speed.governing.speed
    fast = {"wanted_speed": cap + 5.0}
    slow = int(cap // 10 * 10)
    assert heron.offered("use.speed", "cap", fast) == {
        f"{slow:,} rpm": {"mandrels.use.speed": slow}
    }
    assert heron.offered("use.speed", "cap", {"wanted_speed": cap}) == {}
    assert heron.offered("use.speed", "cap", {"material": "PLA"}) == {
        "of brass": {"mandrels.defaults.material": "CW614N"}
    }


def face(part: str, end: str) -> Offered:
    says = f"face {part} in the setting that cuts its thread"
    return {says: {f"parts.{part}.ends.{end}.face_made": "single-point"}}


def test_the_largest_cause_of_a_step_first_and_each_way_once(heron: Bench) -> None:
    """The play of the mandrels' threads comes first where the joint shuts at the seat: a closer fit
    mends both. The finial's joint stands 65 mm from the cap's seat: the cap's face tilts it most.
    The neighbour's thread is the one that its own mandrel holds: the barrel's inner one."""
    made = {"parts.barrel.ends.mouth.internal.made": "single-point"}
    barrel = face("barrel", "mouth") | {"screwcut the thread of barrel": made}
    made = {"parts.section.ends.rear.external.made": "single-point"}
    section = face("section", "rear") | {"screwcut the thread of section": made}
    made = {"parts.cap.ends.crown.internal.made": "single-point"}
    crown = face("cap", "crown") | {"screwcut the thread of cap": made}
    for part, wanted in (
        ("cap", CLOSE | barrel),
        ("section", CLOSE | barrel),
        ("barrel", CLOSE | section),
        ("finial", crown | CLOSE),
    ):
        assert list(heron.offered("use.step", part).items()) == list(wanted.items())


def test_what_the_designer_finds_is_mended_where_it_stands(heron: Bench) -> None:
    """0.05 a side lacks where 0.1 is wanted and 0.05 left: 14.2 + 0.1; the broken edge of 0.2 gives
    0.05. Where 0.3 a side lacks, 14.2 + 2 · (0.3 + 0.05) = 14.9 leaves the tool its 0.1, and 14.8
    the least; a collar is rounded down to 0.05, so the next step is tried too. The cap is ⌀14.6 at
    most, so it grows with its mouth; it has a thread at its crown besides. The tenon of the finial:
    M7 less 0.6, on a half M6."""
    assert heron.of_design("button.closed", "cap") == {
        "no button: ": {"mandrels.defaults.tailstock_button": False}
    }
    assert heron.of_design("spigot.not_possible", "cap") == {
        "no spigot": {"mandrels.defaults.spigot_length": 0.0}
    }
    mouth = "parts.cap.ends.mouth"
    assert heron.of_design("seat.clearance", "cap") == {
        "cap ⌀14.3 at the mouth": {f"{mouth}.diameter": 14.3},
        "cap ⌀14.35 at the mouth": {f"{mouth}.diameter": 14.35},
        "break the edge of cap.mouth by 0.15 at most": {f"{mouth}.edge_break": 0.15},
    }
    for code in ("seat.none", "wall.thin"):
        by_crown = {"hold cap by its crown": {"mandrels.hold.cap": "crown"}}
        assert heron.of_design(code, "cap", 0.3) == by_crown | {
            f"cap ⌀{text} at the mouth, and as its largest diameter": {
                f"{mouth}.diameter": size, "parts.cap.diameter": size,
            }
            for text, size in (("14.9", 14.9), ("14.95", 14.95), ("14.8", 14.8), ("14.85", 14.85))
        }  # fmt: skip
        smaller = heron.of_design(code, "finial", 0.3)
        assert smaller["M6x0.5 for finial.root and cap.crown"] == {
            "parts.finial.ends.root.external.thread": "M6x0.5-6g",
            "parts.cap.ends.crown.internal.thread": "M6x0.5-6H",
        }
        assert heron.of_design(code, "section") == {}  # nothing is known to lack


def test_a_die_for_resin_is_not_for_several_starts_in_steel() -> None:
    """Common practice, no source; brass, one start, or a screwcut thread are no such thing."""
    made = 'thread_order = "my-tool"\nmaterial = "{}"\n'
    for material, warned in (("11SMn30", {"cap"}), ("CW614N", set())):
        bench = Bench(("\n[mandrels.defaults]\n" + made.format(material)).encode())
        found = {p: list(own_tool(d, bench.pen)) for p, d in bench.designed.items()}
        assert {p for p, f in found.items() if f} == warned
        for f in found["cap"]:
            assert (f.level, f.code, f.where) == (
                Level.WARNING, "thread.own_tool", bench.designed["cap"].planned.id,
            )  # fmt: skip
            assert f.parts == (f.where,)
            assert "3 starts" in f.message
            assert {r.says: r.changes[0].value for r in f.remedies} == {
                "of brass": "CW614N", "screwcut": "single-point",
            }  # fmt: skip
            assert [r.changes[0].path[-1] for r in f.remedies] == ["material", "thread_order"]
