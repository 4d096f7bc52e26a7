"""The starter files: they read, agree, and are pens that can be made."""

from __future__ import annotations

import json
import math
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

import mandrelgen
from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.core.resources import FONT, template_names, template_path
from mandrelgen.spec.joints import end_of, joints
from mandrelgen.spec.pen import End, Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop, review
from mandrelgen.spec.starters import starter, starter_names
from mandrelgen.standards.designation import Designation, parse

PENS = starter_names("pen")
SINGLE = ("avocet",)
"""Starters of one part: what is between parts is not asked of them."""
WHOLE = tuple(n for n in PENS if n not in SINGLE)
SHOPS = starter_names("shop")
SHOP_OF = {"bittern": "small"}
LEAST_WALL = 0.6  # common practice, no source

# Largest values in µm for the pitches 0.5 to 0.8 of the starters. Td2 of 6g and TD2 of 6H by the
# rule of ISO 965-1 (P 0.75 up to 11.2: 100 and 132 in ISO 965-1:1998; P 0.8 above: 106 and 140,
# rule extended), es of g 24 (ISO 965-1 table 1). 3/8-32 UNEF 2A/2B stays below (from memory:
# ASME B1.1-2003, 0.0030 in and 0.0039 in).
TD2_EXTERNAL, TD2_INTERNAL, ES_G = 106, 140, 24


def pen_named(name: str) -> Pen:
    return read_pen(starter("pen", name), f"{name}.toml")


def root_min(d: Designation) -> float:
    """Smallest external root: d2 min - 0.616 P, rounded root R = 0.125 P (ISO 965-1, clause 11)."""
    return d.diameter - (0.649519 + 0.616025) * d.pitch - (ES_G + TD2_EXTERNAL) / 1000


def major_max(d: Designation) -> float:
    """Largest internal major diameter: D2 max + 0.794 P (ASME B1.13M, 11/12 H)."""
    return d.diameter + (0.793857 - 0.649519) * d.pitch + TD2_INTERNAL / 1000


def ends(pen: Pen) -> list[tuple[str, End]]:
    return [(f"{p}.{e}", end) for p, part in pen.parts.items() for e, end in part.ends.items()]


def test_there_are_starters() -> None:
    assert set(PENS) >= {"heron", "wren", "bittern", "avocet", "dunlin"}
    assert set(SHOPS) >= {"bench", "small"}


@pytest.mark.parametrize("name", PENS)
def test_a_starter_pen_reads_without_a_finding(name: str) -> None:
    pen = pen_named(name)
    shop = read_shop(starter("shop", SHOP_OF.get(name, "bench")), "shop.toml")
    assert review(pen, shop, starter("pen", name), f"{name}.toml") == ()
    assert effective_shop(shop, pen).collets == shop.collets
    assert pen.pen.id == name


@pytest.mark.parametrize("name", SHOPS)
def test_a_starter_shop_reads(name: str) -> None:
    assert read_shop(starter("shop", name), f"{name}.toml").collets


def test_the_starters_are_of_different_kinds() -> None:
    """A three-start cap; single starts throughout; an inch thread, readings, small collets."""
    threads = {n: [parse(t.thread) for _, e in ends(pen_named(n))
                   for t in (e.external, e.internal) if t] for n in PENS}  # fmt: skip
    assert max(t.starts for t in threads["heron"]) == 3
    assert {t.starts for t in threads["wren"]} == {1}
    assert "UN" in {t.system for t in threads["bittern"]}
    measured = [e for _, e in ends(pen_named("bittern")) if e.external and e.external.measured]
    assert measured
    assert max(read_shop(starter("shop", "small"), "s").collets[0].sizes) == 7


@pytest.mark.parametrize("name", PENS)
def test_no_thread_of_an_example_elsewhere(name: str) -> None:
    text = starter("pen", name).decode().replace(" ", "")
    for banned in ("M13x0.8", "M10x0.75", "M7.5x0.5", "P0.8-6HM13"):
        assert banned not in text


@pytest.mark.parametrize("name", PENS)
def test_walls_stand_at_the_worst_limits(name: str) -> None:
    pen = pen_named(name)
    counted = 0
    for where, end in ends(pen):
        outer = root_min(parse(end.external.thread)) if end.external else float(end.diameter)
        inner = max((float(b.diameter) + 0.1 for b in end.bore), default=0.0)
        if end.internal:
            inner = max(inner, major_max(parse(end.internal.thread)))
            wide = end.internal.counterbore
            inner = max(inner, float(wide.diameter) if wide else 0.0)
        if inner:
            counted += 1
            assert (outer - inner) / 2 >= LEAST_WALL, where
    assert counted >= (1 if name in SINGLE else 4)


@pytest.mark.parametrize("name", PENS)
def test_a_joint_closes_on_its_shoulder_before_its_thread_binds(name: str) -> None:
    pen = pen_named(name)
    for joint in joints(pen):
        male, female = end_of(pen, joint.external), end_of(pen, joint.internal)
        assert male is not None
        assert male.external is not None
        assert female is not None
        assert female.internal is not None
        pitch = parse(male.external.thread).pitch
        thread = female.internal
        lead = 2 * pitch if thread.tap_lead is None else thread.tap_lead
        full = thread.full_thread or (thread.depth or 0) - lead
        # The last full turn of the tenon stands behind its chamfer.
        assert male.external.length - (male.external.chamfer or 0) <= full + 1e-9, joint.id
        start = thread.counterbore.depth if thread.counterbore else 0
        end = male.external.length - (male.external.unformed or 2 * pitch)
        turns = (min(end, full) - start) / pitch
        assert turns >= 3, joint.id  # three full pitches: common practice, no source


@pytest.mark.parametrize("name", WHOLE)
def test_the_section_goes_into_the_cap(name: str) -> None:
    """The section's largest diameter passes the cap's thread (D1 basic, ISO 68-1) and bore."""
    pen = pen_named(name)
    mouth = pen.parts["cap"].ends["mouth"]
    assert mouth.internal is not None
    cap = parse(mouth.internal.thread)
    section = pen.parts["section"]
    rear = section.ends["rear"].external
    tenon = pen.parts["barrel"].ends["mouth"].external
    assert rear is not None
    assert tenon is not None
    assert section.diameter <= cap.diameter - 1.082532 * cap.pitch - 0.2
    seen = section.length - rear.length
    wide = [b for b in mouth.bore if b.diameter >= section.diameter + 0.2]
    assert wide
    assert max(b.depth for b in wide) >= tenon.length + seen
    # Room for the nib in front of the section; its length here is a guess: 17 at least.
    assert mouth.bore[-1].depth >= tenon.length + seen + 17


@pytest.mark.parametrize("name", PENS)
def test_material_is_left_behind_the_drill_point(name: str) -> None:
    pen = pen_named(name)
    for part_id, part in pen.parts.items():
        used = 0.0
        for end in part.ends.values():
            if end.bottom == "through":
                continue
            depth = max((float(b.depth) for b in end.bore), default=0.0)
            if end.bore:
                half = math.radians(end.drill_point_angle / 2)
                depth += end.bore[-1].diameter / 2 / math.tan(half)
            if end.internal:
                depth = max(depth, float(end.internal.depth or end.internal.full_thread or 0))
            used += depth
        if part_id != "section":
            assert part.length - used >= 2, part_id


@pytest.mark.parametrize("name", PENS)
def test_bores_stay_inside_their_threads(name: str) -> None:
    """A tapped bore is drilled near D1: not below, and at most TD1 of grade 8 above (ISO 965-1)."""
    for where, end in ends(pen_named(name)):
        if end.internal and end.bore:
            thread = parse(end.internal.thread)
            basic = thread.diameter - 1.082532 * thread.pitch
            assert basic - 0.01 <= end.bore[0].diameter <= basic + 0.3, where


@pytest.mark.parametrize(("kind", "names"), [("pen", PENS), ("shop", SHOPS)])
def test_the_starters_show_every_key(kind: str, names: tuple[str, ...]) -> None:
    """Every key of the published schema stands in a starter, set or in a remark."""
    text = "\n".join(starter(kind, n).decode() for n in names)
    schema = json.loads(template_path(f"schema/{kind}.schema.json").read_text("utf-8"))
    tables = [schema, *schema["$defs"].values()]
    keys = {key for table in tables for key in table.get("properties", {})}
    assert len(keys) > 15
    missing = [k for k in sorted(keys) if not re.search(rf"\b{k}( =|\.|\]|s )", text)]
    assert not missing


def test_unknown_starters_and_names_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        starter("pen", "../shops/bench")
    assert "heron" in caught.value.findings[0].remedy
    for name in ("../pyproject.toml", "/x/y", "a\\b", "c:x"):
        with pytest.raises(ValueError, match="not a name"):
            template_path(name)
    with pytest.raises(DiskError):
        template_path("pens/none.toml")


def test_files_are_found_inside_an_installed_package(tmp_path: Path) -> None:
    """As a wheel lays them out: templates inside the package, nothing beside it."""
    package = Path(mandrelgen.__file__).parent
    ignore = shutil.ignore_patterns("__pycache__")
    shutil.copytree(package, tmp_path / "mandrelgen", ignore=ignore)
    shutil.copytree(template_path("pens").parent, tmp_path / "mandrelgen" / "templates")
    code = "from mandrelgen.spec.starters import starter_names as n; print(*n('pen'))"
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(tmp_path)!r}); {code}"],
        cwd=tmp_path, check=True, capture_output=True, text=True, env={"PYTHONPATH": ""},
    )  # fmt: skip
    assert done.stdout.split() == list(PENS)


def test_the_font_comes_with_its_licence() -> None:
    """The licence file holds the text that the font carries itself (name 13)."""
    font = TTFont(template_path(FONT))
    carried = font["name"].getDebugName(13).split()
    beside = template_path("fonts/DejaVuSansCondensed-LICENSE.txt").read_text("utf-8").split()
    assert " ".join(carried) in " ".join(beside)
    assert template_names("fonts", ".ttf") == ("DejaVuSansCondensed",)


def test_what_stands_in_remarks_reads_too() -> None:
    """With the # taken away from every key and heading, pen and shop are still without fault."""
    for kind, name, least in (("pen", "heron", 20), ("shop", "bench", 2)):
        text = starter(kind, name).decode()
        shown, count = re.subn(r"^# (?=\[|\w+ = )", "", text, flags=re.MULTILINE)
        assert count >= least
        assert (read_pen if kind == "pen" else read_shop)(shown.encode(), "starter.toml")


ALL = [("pens", n) for n in PENS] + [("shops", n) for n in SHOPS]


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_starters_are_clean_text(kind: str, name: str) -> None:
    data = template_path(f"{kind}/{name}.toml").read_bytes()
    assert b"\r" not in data
    assert b"\t" not in data
    assert data.endswith(b"\n")
    assert max(len(line) for line in data.decode().split("\n")) <= 100
