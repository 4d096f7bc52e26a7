"""What a maker has seen and lives with: a note with its reason until it gets worse; no part of the
design. Sheet, cover and record say so; why it may stay is for the maker's page and the record."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

import pdfplumber
import pytest

from mandrelgen.archive import events
from mandrelgen.archive.design_hash import design_hash
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.record_files import RECORD
from mandrelgen.archive.records import Record, load
from mandrelgen.archive.root import open_root
from mandrelgen.core.errors import Level
from mandrelgen.files.formats import write
from mandrelgen.model.mandrel import Issue
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.arrived import build_of
from mandrelgen.workflows.build import Build, accepted_of
from mandrelgen.workflows.check import Checked, check_pen
from mandrelgen.workflows.make import make
from mandrelgen.workflows.make_options import MakeOptions

THIN = b'bore = [{ diameter = 6.5, depth = 29.0, made = "drilled" }]'
USUAL = b'bore = [{ diameter = 6.0, depth = 29.0, made = "drilled" }]'
ACCEPT = """
[[accept]]
code = "pen.wall-tenon"
where = "section.rear"
reason = "never dropped, glued for good"
value = {value}
"""


def checked(folder: Path, more: str = "") -> Checked:
    """The heron with a section bored so wide that its tenon is thin."""
    text = starter("pen", "heron")
    assert text.count(USUAL) == 2
    (folder / "heron.toml").write_bytes(text.replace(USUAL, THIN) + more.encode())
    (folder / "shop.toml").write_bytes(starter("shop", "bench"))
    return check_pen(folder / "heron.toml")


def wall(c: Checked) -> tuple[Level, str, float]:
    (f,) = [f for f in c.findings if f.code == "pen.wall-tenon"]
    assert f.value is not None
    return f.level, f.reason, f.value


def test_an_accepted_finding_is_a_note_with_its_reason_until_it_gets_worse(tmp_path: Path) -> None:
    level, reason, value = wall(checked(tmp_path))
    assert (level, reason) == (Level.WARNING, "")
    assert wall(checked(tmp_path, ACCEPT.format(value=value)))[:2] == (
        Level.NOTE,
        "never dropped, glued for good",
    )
    lapsed = checked(tmp_path, ACCEPT.format(value=round(value + 0.05, 3)))
    assert wall(lapsed)[:2] == (Level.WARNING, "")
    (said,) = [f.message for f in lapsed.findings if f.code == "pen.wall-tenon"]
    assert "it lapsed" in said


def test_an_acceptance_that_meets_nothing_is_a_warning_with_a_remedy(tmp_path: Path) -> None:
    idle = ACCEPT.format(value=1).replace("section.rear", "cap.mouth")
    (f,) = [f for f in checked(tmp_path, idle).findings if f.code == "accept.idle"]
    assert f.level is Level.WARNING
    assert [r.says for r in f.remedies] == ["take this entry out of accept"]


@pytest.mark.parametrize("accepted", [True, False])
def test_it_stands_on_the_makers_page_and_changes_no_design(tmp_path: Path, accepted: bool) -> None:
    plain = checked(tmp_path)
    c = checked(tmp_path, ACCEPT.format(value=wall(plain)[2])) if accepted else plain
    cup = next(d.mandrel for d in c.designed if d.planned.id == "section-rear-cup")
    before = next(d.mandrel for d in plain.designed if d.planned.id == "section-rear-cup")
    assert cup is not None
    assert before is not None
    assert design_hash(cup) == design_hash(before)
    issue = Issue(
        number="MG-0001", revision="A", date="2026-05-31", status="in preparation", owner="",
        drawn_by="", approved_by="",
    )  # fmt: skip
    build = Build(cup, issue, accepted=accepted_of(c, cup))
    (data,) = write(build, ("mine",)).values()
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        text = " ".join(" ".join((p.extract_text() or "").split()) for p in pdf.pages)
    assert ("glued for good" in text) is accepted


def letters(data: bytes) -> str:
    """The text of a PDF without its blanks: where lines are broken is not asked."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return "".join("".join((p.extract_text() or "").split()) for p in pdf.pages)


def test_sheet_cover_and_record_say_what_was_accepted_and_the_design_stays(tmp_path: Path) -> None:
    """Made without, then with it: the draft of the cup alone is published again, its hash the same;
    the sheet of a mandrel that it does not concern says nothing of it."""
    plain = checked(tmp_path)
    c = checked(tmp_path, ACCEPT.format(value=wall(plain)[2]))
    (f,) = [f for f in c.findings if f.code == "pen.wall-tenon"]
    said = "Acceptedbythemaker:ofthepenalone,nothingtobedonehere(section.rear)."
    options = MakeOptions(folder=tmp_path / "archive", date="2026-05-31")
    before, after = make(plain, options), make(c, options)
    assert [m.existed for m in after.made] == [m.id != "section-rear-cup" for m in after.made]
    for old, new in zip(before.made, after.made, strict=True):
        was, now = load(Record, old.folder / RECORD), load(Record, new.folder / RECORD)
        mine = new.id == "section-rear-cup"
        assert was.design_hash == now.design_hash
        assert was.accepted == ()
        assert [(k.code, k.where, k.message, k.reason, k.value) for k in now.accepted] == [
            ("pen.wall-tenon", "section.rear", f.message, "never dropped, glued for good", f.value)
        ] * mine
        svg = (new.folder / new.files["svg"]).read_text("utf-8")
        sheet = "".join("".join(re.findall(r"<text[^>]*>([^<]*)", svg)).split())
        assert "gluedforgood" not in sheet
        assert (said in sheet) is mine
        # What the page draws of a fixture is what was issued.
        entry = events.current(open_root(options.folder), new.number)
        (again,) = write(build_of(entry, read_mandrel(new.folder)), ("svg",)).values()
        assert again.decode() == svg
    assert after.order is not None
    (packed,) = after.order.glob("*.zip")
    with zipfile.ZipFile(packed) as z:
        leaves = {n: letters(z.read(n)) for n in z.namelist() if n.endswith(".pdf")}
    assert "Acceptedbythemaker" in leaves["cover.pdf"]
    assert "".join(f.message.split()) in leaves["cover.pdf"]
    assert not [n for n, text in leaves.items() if "gluedforgood" in text]
