"""The bench page in this process, through its gate, and what a person does there by hand: fill a
box, take a small form, press a finding's button."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import httpx
from starlette.testclient import TestClient

from mandrelgen.page.app import application
from mandrelgen.page.desk import Desk
from mandrelgen.page.gate import Door, Gate


def client_of(folder: Path) -> TestClient:
    """The page in this process, through its gate."""
    door = Door(8123)
    app = Gate(application(Desk.at(folder, None)), door)
    client = TestClient(app, base_url="http://127.0.0.1:8123", raise_server_exceptions=False)
    client.cookies.set(door.cookie_name, door.cookie)
    client.headers.update({"origin": "http://127.0.0.1:8123", "sec-fetch-site": "same-origin"})
    return client


def put(page: TestClient, key: str, value: str, step: str = "pen", **more: str) -> httpx.Response:
    head = {"hx-request": "true"}
    data = {"key": key, "value": value, **more}
    return page.post(f"/pens/heron/{step}/set", data=data, headers=head)


class Tags(HTMLParser):
    """Every tag with its attributes, and the text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def words(text: str) -> str:
    """What is read of a page, its white space folded."""
    return " ".join(Tags(text).text.split())


def values(text: str) -> dict[str, str]:
    """What stands in the boxes that have an id."""
    return {str(a["id"]): str(a.get("value")) for t, a in Tags(text).tags
            if t == "input" and a.get("id")}  # fmt: skip


def refused(text: str) -> list[str]:
    """Each refusal with what stands before it in the same form or section, tags taken out."""
    heads = re.findall(
        r"(.{600})<div class=\"wrong\" role=\"alert\" data-refused>", text, re.DOTALL
    )
    return [words(h[h.find(">") + 1 :]) for h in heads]


def button_of(text: str, code: str) -> dict[str, str]:
    """What the first button of a finding sends."""
    sent: dict[str, str] = {}
    for _, a in Tags(text).tags:
        name, value = str(a.get("name")), str(a.get("value"))
        if name == "code":
            sent = {}
        if name in ("code", "where", "says"):
            sent[name] = value
        if name == "says" and sent["code"] == code:
            return sent
    raise AssertionError(f"no button for {code}")


def first_part(
    page: TestClient, kind: str, thread: str, diameter: float, length: float, name: str = "reed"
) -> httpx.Response:
    """The start's small form: one part of a new pen, sizes in mm."""
    return page.post("/pens", data={**_part(kind, thread, diameter, length), "name": name})


def next_part(
    page: TestClient, kind: str, thread: str, diameter: float, length: float
) -> httpx.Response:
    """One more part of the pen ``reed``, sizes in mm."""
    return page.post("/pens/reed/pen/part", data=_part(kind, thread, diameter, length))


def _part(kind: str, thread: str, diameter: float, length: float) -> dict[str, str]:
    return {"kind": kind, "thread": thread, "diameter": f"{diameter:g}", "length": f"{length:g}"}
