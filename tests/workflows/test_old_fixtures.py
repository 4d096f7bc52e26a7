"""Fixtures older than the archive, entered from measurements."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.archive import events, root
from mandrelgen.archive.verify import verify
from mandrelgen.core.errors import InputError
from mandrelgen.spec.old_fixture import read_old
from tests.support.archived import (
    OLD_PLUG,
    enter,
    old,
)


def test_an_old_fixture_is_entered_once_owned_and_sound(tmp_path: Path) -> None:
    archive = tmp_path / "a"
    assert enter(archive, OLD_PLUG) == enter(archive, OLD_PLUG) == "MG-0001"
    store = root.open_root(archive)
    assert events.status_of(store, "MG-0001") is events.Status.RELEASED
    assert verify(store) == ()
    assert (archive / "MG-0001" / "A" / "fixture.toml").read_bytes() == OLD_PLUG.encode()
    changed = OLD_PLUG.replace("diameter = 7.6\n", "diameter = 7.58\n")
    with pytest.raises(InputError, match="reason"):
        enter(archive, changed)
    assert enter(archive, changed, "measured again") == "MG-0001"
    assert events.current(store, "MG-0001").revision == "B"
    assert verify(store) == ()


def test_what_was_not_measured_is_taken_at_its_worst_and_said() -> None:
    m = old(OLD_PLUG)
    assert m.characteristic("spigot1.runout").upper == 0.05
    assert m.characteristic("seat.runout").written == "assumed"
    assert sum("not measured" in n for n in m.notes) == 3
    known = old(OLD_PLUG, **{"end = 22.5": "end = 22.5\nrun_out = 0.01"})
    assert known.characteristic("spigot1.runout").upper == 0.01
    # 6g of M8.5x0.75 (ISO 965-1: es −22, Td2 100 µm): 8.013 − 0.022 and 0.1 below.
    assert (m.threads[0].limits.pitch.min, m.threads[0].limits.pitch.max) == (
        pytest.approx(7.891), pytest.approx(7.991)
    )  # fmt: skip


FAULTS = [
    ("kind = \"plug\"", "kind = \"plough\"", "old.toml:3"),
    ("end = 8.0", "end = 1.0", "ends before"),
    ("start = 10.5", "start = 7.0", "[spigot[1]]"), ("M8.5x0.75", "M8.5x", "not a thread"),
    ("\"micrometer\"", "\"my-eye\"", "uncertainty"), ("[seat]\ndiameter = 10.5\n", "", "seat"),
    ("schema = 1", "schema = 2", "schema"), ("diameter = 7.6\n", "diameter = -7.6\n", "-7.6"),
    ("kind = \"plug\"", "kind = \"cup\"", "counterbore"), ("[thread]", "[thread", "no TOML"),
    ("kind = \"plug\"", "kind = \"spigot\"", "has no thread"), ("[neck]", "[nek]", "nek"),
]  # fmt: skip


@pytest.mark.parametrize(("was", "now", "said"), FAULTS)
def test_faults_of_the_file_are_told_with_their_place(was: str, now: str, said: str) -> None:
    assert OLD_PLUG.count(was) == 1
    with pytest.raises(InputError) as caught:
        read_old(OLD_PLUG.replace(was, now).encode(), "old.toml")
    text = "\n".join(f.line() for f in caught.value.findings)
    assert said.strip("[]") in text
    assert all(f.remedy for f in caught.value.findings)


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=200))
def test_no_file_is_too_odd(data: bytes) -> None:
    with pytest.raises(InputError):
        read_old(data, "old.toml")
