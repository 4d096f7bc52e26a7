"""A disk that is full, or may not be written, while a person works: told where they are looking, in
a sentence, and nothing is lost."""

from __future__ import annotations

import errno
import os
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.support.bench_page import folder_with
from tests.support.disk_calls import WRITING, tree
from tests.support.page_client import Tags, client_of, put
from tests.support.small_disk import small_disk

KEY = "parts.cap.length"


def box(text: str) -> dict[str, str | None]:
    return next(a for t, a in Tags(text).tags if t == "input" and a.get("data-key") == KEY)


def told(text: str) -> str:
    """What stands beside the cap's length, where the person is typing."""
    at = text.index('id="f-parts-cap-length-says"')
    return text[at : text.index("</p>", at)]


def _failing(patch: pytest.MonkeyPatch, n: int, error: OSError) -> list[int]:
    """The n-th call that writes fails; opening to read is none. Counts the calls."""
    count = [0]

    def wrapped(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **kwargs: Any) -> Any:
            if name != "open" or args[1] & (os.O_WRONLY | os.O_CREAT):
                count[0] += 1
                if count[0] == n:
                    raise error
            return real(*args, **kwargs)

        return call

    for name in WRITING:
        patch.setattr(os, name, wrapped(name, getattr(os, name)))
    return count


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES])
def test_at_whichever_call_the_disk_refuses_the_file_stays_and_the_box_says_so(
    tmp_path: Path, number: int
) -> None:
    """Every call of a change fails once; what was typed stays in its box with the sentence."""
    says = {errno.ENOSPC: "The disk is full", errno.EROFS: "mounted read-only",
            errno.EACCES: "No permission"}[number]  # fmt: skip
    folder = folder_with(tmp_path / "pens", "heron")
    failed = 0
    with client_of(folder) as page:
        before = tree(folder)
        for n in range(1, 60):
            with pytest.MonkeyPatch.context() as patch:
                count = _failing(patch, n, OSError(number, "no"))
                answer = put(page, KEY, "66.5")
            if count[0] < n:
                break
            if tree(folder) == before:
                assert answer.status_code == 200
                assert says in told(answer.text), f"call {n}"
                assert "--to" not in told(answer.text)
                assert box(answer.text)["value"] == "66.5"
                failed += 1
            else:  # it stood already: the page says no other
                page.post("/pens/heron/pen/undo")
                assert tree(folder) == before
        assert failed >= 3
        assert "66.5" in (folder / "heron.toml").read_text("utf-8")


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 1 MiB with the heron's pen."""
    with small_disk(tmp_path, 1) as folder:
        yield folder_with(folder, "heron")


def fill(disk: Path) -> None:
    at = os.open(disk / "ballast", os.O_CREAT | os.O_WRONLY)
    written = 1
    while written:
        try:
            written = os.write(at, bytes(4096))
        except OSError:
            written = 0
    os.close(at)


def made(page: TestClient) -> str:
    """How ``make`` ended, as the order's page says it."""
    page.post("/pens/heron/make", data={"take": ["barrel-mouth-plug"]})
    for _ in range(400):
        shown = page.get("/pens/heron/order").text
        if 'hx-trigger="load' not in shown:
            break
        time.sleep(0.1)
    return Tags(shown).text


def test_a_disk_that_is_really_full(disk: Path) -> None:
    before = (disk / "heron.toml").read_bytes()
    with client_of(disk) as page:
        fill(disk)
        answer = put(page, KEY, "66.5")
        assert "The disk is full" in told(answer.text)
        assert box(answer.text)["value"] == "66.5"
        assert (disk / "heron.toml").read_bytes() == before
        assert "The disk is full" in made(page)
        form = {"kind": "cap", "thread": "M9x0.75", "diameter": "13", "length": "40",
                "name": "second"}  # fmt: skip
        page.post("/pens", data=form)
        assert not (disk / "second.toml").exists()
        (disk / "ballast").unlink()
        assert "The disk is full" not in put(page, KEY, "66.5").text
    assert b"66.5" in (disk / "heron.toml").read_bytes()


def test_a_folder_that_is_really_read_only(disk: Path) -> None:
    before = tree(disk)
    with client_of(disk) as page:
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        answer = put(page, KEY, "66.5")
        assert "mounted read-only" in told(answer.text)
        assert box(answer.text)["value"] == "66.5"
        assert "mounted read-only" in made(page)
        shop = Tags(page.post("/shop", data={"name": "Sedge"}).text).text
        assert "mounted read-only" in shop
        assert page.get("/pens/heron/mandrels").status_code == 200
    assert tree(disk) == before
