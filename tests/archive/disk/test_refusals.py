"""The door to the disk says in sentences what it could not do, reads only files of a limited size
and takes only plain portable names.
"""

from __future__ import annotations

import errno
import os
import signal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.archive.disk.files import digest_file, missing_folders, read_file
from mandrelgen.archive.disk.messages import MAX_NAME, check_names, name_fault
from mandrelgen.archive.disk.store import publish_folder, staged
from mandrelgen.core.errors import DiskError
from tests.support.disk_calls import FILES, furnished, in_child, needs_fork, tree


@pytest.fixture
def house(tmp_path: Path) -> Path:
    return furnished(tmp_path / "house")


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EROFS, "read-only"),
        (errno.EACCES, "No permission"),
        (errno.ENOTDIR, "is a file where a folder is needed"),
        (errno.EEXIST, "already exists"),
        (errno.ENOENT, "removed while mandrelgen was running"),
        (errno.ENAMETOOLONG, "too long"),
        (errno.EXDEV, "another file system"),
        (errno.EIO, "Input/output"),
    ],
)
def test_failures_are_sentences_with_a_remedy(
    house: Path, monkeypatch: pytest.MonkeyPatch, code: int, words: str
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "rename", refuse)
    with pytest.raises(DiskError, match=words) as caught:
        publish_folder(house / "new", FILES)
    assert str(house / "new") in str(caught.value)
    assert caught.value.finding.remedy.endswith(".")


def test_a_file_in_the_way_is_named(house: Path) -> None:
    for path in (house / "mine" / "letter.txt", house / "mine" / "letter.txt" / "deeper"):
        with pytest.raises(DiskError, match=r"letter\.txt is a file"):
            missing_folders(path)
    with pytest.raises(DiskError, match="is a file where a folder"):
        publish_folder(house / "mine" / "letter.txt" / "x" / "new", FILES)


@needs_fork
def test_a_folder_without_write_permission_is_told(house: Path) -> None:
    def run() -> None:
        os.chdir(house)
        if os.getuid() == 0:  # root may write everywhere
            os.setuid(65534)
        with pytest.raises(DiskError, match="No permission for new"):
            publish_folder(Path("new"), FILES)

    house.chmod(0o555)
    try:
        assert in_child(run) == 0
    finally:
        house.chmod(0o755)
    assert sorted(p.name for p in house.iterdir()) == ["mine"]


def test_a_folder_removed_while_running_is_told(house: Path) -> None:
    target = house / "gone" / "new"
    target.parent.mkdir()
    with staged({target: FILES}, house) as stage:
        target.parent.rmdir()
        with pytest.raises(DiskError, match="removed while"):
            stage.commit([target])
    assert sorted(p.name for p in house.iterdir()) == ["mine"]


def test_reading_is_limited_and_only_of_files(house: Path) -> None:
    path = house / "mine" / "letter.txt"
    assert read_file(path, limit=12) == b"do not touch"
    with pytest.raises(DiskError, match="larger than the 11 bytes"):
        read_file(path, limit=11)
    with pytest.raises(DiskError):
        read_file(house / "mine")
    if hasattr(os, "mkfifo"):
        os.mkfifo(house / "pipe")
        signal.alarm(20)  # a reader that waits for the pipe would hang
        with pytest.raises(DiskError, match="not a file"):
            read_file(house / "pipe")
        signal.alarm(0)
    # SHA-256 of "abc": FIPS 180-4's worked example (NIST, example values).
    (house / "abc").write_bytes(b"abc")
    assert digest_file(house / "abc") == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        3,
    )


# The device names: Microsoft, "Naming Files, Paths, and Namespaces" (from memory).
WINDOWS = ["CON", "prn", "Aux.txt", "NUL", "nul.tar.gz", "COM1", "com9.step", "LPT1", "lpt9.x"]


@pytest.mark.parametrize(
    "name",
    [
        *WINDOWS,
        "",
        ".",
        "..",
        "a/b",
        "a\\b",
        "/a",
        "a..b",
        "a.",
        ".a",
        "-a",
        "a b",
        "ä",
        "a\n",
        "a:b",
        "a*",
        "a\x00b",
        "x" * (MAX_NAME + 1),
        "~a",
        "a\u200b",
    ],
)
def test_unsafe_names_are_refused(house: Path, name: str) -> None:
    before = tree(house)
    with pytest.raises(DiskError, match="cannot be a file name"):
        publish_folder(house / "new", {"ok": b"", name: b""})
    assert tree(house) == before


def test_names_that_differ_by_case_are_refused() -> None:
    with pytest.raises(DiskError, match="differ only by case"):
        check_names(["Cap.step", "cap.STEP"])
    check_names(["cap.step", "cap.stl", "console", "com10", "com"])


@given(st.text(max_size=120))
def test_every_accepted_name_is_one_plain_portable_name(name: str) -> None:
    if name_fault(name):
        return
    assert name.isascii()
    assert name == Path(name).name == name.strip()
    assert not set(name) & set('<>:"/\\|?*')
    assert not name.endswith((".", " "))
    assert name.split(".")[0].upper() not in {n.split(".")[0].upper() for n in WINDOWS}
    assert len(name.encode()) <= 255
    assert name not in (".", "..")


@given(st.from_regex(r"[A-Za-z0-9_]{6,20}(\.[a-z0-9]{1,4})?", fullmatch=True))
def test_ordinary_names_are_accepted(name: str) -> None:
    assert name_fault(name) == ""
