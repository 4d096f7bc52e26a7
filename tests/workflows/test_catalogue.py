"""The catalogue's bytes: escaped, the same each time, sound links, light models, safe writing."""

from __future__ import annotations

import base64
import json
import re
import shutil
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import html5lib
import numpy as np
import pytest
import trimesh
from click.testing import CliRunner

from mandrelgen.archive import front as sealing
from mandrelgen.archive import root
from mandrelgen.archive.front import BLANK, sealed
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.naming import FRONT
from mandrelgen.archive.verify import verify
from mandrelgen.cli.app import main
from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.geometry.mesh import exact
from mandrelgen.model.half_section import outline
from mandrelgen.workflows import adopt
from mandrelgen.workflows.catalogue import publish, shape
from tests.support.archived import DAY, OLD_PLUG
from tests.support.cataloguing import TEMPLATES, TITLE, data, filled, page
from tests.support.disk_calls import tree as whole_tree


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = filled(tmp_path_factory.mktemp("catalogue") / "a")
    page(folder)
    return folder


@pytest.fixture
def archive(whole: Path, tmp_path: Path) -> Path:
    shutil.copytree(whole, tmp_path / "a")
    return tmp_path / "a"


def tree(folder: Path) -> dict[str, str]:
    """Every file but the index's, which is a cache and notices the root folder's time."""
    return {k: v for k, v in whole_tree(folder).items() if not k.startswith(".cache")}


def cards(folder: Path) -> list[dict[str, Any]]:
    return data((folder / FRONT).read_bytes())


def test_the_page_is_html_without_a_fault(whole: Path) -> None:
    """html5lib follows the HTML standard's parsing rules; strict: every parse error raises."""
    html5lib.HTMLParser(strict=True).parse((whole / FRONT).read_bytes())


def test_every_fixture_is_there_with_what_is_known(whole: Path) -> None:
    found = cards(whole)
    assert [c["number"] for c in found] == [f"MG-{n:04d}" for n in range(1, 11)]
    facts = {c["number"]: {f[0]: f[1:] for f in c["facts"]} for c in found}
    # Read off the starter wren by eye: barrel M7.6x0.75 of pen wren.
    assert facts["MG-0002"]["Thread"][0].startswith("M7.6x0.75")
    assert facts["MG-0002"]["For"] == ["barrel of wren", "end mouth"]
    assert {"Locating shoulder", "Shank", "Material", "Collet", "Date"} <= set(facts["MG-0002"])
    # The old plug's file: spigot 7.6, shank 10 x 45, read with a micrometer (U 0.01).
    old = facts["MG-0008"]
    assert old["Spigot"] == ["⌀7.6", "measured, 7.59 to 7.61"]
    assert old["Shank"] == ["⌀10 × 45", "measured, 9.99 to 10.01"]
    assert old["Origin"] == ["entered from measurements"]
    assert "small nick on the collar" in old["Notes"][1]
    assert old["Last measured"] == ["never"]
    heads = {c["number"]: c["headline"] for c in found}
    assert heads["MG-0009"] == "M9x0.75-LH, cup"
    assert heads["MG-0002"] == "M7.6x0.75, barrel"
    assert heads["MG-0010"] == "Spigot ⌀6"


def test_an_inch_thread_keeps_its_spelling_and_is_found_by_both(tmp_path: Path) -> None:
    """3/8 in with 32 threads to the inch (ASME B1.1: UNEF) is what a maker says; 0.375 its size."""
    text = OLD_PLUG.replace("M8.5x0.75", "3/8-32 UNEF").replace("8.41", "9.48")
    adopt.adopt(root.open_root(tmp_path / "a"), text.encode(), "old.toml", DAY, "test")
    page(tmp_path / "a")
    (card,) = cards(tmp_path / "a")
    assert card["headline"].startswith("3/8-32 UNEF, ")
    assert [t[0] for t in card["thread"]] == ["3/8-32 UNEF"]
    assert "3/8-32 unef" in card["text"]
    assert "0.375-32" in card["text"]
    for words in (["3/8-32"], ["0.375-32"], ["--text", "3/8-32"], ["--text", "0.375-32"]):
        done = CliRunner().invoke(main, ["find", *words, "--to", str(tmp_path / "a"), "--json"])
        (row,) = json.loads(done.stdout)["fixtures"]
        assert "3/8-32 UNEF-2A" in json.dumps(row), words
        assert "0.375-32" not in json.dumps(row)


def test_a_reading_is_shown_as_measured(archive: Path) -> None:
    done = CliRunner().invoke(
        main, ["receive", "MG-0001", "--to", str(archive), "--date", "2026-06-12",
               "--reading", "shank.diameter=13.98@micrometer"],
    )  # fmt: skip
    assert done.exit_code in (0, 1), done.output
    page(archive)
    facts = {f[0]: f[1:] for f in cards(archive)[0]["facts"]}
    assert facts["Shank"][0].startswith("⌀13.98")
    assert facts["Shank"][1].startswith("measured, 13.9")
    assert facts["Last measured"][0] == "2026-06-12"


def test_no_text_of_a_person_becomes_markup(whole: Path) -> None:
    html = (whole / FRONT).read_text(encoding="utf-8")
    assert "onerror='" not in html.replace(" onerror=&#39;", "")
    found = html5lib.parse(html, namespaceHTMLElements=False)
    titles = [p.text for p in found.iter("p") if p.get("class") == "title"]
    assert TITLE in titles
    assert not [i for i in found.iter("img") if i.get("onerror")]
    assert len(list(found.iter("script"))) == 3  # data, what takes blocks in, the page's own


def test_every_link_leads_to_a_file_of_the_archive(whole: Path) -> None:
    base = whole
    found = html5lib.parse((base / FRONT).read_bytes(), namespaceHTMLElements=False)
    targets = [i.get("src") for i in found.iter("img")]
    for c in cards(whole):
        targets += [url for _, url in [*c["files"], *c["earlier"]]]
        targets += [*c["sheets"], *([c["drawing"]] if c["drawing"] else [])]
        targets.append(f"catalogue/models/{c['model']}.js")
    assert len({t for t in targets if t.endswith("_drawing.pdf")}) == 3
    for target in targets:
        assert not re.match(r"[a-z]+:|/", target), target
        assert (base / unquote(target)).exists(), target


def test_the_same_archive_gives_the_same_bytes(whole: Path, archive: Path) -> None:
    shutil.rmtree(archive / "catalogue")
    shutil.rmtree(archive / ".cache")
    page(archive)
    assert tree(archive) == tree(whole)


def test_the_archive_stays_sound_and_untouched(whole: Path, archive: Path) -> None:
    assert verify(root.open_root(whole)) == ()
    derived = ("catalogue", FRONT)
    shutil.rmtree(archive / "catalogue")
    before = {k: v for k, v in tree(archive).items() if k != FRONT}
    page(archive)
    after = {k: v for k, v in tree(archive).items() if not k.startswith(derived)}
    assert after == before


@pytest.mark.parametrize("there", [True, False])
def test_a_failed_run_leaves_what_was_there(
    archive: Path, monkeypatch: pytest.MonkeyPatch, there: bool
) -> None:
    if there:
        # A model is missing, so that this run has one to write before it fails.
        next((archive / "catalogue/models").iterdir()).unlink()
    else:
        shutil.rmtree(archive / "catalogue")
    before = tree(archive)

    def full(path: Path, data: bytes) -> None:
        raise DiskError("The disk is full.")

    (archive / FRONT).write_bytes(
        sealed(b'<meta name="mandrelgen-seal" content="%b">' % BLANK.encode())
    )
    before = tree(archive)
    monkeypatch.setattr(sealing, "write_file", full)
    with pytest.raises(DiskError, match="full"):
        page(archive)
    assert tree(archive) == before


def test_damage_is_mended_and_old_models_go(archive: Path) -> None:
    good = tree(archive / "catalogue")
    models = sorted((archive / "catalogue/models").iterdir())
    models[0].write_bytes(b"broken")
    models[1].unlink()
    (archive / "catalogue/models/0123456789abcdef.js").write_bytes(b"no page names it")
    (archive / "catalogue/models/notes.txt").write_bytes(b"a person's own")
    page(archive)
    assert (archive / "catalogue/models/notes.txt").read_bytes() == b"a person's own"
    (archive / "catalogue/models/notes.txt").unlink()
    assert tree(archive / "catalogue") == good


def test_what_others_put_in_its_place_stays(archive: Path) -> None:
    whole = (archive / FRONT).read_bytes()
    (archive / FRONT).write_bytes(b"<p>my own page</p>")
    (archive / "catalogue/index.html").write_bytes(b"<p>mine too</p>")
    before = tree(archive)
    with pytest.raises(InputError, match="not this program's"):
        page(archive)
    assert tree(archive) == before
    (archive / FRONT).write_bytes(whole)
    page(archive)
    assert tree(archive) == before | {FRONT: tree(archive)[FRONT]}
    shutil.rmtree(archive / "catalogue")
    (archive / "elsewhere").mkdir()
    (archive / "catalogue").symlink_to(archive / "elsewhere")
    with pytest.raises(DiskError, match="link"):
        page(archive)
    assert not list((archive / "elsewhere").iterdir())


def test_the_page_of_an_older_version_goes(archive: Path) -> None:
    """It stood in the catalogue's folder and would name models that are gone."""
    old = archive / "catalogue/index.html"
    old.write_bytes(b'<meta name="generator" content="mandrelgen catalogue">')
    page(archive)
    assert not old.exists()


def test_a_damaged_record_is_told_and_the_others_are_shown(archive: Path) -> None:
    (archive / "MG-0002/A/record.json").write_bytes(b"{")
    (archive / "MG-0003/A/mandrel.json").write_bytes(b"{}")
    shutil.rmtree(archive / ".cache")
    done = publish.catalogue(archive)
    assert done.fixtures in (8, 9)
    assert any("MG-0002" in f.message for f in done.findings)
    assert any("MG-0003" in f.line() for f in done.findings)
    html = (archive / FRONT).read_text(encoding="utf-8")
    assert re.search(r"Could not be read[^<]*MG-0002", html)
    assert str(archive) not in html


def test_an_empty_archive_has_an_empty_catalogue(archive: Path) -> None:
    for folder in archive.glob("MG-*"):
        shutil.rmtree(folder)
    done = publish.catalogue(archive)
    assert (done.fixtures, done.models) == (0, 0)
    assert not list((archive / "catalogue/models").iterdir())


def decoded(script: bytes) -> tuple[trimesh.Trimesh, dict[str, Any]]:
    """A model's script read back as the page does, with nothing of ours."""
    match = re.fullmatch(rb'mandrelgenModel\("[0-9a-f]{16}",(\{.*\})\);\n', script)
    assert match
    value = json.loads(match[1])
    points = np.frombuffer(base64.b64decode(value["points"]), "<u2").reshape(-1, 3)
    triangles = np.frombuffer(base64.b64decode(value["triangles"]), "<u2").reshape(-1, 3)
    vertices = points * value["step"] + np.array(value["low"])
    return trimesh.Trimesh(vertices, triangles, process=False), value


@pytest.mark.parametrize("number", [f"MG-{n:04d}" for n in range(1, 11)])
def test_a_model_is_light_closed_and_true(whole: Path, number: str) -> None:
    """trimesh: closed, and its volume the closed form's (chords are aimed at the mean)."""
    mandrel = read_mandrel(whole / number / "A")
    made = shape.model(mandrel)
    assert made is not None
    mesh, value = decoded(made.script)
    assert made.triangles == len(mesh.faces) <= shape.MOST
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    profile = outline(shape._without_threads(mandrel) if made.plain else mandrel)
    assert mesh.volume == pytest.approx(exact.volume(profile), rel=0.02)
    assert mesh.extents[2] == pytest.approx(mandrel.outer[-1].z1 - mandrel.outer[0].z0, abs=0.01)
    assert value["plain"] is made.plain
    assert (whole / "catalogue/models" / f"{made.name}.js").read_bytes() == made.script


def test_threads_are_modelled_where_the_shape_is_known(whole: Path) -> None:
    for n in range(1, 8):
        model = shape.model(read_mandrel(whole / f"MG-{n:04d}" / "A"))
        assert model is not None
        assert not model.plain


def test_the_library_carries_its_licence() -> None:
    text = (TEMPLATES / "catalogue/three.js").read_text(encoding="utf-8")
    licence = (TEMPLATES / "catalogue/three-LICENSE.txt").read_text(encoding="utf-8")
    assert "Permission is hereby granted, free of charge" in licence
    assert licence.strip() in text
    package = json.loads((TEMPLATES.parent / ".ci/three/package.json").read_text("utf-8"))
    assert text.startswith(f"/* three.js {package['dependencies']['three']},")


def test_the_command_says_what_it_wrote(archive: Path) -> None:
    done = CliRunner().invoke(main, ["catalogue", str(archive), "--date", DAY])
    assert done.exit_code == 0, done.output
    assert "10 fixtures, 10 models" in done.output
    assert CliRunner().invoke(main, ["catalogue", str(archive), "--date", "x"]).exit_code == 2
    nowhere = CliRunner().invoke(main, ["catalogue", str(archive / "nowhere")])
    assert nowhere.exit_code == 2
    assert not (archive / "nowhere").exists()
