"""Script, style and template words in every kind of text field that the page has, found by walking
its pages as they are: nothing becomes markup, and nothing that is typed breaks an answer."""

from __future__ import annotations

from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import httpx
import pytest
from starlette.testclient import TestClient

from tests.support.archived import publish_pen
from tests.support.bench_page import folder_with
from tests.support.page_client import Tags, client_of

WORDS = ('"><script>evil()</script>', "<style>*{display:none}</style>", "' style='color:red' x='",
         "</textarea></svg><svg onload=evil()>", "{{ 7*191 }}", "\u202e<b>\u0000x")  # fmt: skip
PAGES = ("/", "/shop", "/archive", "/pens/heron/pen", "/pens/heron/joints", "/pens/heron/mandrels",
         "/pens/heron/order", "/pens/heron/arrived?piece=MG-0001-A")  # fmt: skip


class Fields(HTMLParser):
    """What can be typed into: (address, method, fields that go along, name of the text field)."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, str, dict[str, str], str]] = []
        self._form: tuple[str, str] | None = None
        self._along: dict[str, str] = {}
        self._typed: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        a = {k: v or "" for k, v in attrs}
        if tag == "form":
            self._form = a.get("action", ""), a.get("method", "get")
            self._along, self._typed = {}, []
        elif "hx-post" in a and tag == "input" and a.get("type", "text") == "text":
            key = {"key": a["data-key"]} if "data-key" in a else {"key": a["data-balloon-box"]} if (
                "data-balloon-box" in a) else {}  # fmt: skip
            self.found.append((a["hx-post"], "post", key, a.get("name", "value")))
        elif tag == "textarea" or (tag == "input" and a.get("type", "text") in ("text", "search")):
            self._typed.append(a.get("name", ""))
        elif tag == "input" and self._form and a.get("name"):
            self._along.setdefault(a["name"], a.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form" and self._form:
            self.found += [(*self._form, self._along, t) for t in self._typed if t]
            self._form = None


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    folder = folder_with(tmp_path_factory.mktemp("pens"), "heron")
    publish_pen(folder / "output", "heron")
    with client_of(folder) as client:
        yield client


def harmless(answer: httpx.Response) -> None:
    assert answer.status_code < 500, answer.text
    found = Tags(answer.text)
    assert [a for t, a in found.tags if t == "script" and "src" not in a] == []
    assert not [t for t, _ in found.tags if t in ("style", "b\x00", "foreignobject")]
    assert not [a for _, a in found.tags if any(n.startswith("on") or n == "style" for n in a)]
    assert "1337" not in found.text


@pytest.mark.parametrize("at", PAGES)
def test_no_field_takes_markup(page: TestClient, at: str) -> None:
    fields = {(f[0], f[3], f[2].get("key", "")): f for f in Fields(page.get(at).text).found}
    assert fields, "a page without a text field attacks nothing"
    # Boxes of one kind take the same way: of many, some six are typed into.
    rows = list(fields.values())
    rows = rows if len(rows) < 12 else rows[:: len(rows) // 6]
    for address, method, along, name in rows:
        for word in WORDS if len(rows) < 6 else WORDS[::2]:
            data = {**along, name: word}
            if method == "post":
                harmless(page.post(address, data=data))
            else:
                harmless(page.get(address, params=data))
    harmless(page.get(at))


def test_what_was_typed_stays_out_of_the_files_that_are_read(page: TestClient) -> None:
    """After all that the pen and the shop can be read, and hold no markup where none may stand."""
    assert page.get("/pens/heron/pen").status_code == 200
    assert "cannot be read" not in page.get("/pens/heron/pen").text
    assert "cannot be read" not in page.get("/shop").text


@pytest.mark.parametrize(
    "data",
    [{f"f{n}": "x" for n in range(2000)}, {"key": "parts.cap.length", "value": "9" * 100_000},
     {"k" * 50_000: "x"}],
)  # fmt: skip
def test_too_many_fields_and_endless_values_are_refused_in_words(
    page: TestClient, data: dict[str, str]
) -> None:
    for address in ("/pens/heron/pen/set", "/pens", "/shop", "/pens/heron/make"):
        answer = page.post(address, data=data)
        assert answer.status_code in (200, 400, 404, 413), (address, answer.status_code)
        assert "9" * 500 not in answer.text.replace(f'value="{"9" * 100_000}"', "")


def test_files_are_taken_nowhere(page: TestClient) -> None:
    for address in ("/pens/heron/pen/set", "/pens", "/shop", "/pens/heron/make"):
        answer = page.post(address, files={"key": ("x.svg", b"<svg onload='evil()'/>")})
        assert answer.status_code in (400, 404, 413), address


def test_an_address_with_hundreds_of_fields_is_refused_without_a_word(tmp_path: Path) -> None:
    with client_of(folder_with(tmp_path, "heron")) as page:
        page.cookies.clear()
        for path in ("/", "/health", "/archive"):
            answer = page.get(f"{path}?{'a=1&' * 300}key=x")
            assert (answer.status_code, answer.content) == (403, b"")
