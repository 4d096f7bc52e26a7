"""A warning that the maker knows of is left by a button: it is written into the file, comes back
when it gets worse, and is told in one place. What would hurt has no such button."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.core.errors import Finding, Level
from mandrelgen.page.seen import may_leave
from tests.page.test_moved_words import HELD, PEN
from tests.support.page_client import client_of, put, words

AT = "/pens/heron/pen"


@pytest.fixture
def page(tmp_path: Path) -> Iterator[TestClient]:
    """A section's front of ⌀9.6 over M7.6x0.5: (9.6 − 7.76) / 2 of wall at worst limits."""
    (tmp_path / "heron.toml").write_text(f"# my pen\n{PEN}{HELD}", "utf-8")
    (tmp_path / "shop.toml").write_text("schema = 1\n", "utf-8")
    with client_of(tmp_path) as client:
        yield client


def leaving(text: str) -> list[tuple[str, str]]:
    """What may be left: code and place."""
    return re.findall(
        r'/accept"><input type="hidden" name="code" value="([^"]+)">'
        r'<input type="hidden" name="where" value="([^"]+)">', text
    )  # fmt: skip


def test_a_warning_that_is_left_is_a_note_until_it_gets_worse_and_undo_brings_it_back(
    page: TestClient, tmp_path: Path
) -> None:
    path = tmp_path / "heron.toml"
    before = path.read_bytes()
    at = next((c, w) for c, w in leaving(page.get(AT).text) if w == "section.front")
    shown = page.post(f"{AT}/accept", data={"code": at[0], "where": at[1]}).text
    assert "Left as it is" in words(shown)
    assert at not in leaving(shown)
    assert "(accepted: seen, and left as it is)" in words(shown)
    text = path.read_text("utf-8")
    assert text.startswith("# my pen\n")
    (row,) = tomllib.loads(text)["accept"]
    assert (row["code"], row["where"]) == at
    assert row["value"] == pytest.approx(0.91, abs=0.02)
    worse = put(page, "parts.section.ends.front.diameter", "9.5").text
    assert "it lapsed" in words(worse)
    again = page.post(f"{AT}/accept", data={"code": at[0], "where": at[1]}).text
    assert "it lapsed" not in words(again)
    assert len(tomllib.loads(path.read_text("utf-8"))["accept"]) == 1
    for _ in range(3):
        page.post(f"{AT}/undo")
    assert path.read_bytes() == before


def test_what_is_no_doubt_of_this_pen_is_not_written(page: TestClient, tmp_path: Path) -> None:
    before = (tmp_path / "heron.toml").read_bytes()
    page.post(f"{AT}/accept", data={"code": "pen.wall", "where": "nowhere"})
    assert (tmp_path / "heron.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("level", "firm", "code", "may"),
    [
        (Level.WARNING, False, "pen.wall", True),
        (Level.WARNING, True, "use.catch", False),
        (Level.ERROR, False, "pen.wall", False),
        (Level.NOTE, False, "pen.wall", False),
        (Level.WARNING, False, "accept.idle", False),
    ],
)
def test_only_a_warning_that_could_be_built_and_hurts_nobody_may_be_left(
    level: Level, firm: bool, code: str, may: bool
) -> None:
    assert may_leave(Finding(level, code, "cap", "thin", firm=firm)) is may


def test_a_doubt_of_the_pen_stands_with_the_pen_and_before_the_order_and_not_in_between(
    page: TestClient,
) -> None:
    said = "is left between its internal thread and its outside"
    counts = {s: words(page.get(f"/pens/heron/{s}").text) for s in ("pen", "mandrels", "order")}
    assert said in counts["pen"]
    assert said not in counts["mandrels"]
    assert "On the pen itself there is 1 thing to look at" in counts["mandrels"]
    assert said in counts["order"]
