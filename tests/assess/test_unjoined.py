"""Threads that are both there and that nothing screws together are told, with a remedy that joins
them; expected by plain comparison of what was typed."""

from __future__ import annotations

import pytest

from mandrelgen.assess.unjoined_findings import check
from mandrelgen.core.errors import Finding, Level
from mandrelgen.spec.patch import patched_text
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.starters import starter, starter_names
from mandrelgen.workflows.bench_look import inputs_of
from mandrelgen.workflows.check import check as checked

CAP, BARREL = "M12xPh2.4P0.8-6H", "M12xPh2.4P0.8-6g"


def text(outside: str = BARREL, mates: str = "", barrel: str = "barrel") -> str:
    return (
        'schema = 1\n[pen]\nid = "reed"\nname = "Reed"\n'
        "[parts.cap]\nlength = 60.0\ndiameter = 14.5\n"
        f'[parts.cap.ends.mouth.internal]\nthread = "{CAP}"\ndepth = 9.0\n'
        f"[parts.{barrel}]\nlength = 80.0\ndiameter = 13.5\n"
        f'[parts.{barrel}.ends.mouth.external]\nthread = "{outside}"\nlength = 7.5\n{mates}'
    )


def found(said: str) -> tuple[Finding, ...]:
    rest = inputs_of(said.encode(), "reed.toml", starter("shop", "bench"))
    codes = ("pen.not_joined", "pen.no_counterpart")
    return tuple(f for f in checked(rest).findings if f.code in codes)


def test_threads_that_fit_and_are_not_joined_are_told_and_the_remedy_joins_them() -> None:
    (told,) = found(text())
    assert told.level is Level.WARNING
    assert "barrel.mouth" in told.message
    assert "cap.mouth" in told.message
    (way,) = told.remedies
    assert way.says == "screw barrel.mouth into cap.mouth"
    assert [(c.path[-2:], c.value) for c in way.changes] == [(("external", "mates"), "cap.mouth")]
    assert found(text(mates='mates = "cap.mouth"\n')) == ()


def test_what_joining_shows_is_no_reason_against_it() -> None:
    """A tenon of 12 in a thread of 9 bottoms: an error that nobody sees before they are joined."""
    (told,) = found(text().replace("length = 7.5", "length = 12.0"))
    assert len(told.remedies) == 1


@pytest.mark.parametrize(
    ("outside", "says"),
    [("M12x0.8-6g", "lead (0.8 and 2.4 mm)"), ("M12xPh2.25P0.75-6g", "pitch (0.75 and 0.8 mm)"),
     ("M12xPh2.4P0.8-6g-LH", "differ in hand")],
)  # fmt: skip
def test_threads_of_one_diameter_that_do_not_screw_together_are_told_with_the_difference(
    outside: str, says: str
) -> None:
    (told,) = found(text(outside))
    assert says in told.message
    pen = text(outside).encode()
    assert [w.changes[0].value for w in told.remedies][:1] == [BARREL]  # its own class stays
    after = patched_text(pen.decode(), told.remedies[0].changes)
    assert found(after) == ()
    read_pen(after.encode(), "reed.toml")


def test_other_diameters_are_two_joints_and_a_part_without_counterpart_is_noted() -> None:
    told = found(text("M10x0.75-6g"))
    assert {(f.code, f.level) for f in told} == {("pen.no_counterpart", Level.NOTE)}
    assert {f.where for f in told} == {"cap.mouth", "barrel.mouth"}
    assert all(f.message for f in told)


# A cap of ⌀14.5 tapped M12x0.8 to 9.0; by hand: two pitches of 0.8 are the tap's lead, which leaves
# 7.4 for a tenon. A finial's tenon M7x0.5 of 6.0 needs 6.0 and two pitches, 7.0.
CAP_ALONE = (
    'schema = 1\n[pen]\nid = "reed"\nname = "Reed"\n[parts.cap]\nlength = 60.0\ndiameter = 14.5\n'
    '[parts.cap.ends.mouth]\nside = "tail"\ninternal = { thread = "M12x0.8", depth = 9.0 }\n'
)


def part(name: str, diameter: float, end: str, side: str, thread: str) -> str:
    return (
        f"[parts.{name}]\nlength = 60.0\ndiameter = {diameter}\n"
        f'[parts.{name}.ends.{end}]\nside = "{side}"\n{thread}\n'
    )


M9, M7, M10 = (
    'internal = { thread = "M9x0.75", depth = 10 }',
    'external = { thread = "M7x0.5", length = 6 }',
    'external = { thread = "M10x0.75", length = 8 }',
)


@pytest.mark.parametrize(
    ("more", "where", "says"),
    [
        (part("barrel", 13.5, "mouth", "nib", M9), "cap.mouth",
         ["cut M12x0.8 on barrel.mouth, 7.4 long, and screw it into cap.mouth"]),
        # No shoulder of 0.5 is left on ⌀12.4, and an end that looks the cap's way cannot face it.
        (part("barrel", 12.4, "mouth", "nib", M9), "cap.mouth", []),
        (part("barrel", 13.5, "mouth", "tail", M9), "barrel.mouth", []),
        (part("finial", 11.0, "root", "tail", M7), "finial.root",
         ["tap cap.crown M7x0.5, 7 deep, and screw finial.root into it"]),
        # A section would have room at its front, but a finial goes into a cap.
        (part("finial", 11.0, "root", "tail", M7) + part("section", 12.0, "rear", "tail", M10),
         "finial.root", ["tap cap.crown M7x0.5, 7 deep, and screw finial.root into it"]),
    ],
    ids=["barrel", "slim barrel", "other way", "finial", "finial and section"],
)  # fmt: skip
def test_a_thread_without_counterpart_has_it_cut_where_there_is_room(
    more: str, where: str, says: list[str]
) -> None:
    told = {f.where: f for f in found(CAP_ALONE + more)}
    assert [r.says for r in told[where].remedies] == says
    for r in told[where].remedies:
        assert {c.value for c in r.changes} in ({"M12x0.8", 7.4, where}, {"M7x0.5", 7.0, where})
        after = patched_text(CAP_ALONE + more, r.changes)
        assert where not in {f.where for f in found(after)}
        read_pen(after.encode(), "reed.toml")


def test_a_thread_that_was_meant_for_another_is_made_as_it_is() -> None:
    """A barrel of M9 and a section of M10, alone with each other."""
    own = CAP_ALONE.split("[parts")[0] + part("barrel", 13.0, "mouth", "nib", M9)
    told = {f.where: f for f in found(own + part("section", 12.0, "rear", "tail", M10))}
    joins = "and screw section.rear into barrel.mouth"
    assert {w: [r.says for r in f.remedies] for w, f in told.items()} == {
        "barrel.mouth": [f"M9x0.75 at section.rear too, {joins}"],
        "section.rear": [f"M10x0.75 at barrel.mouth too, {joins}"],
    }


@pytest.mark.parametrize(
    ("own", "wanted"),
    # A thread keeps its own class; of an inch one (2A) nothing can be kept.
    [("M10x0.75-4h", "M9x0.75-4h"), ("M10x0.75", "M9x0.75"), ("3/8-32 UNEF-2A", "M9x0.75")],
)
def test_a_thread_that_gives_way_keeps_its_class(own: str, wanted: str) -> None:
    screw = f'external = {{ thread = "{own}", length = 8 }}'
    pen = CAP_ALONE.split("[parts")[0] + part("barrel", 13.0, "mouth", "nib", M9)
    told = {f.where: f for f in found(pen + part("section", 12.0, "rear", "tail", screw))}
    (way,) = told["barrel.mouth"].remedies
    assert [(".".join(map(str, c.path)), c.value) for c in way.changes] == [
        ("parts.section.ends.rear.external.thread", wanted),
        ("parts.section.ends.rear.external.mates", "barrel.mouth"),
    ]


def test_two_threads_of_one_part_and_a_part_alone_say_nothing() -> None:
    alone = text().split("[parts.barrel]")[0]
    assert found(alone) == ()
    both = alone + f'[parts.cap.ends.crown.external]\nthread = "{BARREL}"\nlength = 6.0\n'
    assert found(both) == ()


def test_no_starter_is_told_so() -> None:
    for name in starter_names("pen"):
        assert check(read_pen(starter("pen", name), name)) == (), name
