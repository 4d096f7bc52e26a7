"""Turning with a printed fixture: refused by the rule of the strength checks, with a speed cap
computed in the printed material."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from click.testing import CliRunner

from mandrelgen.assess.printed_speed import ASSUMED, Turning, turning
from mandrelgen.cli.app import main
from mandrelgen.core.resources import template_path
from mandrelgen.mechanics.practice import assumed
from mandrelgen.standards.materials import material
from mandrelgen.workflows import check
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workshop.printing import words

PENS = {"heron": "bench", "wren": "bench", "bittern": "small"}
GENTLE = """
[mandrels.use]
side_load = 0.2
torque = 0.002
catch_force = 0.3
catch_torque = 0.003
{more}

[mandrels.defaults]
material = "{material}"
"""


def pen_file(folder: Path, stuff: str, more: str) -> Path:
    """The wren, its mandrels printed and handled gently (forces so small that it holds)."""
    text = template_path("pens/wren.toml").read_text("utf-8")
    head, tail = text.split("[mandrels.defaults]\n")
    path = folder / "wren.toml"
    gentle = GENTLE.replace("side_load = 0.2\n", "") if "side_load" in more else GENTLE
    path.write_text(head + gentle.format(material=stuff, more=more) + tail, encoding="utf-8")
    return path


def turned(path: Path, kind: str, shop: str = "bench") -> list[Turning]:
    checked = check.check(read_inputs(path, template_path(f"shops/{shop}.toml")))
    pen, shop_ = checked.inputs.pen, checked.inputs.shop
    found = [turning(d, checked.designed, pen, shop_, kind) for d in checked.designed]
    return [t for t in found if t is not None]


@pytest.mark.parametrize("kind", ["fdm", "resin"])
@pytest.mark.parametrize("pen", PENS)
def test_a_metal_mandrel_printed_is_never_turned_with(pen: str, kind: str) -> None:
    """The starters are designed for metal: printed they are refused, and every refusal says that
    material and speed were not entered."""
    found = turned(template_path(f"pens/{pen}.toml"), kind, PENS[pen])
    assert found
    for t in found:
        assert t.material == ASSUMED[kind]
        assert t.allowed == 0
        assert f"printed of {t.material}" in t.refused[0]
        if t.cap is not None:
            assert any("say the speed" in r for r in t.refused)
            assert t.cap.speed <= assumed("speed", "printed_cap").value
            assert t.start <= t.cap.speed


# PETG is too weak for the hand's tightening on each of the wren's mandrels.
@pytest.mark.parametrize(("stuff", "kind"), [("PLA", "fdm"), ("resin", "resin")])
def test_what_was_entered_and_passes_may_turn_at_its_cap(
    tmp_path: Path, stuff: str, kind: str
) -> None:
    path = pen_file(tmp_path, stuff, "speed = 400\ntailstock = true")
    found = [t for t in turned(path, kind) if t.cap is not None]
    allowed = [t for t in found if t.allowed]
    assert allowed, [t.refused for t in found]
    for t in allowed:
        assert (t.material, t.stated) == (stuff, True)
        assert t.cap is not None
        assert t.allowed == math.floor(t.cap.speed / 10) * 10
        said = words.cautions(t)
        assert f"at {t.allowed} rev/min at most" in said[0]
        assert str(t.allowed) in words.use(t)


@pytest.mark.parametrize(("more", "why"), [
    ("speed = 400\ntailstock = false", "tailstock up"), ("tailstock = true", "say the speed"),
    ("speed = 4000\ntailstock = true", "4,000 rpm is above"),
    ("speed = 400\ntailstock = true\nside_load = 400", "allowed for hours"),
])  # fmt: skip
def test_each_rule_refuses(tmp_path: Path, more: str, why: str) -> None:
    # In resin each of the wren's mandrels is strong enough: what refuses it is the rule.
    path = pen_file(tmp_path, "resin", more)
    for t in turned(path, "resin"):
        if t.cap is not None:
            assert t.allowed == 0
            assert any(why in r for r in t.refused), t.refused


def test_the_cap_falls_with_the_material(tmp_path: Path) -> None:
    """The whirling speed goes with the root of stiffness over density (elementary beam theory): the
    cap of the printed fixture is never above the metal one's, and follows where it governs."""
    softer, stiffer = material("PETG"), material("11SMn30")
    assert softer.youngs_modulus / softer.density < stiffer.youngs_modulus / stiffer.density
    checked = check.check(
        read_inputs(template_path("pens/wren.toml"), template_path("shops/bench.toml"))
    )
    for d in checked.designed:
        t = turning(d, checked.designed, checked.inputs.pen, checked.inputs.shop, "fdm")
        if t is not None and t.cap is not None and d.verdict is not None:
            assert d.verdict.speed is not None
            assert t.cap.speed <= d.verdict.speed.governing.speed


def test_text_and_json_say_the_same(tmp_path: Path) -> None:
    run = CliRunner().invoke(main, [
        "print", str(template_path("pens/wren.toml")), "--shop",
        str(template_path("shops/bench.toml")), "--printer", "resin", "--to", str(tmp_path),
        "--json",
    ])  # fmt: skip
    assert run.exit_code == 0, run.output
    for m in json.loads(run.stdout)["printed"]:
        (text,) = Path(m["folder"]).glob("*.txt")
        told = text.read_text("utf-8")
        assert all(c in told for c in m["cautions"])
        assert m["turning"]["allowed"] == 0
        assert f"{m['turning']['cap']} rev/min" in told
        assert m["turning"]["refused"][0] in told


def test_a_gauge_or_dummy_is_no_mandrel() -> None:
    said = " ".join(words.cautions(None))
    assert "Nothing is ever turned with it" in said
    assert "rev/min" not in said
