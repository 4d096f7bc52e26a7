"""What no table holds is refused in words: what was asked, and what is allowed.

The ranges named are those of the standards as printed; the rest is plain reading of a sentence.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mandrelgen.standards import (
    cutting,
    din_76,
    gears,
    iso_286,
    iso_965_1,
    iso_2768,
    iso_6411,
    iso_15488,
    material_names,
    materials,
    measuring,
    stock,
    threads,
    wires,
)
from mandrelgen.standards.designation import parse
from mandrelgen.standards.tables import NotHeldError

M9 = parse("M9x0.75")
UN = parse("3/8-32 UNEF")

REFUSED: list[tuple[Callable[[], object], str, str]] = [
    (lambda: cutting.speeds("moonstone"), "no cutting speed is held for moonstone",
     "held: 11SMn30, "),
    (lambda: din_76.external(9.0), "DIN 76-1 is not held for pitch 9 mm", "pitches 0.25 to 1.5 mm"),
    (lambda: iso_15488.collet_size(26), "collet size 26 is not in ISO 15488",
     "sizes are 11, 16, 20, 25, 32, 40"),
    (lambda: iso_15488.run_out(10, 3), "ISO 15488 has no run-out class 3", "use 1 or 2"),
    (lambda: iso_15488.run_out(26.5), "ISO 15488 gives no run-out for a bore of 26.5 mm",
     "bores of 1 to 26 mm are held"),
    (lambda: iso_2768.linear(10, "x"), "ISO 2768-1 has no class 'x'", "use f, m, c, v"),
    (lambda: iso_2768.linear(0.4), "ISO 2768-m gives no tolerance for 0.4 mm",
     "write the tolerance at the size itself"),
    (lambda: iso_286.grade(10, 3), "IT3 is not held", "use IT4 to IT14"),
    (lambda: iso_286.tolerance(10, "z9"), "tolerance class 'z9' is not held",
     "for a shaft or the capitals for a hole with grade 5 to 11"),
    (lambda: iso_286.tolerance(10, "K9"), "K9 is not held", "K goes with grades 5 to 8"),
    (lambda: iso_286.grade(4000, 7), "no ISO 286 limits are held for 4000 mm", "sizes over 0"),
    (lambda: iso_6411.centre_hole("C", 2), "centre hole type 'C' is not held", "use A or B"),
    (lambda: iso_6411.centre_hole("A", 3), "no centre hole with pilot 3 mm is held",
     "pilots are 1, "),
    (lambda: iso_6411.for_work(80.1), "no centre hole is held for 80.1 mm", "up to 80 mm"),
    (lambda: iso_6411.for_work(2.5, "B"),
     "a face of 2.5 mm is too small for a centre hole of type B",
     "use type A, a larger diameter, or leave the centre hole out"),
    (lambda: materials.material("brasss"), "material 'brasss' is not known", "known are "),
    (lambda: materials.material("11SMn31"), "material '11SMn31' is not known",
     "did you mean 11SMn30? known are "),
    (lambda: material_names.rod("ABS"),
     "'ABS' is a printer's material, and its values are not held", "a rod is one of "),
    (lambda: material_names.bar("ABS"),
     "'ABS' is a printer's material, and its values are not held", "printed materials held are P"),
    (lambda: measuring.uncertainty("micrometer", "depth"),
     "no uncertainty is held for micrometer, depth", "held: outside"),
    (lambda: measuring.uncertainty("eye"), "instrument 'eye' is not known",
     "or give its uncertainty"),
    (lambda: measuring.micrometer_limit(100.5), "no limit is held for 100.5 mm",
     "use a shorter length"),
    (lambda: measuring.caliper_limit(301), "no limit is held for 301 mm", "use a shorter length"),
    (lambda: stock.bars("PLA"), "PLA is not sold as round bar", "ask the shop for its stock"),
    (lambda: stock.bar_for("C45", 151), "no bar of ⌀151 is held for C45", "the largest is ⌀"),
    (lambda: wires.set_wire(0.9), "assigns no wire to pitch 0.9 mm",
     "choose the wire nearest to the best one"),
    (lambda: threads.limits_with_deviation(M9, True, "6g", float("nan")),
     "a deviation of nan µm is not a size", "give a number"),
    (lambda: threads.limits(M9, True, factor=2.5), "a tolerance factor of 2.5 is not allowed",
     "use 1 (as single-start) to 2"),
    (lambda: threads.limits(M9, True, "6k"), "'6k' is not a class for an external metric thread",
     "external classes are pitch grade 3-9 and crest grade 4, 6 or 8"),
    (lambda: threads.limits(M9, False, "6g"), "'6g' is not a class for an internal metric thread",
     "internal classes are grades 4-8 in position G or H"),
    (lambda: threads.iso_engagement(UN), "3/8-32 UNEF is not a metric thread",
     "use a metric thread"),
    (lambda: threads.limits(parse("M46x1"), True), "no tolerances are held for M46x1",
     "metric threads M1 to M45 are"),
    (lambda: threads.limits(parse("M9xPh3P3"), True),
     "no tolerances can be given for pitch 3 mm at diameter 9 mm",
     "the pitch must be 0.2 to 4.5 mm and no coarser than coarse"),
    (lambda: threads.limits(UN, True, "2B"),
     "'2B' is not a class held for an external unified thread", "use 2A or 3A"),
    (lambda: threads.limits(UN, False, "2A"),
     "'2A' is not a class held for an internal unified thread", "use 2B or 3B"),
    (lambda: threads.limits(parse("2 1/2-12 UN"), True), "no tolerances are held for 2 1/2-12 UN",
     "unified threads #0 to 2 inch with 4 to 80 threads per inch are"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("ask", "message", "remedy"), REFUSED, ids=lambda x: x if isinstance(x, str) else ""
)
def test_what_is_not_held_is_refused_with_what_is(
    ask: Callable[[], object], message: str, remedy: str
) -> None:
    with pytest.raises(NotHeldError) as e:
        ask()
    assert message in e.value.message
    assert remedy in e.value.remedy
    assert str(e.value) == f"{e.value.message}; {e.value.remedy}"


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda: gears.lead_of("eight"), "'eight' is not a lead screw; write '3 mm' or '8 TPI'"),
        (lambda: gears.lead_of("0 mm"), "'0 mm' is not a lead screw; write '3 mm' or '8 TPI'"),
        (lambda: gears.lead_of("1/0 mm"), "'1/0 mm' is not a lead screw"),
        (lambda: gears.lead_of("x" * 30), f"'{'x' * 20}' is not a lead screw"),
        (lambda: gears.lead_of("0 " + " " * 30 + "mm"), "'0" + " " * 19 + "' is not a lead screw"),
        (lambda: iso_965_1.diameter_range(46), "diameter 46 mm is outside 0.99 to 45 mm"),
        (lambda: wires.over_wires(8.5, 0, 0.75), "wire, pitch and lead must be above 0"),
        (lambda: wires.over_wires(8.5, 0.455, 0, 0.75), "wire, pitch and lead must be above 0"),
        (lambda: wires.over_wires(8.5, 0.455, 0.75, 0), "wire, pitch and lead must be above 0"),
        (lambda: wires.pitch_diameter(1.0, 0.455, 0.75),
         "1 over wires of 0.455 is no reading of a thread of pitch 0.75"),
    ],
    ids=lambda x: x if isinstance(x, str) else "",
)  # fmt: skip
def test_what_is_no_size_is_refused_in_a_sentence(ask: Callable[[], object], said: str) -> None:
    with pytest.raises(ValueError) as e:  # noqa: PT011 (the words are compared below)
        ask()
    assert said in str(e.value)
