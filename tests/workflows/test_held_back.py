"""Nothing of a part that an error holds back leaves the house: every byte that a turner gets is
searched for its name, and so are the bench's rows, the order and the numbers."""

from __future__ import annotations

import io
import json
import zipfile

import pdfplumber
import pytest

from mandrelgen.assess.words import Word
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.check import check_pen, worded
from mandrelgen.workflows.made import MadeSet
from mandrelgen.workflows.make import make
from mandrelgen.workflows.make_options import MakeOptions

# A name that stands nowhere by chance ("section" is also a word of drawing).
NAME = "quillhold"
USUAL = 'bore = [{ diameter = 6.0, depth = 29.0, made = "drilled" }]'
# 7.35 in an M8.5x0.75 tenon: root 7.58 at most, so a wall of about 0.1 where 0.4 is the least.
THIN = 'bore = [{ diameter = 7.35, depth = 29.0, made = "drilled" }]'


@pytest.fixture(scope="module", params=[True, False], ids=["faulty", "sound"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> MadeSet:
    folder = tmp_path_factory.mktemp("held")
    text = starter("pen", "heron").decode().replace("section", NAME).replace("Section", NAME)
    if request.param:
        assert text.count(USUAL) == 2
        text = text.replace(USUAL, THIN)
    (folder / "heron.toml").write_text(text, "utf-8")
    (folder / "shop.toml").write_bytes(starter("shop", "bench"))
    checked = check_pen(folder / "heron.toml")
    words = worded(checked, {})
    assert (Word.CHANGE in {a.word for a in words}) is request.param
    return make(checked, MakeOptions(folder=folder / "a", date="2026-05-31"), words=words)


def said(name: str, data: bytes) -> str:
    """Everything that can be read in a file: a PDF's letters, any other's bytes."""
    if not name.endswith(".pdf"):
        return data.decode("utf-8", "replace")
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return "".join("".join((p.extract_text() or "").split()) for p in pdf.pages)


def leaves(made: MadeSet) -> dict[str, str]:
    """What the zip holds, and the strict request beside it, by name."""
    assert made.order is not None
    assert made.zip is not None
    with zipfile.ZipFile(made.zip) as z:
        found = {n: said(n, z.read(n)) for n in z.namelist()}
    for path in made.order.glob("request-strict.*"):
        found[path.name] = said(path.name, path.read_bytes())
    return found


def test_nothing_that_leaves_names_a_part_that_is_held_back(made: MadeSet) -> None:
    """And of a sound pen it is named, so that the search would find it."""
    faulty = len(made.made) == 2
    named = {n for n, text in leaves(made).items() if NAME in (n + text).lower()}
    if faulty:
        assert not named
    else:
        assert {"cover.pdf", "request.pdf", "request.txt"} <= named
        assert any(n.endswith("_drawing.pdf") for n in named)


def test_it_gets_no_number_no_place_on_the_order_and_no_row_at_the_bench(made: MadeSet) -> None:
    assert made.order is not None
    faulty = len(made.made) == 2
    ids = [m.id for m in made.made]
    assert (f"{NAME}-rear-cup" in ids) is not faulty
    items = json.loads((made.order / "order.json").read_text("utf-8"))["items"]
    assert len(items) == len(ids)
    numbers = {p.name for p in made.order.parent.parent.glob("MG-*")}
    assert numbers == {str(m.number) for m in made.made}
    assert made.cards is not None
    cards = {p.name: said(p.name, p.read_bytes()).lower() for p in made.cards.rglob("*.pdf")}
    assert cards
    rows = [n for n, text in cards.items() if f"{NAME}-rear-cup" in text or "mg-0003" in text]
    assert bool(rows) is not faulty  # the maker's own cards name the part, and why it waits
