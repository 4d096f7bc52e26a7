"""One command prints every bar; it ends with 1 if one is missed, whichever part it is in."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest

from tests.benchmarks import bars
from tests.benchmarks.bar import Bar


def test_a_bar_is_kept_at_its_limit_and_missed_beyond() -> None:
    assert Bar("x", 2.0, 2.0).met
    assert not Bar("x", 2.01, 2.0).met
    assert Bar("x", 95.0, 95.0, at_most=False).met
    assert not Bar("x", 94.9, 95.0, at_most=False).met
    assert Bar("x", 2.01, 2.0).line().endswith("MISSED")


@pytest.mark.parametrize(("value", "code"), [(1.0, 0), (3.0, 1)])
def test_one_missed_bar_ends_it_with_1_and_the_rest_is_printed_all_the_same(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], value: float, code: int
) -> None:
    def first(size: bars.Size) -> Iterator[Bar]:
        assert size is bars.WHOLE
        yield Bar("first", value, 2.0)

    def second(_: bars.Size) -> Iterator[Bar]:
        yield Bar("second", 0.0, 0.0)

    monkeypatch.setattr(bars, "PARTS", {"a": first, "b": second})
    monkeypatch.setattr(sys, "argv", ["bars", "--whole"])
    assert bars.main() == code
    said = capsys.readouterr().out
    assert "second" in said
    assert f"{2 - code} of 2 bars met" in said
    monkeypatch.setattr(sys, "argv", ["bars", "nothing"])
    with pytest.raises(SystemExit):
        bars.main()


def test_the_bar_of_the_read_back_can_be_taken() -> None:
    """What is read back there is whole: no finding stands against it."""
    from tests.benchmarks import readback

    again, _ = readback.pair()
    again()
