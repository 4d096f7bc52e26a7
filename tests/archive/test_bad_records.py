"""Records that somebody edited badly by hand: told, named and passed over; the rest answers."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.archive.mandrel_json import ShapeError, read_mandrel, revive
from mandrelgen.cli.app import main
from mandrelgen.core.errors import DiskError
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.starters import starter
from tests.support.archived import DAY, publish_pen
from tests.support.killing import without_drawings
from tests.support.renamed import renamed

BAD, GOOD = "MG-0001", "MG-0002"
NAME = "mandrel.json"


def _set(key: str, value: Any) -> Callable[[dict[str, Any]], object]:
    def damage(raw: dict[str, Any]) -> None:
        at = raw
        *path, last = key.split(".")
        for step in path:
            at = at[int(step)] if step.isdigit() else at[step]
        at[last] = value

    return damage


DAMAGES: dict[str, tuple[Callable[[dict[str, Any]], object], str]] = {
    "a number for notes": (_set("notes", 7), "notes is 7, and must be a list"),
    "null for part": (_set("part", None), "part is null, and must be text"),
    "an object for title": (_set("title", {"a": 1}), "title is an object, and must be text"),
    "text for outer": (_set("outer", "long"), "outer is 'long', and must be a list"),
    "no outer": (_set("outer", []), "outer is a list"),
    "a text among numbers": (_set("outer.0.z0", "7"), "outer[0].z0 is '7', and must be a number"),
    "true for a number": (_set("outer.0.d0", True), "outer[0].d0 is True"),
    "not finite": (_set("outer.0.d0", float("nan")), "must be a finite number"),
    "an unknown kind": (_set("kind", "spoon"), "kind is 'spoon', and must be one of"),
    "null for ordering": (_set("ordering", None), "ordering is null, and must be an object"),
    "no stations": (_set("stations", {}), "stations."),
    "a list for characteristics' entry": (_set("characteristics", [[]]), "characteristics[0]"),
    "a field less": (lambda raw: raw.pop("purpose"), "purpose"),
}
# Those that every command is shown, with an index that knows of the damage and with one made
# before; ``tests/long/test_larger_samples.py`` shows every command every one in both ways.
FRESH = ("an object for title", "not finite", "an unknown kind", "a list", "deep", "no JSON")
STALE = ("a number for notes", "null for part", "no outer", "a field less", "empty")
WHOLE = {"a list": b"[]", "a number": b"7", "deep": b"[" * 100_000, "no JSON": b"{", "empty": b""}


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive of the bittern's fixtures, its pen and shop file."""
    house = tmp_path_factory.mktemp("shelf")
    publish_pen(house / "full", "bittern")
    # Another pen of the bittern's threads, which its mandrels would hold.
    other = renamed("bittern", "sedge").encode()
    shutil.copytree(house / "full", house / "indexed")
    assert run("reindex", house / "indexed").exit_code == 0
    (house / "sedge.toml").write_bytes(other)
    (house / "wren.toml").write_bytes(starter("pen", "wren"))
    (house / "shop.toml").write_bytes(starter("shop", "small"))
    return house


def spoilt(shelf: Path, at: Path, name: str) -> Path:
    shutil.copytree(shelf / "full", at)
    path = at / BAD / "A" / NAME
    if name in WHOLE:
        path.write_bytes(WHOLE[name])
    else:
        raw = json.loads(path.read_bytes())
        DAMAGES[name][0](raw)
        path.write_text(json.dumps(raw))
    return at


def run(*args: object) -> Result:
    done = CliRunner().invoke(main, [str(a) for a in args])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done


def test_an_undamaged_record_is_read(shelf: Path) -> None:
    assert read_mandrel(shelf / "full" / BAD / "A").outer


@pytest.mark.parametrize("name", [*DAMAGES, *WHOLE])
def test_a_bad_record_is_told(shelf: Path, tmp_path: Path, name: str) -> None:
    read_is_told(spoilt(shelf, tmp_path / "a", name), name)


def read_is_told(archive: Path, name: str) -> None:
    """What is wrong, and in which file."""
    with pytest.raises(DiskError) as told:
        read_mandrel(archive / BAD / "A")
    assert NAME in str(told.value)
    if name in DAMAGES:
        assert DAMAGES[name][1] in str(told.value)


@pytest.mark.parametrize("name", FRESH)
def test_a_bad_record_is_named_and_passed_over(
    shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    named_and_passed_over(shelf, tmp_path, monkeypatch, name, stale=False)


@pytest.mark.parametrize("name", STALE)
def test_a_bad_record_that_the_index_does_not_know_is_named_and_passed_over(
    shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    named_and_passed_over(shelf, tmp_path, monkeypatch, name, stale=True)


def named_and_passed_over(
    shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, stale: bool
) -> None:
    """``stale``: the index was made before somebody edited the file, and does not know."""
    without_drawings(monkeypatch)
    to = spoilt(shelf, tmp_path / "a", name)
    if stale:
        shutil.copytree(shelf / "indexed" / ".cache", to / ".cache")
    read_is_told(to, name)
    found = run("find", "--to", to)
    assert found.exit_code == 0
    assert GOOD in found.stdout
    assert stale or (f"{BAD}: " in found.stderr and NAME in found.stderr)
    assert run("find", "--to", to, "--json").exit_code == 0
    compared = run("compare", BAD, GOOD, "--to", to)
    assert compared.exit_code == 3
    assert NAME in compared.stderr
    for pen in ("sedge", "wren"):
        looked = run("reuse", shelf / f"{pen}.toml", "--to", to)
        assert looked.exit_code == 0
        assert BAD in looked.stderr or (stale and pen == "wren")
        checked = run("check", shelf / f"{pen}.toml", "--to", to)
        assert checked.exit_code in (0, 1)  # by the pen's own findings
        assert f"{BAD}: " in " ".join(checked.output.split()) or (stale and pen == "wren")
    held = run("holds", GOOD, "--to", to)
    assert held.exit_code == 0
    labels = run("labels", "--to", to, "--file", tmp_path / "labels.pdf")
    assert labels.exit_code == 0
    page = run("catalogue", to, "--date", DAY)
    assert page.exit_code == 0
    assert BAD in page.stderr
    made = run("make", shelf / "wren.toml", "--again", "--date", DAY, "--to", to)
    assert made.exit_code == 0
    indexed = run("reindex", to)
    assert indexed.exit_code == 0
    assert BAD in indexed.stderr
    verified = run("verify", to)
    assert verified.exit_code == 1
    assert f"{BAD}/A/{NAME}" in verified.stderr


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=8,
)


@settings(deadline=None)
@given(JSON)
def test_any_json_is_a_mandrel_or_told(value: Any) -> None:
    with pytest.raises((ShapeError, TypeError, ValueError)):
        revive(Mandrel, value)


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_any_one_value_exchanged_is_told_or_fits(shelf: Path, data: st.DataObject) -> None:
    raw = json.loads((shelf / "full" / BAD / "A" / NAME).read_bytes())
    at, key = raw, data.draw(st.sampled_from(sorted(raw)))
    while isinstance(at[key], dict | list) and at[key] and data.draw(st.booleans()):
        at = at[key]
        key = data.draw(st.sampled_from(sorted(at) if isinstance(at, dict) else range(len(at))))
    at[key] = data.draw(JSON)
    try:
        found = revive(Mandrel, raw)
    except (ShapeError, TypeError, ValueError):
        return
    assert isinstance(found, Mandrel)
