"""A change written into a file's text is the change of its values, however its keys are written."""

from __future__ import annotations

import tomllib

import pytest

from mandrelgen.core.errors import Change
from mandrelgen.spec.new_file import SaidPart, SaidPen, usual_joints, written
from mandrelgen.spec.patch import patched, patched_text
from mandrelgen.spec.starters import starter, starter_names
from mandrelgen.spec.taken import taken


def _new() -> str:
    pen = SaidPen("one", "One", [SaidPart("barrel", "80", "13", ("8.3", "60"))])
    pen.joints = usual_joints(["barrel"])
    pen.joints[0].thread, pen.joints[0].depth = "M9x0.75", "11"
    return written(pen).decode()


TEXTS = {name: starter("pen", name).decode() for name in starter_names("pen")} | {"new": _new()}
END = ("parts", "barrel", "ends")
PATHS = (
    (*END, "mouth", "face_made"), (*END, "mouth", "internal", "made"),
    (*END, "mouth", "internal", "measured", "crest"), (*END, "tail", "external", "thread"),
    ("mandrels", "defaults", "fit"), ("parts", "new", "ends", "x", "external", "thread"),
)  # fmt: skip


@pytest.mark.parametrize("path", PATHS, ids=lambda p: ".".join(p[-3:]))
@pytest.mark.parametrize("name", TEXTS)
def test_text_and_values_take_the_same_change(name: str, path: tuple[str, ...]) -> None:
    change = [Change(path, "q")]
    text = patched_text(TEXTS[name], change)
    assert tomllib.loads(text) == patched(tomllib.loads(TEXTS[name]), change)
    comments = [line for line in TEXTS[name].splitlines() if line.startswith("#")]
    assert [line for line in text.splitlines() if line.startswith("#")] == comments


def test_what_was_taken_is_marked_until_somebody_says_it() -> None:
    text = "a = 1 # mine\n[x.y]\ndepth = 9.0   # taken as so deep: say yours\nwide = 2 # taken\n"
    assert taken(text) == {("x", "y", "depth")}
    after = patched_text(text, [Change(("x", "y", "depth"), 11.5), Change(("a",), 3)])
    assert after == "a = 3 # mine\n[x.y]\ndepth = 11.5\nwide = 2 # taken\n"
    assert taken(after) == frozenset()
    assert all(taken(t) == frozenset() for t in TEXTS.values())
