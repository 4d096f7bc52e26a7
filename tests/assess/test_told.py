"""What a maker sees of the verdict: words, JSON, what-if, the assumptions, refusals of senseless
values.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from mandrelgen.assess.settled import designs
from mandrelgen.assess.what_if import MOST, best, compare
from mandrelgen.assess.words import Word
from mandrelgen.cli.app import main
from mandrelgen.cli.views.what_if import table
from mandrelgen.core.errors import InputError, Level
from mandrelgen.paper.reports.summary import paragraph
from mandrelgen.spec.pen import MandrelRequest
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.answers.assessment import verdict as verdict_view
from mandrelgen.workflows.answers.what_if import compared as view
from tests.support.judged_pens import STARTERS, codes, plug_pen, starters, verdict_of
from tests.support.randompens import SHOP


@pytest.mark.parametrize("name", STARTERS)
def test_each_starter_gives_a_verdict_in_words(name: str) -> None:
    pen, shop = starters(name)
    designed = designs(pen, shop)
    for d in designed:
        text = "\n".join(paragraph(verdict_of(d)))
        for word in ("concentricity", "strength: the free end bears", "speed", "thread:"):
            assert word in text
    assert Level.ERROR not in codes(designed).values()


def test_the_json_has_what_was_promised() -> None:
    (d,) = designs(plug_pen(), SHOP)
    said = verdict_view(verdict_of(d))
    assert {"joint_step", "thinnest_wall", "remount", "runout_seat", "runout_end", "deflection",
            "safety", "max_speed", "budget", "assumptions"} <= set(said)  # fmt: skip
    assert {"worst", "statistical"} <= set(said["joint_step"]["tight"])
    assert said["joint_step"]["tight"]["label"] == "estimate"
    assert {"characteristic", "share"} <= set(said["budget"][0])
    assert said["safety"]["weakest"] in {c["id"] for c in said["safety"]["checks"]}


def test_designing_is_the_same_every_time() -> None:
    pen, shop = starters("heron")
    assert designs(pen, shop) == designs(pen, shop)


def test_what_if_names_what_changes() -> None:
    pen, shop = starters("heron")
    planned, found = compare(pen, shop, "barrel-mouth-plug")
    assert found[1].group == "tailstock"
    assert len(found) <= MOST + 1
    by = {(v.group, v.value): v for v in found}
    assert {g for g, _ in by} >= {"material", "fit", "stick-out", "shank"}
    # The mandrel's own material asked for by name changes nothing.
    assert by["material", "11SMn30"].changes == ()
    assert by["material", "11SMn30"].settles == ()
    shown = table(planned, found)
    assert {v.word for v in found} == {Word.ORDER}
    *_, base, take = shown.splitlines()
    assert "the part just past the mandrel's last thread" in base
    assert take.startswith("take it as it is: the word stays 'order' in all 11 changes")
    assert len(json.dumps(view(planned, found))) > 1000
    with pytest.raises(InputError) as e:
        compare(pen, shop, "nothing")
    assert "barrel-mouth-plug" in e.value.findings[0].remedy
    with pytest.raises(InputError):
        compare(pen, shop, None)


def test_what_if_shows_what_changes_the_word_and_takes_the_tailstock_first() -> None:
    """A chuck in a taper without a draw-bar walks out under side load: the tailstock may never be
    away (judging.md has both load cases). Up is the one change that turns the word."""
    pen, shop = starters("heron")
    loose = Shop.model_validate(
        {**shop.model_dump(by_alias=True), "lathe": {"max_speed": 3200, "chuck": "taper"}}
    )
    planned, found = compare(pen, loose, "cap-mouth-plug")
    base, *others = found
    assert base.word is Word.CHANGE
    assert [v.name for v in others if v.word is not Word.CHANGE] == ["tailstock up"]
    assert len(others) <= MOST == 12
    lines = table(planned, found).splitlines()
    assert [line.split("  ")[0] for line in lines[2:-1]] == ["as it is", "tailstock up"]
    assert lines[-1] == "take: tailstock up: 'order' instead of 'change the pen first'"
    said = view(planned, found)
    assert said["take"] == "tailstock up"
    assert said["variants"][1]["least"]["where"] in table(planned, found)


def test_what_if_starts_from_a_mandrel_that_cannot_be_made_as_it_is() -> None:
    """A shank that no collet takes: another shank turns the word, and is what to take."""
    pen, shop = starters("heron")
    odd = MandrelRequest.model_validate(
        {"id": "odd", "holds": "barrel.mouth.internal", "shank_diameter": 25.0}
    )
    wanted = pen.model_copy(
        update={"mandrels": pen.mandrels.model_copy(update={"requests": (odd,)})}
    )
    planned, found = compare(wanted, shop, "odd")
    assert found[0].verdict is None
    assert found[0].word is Word.CHANGE
    take = best(found)
    assert take is not None
    assert (take.group, take.word) == ("shank", Word.ORDER)
    assert "cannot" not in table(planned, found).splitlines()[-1]


def test_what_if_does_not_order_what_is_not_needed() -> None:
    """The variants are asked for by name to be designed, which is no wish of the maker's."""
    pen, shop = starters("heron")
    _, found = compare(pen, shop, "finial-root-cup")
    assert {v.word for v in found} == {Word.SKIP}


def test_what_if_from_the_command_line(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    file = tmp_path / "wren.toml"
    file.write_bytes(starter("pen", "wren"))
    run = CliRunner()
    done = run.invoke(main, ["what-if", str(file), "section-rear-cup", "--json"])
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["mandrel"] == "section-rear-cup"
    assert {"group", "value", "changes", "failing", "verdict"} <= set(said["variants"][1])
    shown = run.invoke(main, ["what-if", str(file), "section-rear-cup"])
    assert "section-rear-cup" in shown.stdout
    wrong = run.invoke(main, ["what-if", str(file), "nothing"])
    assert wrong.exit_code == 2
    assert "section-rear-cup" in wrong.stderr


def test_check_says_what_it_assumed(tmp_path: Path) -> None:
    """No measured source exists for hand-tool loads: the assumption stands on the output."""
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    file = tmp_path / "wren.toml"
    file.write_bytes(starter("pen", "wren"))
    done = CliRunner().invoke(main, ["check", str(file), "--all"])
    assert done.exit_code == 0, done.output
    for words in ("side load 50 N (common practice, no source)", "concentricity", "collet run-out"):
        assert words in done.stdout


@pytest.mark.parametrize("key", ["side_load", "torque", "catch_force", "catch_torque", "speed",
                                 "thread_friction", "target_step"])  # fmt: skip
def test_senseless_uses_are_refused_in_words(key: str) -> None:
    text = starter("pen", "wren") + f"\n[mandrels.use]\n{key} = -1\n".encode()
    with pytest.raises(InputError) as e:
        read_pen(text, "wren.toml")
    (finding,) = e.value.findings
    assert key in finding.where
    assert finding.remedy
