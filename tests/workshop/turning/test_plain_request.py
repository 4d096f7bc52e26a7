"""The request as people read it: grammar, blanks, what it asks and what it must not say. What it
holds is typed here from what a one-man shop needs to answer (common practice, no source).
"""

from __future__ import annotations

import re

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.characteristic import Kind
from mandrelgen.paper.reports import plain_request, quotation
from mandrelgen.paper.reports.plain_request import Contact
from mandrelgen.workshop.turning import names
from tests.support.archived import starters

WHO = Contact("K. Tern, Withymere", "The Old Boathouse, Withymere", "00 12 34")
PENS = {"heron": "bench", "wren": "bench", "bittern": "small"}


def written(pen: str, changes: dict[str, str] | None = None, wanted: str = "") -> tuple[str, str]:
    """The plain and the strict text for a starter's mandrels."""
    p, shop, _, _ = starters(pen, PENS[pen], **(changes or {}))
    made = [d.mandrel for d in designs(p, shop) if d.mandrel is not None]
    named = [(m, f"MG-{n:04d}", "A") for n, m in enumerate(made, 1)]
    asked = quotation.request(p.pen.name, "", "2026-05-31", named, shop, wanted)
    return (
        plain_request.email(plain_request.plain_request(asked, made, WHO)),
        quotation.email(asked),
    )


@pytest.mark.parametrize("pen", PENS)
def test_the_text_is_clean(pen: str) -> None:
    for text in written(pen, wanted="2026-07-15"):
        for line in text.splitlines():
            assert line == line.rstrip()
            assert "  " not in line.lstrip(), line
            assert len(line) <= 76
        assert not re.search(r"\s[,.;:)]|\(\s|\.\.|,,|;;|: :|\bNone\b|nan", text)
        assert not re.search(r"\b(\w+) \1\b", text.lower()), "a word twice"
        assert text.endswith("\n")
        # Each sentence begins with a capital, each line of thanks stands alone.
        body = " ".join(text.split())
        assert not re.search(r"(?<!etc)(?<! no)\. [a-z]", body)
        assert "thread its end" not in body
        assert "its far end" not in body


def test_what_the_plain_one_holds() -> None:
    text = written("heron", wanted="2026-07-15")[0]
    body = " ".join(text.split())
    assert text.startswith("Subject: Price for 4 turned parts: MG-0001 A, …, MG-0004 A\n")
    assert "1. MG-0001 A: Plug mandrel for cap, M12xPh2.4P0.8-6f, " in body
    assert "stainless steel X8CrNiS18-9 (1.4305, 303), 1 off" in body
    assert body.count(", 1 off") == 4
    assert (
        "A test piece for each thread, a ring with the thread cut with my tap or a stud with the "
        "thread cut with my die, comes with the order: it must screw home by hand in every start "
        "and seat all round." in body
    )
    assert (
        "No shop has a gauge for these threads; buy none: a GO gauge you turn or the test" in body
    )
    assert "If a piece within them does not, that is mine: ask." in body
    # M11x0.75 is of ISO 261, M7.6 is not.
    assert "gauge for M7.6x0.75-6g, M7.6x0.75-6H; buy none" in " ".join(written("wren")[0].split())
    assert "your price for 1 and for 2 off of each, your lead time, and" in body
    assert "what you would change to make it cheaper" in body
    assert "I need them by 2026-07-15." in body
    assert text.endswith(
        "With thanks\nK. Tern, Withymere\nThe Old Boathouse, Withymere\n00 12 34\n2026-05-31\n"
    )
    # Ten lines of letter besides greeting and signature, items counted as one each.
    letter = text.partition("Good day,")[2].partition("With thanks")[0]
    assert (
        len([x for x in letter.splitlines() if x.strip()]) <= 24
    )  # three of them on gauges that no shop has, one which parts have which run-out
    # The maker's doubts are no business of the turner's.
    assert not re.search(r"mismatch|budget|safety|warning|risk|uncertain", text, re.IGNORECASE)


def test_run_outs_are_those_of_the_drawings() -> None:
    pen, shop, _, _ = starters("heron")
    made = [d.mandrel for d in designs(pen, shop) if d.mandrel is not None]
    text = " ".join(written("heron")[0].split())
    said = re.search(r"Run-out to the shank at most, as drawn \(mm, TIR\): (.*?)\. ", text)
    assert said
    numbers = {float(x) for x in re.findall(r"\d+\.\d+", said[1])}
    drawn = {
        c.upper for m in made for c in m.characteristics
        if c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT)
    }  # fmt: skip
    assert numbers <= drawn
    assert {min(drawn), max(drawn)} <= numbers
    # Each as its own drawing has it.
    for n, m in enumerate(made, 1):
        asked = {
            f"{'locating face' if c.subject == 'seat' else c.feature.word} {text_of(c.upper or 0)}"
            for c in m.characteristics
            if c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT)
        }
        own = {x[0] for x in re.findall(r"([a-z ]+ \d\.\d+)( \(.*?\))?(?:, |$)", said[1])
               if not x[1] or f"MG-{n:04d} A" in x[1]}  # fmt: skip
        assert own == asked


def test_each_way_to_cut_a_thread_names_its_parts_where_there_are_several() -> None:
    """The bittern's barrel mandrel is cut with the maker's die, the other two are screwcut."""
    text = " ".join(written("bittern")[0].split())
    said = re.search(r"Threads: (.*?)\.", text)
    assert said
    assert set(said[1].split("; ")) == {
        "MG-0001 A cut with my own die, which I send with the order",
        "MG-0002 A and MG-0003 A screwcut to the limits on the drawing",
    }
    alike = " ".join(written("wren")[0].split())
    assert "Threads: screwcut to the limits on the drawing." in alike


def test_one_part_is_one_and_a_plain_one_has_no_thread() -> None:
    pen, shop, _, _ = starters("heron")
    m = next(d.mandrel for d in designs(pen, shop) if d.mandrel is not None)
    asked = quotation.request(pen.pen.name, "", "2026-05-31", [(m, "MG-0001", "A")], shop)
    text = plain_request.email(plain_request.plain_request(asked, [m], Contact()))
    assert text.startswith("Subject: Price for 1 turned part: MG-0001 A\n")
    said = " ".join(text.split())
    assert "this turned part; the drawing (PDF), a STEP model (nominal, threads at mid-" in said
    assert text.endswith("With thanks\n2026-05-31\n")  # nobody named: no blanks to fill


def test_names_read_aloud() -> None:
    pen, shop, _, _ = starters("heron")
    for d in designs(pen, shop):
        assert d.mandrel is not None
        for c in d.mandrel.characteristics:
            for text in (names.asked(c), names.what(c)):
                assert text == " ".join(text.split())
                assert " its " not in text


def test_the_strict_one_says_who_asks_and_where_it_goes() -> None:
    """Name, address and phone of the shop file, as in the plain one; the trade's words."""
    p, shop, _, _ = starters("heron")
    shop = shop.model_copy(update={"name": "Reedbed", "address": "Withymere", "phone": "00 12"})
    named = [(d.mandrel, "MG-0001", "A") for d in designs(p, shop) if d.mandrel is not None]
    text = quotation.email(quotation.request(p.pen.name, "", "2026-05-31", named, shop))
    body = " ".join(text.split())
    assert "- from: Reedbed, Withymere, 00 12, 2026-05-31" in body
    assert "- delivery: to: Withymere; required by: __________" in body
    assert text.endswith("With thanks\nReedbed\n2026-05-31\n")
    assert "thread screwcut to the limits on the drawing" in body
    for translated in ("sent along", "to be returned", "how long the offer", "longitudinal marks"):
        assert translated not in body.lower()
