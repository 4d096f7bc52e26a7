"""Thread gauges worked out by hand, figure by figure: the part, its sizes and what stands by them.

The gauges' limits are those of tests/validation/test_iso_1502.py; general tolerances by ISO
2768-1:1989, class m (over 0.5 to 6: ±0.1, over 6 to 30: ±0.2, angles up to 10 mm: ±1°); centre
holes by ISO 6411 (A1.6: mouth 3.35). The root flat of P/8 lies 3/8 P / tan 30° from the pitch
diameter: 0.487139 for P 0.75, 0.649519 for P 1. Grooves and countersinks clear it by 0.12 a side.
"""

from __future__ import annotations

import pytest

from mandrelgen.design.gauge import Whose, gauge_form, gauge_pair
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.standards.designation import parse
from mandrelgen.standards.iso_1502 import gauges
from mandrelgen.standards.threads import limits

NONE = None


def pair(text: str, external: bool, depth: float = 0.0) -> tuple[Mandrel, Mandrel]:
    return gauge_pair(
        limits(parse(text), external), Whose("heron", "cap", "mouth", "cap, mouth", depth)
    )


def stretches(gauge: Mandrel) -> dict[str, tuple[float, ...]]:
    return {
        s.feature: (s.z0, s.z1, s.d0, s.d1)
        for s in (*gauge.outer, *gauge.inner)
        if not s.feature.startswith("centre")
    }


def near(*values: float) -> object:
    return pytest.approx(values, abs=2e-6)


# Go plug M10x0.75-6G: pitch 9.546861, crest 10.034. Root 9.059722, groove under 9.0597 − 0.24: 8.8.
# 45° of entry: (10.034 − 8.8)/2 = 0.617; flank of 30°: 0.617/tan 30° = 1.068675. 8 pitches: 6.
# End 2 + 1.068675 + 6 + 0.617 = 9.6857, on a tenth 9.7. Handle over 10.034 + 2: 13.
GO_PLUG = {
    "rear": near(-30, -29.5, 12, 13), "handle": near(-29.5, 0, 13, 13),
    "relief": near(0, 2, 8.8, 8.8), "relief.flank": near(2, 3.068675, 8.8, 10.034),
    "thread": near(3.068675, 9.083, 10.034, 10.034), "chamfer": near(9.083, 9.7, 10.034, 8.8),
}  # fmt: skip
# Not-go: pitch 9.672361, crest 9.834741. Root 9.185222: groove 8.9; entry 0.467370, flank 0.809509;
# 3.5 pitches: 2.625; end 2 + 0.809509 + 2.625 + 0.467370 = 5.9019: 6. Handle over 11.835: 12.
NO_PLUG = {
    "rear": near(-30, -29.5, 11, 12), "handle": near(-29.5, 0, 12, 12),
    "relief": near(0, 2, 8.9, 8.9), "relief.flank": near(2, 2.809509, 8.9, 9.834741),
    "thread": near(2.809509, 5.532630, 9.834741, 9.834741),
    "chamfer": near(5.532630, 6, 9.834741, 8.9),
}  # fmt: skip
# Go ring M12x1-6e: pitch 11.288481, crest 10.857468. Root 11.938: mouth over 12.178: 12.2; entry
# (12.2 − 10.857468)/2 = 0.671266; 8 pitches: 8 + 2 · 0.671266 = 9.3425, on a half 9.5. Body over
# 11.938 + 16, on an even: 28.
GO_RING = {
    "body": near(0, 9.5, 28, 28), "countersink.rear": near(0, 0.671266, 12.2, 10.857468),
    "thread": near(0.671266, 8.828734, 10.857468, 10.857468),
    "countersink": near(8.828734, 9.5, 10.857468, 12.2),
}  # fmt: skip
# Not-go: pitch 11.165481, crest 10.948975. Root 11.815: mouth over 12.055: 12.1; entry 0.575513;
# 3.5 + 2 · 0.575513 = 4.651: under 6, so 6 thick with 6 − 4.651 = 1.349, on a tenth 1.3, cut away.
NO_RING = {
    "body": near(0, 6, 28, 28), "counterbore": near(0, 1.3, 12.1, 12.1),
    "countersink.rear": near(1.3, 1.875513, 12.1, 10.948975),
    "thread": near(1.875513, 5.424487, 10.948975, 10.948975),
    "countersink": near(5.424487, 6, 10.948975, 12.1),
}  # fmt: skip


def test_the_parts_by_hand() -> None:
    go, no = pair("M10x0.75-6G", False)
    assert (stretches(go), stretches(no)) == (GO_PLUG, NO_PLUG)
    go, no = pair("M12x1-6e", True)
    assert (stretches(go), stretches(no)) == (GO_RING, NO_RING)
    for gauge in (*pair("M10x0.75-6G", False), go, no):
        (cut,) = (s for s in (*gauge.outer, *gauge.inner) if s.thread is not None)
        assert (cut.feature, cut.thread) == ("thread", gauge.threads[0].form)


def test_a_plug_reaches_past_a_deep_thread() -> None:
    """9 deep and 1 beyond: 10 − 6 − 1.068675 − 0.617 = 2.3143 of groove, on a half 2.5; not-go
    10 − 2.625 − 0.809509 − 0.467370 = 6.0981: 6.5."""
    go, no = pair("M10x0.75-6G", False, 9.0)
    assert stretches(go)["relief"] == near(0, 2.5, 8.8, 8.8)
    assert stretches(no)["relief"] == near(0, 6.5, 8.9, 8.9)
    assert (go.stations["thread.end"], no.stations["thread.end"]) == near(10.2, 10.5)
    said = {d.id: d for d in no.decisions}["relief.diameter"]
    assert said.value == "⌀8.9 × 6.5, 30°"
    assert said.why.endswith("; long enough to reach the end of the work's thread")
    assert (
        "long enough"
        not in {d.id: d for d in pair("M10x0.75-6G", False)[0].decisions}["relief.diameter"].why
    )


def test_a_small_plug_has_a_handle_of_eight_and_a_fast_thread_more_than_one_turn() -> None:
    """M3x0.5: crest 3 + 2 is 5, the least handle 8. P 1, lead 4: 1.2 · 4 = 4.8 of not-go thread."""
    small = stretches(pair("M3x0.5-6H", False)[0])
    assert small["handle"][2] == 8.0
    _, no = pair("M12xPh4P1-6e", True)
    (data,) = no.threads
    assert data.full_pitches == pytest.approx(4.849, abs=1e-3)  # 6 − 2 · 0.575513
    assert data.turns_of_lead == pytest.approx(4.849 / 4, abs=1e-3)
    assert "counterbore" not in stretches(no)


# id: nominal, lower, upper. Limits of the thread by ISO 1502, halves 5.5 and 11 µm; the root clears
# the work's crest: its minor diameter 9.188 + 0.022.
# A chamfer that only breaks an edge: ±5° by the note (common practice, no source).
SIZES_PLUG = {
    "rear.length": (0.5, 0.4, 0.6), "rear.angle": (45, 40, 50),
    "centre.rear.diameter": (3.35, NONE, NONE), "handle.diameter": (13, 12.8, 13.2),
    "handle.length": (30, 29.8, 30.2), "relief.diameter": (8.8, 8.6, 8.8),
    "relief.width": (2, 1.9, 2.1), "relief.flank.angle": (30, 29, 31),
    "thread.end": (9.7, 9.5, 9.9), "thread.major_diameter": (10.034, 10.023, 10.045),
    "thread.pitch_diameter": (9.546861, 9.541361, 9.552361),
    "thread.minor_diameter": (9.188, NONE, 9.21), "thread.pitch": (0.75, NONE, NONE),
    "thread.lead": (0.75, NONE, NONE), "thread.starts": (1, NONE, NONE),
    "thread.roughness": (0, NONE, 0.4), "centre.nose.diameter": (3.35, NONE, NONE),
    "chamfer.diameter": (8.8, 8.6, 8.8), "chamfer.angle": (45, 44, 46),
}  # fmt: skip
# Halves 7 and 14 µm; the root clears the work's major diameter, 12 − 0.060.
SIZES_RING = {
    "counterbore.diameter": (12.1, 12.1, 12.3), "counterbore.depth": (1.3, 1.2, 1.4),
    "countersink.rear.angle": (45, 44, 46), "body.diameter": (28, 27.8, 28.2),
    "body.length": (6, 5.9, 6.1), "thread.major_diameter": (12, 11.94, NONE),
    "thread.pitch_diameter": (11.165481, 11.158481, 11.172481),
    "thread.minor_diameter": (10.948975, 10.934975, 10.962975), "thread.pitch": (1, NONE, NONE),
    "thread.lead": (1, NONE, NONE), "thread.starts": (1, NONE, NONE),
    "thread.roughness": (0, NONE, 0.4), "countersink.diameter": (12.1, 12.1, 12.3),
    "countersink.angle": (45, 44, 46),
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "which", "wanted"), [("M10x0.75-6G", 0, SIZES_PLUG), ("M12x1-6e", 1, SIZES_RING)]
)
def test_every_size_and_its_limits(
    text: str, which: int, wanted: dict[str, tuple[float, float | None, float | None]]
) -> None:
    gauge = pair(text, text.endswith("e"))[which]
    found = {c.id: (c.nominal, c.lower, c.upper) for c in gauge.characteristics}
    assert set(found) == set(wanted)
    for id, values in wanted.items():
        for one, other in zip(found[id], values, strict=True):
            assert one == (None if other is None else pytest.approx(other, abs=2e-6)), id


def test_a_plain_ring_has_a_countersink_at_both_ends() -> None:
    found = {c.id: c for c in pair("M12x1-6e", True)[0].characteristics}
    assert (found["countersink.rear.diameter"].lower, found["countersink.rear.diameter"].upper) == (
        12.2, pytest.approx(12.4),
    )  # fmt: skip
    assert "counterbore.depth" not in found


def test_what_stands_by_a_size() -> None:
    """ISO 1502 stands by crest and pitch diameter; the root only clears the work. The thread's
    diameters are printed to a tenth of a micrometre, and are what the gauge hangs on."""
    for text, founded, by_standard in (
        ("M10x0.75-6G", "ISO 1502:1996 (read)", ("major", "pitch")),
        ("M12x1-6e", "ISO 1502:1996 (from memory)", ("minor", "pitch")),
    ):
        for word, gauge in zip(("GO", "NOT GO"), pair(text, text.endswith("e")), strict=True):
            found = {c.id: c for c in gauge.characteristics}
            for kind in ("major", "pitch", "minor"):
                size = found[f"thread.{kind}_diameter"]
                clear = "clears the crest of the work; common practice, no source"
                assert size.source == (founded if kind in by_standard else clear)
                assert size.places == 4
                assert size.functional
                assert size.written == word
                root = kind == "minor" and text.endswith("G")
                assert size.decision == ("thread.root" if root else "thread.limits")
            assert found["thread.pitch"].source == "ISO 68-1"
            assert found["thread.lead"].source == "Ph = n P"
            assert found["thread.starts"].source == "as the work's thread"
            assert found["thread.starts"].kind is Kind.COUNT
            assert found["thread.starts"].unit == ""
            assert found["thread.roughness"].source.startswith("ISO 1302:2002 (Ra); ")
            assert found["thread.roughness"].unit == "µm"
            assert {c.places for c in gauge.characteristics if "diameter" not in c.id} == {3}


def test_decisions_say_what_was_chosen() -> None:
    go, _ = pair("M10x0.75-6G", False)
    said = {d.id: d for d in go.decisions}
    assert said["thread.limits"].value == "pitch diameter 9.5469 ± 0.0055"
    assert "for class 6G" in said["thread.limits"].why
    assert "of 132 µm; values read" in said["thread.limits"].why
    assert said["thread.limits"].source == said["thread.wear"].source == "ISO 1502:1996 (read)"
    assert said["thread.wear"].value == "pitch diameter down to 9.5294"
    assert said["thread.root"].value == "flat of P/8 in the model, ⌀9.06"
    assert (said["thread.roughness"].what, said["thread.roughness"].value) == ("flanks", "Ra 0.4")
    assert said["thread.length"].value == "8 pitches, 6.01 mm"
    assert said["handle.diameter"].value == "⌀13 × 30"
    assert said["relief.diameter"].value == "⌀8.8 × 2, 30°"
    assert said["chamfer.diameter"].value == "45° down to ⌀8.8"
    for end in ("rear", "nose"):
        assert said[f"centre.{end}"].why == "the thread is ground and measured between centres"
        assert said[f"centre.{end}"].value == "ISO 6411 - A1.6/3.35, required"
    _, ring = pair("M12x1-6e", True)
    said = {d.id: d for d in ring.decisions}
    assert said["thread.wear"].value == "pitch diameter up to 11.1775"
    assert said["body.diameter"].value == "⌀28 × 6"
    assert said["body.diameter"].why.startswith("a wall of 8 round the thread")
    assert said["countersink.diameter"].value == "⌀12.1, 45°"
    for gauge in (*pair("M10x0.75-6G", False), *pair("M12x1-6e", True)):
        assert all(d.what and d.value and d.why and d.source for d in gauge.decisions)
        assert {c.decision for c in gauge.characteristics} <= {d.id for d in gauge.decisions}


def test_whose_gauge_it_is_and_what_stands_on_it() -> None:
    go, no = pair("M10x0.75-6G", False)
    for gauge, word in ((go, "GO"), (no, "NOT GO")):
        assert gauge.id == f"{word.lower().replace(' ', '-')}-plug"
        assert gauge.kind is MandrelKind.GAUGE
        assert (gauge.pen, gauge.part, gauge.end) == ("heron", "cap", "mouth")
        assert gauge.title == f"{word} plug M10x0.75-6G"
        assert "of cap, mouth." in gauge.purpose
        assert gauge.ordering.marking == f"{word} M10x0.75-6G"
        assert (gauge.ordering.quantity, gauge.ordering.thread_order) == (1, "ground")
        assert gauge.ordering.material.startswith("tool steel 90MnCrV8")
        (data,) = gauge.threads
        assert data.feature == "thread"
        assert data.order == "ground"
        assert data.partner == limits(parse("M10x0.75-6G"), False)
        assert data.limits.tolerance_class == word
        assert data.limits.measured == ()
        assert data.full_pitches * 0.75 == pytest.approx(
            stretches(gauge)["thread"][1] - stretches(gauge)["thread"][0]
        )
        assert data.limits.external
        assert len(gauge.centre_holes) == 2
        assert gauge.cautions
        assert any("Worn out" in n for n in gauge.notes)
    assert go.stations == {
        "rear": -30.0, "rear.chamfer": -29.5, "seat": 0.0, "relief.end": 2.0, "thread.end": 9.7,
    }  # fmt: skip
    ring = pair("M12x1-6e", True)[1]
    assert ring.stations == {"rear": 0.0, "front": 6.0, "counterbore.end": 1.3}
    assert ring.id == "not-go-ring"
    assert not ring.threads[0].limits.external


def test_a_gauge_is_named_by_the_class_it_tries() -> None:
    """A thread written without its class is 6H inside and 6g outside (ISO 965-1)."""
    assert pair("M10x0.75", False)[0].title == "GO plug M10x0.75-6H"
    assert pair("M12x1-LH", True)[1].ordering.marking == "NOT GO M12x1-6g-LH"


def test_the_modelled_thread_stands_at_the_middle_of_its_limits() -> None:
    work = limits(parse("M12xPh2.4P0.8-6H-LH"), False)
    go, _ = gauges(work)
    form = gauge_form(work, go)
    assert (form.external, form.starts, form.pitch, form.left_hand) == (True, 3, 0.8, True)
    assert (form.crest_diameter, form.pitch_diameter) == (go.crest, go.pitch)
    # 3/8 · 0.8 / tan 30°
    assert form.root_diameter == pytest.approx(go.pitch - 0.519615, abs=1e-6)
    screw = limits(parse("M12x0.8-6g"), True)
    ring, _ = gauges(screw)
    assert gauge_form(screw, ring).root_diameter == pytest.approx(ring.pitch + 0.519615, abs=1e-6)
    assert not gauge_form(screw, ring).external


def test_what_each_size_spans_and_belongs_to() -> None:
    """A length runs between two places of the part; what has no tolerance of its own is general."""
    spans = {
        c.id: (c.between, c.general)
        for gauge in (pair("M10x0.75-6G", False)[0], pair("M12x1-6e", True)[1])
        for c in gauge.characteristics
        if c.between is not None
    }
    assert spans == {
        "rear.length": (("rear", "rear.chamfer"), False),
        "handle.length": (("rear", "seat"), True),
        "relief.width": (("seat", "relief.end"), True),
        "thread.end": (("seat", "thread.end"), True),
        "body.length": (("rear", "front"), True),
        "counterbore.depth": (("rear", "counterbore.end"), True),
    }
    for gauge in (*pair("M10x0.75-6G", False), *pair("M12x1-6e", True)):
        features = {s.feature for s in (*gauge.outer, *gauge.inner)}
        assert {c.feature for c in gauge.characteristics} <= features
        assert {c.id.removesuffix("_diameter") for c in gauge.characteristics if c.functional} == {
            "thread.major", "thread.pitch", "thread.minor",
        }  # fmt: skip
        assert all(c.feature == "thread" for c in gauge.characteristics if c.functional)
