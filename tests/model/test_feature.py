"""A feature's text and its parts are the same thing; only one module takes an id apart."""

from __future__ import annotations

import json
import pickle
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import mandrelgen
from mandrelgen.archive.mandrel_json import revive
from mandrelgen.model.feature import Feature, FeatureKind, MandrelEnd, from_the_second, own_name
from mandrelgen.model.mandrel import Stretch

KINDS = st.sampled_from([k for k in FeatureKind if k is not FeatureKind.OTHER])
WORDS = st.from_regex(r"[a-z]{1,8}(\.[a-z]{1,8})?", fullmatch=True)


@given(KINDS, st.integers(0, 99), st.one_of(st.just(""), WORDS), st.sampled_from(MandrelEnd))
def test_the_parts_come_back_from_the_text(
    kind: FeatureKind, number: int, detail: str, end: MandrelEnd
) -> None:
    found = Feature.of(kind, number=number, detail=detail, end=end)
    assert (found.kind, found.number, found.detail, found.end) == (kind, number, detail, end)


@given(st.text(max_size=24))
def test_any_text_is_kept_whatever_it_says(text: str) -> None:
    found = Feature(text)
    parts = Feature.of(found.kind, number=found.number, detail=found.detail, end=found.end)
    assert found == text == parts
    assert found.end.named(found.own) == text


@pytest.mark.parametrize(
    ("text", "end", "kind", "number", "detail"),
    [
        ("seat", MandrelEnd.FIRST, FeatureKind.SEAT, 0, ""),
        ("b.spigot1", MandrelEnd.SECOND, FeatureKind.SPIGOT, 1, ""),
        ("a.thread", MandrelEnd.OTHER, FeatureKind.THREAD, 0, ""),
        ("relief.flank", MandrelEnd.FIRST, FeatureKind.RELIEF, 0, "flank"),
        ("centre.rear", MandrelEnd.FIRST, FeatureKind.CENTRE, 0, "rear"),
        ("b.tenon.chamfer", MandrelEnd.SECOND, FeatureKind.OTHER, 0, "tenon.chamfer"),
        ("spigot01", MandrelEnd.FIRST, FeatureKind.OTHER, 0, "spigot01"),
    ],
)
def test_ids_that_drawings_and_records_hold(
    text: str, end: MandrelEnd, kind: FeatureKind, number: int, detail: str
) -> None:
    found = Feature(text)
    assert (found.end, found.kind, found.number, found.detail) == (end, kind, number, detail)


def test_json_and_another_process_get_the_text() -> None:
    assert json.dumps({"feature": Feature("b.seat")}) == '{"feature": "b.seat"}'
    again = pickle.loads(pickle.dumps(Feature("b.seat")))
    assert (again, type(again)) == ("b.seat", Feature)


def test_a_record_of_text_reads_as_features() -> None:
    s = revive(Stretch, {"feature": "b.spigot2", "z0": 0, "z1": 1, "d0": 5, "d1": 5})
    assert (s.feature.kind, s.feature.number) == (FeatureKind.SPIGOT, 2)


def test_seen_from_the_second_end_its_names_stand_bare() -> None:
    assert from_the_second("b.seat.runout") == "seat.runout"
    assert from_the_second("seat.runout") == "a.seat.runout"
    assert own_name(from_the_second("seat.runout")) == "seat.runout"


# The mark of an end, taken off or put on by hand; numbers stripped off a spigot's name.
_SURGERY = re.compile(
    r"""PREFIX_B|["'][ab]\.["']|strip\(["']12["']\)|removesuffix\(["']thread["']\)
    |startswith\(\(?["'](spigot|register|relief|seat|thread)|feature\w*\.(split|rsplit)\(
    |feature\w*\.(endswith|removeprefix|partition)\(""",
    re.VERBOSE,
)


def test_no_other_module_takes_an_id_apart() -> None:
    package = Path(mandrelgen.__file__).parent
    found = [
        f"{path.relative_to(package)}:{n}"
        for path in sorted(package.rglob("*.py"))
        if path.name != "feature.py"
        for n, line in enumerate(path.read_text("utf-8").splitlines(), 1)
        if _SURGERY.search(line)
    ]
    assert found == []
