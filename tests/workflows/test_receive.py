"""What arrived: from a published record to a verdict and an event beside it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from mandrelgen.archive import design_hash, events, numbering, publish, root
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.records import EventKind
from mandrelgen.archive.verify import verify
from mandrelgen.assess.settled import designs
from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.receive import read_file, receive
from mandrelgen.workshop.receipt.readings import Given, parse
from tests.support.commands import here

DAY = "2026-05-31"
GOOD = ("spigot1.diameter=7.652@micrometer", "shank.diameter=9.99@micrometer")
BAD = ("spigot1.diameter=7.70@micrometer",)


# The heron with a spigot, a slim shank and flats asked for: more to read.
HERON = starter("pen", "heron") + (
    b"\n[mandrels.defaults]\nspigot_length = 15.3\nshank_diameter = 10.0\nflats = true\n"
)


def the_plug() -> Mandrel:
    pen = read_pen(HERON, "heron.toml")
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    return next(
        d.mandrel for d in designs(pen, shop) if d.mandrel and d.mandrel.id == "barrel-mouth-plug"
    )


PLUG = the_plug()


@pytest.fixture
def archive(tmp_path: Path) -> tuple[Path, str, Path]:
    """An archive with one fixture: its folder, the number, the revision's folder."""
    store = root.open_root(tmp_path / "a")
    plan = numbering.assign(store, design_hash.slot_of(PLUG), design_hash.design_hash(PLUG))
    files = publish.input_files(PLUG, HERON, starter("shop", "bench"))
    entry = publish.publish(store, plan, files, publish.make_record(plan, PLUG, DAY, "test"))
    return tmp_path / "a", entry.number, entry.folder


def readings(*texts: str) -> list[Given]:
    return [parse(t) for t in texts]


def test_a_mandrel_comes_back_from_its_record(archive: tuple[Path, str, Path]) -> None:
    again = read_mandrel(archive[2])
    assert again == PLUG
    assert design_hash.design_hash(again) == design_hash.design_hash(PLUG)


def test_readings_are_judged_and_kept(archive: tuple[Path, str, Path]) -> None:
    folder, number, revision = archive
    before = {p: p.read_bytes() for p in revision.iterdir()}
    first = receive(folder, number, readings(*GOOD), DAY, by="O. Alder")
    assert first.event == "received"
    assert first.judgement.verdict.value.startswith("cannot be decided")
    second = receive(folder, number, readings(*BAD), DAY)
    assert second.event == "measured"
    assert second.judgement.verdict.value == "reject"
    assert next(f.level.value for f in second.findings) == "error"
    kept = events.events_of(root.open_root(folder), number)
    assert [e.kind for e in kept] == [EventKind.RECEIVED, EventKind.MEASURED]
    assert kept[0].by == "O. Alder"
    (shank,) = [r for r in kept[0].data["readings"] if r["id"] == "shank.diameter"]
    assert shank == {
        "id": "shank.diameter", "value": 9.99, "read": 9.99, "uncertainty": 0.004,
        "instrument": "micrometer", "verdict": "accept",
    }  # fmt: skip
    assert "thread.pitch_diameter" in kept[0].data["missing"]
    # The record itself is never touched, and the archive stays sound.
    assert {p: p.read_bytes() for p in revision.iterdir()} == before
    assert list(verify(root.open_root(folder))) == []


def test_a_reading_leaves_the_status_alone(archive: tuple[Path, str, Path]) -> None:
    folder, number, _ = archive
    store = root.open_root(folder)
    receive(folder, number, readings(*GOOD), DAY)
    assert events.status_of(store, number) is events.Status.IN_PREPARATION
    events.release(store, number, DAY)
    receive(folder, number, readings(*BAD), DAY)
    assert events.status_of(store, number) is events.Status.RELEASED


def test_a_trial_stores_nothing(archive: tuple[Path, str, Path]) -> None:
    folder, number, _ = archive
    done = receive(folder, number, readings(*GOOD), DAY, keep=False)
    assert done.event == ""
    assert events.events_of(root.open_root(folder), number) == ()


def test_play_is_worked_out_again(archive: tuple[Path, str, Path]) -> None:
    """8.6558 over 0.455: 7.940 + 3 × 0.455 − 0.8660 × 0.75 + 0.0003, so E = 7.940: play 0.069 to
    0.209 in 6H (8.013 to 8.145), U 0.004."""
    folder, number, _ = archive
    shop = folder / "mine.toml"
    shop.write_text('schema = 1\n[instruments.w]\nkind = "wires"\nuncertainty = 0.004\n', "utf-8")
    given = readings("thread.pitch_diameter=8.6558@w:0.455")
    (p,) = receive(folder, number, given, DAY, shop_path=shop).play
    assert p.made.pitch_min == pytest.approx(0.069, abs=0.001)
    assert p.made.pitch_max == pytest.approx(0.209, abs=0.001)
    assert (p.designed.pitch_min, p.designed.pitch_max) == pytest.approx((0.022, 0.254))
    (event,) = events.events_of(root.open_root(folder), number)
    (kept,) = event.data["readings"]
    assert (kept["read"], kept["wire"], kept["instrument"]) == (8.6558, 0.455, "w")
    # Other readings leave it as it was made.
    assert receive(folder, number, readings(*GOOD), DAY).play == (p,)


FILES = {
    "a.csv": "id,value,instrument\nspigot1.diameter,7.652,micrometer\n# a remark\n\n29,9.99\n",
    "b.csv": "29;9,99;micrometer\nthread.pitch_diameter;8,657;wires;0,455\n",
    "c.toml": 'spigot1.diameter = 7.652\n29 = ["9.99@micrometer", 9.991]\n',
    "d.toml": '[readings]\n"thread.pitch_diameter" = "8.657@wires:0.455"\n'
    'seat.runout = "pass@dial"\n',
    "e.json": '{"spigot1": {"diameter": 7.652}, "29": ["9.99@micrometer", {"value": 9.991, '
    '"uncertainty": 0.002, "instrument": "report"}]}',
    "f.json": '[{"id": "thread.pitch_diameter", "value": 8.657, "instrument": "wires", '
    '"wire": 0.455}]',
    "g.csv": "No.;instrument;U;read\n29;report;0,002;9,991\n",
}


@pytest.mark.parametrize("name", FILES)
def test_files_of_readings(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_text(FILES[name], "utf-8")
    got = read_file(path)
    assert {
        "a.csv": [Given("spigot1.diameter", 7.652, "micrometer"), Given("29", 9.99)],
        "b.csv": [
            Given("29", 9.99, "micrometer"),
            Given("thread.pitch_diameter", 8.657, "wires", 0.455),
        ],
        "c.toml": [Given("spigot1.diameter", 7.652), Given("29", 9.99, "micrometer"),
                   Given("29", 9.991)],
        "d.toml": [
            Given("thread.pitch_diameter", 8.657, "wires", 0.455),
            Given("seat.runout", instrument="dial", passed=True),
        ],
        "e.json": [
            Given("spigot1.diameter", 7.652), Given("29", 9.99, "micrometer"),
            Given("29", 9.991, "report", uncertainty=0.002),
        ],
        "f.json": [Given("thread.pitch_diameter", 8.657, "wires", 0.455)],
        "g.csv": [Given("29", 9.991, "report", uncertainty=0.002)],
    }[name] == list(got)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("x.csv", b"spigot1.diameter\n", "x.csv:1"), ("x.csv", b"\xff\xfe\x00", "UTF-8"),
        ("x.toml", b"= 3", "no TOML"), ("x.toml", b"a = true\n", "a is no reading"),
        ("x.csv", b"a,b\n", "not a reading"), ("x.json", b"{", "no JSON"),
        ("x.json", b'[{"value": 3}]', "no reading"), ("x.json", b"3", "no reading"),
        ("x.json", b'{"a": {"value": 3, "odd": 1}}', "no reading"),
        ("x.json", b'{"a": NaN}', "not a reading"), ("x.json", b"[" * 99999, "x.json"),
    ],
)  # fmt: skip
def test_bad_files_are_told(tmp_path: Path, name: str, data: bytes, said: str) -> None:
    (tmp_path / name).write_bytes(data)
    with pytest.raises(InputError) as caught:
        read_file(tmp_path / name)
    assert said in caught.value.findings[0].line()


def test_faults_of_the_archive_are_told(archive: tuple[Path, str, Path], tmp_path: Path) -> None:
    folder, number, revision = archive
    for bad in (
        lambda: receive(tmp_path / "none", number, readings(*GOOD), DAY),
        lambda: receive(folder, "MG-0999", readings(*GOOD), DAY),
        lambda: receive(folder, number, [], DAY),
        lambda: receive(folder, number, readings(*GOOD), DAY, revision="K"),
        lambda: receive(folder, number, readings(*GOOD), DAY, shop_path=tmp_path / "no.toml"),
        lambda: read_file(tmp_path / "no.csv"),
    ):
        with pytest.raises(InputError) as caught:
            bad()
        assert caught.value.findings[0].remedy
    (revision / "mandrel.json").write_text('{"id": 3}', "utf-8")
    with pytest.raises(DiskError, match=r"mandrel\.json"):
        receive(folder, number, readings(*GOOD), DAY)


def test_the_here(archive: tuple[Path, str, Path]) -> None:
    folder, number, _ = archive
    where = ("--to", str(folder), "--date", DAY)
    done = here("receive", number, *where, "--reading", GOOD[0], "--json")
    assert done.returncode == 0, done.stderr
    view = json.loads(done.stdout)
    assert view["event"] == "received"
    assert {f["code"] for f in view["findings"]} == {"received.missing"}
    done = here("receive", number, *where, "--reading", BAD[0], "--try")
    assert done.returncode == 1
    assert "reject" in done.stdout
    assert "not stored" in done.stdout
    done = here("receive", number, *where, "--reading", "x")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_the_turner_s_pages_by_here(tmp_path: Path) -> None:
    (tmp_path / "heron.toml").write_bytes(starter("pen", "heron"))
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    pen = str(tmp_path / "heron.toml")
    done = here("lathe", pen, "--mandrel", "cap-mouth-plug")
    assert done.returncode == 0, done.stderr
    for word in ("24/30", "120°", "towards the seat by hand", "Inspection sheet"):
        assert word in done.stdout
    done = here("lathe", pen, "--json")
    assert len(json.loads(done.stdout)["turner"]) == 4
    assert here("lathe", pen, "--mandrel", "x").returncode == 2
    done = here("papers", pen, "--date", DAY, "--json")
    assert "EN 10204" in json.loads(done.stdout)["email_strict"]
    assert "Route card" in here("papers", pen, "--date", DAY).stdout
