"""What a maker has seen and lives with: a note with its reason, on the maker's page, until it gets
worse; no part of the design."""

from __future__ import annotations

import io
from pathlib import Path

import pdfplumber
import pytest

from mandrelgen.archive.design_hash import design_hash
from mandrelgen.core.errors import Level
from mandrelgen.files.formats import write
from mandrelgen.model.mandrel import Issue
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.build import Build, accepted_of
from mandrelgen.workflows.check import Checked, check_pen

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
