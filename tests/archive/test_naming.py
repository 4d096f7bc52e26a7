"""The archive's names: revisions, numbers, and the design hash."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.archive.design_hash import design_hash
from mandrelgen.archive.disk.messages import name_fault
from mandrelgen.archive.naming import (
    check_prefix,
    next_revision,
    number_count,
    number_text,
    numbers_among,
    parse_revision_folder,
    revision_folder,
    revision_order,
)
from mandrelgen.core.errors import InputError
from mandrelgen.model.mandrel import Flats, Mandrel
from tests.support.archive_builds import mandrel

# Names.


def test_revisions_follow_the_drawing_office() -> None:
    # Letters skip I O Q S X Z (ASME Y14.35 custom); AA follows Y: from memory.
    row = ["A"]
    while row[-1] != "AA":
        row.append(next_revision(row[-1]))
    assert " ".join(row) == "A B C D E F G H J K L M N P R T U V W Y AA"
    for bad in ("", "I", "a", "YY", "A1"):
        with pytest.raises(ValueError, match="revision"):
            next_revision(bad)


@given(st.integers(0, 20 + 20 * 20 - 1), st.integers(1, 50))
def test_every_revision_is_new_later_short_and_free_of_look_alikes(steps: int, draft: int) -> None:
    revision = "A"
    for _ in range(steps):
        after = next_revision(revision)
        assert revision_order(after, 1) > revision_order(revision, 9999)
        revision = after
    assert 1 <= len(revision) <= 2  # ISO 7200:2004: the revision index has two characters
    assert not set(revision) & set("IOQSXZ")
    assert revision.isupper()
    assert parse_revision_folder(revision_folder(revision, draft)) == (revision, draft)
    assert name_fault(revision_folder(revision, draft)) == ""


def test_numbers_fit_the_title_block() -> None:
    # ISO 7200:2004: the identification number has 16 characters.
    assert number_text("PEN", 1) == "PEN-0001"
    assert number_text("PEN", 12345) == "PEN-12345"
    assert len(number_text(check_prefix("A" * 10), 99999)) == 16
    with pytest.raises(InputError, match="16"):
        number_text("A" * 10, 100000)
    assert [number_count("PEN", t) for t in ("PEN-0042", "PEN-12345", "PEN-00042", "PEN-0000")] == [
        42,
        12345,
        None,
        None,
    ]
    for bad in ("", "pen", "1PEN", "PEN-", "A" * 11, "../A"):
        with pytest.raises(InputError, match="prefix"):
            check_prefix(bad)


@given(
    st.lists(st.one_of(
        st.integers(0, 10**12).map("MG-{}".format),
        st.integers(0, 10**12).map("MG-{:04d}".format),
        st.from_regex(r"(MG|M|MGG|mg)-[0-9\n٣]{3,6}", fullmatch=True),
    )),
)  # fmt: skip
def test_a_number_is_what_its_count_is_written_as_and_they_ascend(names: list[str]) -> None:
    counts = {}
    for name in names:
        digits = name.removeprefix("MG-")
        written = digits.isdecimal() and int(digits) > 0 and name == f"MG-{int(digits):04d}"
        expected = int(digits) if written and len(name) <= 16 else None
        assert number_count("MG", name) == expected
        if expected is not None:
            counts[name] = expected
    wanted = [n for n in sorted(names, key=lambda n: counts.get(n, 0)) if n in counts]
    assert list(numbers_among("MG", names)) == wanted


# The design hash.


def test_the_design_hash_is_sha256_of_this_very_text() -> None:
    small = mandrel(threads=(), centre_holes=(), flats=None)
    rows = [
        '{"between":null,"datum":"","feature":"shank","id":"shank.length","kind":"length",'
        '"lower":"39.700000000","nominal":"40.000000000","unit":"mm","upper":"40.300000000"}',
        '{"between":null,"datum":"","feature":"spigot1","id":"spigot1.diameter",'
        '"kind":"diameter","lower":"8.180000000","nominal":"8.200000000","unit":"mm",'
        '"upper":"8.200000000"}',
    ]
    text = (
        '{"centre_holes":[],"characteristics":[' + ",".join(rows) + '],"flats":null,'
        '"kind":"plug","ordering":{"marking":"HERON","material":"6082 T6",'
        '"soft_washer":"0.000000000","thread_order":"single-point"},'
        '"schema":"1.000000000","threads":[]}'
    )
    assert design_hash(small) == hashlib.sha256(text.encode()).hexdigest()


def changed_form(**changes: object) -> Callable[[Mandrel], Mandrel]:
    def change(m: Mandrel) -> Mandrel:
        form = dataclasses.replace(m.threads[0].form, **changes)
        return dataclasses.replace(m, threads=(dataclasses.replace(m.threads[0], form=form),))

    return change


def ordered(**changes: object) -> Callable[[Mandrel], Mandrel]:
    return lambda m: dataclasses.replace(m, ordering=dataclasses.replace(m.ordering, **changes))


def characterised(**changes: object) -> Callable[[Mandrel], Mandrel]:
    def change(m: Mandrel) -> Mandrel:
        first, *rest = m.characteristics
        return dataclasses.replace(
            m, characteristics=(dataclasses.replace(first, **changes), *rest)
        )

    return change


@pytest.mark.parametrize(
    "change",
    [
        characterised(nominal=8.20001),
        characterised(lower=None),
        characterised(datum="A"),
        characterised(between=("seat", "nose")),
        changed_form(left_hand=True),
        changed_form(starts=2),
        ordered(material="11SMn30"),
        ordered(marking="OTHER"),
        ordered(thread_order="die"),
        ordered(soft_washer=0.5),
        lambda m: dataclasses.replace(m, flats=Flats(-10, -4, 9)),
        lambda m: dataclasses.replace(m, centre_holes=()),
        lambda m: dataclasses.replace(m, characteristics=m.characteristics[:1]),
    ],
)
def test_another_part_has_another_hash(change: Callable[[Mandrel], Mandrel]) -> None:
    assert design_hash(change(mandrel())) != design_hash(mandrel())


@pytest.mark.parametrize(
    "change",
    [
        characterised(nominal=8.2 + 1e-12, source="other", decision="x", written="h7"),
        ordered(quantity=3, collet="other"),
        lambda m: dataclasses.replace(m, title="Other", purpose="x", notes=("n",), decisions=()),
        lambda m: dataclasses.replace(m, pen="other", part="other", end="closed", id="other"),
        lambda m: dataclasses.replace(m, characteristics=m.characteristics[::-1]),
    ],
)
def test_words_and_names_do_not_change_the_hash(change: Callable[[Mandrel], Mandrel]) -> None:
    assert design_hash(change(mandrel())) == design_hash(mandrel())


def test_a_whole_number_and_minus_zero_are_the_same_as_floats() -> None:
    one = characterised(nominal=12, lower=-0.0)(mandrel())
    two = characterised(nominal=12.0, lower=0.0)(mandrel())
    assert design_hash(one) == design_hash(two)
    with pytest.raises(ValueError, match="nan"):
        design_hash(characterised(nominal=float("nan"))(mandrel()))
    with pytest.raises(ValueError, match="share one id"):
        design_hash(characterised(id="shank.length")(mandrel()))
