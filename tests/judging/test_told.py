"""What is said of a fault, and what is offered against it, kind by kind.

The figures in the words are the generators' own (plain arithmetic that imports nothing of
mandrelgen); which keys may mend a fault is the trade's common practice, no source: a wall gets
thicker by a smaller bore or a larger outside, a tenon that bottoms by a shorter tenon or a deeper
thread.
"""

from __future__ import annotations

import pytest

from mandrelgen.core.errors import Finding, Level, Remedy
from mandrelgen.spec.patch import patched
from tests.judging.cases import Case
from tests.judging.every import faulty
from tests.judging.table import answer

Row = tuple[str, str, str, set[str], bool, list[set[str]]]

CAP, BARREL, SECTION = ("parts.cap.ends.mouth", "parts.barrel.ends.mouth", "parts.section.ends")
OUTSIDE = {f"{CAP}.diameter", "parts.cap.diameter"}
# kind: code, place, words, whose mandrels are held back, firm, the keys of each remedy.
TOLD: dict[str, Row] = {
    "wall.tenon-bore": (
        "pen.wall-tenon", "section.rear",
        "0.02 mm is left between the root of its external thread and its bore at worst limits; 0.4",
        {"section"}, False, [{f"{SECTION}.rear.bore.0.diameter"}],
    ),
    "wall.tenon-thread": (
        "pen.wall-tenon", "barrel.mouth", "external thread and its internal thread at worst limits",
        {"barrel"}, False, [],
    ),
    "wall.tenon-counterbore": (
        "pen.wall-tenon", "barrel.mouth", "external thread and its counterbore", {"barrel"}, False,
        [{f"{BARREL}.internal.counterbore.diameter"}],
    ),
    "wall.lip-thread": (
        "pen.wall-lip", "cap.mouth", "0.02 mm is left between its internal thread and its outside",
        {"cap"}, False, [{f"{CAP}.diameter"}],
    ),
    "wall.lip-counterbore": (
        "pen.wall-lip", "cap.mouth", "between its counterbore and its outside at worst limits; 0.5",
        {"cap"}, False, [{f"{CAP}.internal.counterbore.diameter"}, OUTSIDE],
    ),
    "wall.body-front": (
        "pen.wall-body", "section.front", "between its bore of ⌀12.03 and its outside at worst",
        {"section"}, False, [{f"{SECTION}.front.bore.0.diameter"}],
    ),
    "wall.body-undercut": (
        "pen.wall-body", "cap.mouth", "between its bore of ⌀16.73 and its outside", {"cap"}, False,
        [{f"{CAP}.bore.1.diameter"}, OUTSIDE],
    ),
    "wall.crown": (
        "pen.crown", "cap.mouth", "0.02 mm is left beyond the end of the bore; 0.7 is the least",
        {"cap"}, False, [{f"{CAP}.bore.0.depth"}, {f"{CAP}.bottom"}, {"parts.cap.length"}],
    ),
    "hole.at-crest": (
        "pen.tap_hole", "cap.mouth", "a hole of ⌀13.8 leaves no thread for barrel.mouth's crest of",
        {"cap", "barrel"}, True, [{f"{CAP}.bore.0.diameter"}],
    ),
    "hole.overlap": (
        "pen.tap_hole", "cap.mouth", "a hole of ⌀13.222 leaves 12 % thread for barrel.mouth's",
        {"cap", "barrel"}, False, [{f"{CAP}.bore.0.diameter"}],
    ),
    "hole.short": (
        "pen.short_hole", "barrel.mouth", "it is tapped 9.825 deep in a hole 7.825 deep",
        {"barrel"}, True, [{f"{BARREL}.bore.0.depth"}],
    ),
    "joint.short-thread": (
        "pen.engagement", "barrel.mouth-cap.mouth", "only 2 pitches hold when it is shut; 3 or",
        {"barrel", "cap"}, False, [{f"{BARREL}.external.length"}],
    ),
    "joint.unformed": (
        "pen.shoulder", "barrel.mouth-cap.mouth", "may hold the joint open by 0.3 mm",
        {"barrel", "cap"}, False,
        [{f"{CAP}.internal.counterbore.depth"}, {f"{BARREL}.external.unformed"}],
    ),
    "joint.thread-bottoms": (
        "pen.bottoms", "barrel.mouth-cap.mouth", "the joint bottoms 1 mm before it shuts on its",
        {"barrel", "cap"}, False, [{f"{CAP}.internal.depth"}, {f"{BARREL}.external.length"}],
    ),
    "joint.nose-bottoms": (
        "pen.bottoms", "section.rear-barrel.mouth", "the joint bottoms 0.9 mm before it shuts",
        {"section", "barrel"}, False, [{f"{SECTION}.rear.external.length"}],
    ),
    "passes.diameter": (
        "pen.passage", "section", "⌀12.9 does not pass cap.mouth (⌀12.5 at the least) with 0.1 to",
        {"section", "cap"}, False,
        [{"parts.section.diameter", f"{SECTION}.rear.diameter", f"{SECTION}.front.diameter"}],
    ),
    "passes.length": (
        "pen.cap_depth", "cap.mouth", "it is bored 27 deep, and what screws into it reaches 30",
        {"section", "cap"}, False, [{f"{CAP}.bore.0.depth"}],
    ),
}  # fmt: skip
# The amounts to the last place that is kept; `reckoned` holds them against the generators' own.
AMOUNTS = {
    "wall.tenon-bore": 0.02, "wall.tenon-thread": 0.0198, "wall.tenon-counterbore": 0.02,
    "wall.lip-thread": 0.0201, "wall.lip-counterbore": 0.02, "wall.body-front": 0.02,
    "wall.body-undercut": 0.02, "wall.crown": 0.0196, "hole.at-crest": -38.4, "hole.overlap": 15.0,
    "hole.short": 2.0, "joint.short-thread": 2.0, "joint.unformed": 0.2995,
    "joint.thread-bottoms": 1.0, "joint.nose-bottoms": 0.9, "passes.diameter": 0.5,
    "passes.length": 3.0,
}  # fmt: skip

SHARES = ("hole.at-crest", "hole.overlap")


@pytest.fixture(scope="module")
def first() -> dict[str, Case]:
    """The first faulty pen of each kind."""
    found: dict[str, Case] = {}
    for c in faulty():
        if c.faulty:
            found.setdefault(c.kind, c)
    return found


def told(case: Case, code: str) -> Finding:
    (found,) = (f for f in answer(case.pen, case.shop).findings if f.code == code)
    return found


def reckoned(case: Case) -> float:
    """The generator's figure as an amount: a share in %, what lacks as more than nothing, and what
    passes only with 0.1 to spare."""
    if case.kind in SHARES:
        return 100 * case.value
    if case.kind.startswith("passes.") or case.kind.endswith("-bottoms"):
        return -case.value + 0.1 * (case.kind == "passes.diameter")
    return case.value


def keys_of(r: Remedy) -> set[str]:
    return {".".join(map(str, c.path)) for c in r.changes}


@pytest.mark.parametrize("kind", TOLD)
def test_what_is_told_and_offered(first: dict[str, Case], kind: str) -> None:
    code, where, words, parts, firm, offered = TOLD[kind]
    case = first[kind]
    f = told(case, code)
    assert (f.where, f.level.value, f.firm) == (where, case.level, firm)
    assert words in f.message
    assert set(f.parts) == parts
    assert f.value == pytest.approx(AMOUNTS[kind], abs=1e-9)
    # A file's sizes are written to 0.001, a share is told to 0.1 %.
    assert f.value == pytest.approx(reckoned(case), abs=0.06 if kind in SHARES else 6e-4)
    keys = [keys_of(r) for r in f.remedies if not r.lesser]
    assert keys == offered
    # A lesser size of the same keys, behind them: only against an error.
    lesser = [keys_of(r) for r in f.remedies[len(keys) :]]
    assert all(any(k <= o for o in offered) for k in lesser)
    assert not lesser or f.level is Level.ERROR
    assert f.remedy  # advice in words stands beside it
    for remedy in f.remedies:
        sizes = [c.value for c in remedy.changes]
        # What is said is what is set.
        assert any(f"{v:g}" in remedy.says for v in sizes if isinstance(v, float)) or any(
            str(v) in remedy.says for v in sizes if isinstance(v, str)
        )
        after = answer(patched(case.pen, remedy.changes), case.shop).findings
        left = [g for g in after if g.key == f.key and g.level is not Level.NOTE]
        assert [g.level for g in left] == [Level.WARNING] * remedy.lesser
        assert all(g.brief in remedy.says for g in left)


def test_a_pen_that_asks_for_nothing_is_told_where_to_ask(first: dict[str, Case]) -> None:
    f = told(first["nothing-asked"], "pen.no_mandrel")
    assert (f.where, f.level, f.parts) == ("mandrels", Level.ERROR, ())
    assert "all_needed" in f.message
    assert "[[mandrels.requests]]" in f.remedy
