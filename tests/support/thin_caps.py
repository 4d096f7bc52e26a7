"""Caps that are thin round their thread: a whole pen of them, and a cap by itself."""

from __future__ import annotations

from tests.judging.trees import Tree

SHOP = (
    b'schema = 1\nname = "Reedbed Bench"\ncollets = [{system = "ISO 15488-32", sizes = [10, 12]}]\n'
)

_GARGANEY = """schema = 1
pen = {{ id = "garganey", name = "Garganey" }}

[parts.cap]
length = 64.0
diameter = {outside}
material = "cast-acrylic"
[parts.cap.ends.mouth]
internal = {{ thread = "M13xPh2.4P0.8", depth = 11.0, mates = "barrel.mouth" }}
bore = [{{ diameter = 11.5, depth = 52.0 }}]

[parts.barrel]
length = 80.0
diameter = 13.4
material = "cast-acrylic"
[parts.barrel.ends.mouth]
external = {{ thread = "M13xPh2.4P0.8", length = 8.0 }}
internal = {{ thread = "M9.5x0.75", depth = 12.0, mates = "section.rear" }}
bore = [{{ diameter = 8.7, depth = 60.0 }}]

[parts.section]
length = 26.0
diameter = 11.2
material = "cast-acrylic"
[parts.section.ends.rear]
external = {{ thread = "M9.5x0.75", length = 9.0 }}
"""


def garganey(outside: float) -> bytes:
    """The pen file of a pen whose cap has three starts of M13x0.8 in ⌀``outside`` mm of acrylic."""
    return _GARGANEY.format(outside=outside).encode()


def cap(thread: str, pitch: float, around: float, material: str, counterbore: float) -> Tree:
    """A cap by itself, drilled for its thread; ``counterbore``: mm over the thread, 0 for none;
    ``around``: how much larger its outside is than both, mm."""
    size = float(thread.removeprefix("M").split("x")[0])
    outside = round(size + counterbore + around, 2)
    internal: Tree = {"thread": thread, "depth": 12.0}
    if counterbore:
        internal["counterbore"] = {"diameter": round(size + counterbore, 2), "depth": 1.0}
    mouth = {"internal": internal, "bore": [{"diameter": round(size - pitch, 1), "depth": 40.0}]}
    return {
        "schema": 1,
        "pen": {"id": "sedge", "name": "Sedge"},
        "parts": {
            "cap": {
                "length": 60.0, "diameter": outside, "material": material, "ends": {"mouth": mouth}
            }
        },
    }  # fmt: skip
