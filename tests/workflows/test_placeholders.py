"""Names that stand in for names never reach an order."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.core.errors import InputError
from mandrelgen.spec.placeholders import is_placeholder
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.batch import make_all
from mandrelgen.workflows.make_options import MakeOptions
from mandrelgen.workflows.order import refuse_placeholders
from tests.support.renamed import renamed


@pytest.mark.parametrize("name", ["R. Sedge", "<your name>", "____", "…", "Your name", "TODO"])
def test_what_stands_in_for_a_name(name: str) -> None:
    assert is_placeholder(name)


@pytest.mark.parametrize("name", ["", "A. Heron", "Sedge & Daughters", "X. Owner", "Nib Todo"])
def test_what_is_a_name_or_nothing(name: str) -> None:
    assert not is_placeholder(name)


def test_a_copied_starters_names_are_refused_before_anything_is_numbered(tmp_path: Path) -> None:
    text = starter("pen", "avocet").decode().replace('id = "avocet"', 'id = "mine"')
    text = text.replace("[pen]\n", '[pen]\ndrawn_by = "R. Sedge"\nowner = "____"\n')
    (tmp_path / "mine.toml").write_text(text)
    options = MakeOptions(folder=tmp_path / "out")
    (outcome,) = make_all([tmp_path / "mine.toml"], options, lambda _: None)
    assert {f.where for f in outcome.findings if f.code == "order.placeholder"} == {
        "pen.owner",
        "pen.drawn_by",
    }
    assert not list((tmp_path / "out").glob("MG-*"))


def test_a_starter_itself_and_a_pen_with_names_of_its_own_pass() -> None:
    refuse_placeholders(read_pen(starter("pen", "heron"), "x").pen)
    refuse_placeholders(read_pen(renamed("heron", "mine").encode(), "x").pen)
    title = read_pen(starter("pen", "heron").replace(b'id = "heron"', b'id = "mine"'), "x").pen
    with pytest.raises(InputError, match=r"R\. Sedge"):
        refuse_placeholders(title)
