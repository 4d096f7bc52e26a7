"""A gauge that no shop has is a decision with its cost in words; one of stock is not mentioned."""

from __future__ import annotations

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from tests.support.bench_pens import made
from tests.support.proving import mandrels


def said(m: Mandrel) -> str:
    return next((d.why for d in m.decisions if d.id == "thread.gauge"), "")


# Threads of ISO 261 (M11x0.75) and ASME B1.1 (3/8-32 UNEF) in the usual classes are on the shelf;
# M8.5 and M7.6 are in neither, nor is any thread of several starts (from memory).
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("wren/cap-mouth-plug", ()),
        ("bittern/section-rear-cup", ()),
        ("bittern/barrel-plug", ()),
        ("heron/barrel-mouth-plug", ("ring gauge", "M8.5x0.75 (no size", "a GO ring turned")),
        ("heron/section-rear-cup", ("plug gauge", "M8.5x0.75 (no size", "a GO plug turned")),
        ("heron/cap-mouth-plug", ("ring gauge", "3 starts", "class 6f", "or your part, will do")),
    ],
)
def test_only_what_no_shop_has_is_named(name: str, words: tuple[str, ...]) -> None:
    text = said(mandrels()[name])
    assert bool(text) is bool(words)
    assert all(w in text for w in words)


def test_a_class_asked_for_has_its_price_and_the_makers_own_die_needs_no_gauge() -> None:
    fine = starter("pen", "wren").replace(
        b"[mandrels.defaults]", b'[mandrels.defaults]\nthread_class = "4h"'
    )
    designed = designs(
        read_pen(fine, "wren.toml"), read_shop(starter("shop", "bench"), "shop.toml")
    )
    by = {d.mandrel.id: d.mandrel for d in designed if d.mandrel is not None}
    assert "class 4h" in said(by["cap-mouth-plug"])
    assert "standard series" not in said(by["cap-mouth-plug"])
    extra = '\n[mandrels.defaults]\nthread_order = "my-tool"\n'
    assert not any(said(d.mandrel) for d in made("heron", extra)[2] if d.mandrel is not None)
