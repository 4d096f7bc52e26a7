"""Names as long as the forms take them run off no paper: read back by pdfplumber, every letter of
every page stands between its margins."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner

from mandrelgen.cli.app import main
from mandrelgen.spec.starters import starter
from tests.whole.test_hostile_words import words_changed

LONGEST = ("Wide words, " * 7)[:80].strip(", ")
# A4's margins as every page of text has them; a drawing sheet's frame stands nearer to its edge.
# mm; half a letter's side bearing is let pass.
MARGIN, SLACK = 5.0, 0.3
MM = 72.0 / 25.4


def _with(data: bytes, **values: str) -> bytes:
    """A shop's file with these texts at its top."""
    lines = [x for x in data.decode().splitlines() if x.split("=")[0].strip() not in values]
    said = [f'{key} = "{value}"' for key, value in values.items()]
    return "\n".join([*said, *lines, ""]).encode()


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Every PDF of a set for a pen, a shop, an owner and a file with long names."""
    folder = tmp_path_factory.mktemp("long-names")
    pen = folder / "a-pen-file-with-as-many-letters-as-a-name-of-a-file-ever-should.toml"
    pen.write_bytes(
        words_changed(owner=LONGEST, drawn_by=LONGEST, approved_by=LONGEST, name=LONGEST)
    )
    shop = _with(starter("shop", "small"), name=LONGEST, address=LONGEST, phone=LONGEST)
    (folder / "shop.toml").write_bytes(shop)
    to = folder / "to"
    done = CliRunner().invoke(main, ["make", str(pen), "--date", "2026-05-31", "--to", str(to)])
    assert done.exit_code == 0, done.output
    return sorted(to.rglob("*.pdf"))


def test_the_longest_names_stay_between_the_margins_of_every_page(papers: list[Path]) -> None:
    assert len(papers) > 5
    off = []
    for paper in papers:
        with pdfplumber.open(paper) as pdf:
            for n, page in enumerate(pdf.pages, 1):
                edge = MARGIN * MM - SLACK * MM
                off += [
                    f"{paper.name}, page {n}: {word['text']} ends at {word['x1'] / MM:.1f} mm"
                    for word in page.extract_words()
                    if word["x0"] < edge or word["x1"] > float(page.width) - edge
                ]
    assert not off, "\n".join(off)
