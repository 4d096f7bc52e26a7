"""The sizes of collets to tick are those of the system that is chosen; what is refused of them is
said without the file's keys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.support.page_client import Tags, client_of, words


@pytest.fixture
def page(tmp_path: Path) -> Iterator[TestClient]:
    with client_of(tmp_path) as client:
        yield client


def ticks(shown: str) -> dict[str, bool]:
    return {
        str(a["value"]): "checked" in a for _, a in Tags(shown).tags if a.get("name") == "sizes"
    }


def sizes(first: int, last: int) -> list[str]:
    return [str(n) for n in range(first, last + 1)]


@pytest.mark.parametrize(
    ("system", "row"),
    [("ISO 15488-32", sizes(1, 20)), ("ISO 15488-40", sizes(2, 26)), ("ISO 15488-11", sizes(1, 7)),
     ("", sizes(1, 26)), ("5C", sizes(1, 26))],
)  # fmt: skip
def test_a_system_has_its_own_sizes_and_ticks_of_them_stay(
    page: TestClient, system: str, row: list[str]
) -> None:
    sent = {"system": system, "sizes": ["6", "26"]}
    shown = page.get("/shop/sizes", params=sent).text
    assert ticks(shown) == {n: n in ("6", "26") for n in row}


def test_the_box_of_the_system_asks_for_its_sizes(page: TestClient) -> None:
    shown = page.get("/shop").text
    (box,) = [a for t, a in Tags(shown).tags if t == "select" and a.get("name") == "system"]
    assert (box["hx-get"], box["hx-target"]) == ("/shop/sizes", "#s-sizes")
    assert any(a.get("id") == "s-sizes" for _, a in Tags(shown).tags)
    assert list(ticks(shown)) == sizes(1, 26)
    page.post("/shop", data={"system": "ISO 15488-32", "sizes": ["6", "10"]})
    shown = page.get("/shop").text
    assert list(ticks(shown)) == sizes(1, 20)


def test_a_size_that_a_system_has_not_is_refused_without_keys(page: TestClient) -> None:
    shown = page.post("/shop", data={"system": "ISO 15488-32", "sizes": ["6", "26"]}).text
    said = words(shown)
    assert "collets, sizes: ISO 15488-32 has no collet of 26" in said
    assert "[" not in said
    assert ticks(shown)["26"]  # what was refused is still to be seen
