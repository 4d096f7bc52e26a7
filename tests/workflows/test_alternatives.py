"""Other ways for a mandrel: each that is offered leads to the word it promises, whatever the pen
says already."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.assess.words import Word
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import bench_edits
from mandrelgen.workflows.alternatives import Alternative, alternatives
from mandrelgen.workflows.bench_look import Look, look_at


def seen(pen: bytes, shop: bytes, archive: Path) -> Look:
    return look_at(pen, "heron.toml", shop, archive)


def heron(*lines: str) -> bytes:
    """The heron with more said of its mandrels."""
    return starter("pen", "heron") + "\n".join(["", *lines, ""]).encode()


SAID = {
    "nothing": ([], {"all"}),
    "two of each": (["[mandrels.defaults]", "quantity = 2"], {"all"}),
    "your own tools": (["[mandrels.defaults]", 'thread_order = "my-tool"'], {"all"}),
    "many pens": (["[mandrels.defaults]", "pens = 40"], {"all"}),
    "every one": (["[mandrels]", "all_needed = true"], {"needed"}),
}


@pytest.mark.parametrize("said", SAID)
def test_each_way_leads_to_the_word_it_promises(tmp_path: Path, said: str) -> None:
    lines, wanted = SAID[said]
    data, shop = heron(*lines), starter("shop", "bench")
    look = seen(data, shop, tmp_path)
    kinds = set()
    for answer in look.answers:
        for a in alternatives(look, answer.planned, tmp_path):
            assert a.answer.word not in (answer.word, Word.CHANGE)
            assert a.answer.word in after(a, data, shop, tmp_path)
            kinds.add(a.way.kind)
    assert kinds >= wanted


def after(a: Alternative, data: bytes, shop: bytes, archive: Path) -> set[Word]:
    """The words for a part's mandrels once the way is gone."""
    if a.way.pen is not None:
        data = a.way.pen(data.decode()).encode()
    if a.way.shop is not None:
        shop = a.way.shop((shop or bench_edits.NEW_SHOP).decode()).encode()
    return {w.word for w in seen(data, shop, archive).answers if w.planned == a.answer.planned}


def test_a_mandrel_that_is_not_planned_has_none(tmp_path: Path) -> None:
    look = seen(heron(), starter("shop", "bench"), tmp_path)
    assert alternatives(look, "none-such", tmp_path) == ()
