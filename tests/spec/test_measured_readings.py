"""What was read on a thread: its old and new names, and the name that a reading contradicts.

Limits of M8 and M12 6g and 6H: ISO 965-1:2013 (M8-6g: 7.760 to 7.972; M12x1-6H bore: 10.917 to
11.153). How far a die or tap strays: common practice, no source.
"""

from __future__ import annotations

import pytest

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.spec.pen import Measured, Pen
from mandrelgen.spec.read import read_pen
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits
from tests.paths import GOLDEN

OLD = (GOLDEN / "pen-measured-pitch.toml").read_text(encoding="utf-8")

PEN = """schema = 1
[pen]
id = "wren"
name = "Wren"
[parts.section]
length = 30
diameter = 12
[parts.section.ends.rear]
side = "tail"
diameter = 10.5
[parts.section.ends.rear.external]
thread = "{thread}"
length = 7
measured = {{ {measured} }}
"""


def read_text(text: str) -> Pen:
    return read_pen(text.encode(), "pen.toml")


def pen(thread: str, measured: str) -> Pen:
    return read_text(PEN.format(thread=thread, measured=measured))


def faults(thread: str, measured: str) -> tuple[Finding, ...]:
    with pytest.raises(InputError) as e:
        pen(thread, measured)
    return tuple(f for f in e.value.findings if f.level is Level.ERROR)


def test_a_pen_file_with_the_old_name_reads_as_with_the_new() -> None:
    old, new = (read_text(t) for t in (OLD, OLD.replace("pitch =", "pitch_diameter =")))
    assert old == new
    outer = old.parts["barrel"].ends["mouth"].external
    assert outer is not None
    assert outer.measured is not None
    assert outer.measured.pitch_diameter == 12.02
    assert old.parts["barrel"].material == "casting-resin"
    assert old.mandrels.defaults.material == "resin"


def test_both_names_at_once_are_refused() -> None:
    (fault,) = faults("M8x1", "pitch = 7.3, pitch_diameter = 7.3")
    assert "old name" in fault.message


def test_the_old_name_is_not_published() -> None:
    assert "pitch" not in Measured.model_fields
    assert "pitch" not in Measured.model_json_schema()["properties"]


def test_m8_with_a_crest_of_8_30_is_doubted_with_the_finders_best() -> None:
    (fault,) = faults("M8", "crest = 8.30")
    assert fault.code == "thread.doubted"
    assert fault.message.startswith("8.30 is not M8x1.25")
    assert faults("M8-6g", "crest = 8.30")[0].code == "thread.doubted"  # a class changes nothing
    assert "M8.5x" in fault.message
    assert "21/64-" in fault.message
    assert fault.message.endswith("?")
    assert "thread --measured" in fault.remedy
    assert "pen.toml:12" in fault.where


@pytest.mark.parametrize(
    ("crest", "doubted"),
    [(7.72, False), (7.55, False), (7.50, True), (8.05, False), (8.12, False), (8.20, True)],
)
def test_what_a_die_leaves_is_no_other_thread(crest: float, doubted: bool) -> None:
    """Worn dies 0.05 to 0.2 under, spring-back over: no doubt; beyond that and ± 0.03, doubt."""
    band = limits(parse("M8x1.25"), True).major
    assert band.min == pytest.approx(7.760)
    if doubted:
        assert faults("M8", f"crest = {crest}, uncertainty = 0.03")[0].code == "thread.doubted"
    else:
        assert pen("M8", f"crest = {crest}, uncertainty = 0.03")


def test_a_reading_more_than_a_pitch_away_is_a_contradiction_that_names_others() -> None:
    (fault,) = faults("M8x0.75", "crest = 9.4")
    assert fault.code == "size.contradiction"
    assert "more than one pitch" in fault.message
    assert "M9.5x0.75" in fault.remedy


def test_a_thread_and_a_material_in_a_makers_own_words_are_read() -> None:
    text = PEN.format(thread="8 x 0.75 TS", measured="crest = 7.9").replace(
        "diameter = 12\n", 'diameter = 12\nmaterial = "hard rubber"\n'
    )
    found = read_text(text)
    assert found.parts["section"].material == "ebonite"


@pytest.mark.parametrize(
    ("name", "word"), [("resin", "several materials"), ("ABS", "printer's material")]
)
def test_a_rod_that_does_not_say_what_it_is_is_asked(name: str, word: str) -> None:
    text = PEN.format(thread="M8x0.75", measured="crest = 7.9").replace(
        "diameter = 12\n", f'diameter = 12\nmaterial = "{name}"\n'
    )
    with pytest.raises(InputError) as e:
        read_text(text)
    assert word in e.value.findings[0].message


def test_a_thread_that_could_mean_two_things_is_asked_in_the_file() -> None:
    (fault,) = faults("12x2.4 3 starts", "crest = 11.9")
    assert fault.code == "thread.text"
    assert "M12xPh2.4P0.8" in fault.remedy
    assert "M12xPh7.2P2.4" in fault.remedy
