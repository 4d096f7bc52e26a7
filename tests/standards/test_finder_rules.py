"""The rules of the thread finder one by one, on threads made up for it: distance, agreement, order,
and which reading would decide. All by hand from what ``thread_finder`` says at its head.
"""

from __future__ import annotations

import pytest

from mandrelgen.standards.designation import parse
from mandrelgen.standards.thread_finder import (
    KINDS,
    USUAL_UNCERTAINTY,
    Candidate,
    Predicted,
    Reading,
    candidates,
    deciding,
    find,
    predict,
)

M9X075 = {"starts": Reading(1, 0), "ten": Reading(7.5, 0.05)}


@pytest.mark.parametrize(
    ("value", "distance"), [(0.5, 0.5), (1.0, 0.0), (1.4, 0.0), (2.0, 0.0), (2.25, 0.25)]
)
def test_a_value_inside_the_limits_lies_at_no_distance(value: float, distance: float) -> None:
    assert Predicted(1.0, 2.0).distance(value) == distance


def made_up(name: str, **sizes: tuple[float, float]) -> Candidate:
    """A thread whose crest, root, minor, ten and lead are these, and 5 to 6 where none is given."""
    kinds = [k for k in KINDS if k != "starts"]
    return Candidate(parse(name), 0, {k: Predicted(*sizes.get(k, (5.0, 6.0))) for k in kinds})


ONE, TWO = "M9x0.75", "M9xPh1.5P0.75"


@pytest.mark.parametrize(
    ("a", "b", "taken", "kind"),
    [
        # Starts are counted where they differ and were not; else another reading parts them.
        (made_up(ONE), made_up(TWO), (), "starts"),
        (made_up(ONE, lead=(1, 1)), made_up(TWO, lead=(2, 2)), ("starts",), "lead"),
        (made_up(ONE, ten=(1, 1)), made_up(ONE, ten=(2, 2)), (), "ten"),
        # Gaps of 0.2: over 0.03 (crest) it counts more than over 0.05 (root).
        (made_up(ONE, crest=(1, 2), root=(1, 2)), made_up(ONE, crest=(2.2, 3), root=(2.2, 3)), (),
         "crest"),
        # No gap anywhere, however wide the overlap: the middles, 0.5 / 0.05 against 0.2 / 0.03 ...
        (made_up(ONE, root=(4, 6), crest=(5, 5)), made_up(ONE, root=(5, 6), crest=(5, 5.4)), (),
         "root"),
        # ... and 0.2 / 0.03 against 0.3 / 0.05, the smaller shift in the finer reading.
        (made_up(ONE, root=(4, 6), crest=(5, 5)), made_up(ONE, root=(4.6, 6), crest=(5, 5.4)), (),
         "crest"),
        # Where the limits touch at one point there is no gap either.
        (made_up(ONE, ten=(4, 5), minor=(4, 8)), made_up(ONE, ten=(5, 5), minor=(7, 8)), (),
         "minor"),
        # Root and minor part them alike: the one that is still to be taken.
        (made_up(ONE, root=(1, 1), minor=(1, 1)), made_up(ONE, root=(2, 2), minor=(2, 2)),
         ("root",), "minor"),
        (made_up(ONE, root=(1, 1), minor=(1, 1)), made_up(ONE, root=(2, 2), minor=(2, 2)),
         ("minor",), "root"),
    ],
)  # fmt: skip
def test_the_reading_that_parts_two_threads(
    a: Candidate, b: Candidate, taken: tuple[str, ...], kind: str
) -> None:
    readings = {k: Reading(1, USUAL_UNCERTAINTY.get(k, 0.0)) for k in taken}
    assert deciding(a, b, readings) == kind
    assert deciding(b, a, readings) == kind


def test_a_root_or_a_minor_diameter_alone_is_enough() -> None:
    """M9x0.75, ISO 965-1: d1 = 9 − 0.022 − 1.0825 × 0.75 = 8.166; D1 9 − 0.812 = 8.188 at least."""
    for kind, value in (("root", 8.16), ("minor", 8.2), ("crest", 8.95)):
        best = find({kind: Reading(value, 0.05), **M9X075}).matches[0]
        assert best.candidate.designation == parse("M9x0.75")
        assert best.z == 0.0


def test_off_middle_adds_the_squares_counted_in_the_uncertainty() -> None:
    readings = {"crest": Reading(8.9, 0.03), "ten": Reading(7.53, 0.05), "starts": Reading(1, 0)}
    best = find(readings).matches[0]
    crest = best.candidate.predicted["crest"]
    assert best.candidate.designation == parse("M9x0.75")
    assert best.off_middle == pytest.approx(((8.9 - crest.middle) / 0.03) ** 2 + 0.36)
    assert (best.worst, best.z) == ("ten", pytest.approx(0.6))


def test_the_first_reading_is_the_worst_where_all_agree() -> None:
    best = find({"crest": Reading(8.9, 0.03), **M9X075}).matches[0]
    assert (best.worst, best.z, best.agreement) == ("crest", 0.0, 1.0)


def test_the_readings_come_back_with_what_was_found() -> None:
    for text in (8.9, 8.3):  # decided, and not
        readings = {"crest": Reading(text, 0.03), **M9X075}
        assert find(readings).readings == readings


def test_twelve_are_told_and_all_that_agree() -> None:
    few = {"crest": Reading(8.9, 0.03), **M9X075}
    assert len(find(few).within) < 12
    assert len(find(few).matches) == 12
    assert len(find(few, most=1).matches) == max(1, len(find(few).within))
    many = {"crest": Reading(8.9, 0.5)}
    assert len(find(many).matches) == len(find(many).within) > 12


def test_the_best_two_are_parted_and_one_alone_is_not() -> None:
    """Starts were not counted: the best two are of one start and of two."""
    readings = {"crest": Reading(11.9, 0.03), "ten": Reading(8.0, 0.05)}
    for most in (12, 2):
        f = find(readings, most=most)
        a, b = (m.candidate for m in f.matches[:2])
        assert f.decides == deciding(a, b, readings) == "starts"
    nothing = {"crest": Reading(60.0, 0.03)}
    assert not find(nothing).within
    assert find(nothing, most=1).decides is None
    assert find(nothing, most=2).decides is not None


def test_the_best_two_are_parted_not_the_best_and_a_third() -> None:
    """M9x0.75 and M9x0.7 (7.5 and 7.0 over ten), then M9 of 0.7 with two starts."""
    readings = {"crest": Reading(8.9, 0.03), "ten": Reading(7.25, 0.05)}
    f = find(readings)
    a, b, c = (m.candidate for m in f.matches[:3])
    assert (f.decides, deciding(a, b, readings)) == ("ten", "ten")
    assert deciding(a, c, readings) == "starts"


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ({"width": Reading(9, 1)}, "'width' is no reading of a thread; use crest, ten, starts, "),
        ({"crest": Reading(0.0, 0.03)}, "crest = 0 ± 0.03"),
        ({"crest": Reading(9.0, 0.03), "starts": Reading(0, 0)}, "starts = 0 ± 0"),
    ],
)
def test_what_is_no_reading_is_refused(readings: dict[str, Reading], said: str) -> None:
    with pytest.raises(ValueError) as e:  # noqa: PT011 (the words are compared below)
        find(readings)
    assert str(e.value).startswith(said)


@pytest.mark.parametrize("class_", ["6H", "6g", "4g6g"])
def test_a_class_does_not_change_what_is_predicted(class_: str) -> None:
    assert predict(parse(f"M9x0.75-{class_}")) == predict(parse("M9x0.75"))


def test_the_smallest_constant_pitch_inch_thread_is_five_pitches_wide() -> None:
    """5 / 32 inch with 32 threads; of those from 1/64 below, a pitch is more than a fifth."""
    widths = [c.designation for c in candidates() if c.designation.series in ("UN", "UNS")]
    assert min(float(d.diameter / d.pitch) for d in widths) == pytest.approx(5)
    assert min(float(d.diameter) for d in widths) == pytest.approx(25.4 * 5 / 32)
