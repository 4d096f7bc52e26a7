"""Orders of the archive, and every damage that must be found and named."""

from __future__ import annotations

import errno
import json
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.archive.events import release
from mandrelgen.archive.manifest import Damage
from mandrelgen.archive.naming import MARKER, ORDERED
from mandrelgen.archive.orders import orders
from mandrelgen.archive.root import open_root
from mandrelgen.archive.verify import verify
from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.workflows.lifecycle import archive_faults
from tests.support.archive_builds import DATE, PEN, build, mandrel, order
from tests.support.disk_calls import WRITING, at_each_call, raiser, tree


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return tmp_path / "shelf" / "archive"


def test_orders_name_their_fixtures_and_are_found_again(root: Path) -> None:
    entry = build(root, mandrel())
    first = order(root, entry)
    before = tree(root)
    assert order(root, entry, body=b"other bytes, same content") == first
    assert tree(root) == before
    assert order(root, entry, quantity=2) != first
    archive = open_root(root)
    ours = [o for o in orders(archive) if o.id == first.name]
    assert [(i.number, i.revision, i.design_hash) for i in ours[0].items] == [
        ("PEN-0001", "A", entry.record.design_hash)
    ]
    assert verify(archive) == ()
    build(root, mandrel(diameter=8.0))  # a later draft: the order still finds what it named
    assert verify(archive) == ()


def test_a_failed_order_leaves_nothing(root: Path) -> None:
    entry = build(root, mandrel())
    before, failed = tree(root), 0
    for n in range(1, 100):
        with pytest.MonkeyPatch.context() as patch:
            count = at_each_call(patch, WRITING, n, raiser(OSError(errno.ENOSPC, "full")))
            try:
                folder = order(root, entry)
            except DiskError:
                assert tree(root) == before, f"call {n}"
                failed += 1
                continue
        if count[0] < n:
            break
        shutil.rmtree(folder.parent)
        shutil.rmtree(root / ORDERED, ignore_errors=True)
    assert failed > 8
    assert verify(open_root(root)) == ()


# Damage.


def _flip(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(bytes(data))


def _manifest_entry(path: Path) -> None:
    manifest = json.loads(path.read_bytes())
    del manifest["files"]["pen.toml"]
    path.write_text(json.dumps(manifest))


def _instead(make: Callable[[Path], object]) -> Callable[[Path], object]:
    """Something else in a file's place."""

    def damage(path: Path) -> None:
        path.unlink()
        make(path)

    return damage


def _loop(path: Path) -> None:
    shutil.rmtree(path)
    path.symlink_to(path)


DAMAGES: dict[str, tuple[str, Callable[[Path], object], Damage]] = {
    "bit": ("PEN-0001/A/PEN-0001.step", _flip, Damage.CHANGED),
    "longer": ("PEN-0001/A/pen.toml", lambda p: p.write_bytes(PEN + b"x"), Damage.CHANGED),
    "cut": ("PEN-0001/A/mandrel.json", lambda p: p.write_bytes(b"{"), Damage.TRUNCATED),
    "emptied": ("PEN-0001/A/shop.toml", lambda p: p.write_bytes(b""), Damage.TRUNCATED),
    "gone": ("PEN-0001/A/shop.toml", Path.unlink, Damage.MISSING),
    "extra": ("PEN-0001/A/note.txt", lambda p: p.write_bytes(b"x"), Damage.EXTRA),
    "extra beside": ("PEN-0001/note.txt", lambda p: p.write_bytes(b"x"), Damage.EXTRA),
    "manifest gone": ("PEN-0001/A/manifest.json", Path.unlink, Damage.MISSING),
    "manifest bit": ("PEN-0001/A/manifest.json", _flip, Damage.CHANGED),
    "manifest entry": ("PEN-0001/A/manifest.json", _manifest_entry, Damage.CHANGED),
    "revision gone": ("PEN-0001/A", shutil.rmtree, Damage.MISSING),
    "last draft gone": ("PEN-0001/A.2", shutil.rmtree, Damage.MISSING),
    "event cut": (
        "PEN-0001/events/0001-released.json",
        lambda p: p.write_bytes(b"{"),
        Damage.CHANGED,
    ),
    "marker bit": (MARKER, lambda p: p.write_bytes(b"{"), Damage.CHANGED),
    "manifest a folder": ("PEN-0001/A/manifest.json", _instead(Path.mkdir), Damage.CHANGED),
    "manifest a pipe": ("PEN-0001/A.2/manifest.json", _instead(os.mkfifo), Damage.CHANGED),
    "manifest a device": (
        "PEN-0001/A.2/manifest.json",
        _instead(lambda p: p.symlink_to("/dev/zero")),
        Damage.CHANGED,
    ),
    "manifest a loop": (
        "PEN-0001/A.2/manifest.json",
        _instead(lambda p: p.symlink_to(p)),
        Damage.CHANGED,
    ),
    "record a folder": ("PEN-0001/A/record.json", _instead(Path.mkdir), Damage.CHANGED),
    "events a loop": ("PEN-0001/events", _loop, Damage.EXTRA),
    "number empty": ("PEN-0007", Path.mkdir, Damage.EXTRA),
    "event extra": ("PEN-0001/events/x", lambda p: p.write_bytes(b"{"), Damage.EXTRA),
    "marker gone": (MARKER, Path.unlink, Damage.MISSING),
    "number a file": ("PEN-0005", lambda p: p.write_bytes(b""), Damage.EXTRA),
    "order extra": ("orders/x.pdf", lambda p: p.write_bytes(b"x"), Damage.EXTRA),
}


@pytest.fixture
def full(root: Path) -> Iterator[Path]:
    """A draft, its follower, released, ordered; and a foreign file."""
    build(root, mandrel())
    second = build(root, mandrel(diameter=8.1))
    release(open_root(root), "PEN-0001", DATE)
    order(root, second)
    (root / "foreign.txt").write_bytes(b"mine")
    assert verify(open_root(root)) == ()
    return root


@pytest.mark.parametrize("name", DAMAGES)
def test_verify_names_the_damaged_file(full: Path, name: str) -> None:
    shown, damage, kind = DAMAGES[name]
    damage(full / shown)
    before = tree(full)
    faults = archive_faults(full)
    assert (shown, kind) in [(f.path, f.damage) for f in faults]
    assert tree(full) == before
    assert all("foreign" not in f.line() for f in faults)


def test_verify_names_damage_in_orders_and_swapped_folders(full: Path) -> None:
    (folder,) = (full / "orders").iterdir()
    (folder / "cover.pdf").write_bytes(b"COVER")
    (fault,) = verify(open_root(full))
    assert fault.path == f"orders/{folder.name}/cover.pdf"
    assert fault.damage is Damage.CHANGED
    (folder / "cover.pdf").write_bytes(b"cover")
    number = full / "PEN-0001"
    (number / "A").rename(full / "aside")
    (number / "A.2").rename(number / "A")
    (full / "aside").rename(number / "A.2")
    faults = {f.path for f in verify(open_root(full))}
    assert {"PEN-0001/A/record.json", "PEN-0001/A.2/record.json"} <= faults
    assert "PEN-0001/A.2/manifest.json" in faults  # not what the order names


def test_a_link_in_a_files_place_is_named(full: Path) -> None:
    path = full / "PEN-0001" / "A" / "pen.toml"
    shutil.copy(path, full / "copy.toml")
    path.unlink()
    path.symlink_to(full / "copy.toml")
    (fault,) = verify(open_root(full))
    assert fault.damage is Damage.CHANGED
    assert "link" in fault.detail


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_any_changed_byte_of_a_published_folder_is_found(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    root = tmp_path_factory.mktemp("flip") / "archive"
    folder = build(root, mandrel()).folder
    name = data.draw(st.sampled_from(sorted(os.listdir(folder))))
    content = bytearray((folder / name).read_bytes())
    at = data.draw(st.integers(0, len(content) - 1))
    old = bytes(content)
    content[at] = data.draw(st.integers(0, 255).filter(lambda b: b != content[at]))
    (folder / name).write_bytes(bytes(content))
    faults = verify(open_root(root))
    if name == "manifest.json" and not faults:
        # Its list is sealed; only a change that means the same (white space) goes unnoticed.
        assert json.loads(content) == json.loads(old)
    else:
        assert any(f.path == f"PEN-0001/A/{name}" for f in faults)


@pytest.mark.parametrize("name", ["marker bit", "manifest a folder", "manifest a loop"])
def test_verify_goes_on_behind_what_it_cannot_read(full: Path, name: str) -> None:
    """A second damage elsewhere is named too."""
    shown, damage, _ = DAMAGES[name]
    damage(full / shown)
    other = "A.2" if "/A/" in shown else "A"
    (full / "PEN-0001" / other / "pen.toml").write_bytes(b"x")
    assert {shown, f"PEN-0001/{other}/pen.toml"} <= {f.path for f in archive_faults(full)}


def test_verify_names_orders_that_were_removed(full: Path) -> None:
    (folder,) = (full / "orders").iterdir()
    shutil.rmtree(folder)
    (fault,) = archive_faults(full)
    assert (fault.path, fault.damage) == (f"orders/{folder.name}", Damage.MISSING)
    shutil.rmtree(full / "orders")
    assert [f.path for f in archive_faults(full)] == [f"orders/{folder.name}"]


def test_an_archive_that_never_wrote_down_its_orders_is_sound(full: Path) -> None:
    """As one of an older version."""
    shutil.rmtree(full / ORDERED)
    assert archive_faults(full) == ()


def test_a_folder_with_a_number_and_no_marker_is_looked_at(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no archive"):
        archive_faults(tmp_path)
    (tmp_path / "ABC-0001").mkdir()
    assert [f.path for f in archive_faults(tmp_path)] == [MARKER, "ABC-0001"]
