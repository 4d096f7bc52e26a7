"""A pen of one's own on the bench page, as a maker would fill it in: cap, barrel and section."""

from __future__ import annotations

from starlette.testclient import TestClient

THREAD = "M13.5xPh2.4P0.8"


def set_box(page: TestClient, key: str, value: str, step: str = "joints") -> str:
    """One box; the page as it is then."""
    return str(page.post(f"/pens/reed/{step}/set", data={"key": key, "value": value}).text)


def begun(page: TestClient) -> None:
    """Three starts between cap and barrel, a section of M9.5x0.75; the depths as they were cut."""
    cap = {"kind": "cap", "thread": THREAD, "diameter": "15.5", "length": "62"}
    page.post("/pens", data={**cap, "name": "reed"})
    for more in (
        {"kind": "barrel", "thread": "M9.5x0.75", "diameter": "13.8", "length": "78"},
        {"kind": "section", "thread": "M9.5x0.75", "diameter": "12", "length": "24"},
    ):
        page.post("/pens/reed/pen/part", data=more)
    row = {"part": "barrel", "end": "mouth", "side": "external", "reach": "9"}
    page.post("/pens/reed/joints/thread", data=row | {"thread": THREAD})
    set_box(page, "parts.cap.ends.mouth.internal.depth", "9")
    set_box(page, "parts.barrel.ends.mouth.internal.depth", "10")
    set_box(page, "parts.section.ends.rear.external.length", "9")
    for part, wide, deep in (("cap", "12.6", "50"), ("barrel", "8.7", "60")):
        at = {"part": part, "end": "mouth"}
        page.post("/pens/reed/joints/hole", data={**at, "diameter": wide, "depth": deep})
