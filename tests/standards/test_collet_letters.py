"""Collets by the letters on them: ER sizes are those of DIN 6499 form B, now ISO 15488 (from
memory; the sizes 11 to 40 by ISO 15488:2003, Table 2)."""

from __future__ import annotations

import pytest

from mandrelgen.spec.shop import ColletSet
from mandrelgen.standards.iso_15488 import sizes, system_size, with_letters


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("ER11", 11), ("ER 16", 16), ("er20", 20), ("ER-25", 25), ("ER 32", 32), ("ER40", 40),
        ("ER20M", 20), ("ISO 15488-25", 25), ("DIN ISO 15488_25", 25), ("ISO 15488-B 25", 25),
        ("DIN 6499-B25", 25), ("DIN 6499 B 32", 32), ("ER8", None), ("ER50", None), ("5C", None),
        ("my chuck", None), ("ER", None), ("25", None), ("ER25x", None),
    ],
)  # fmt: skip
def test_the_letters_name_the_standards_size(name: str, size: int | None) -> None:
    assert system_size(name) == size


def test_a_shop_may_write_the_letters_and_holds_the_standard() -> None:
    for s in sizes():
        by_letters = ColletSet.model_validate({"system": f"ER{s.size}", "sizes": [s.largest]})
        by_name = ColletSet.model_validate({"system": f"ISO 15488-{s.size}", "sizes": [s.largest]})
        assert by_letters == by_name
    own = ColletSet.model_validate({"system": "my chuck", "sizes": [8]})
    assert own.system == "my chuck"


def test_paper_says_the_letters_in_front_of_the_standards_size() -> None:
    assert with_letters("ISO 15488-25, 14") == "ER25 (ISO 15488-25), 14"
    assert with_letters("ISO 15488-40, 3/8 in") == "ER40 (ISO 15488-40), 3/8 in"
    for other in ("window-lathe set, 3/8 in", "5C, 10", "not known", ""):
        assert with_letters(other) == other
