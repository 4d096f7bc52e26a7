"""A list of tables that a file has not begins with its first table; nothing else makes one."""

from __future__ import annotations

import tomllib

import pytest

from mandrelgen.core.errors import Change
from mandrelgen.spec.patch import NoPlaceError, patched, patched_text

TEXT = '[parts.cap]  # mine\nlength = 60\n[parts.cap.ends.mouth]\nside = "tail"\n'
BORE = ("parts", "cap", "ends", "mouth", "bore")
STEP = (Change((*BORE, 0, "diameter"), 12.7), Change((*BORE, 0, "depth"), 50.0))


@pytest.mark.parametrize("text", [TEXT, TEXT.replace("\n", "\r\n"), TEXT + "bore = []\n"])
def test_the_first_table_of_a_list_is_made(text: str) -> None:
    out = patched_text(text, STEP)
    assert "# mine" in out
    assert tomllib.loads(out) == patched(tomllib.loads(text), STEP)
    assert tomllib.loads(out)["parts"]["cap"]["ends"]["mouth"] == {
        "side": "tail", "bore": [{"diameter": 12.7, "depth": 50.0}],
    }  # fmt: skip


@pytest.mark.parametrize("path", [(*BORE, 1, "diameter"), (*BORE, 0), (*BORE, 0, 0, "x")])
def test_what_is_no_first_table_has_no_place(path: tuple[str | int, ...]) -> None:
    with pytest.raises(NoPlaceError):
        patched(tomllib.loads(TEXT), [Change(path, 1.0)])
    with pytest.raises(NoPlaceError):
        patched_text(TEXT, [Change(path, 1.0)])
