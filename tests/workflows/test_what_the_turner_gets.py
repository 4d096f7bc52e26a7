"""The turner's files hold none of the maker's doubts, and no page twice."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner

from mandrelgen.assess.settled import settled
from mandrelgen.cli import app
from mandrelgen.cli.app import main
from mandrelgen.core.errors import Change, Remedy
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.bench_look import inputs_of
from mandrelgen.workflows.check import check
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workflows.remedies import tried
from mandrelgen.workflows.trial import Bench
from tests.paths import TEMPLATES

# What the maker's own pages weigh: whether it works, holds, breaks, is worth it.
DOUBTS = (
    "NOT met", "not met", "breaks", "fractures", "mismatch", "seldom above", "not needed",
    "change the pen", "thinnest wall", "would miss", "warning",
)  # fmt: skip


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """Every PDF a turner is sent, and the making pages: name to the text of its pages."""
    folder = tmp_path_factory.mktemp("sent")
    pen, shop = TEMPLATES / "pens/heron.toml", TEMPLATES / "shops/bench.toml"
    words = ["make", str(pen), "--shop", str(shop), "--to", str(folder / "a"),
             "--date", "2026-05-31"]  # fmt: skip
    done = CliRunner().invoke(app.main, words)
    assert done.exit_code == 0, done.output
    found = {p.name: p.read_bytes() for p in folder.rglob("*_making.pdf")}
    (sent,) = (folder / "a").glob("orders/*/*.zip")
    with zipfile.ZipFile(sent) as z:
        found |= {n: z.read(n) for n in z.namelist() if n.endswith(".pdf")}
    return {n: [p.extract_text() for p in pypdf.PdfReader(io.BytesIO(b)).pages]
            for n, b in found.items()}  # fmt: skip


def test_no_doubt_of_the_makers(pages: dict[str, list[str]]) -> None:
    assert len(pages) >= 7
    for name, texts in pages.items():
        for doubt in DOUBTS:
            assert doubt not in " ".join(texts), (name, doubt)


def test_no_page_twice(pages: dict[str, list[str]]) -> None:
    seen: dict[str, str] = {}
    for name, texts in pages.items():
        for n, text in enumerate(texts, 1):
            body = " ".join(text.split())
            assert body not in seen, (name, n, seen[body])
            seen[body] = f"{name} page {n}"


def test_no_last_page_holds_a_small_table_alone(pages: dict[str, list[str]]) -> None:
    """A page of less than 12 lines, head and foot among them, is paper for nothing."""
    short = [n for n, texts in pages.items() if n.endswith("_making.pdf")
             and len(texts[-1].splitlines()) < 12]  # fmt: skip
    assert short == []


def test_a_wish_that_cannot_be_met_is_answered(tmp_path: Path) -> None:
    """Bittern's cap is closed at its other end: the button asked for is answered, with a way out;
    a spigot asked for where no bore is known as well."""
    pen, shop = TEMPLATES / "pens/bittern.toml", TEMPLATES / "shops/small.toml"
    found = check(read_inputs(pen, shop)).findings
    (closed,) = [f for f in found if f.code == "button.closed"]
    assert "no other end of cap is open" in closed.message
    assert closed.remedy
    assert [r.changes[0].path[-1] for r in closed.remedies] == ["tailstock_button"]
    text = (TEMPLATES / "pens/dunlin.toml").read_text("utf-8")
    bored = "ends.mouth.bore = [{ diameter = 7.5, depth = 66.0 }]\n"
    assert bored in text
    asked = tmp_path / "pen.toml"
    asked.write_text(
        text.replace(bored, "") + '\n[[mandrels.requests]]\nholds = "barrel.mouth"\n'
        "spigot_length = 12\n"
    )  # fmt: skip
    inputs = read_inputs(asked, TEMPLATES / "shops/bench.toml")
    found = check(inputs).findings
    (none,) = [f for f in found if f.code == "spigot.not_possible"]
    assert "spigot_length" in none.remedy
    held = tried(found, Bench(asked.read_bytes(), inputs.shop))
    (none,) = [f for f in held if f.code == "spigot.not_possible"]
    assert [r.says for r in none.remedies] == ["no spigot"]


def test_a_ring_that_leaves_the_tool_no_room_gets_it() -> None:
    """Dunlin's section: 0.05 a side are left; with 0.1 more on its diameter it is silent."""
    pen, shop = TEMPLATES / "pens/dunlin.toml", TEMPLATES / "shops/bench.toml"
    inputs = read_inputs(pen, shop)
    held = tried(check(inputs).findings, Bench(pen.read_bytes(), inputs.shop))
    (tight,) = [f for f in held if f.code == "seat.clearance"]
    assert [r.says for r in tight.remedies] == [
        "section ⌀10.5 at the rear, and as its largest diameter",
        "break the edge of section.rear by 0.15 at most",
    ]


def test_a_section_that_has_to_pass_the_cap_gets_its_edge_broken_less() -> None:
    """Bittern's section as wide as the warning would have it passes no cap bored ⌀11.69 less 0.03
    and 0.1 of air; with its edge of 0.1 broken by 0.05 the collar may be as much smaller."""
    text = starter("pen", "bittern").replace(b"diameter = 11.8\n", b"diameter = 11.69\n")
    text = text.replace(b"value = 11.83,", b"value = 11.72,")
    shop = starter("shop", "small")
    for pen, says in (
        (starter("pen", "bittern"), "section ⌀11.6 at the rear, and as its largest diameter"),
        (text, "break the edge of section.rear by 0.05 at most"),
    ):
        found = check(inputs_of(pen, "bittern.toml", shop)).findings
        (tight,) = [f for f in found if f.code == "seat.clearance"]
        assert tight.remedies[0].says == says


def test_what_one_change_mends_is_not_offered_as_two() -> None:
    pen = TEMPLATES / "pens/dunlin.toml"
    inputs = read_inputs(pen, TEMPLATES / "shops/bench.toml")
    (tight,) = [f for f in settled(inputs.pen, inputs.shop).findings if f.code == "seat.clearance"]
    wide, *_, sharp = tight.remedies
    length = Change(("parts", "section", "length"), 29.0)
    for proposed, held in (
        ((wide, Remedy((*wide.changes, length), "both")), 1),
        ((Remedy((*wide.changes, length), "both"), sharp), 2),
    ):
        (f,) = tried((replace(tight, remedies=proposed),), Bench(pen.read_bytes(), inputs.shop))
        assert len(f.remedies) == held


def test_a_request_without_a_name_is_told(tmp_path: Path) -> None:
    """A letter that names nobody gets no answer; with a name in the shop file nothing is said."""
    (tmp_path / "pen.toml").write_bytes(starter("pen", "avocet"))
    for name, said in (("", 1), ('name = "K. Tern"\n', 0)):
        shop = tmp_path / "shop.toml"
        shop.write_text(
            f'schema = 1\n{name}collets = [{{ system = "ISO 15488-25", sizes = [14] }}]\n', "utf-8"
        )
        to = tmp_path / f"to{said}"
        words = ["make", str(tmp_path / "pen.toml"), "--shop", str(shop), "--to", str(to)]
        done = CliRunner().invoke(main, [*words, "--workers", "1"])
        assert done.exit_code == 0, done.output
        assert done.output.count("the request bears no name") == said, done.output
