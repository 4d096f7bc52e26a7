"""A newcomer's way through the archive, by the commands alone: five old fixtures are entered from
measurements, a set for a new pen is made without the two that need not be ordered, fixtures are
revised before and after they were made, the index is deleted, and everything is found again."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from mandrelgen.cli.app import main
from mandrelgen.spec.starters import starter
from tests.support.archived import DAY, OLD_CUP, OLD_PLUG, OLD_SPIGOT
from tests.workflows.test_reuse import CUP, PLUG

OLD = {
    "tin-3": PLUG, "tin-4": CUP, "box-1": OLD_CUP, "jar-2": OLD_SPIGOT,
    "tin-5": OLD_PLUG.replace("tin-3", "tin-5").replace("M8.5x0.75", "M10x1")
    .replace("crest = 8.41", "crest = 9.9"),
}  # fmt: skip
# The cap's tap, measured again and again.
CAP, CAP_AGAIN = {"tap_lead = 1.6": "tap_lead = 1.8"}, {"tap_lead = 1.6": "tap_lead = 2.0"}


class Bench:
    """The maker's folder, and the commands typed in it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.archive = folder / "drawer"

    def say(self, *args: str, code: int = 0) -> str:
        """What a command prints."""
        done = CliRunner().invoke(main, [*args, "--to", str(self.archive)])
        assert done.exit_code == code, done.output
        return done.output

    def ask(self, *args: str) -> dict[str, Any]:
        """What a command prints with --json."""
        done = CliRunner().invoke(main, [*args, "--to", str(self.archive), "--json"])
        assert done.exit_code == 0, done.output
        found: dict[str, Any] = json.loads(done.stdout)
        return found

    def pen(self, **changes: str) -> str:
        """The pen file, the heron with changes."""
        text = starter("pen", "heron").decode()
        for old, new in changes.items():
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        (self.folder / "heron.toml").write_text(text, "utf-8")
        return str(self.folder / "heron.toml")

    def make(self, pen: str, *args: str) -> tuple[dict[str, str], dict[str, Any]]:
        """Mandrel -> number and folder of what is made, and the whole answer."""
        view = self.ask("make", pen, "--date", DAY, *args)
        names = {m["id"]: f"{m['number']} {Path(m['folder']).name}" for m in view["mandrels"]}
        return names, view

    def names(self, *args: str) -> list[str]:
        """Number and revision of what is found."""
        return [f"{f['number']} {f['revision']}" for f in self.ask("find", *args)["fixtures"]]

    def ordered(self, view: dict[str, Any]) -> list[str]:
        """What the order of a ``make`` asks for."""
        items = json.loads((Path(view["order"]) / "order.json").read_text("utf-8"))["items"]
        return [f"{i['number']} {i['revision']}" for i in items]


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    return Bench(tmp_path)


def test_from_five_old_fixtures_to_a_pen_with_two_mandrels_less(bench: Bench) -> None:
    enter_the_old_ones(bench)
    make_a_pen_without_two(bench)
    change_before_anything_is_sent(bench)
    change_what_the_turner_has(bench)
    change_what_has_arrived(bench)
    measure_an_old_one_again(bench)
    lose_the_index(bench)
    find_everything(bench)


def enter_the_old_ones(bench: Bench) -> None:
    for n, (name, text) in enumerate(OLD.items(), 1):
        (bench.folder / f"{name}.toml").write_text(text, "utf-8")
        said = bench.say("adopt", str(bench.folder / f"{name}.toml"), "--date", DAY)
        assert f"MG-000{n} A" in said
    assert bench.names("M8.5x0.75") == ["MG-0001 A", "MG-0002 A"]
    assert bench.names("M9x0.75 LH") == ["MG-0003 A"]


def make_a_pen_without_two(bench: Bench) -> None:
    """Two of the new pen's four mandrels are in the drawer."""
    pen = bench.pen()
    checked = bench.ask("check", pen)
    told = {f["where"]: f for f in checked["findings"] if f["code"] == "reuse.would-do"}
    assert set(told) == {"barrel-mouth-plug", "section-rear-cup"}
    assert "use MG-0001" in told["barrel-mouth-plug"]["remedy"]
    assert "use MG-0002" in told["section-rear-cup"]["remedy"]
    made, view = bench.make(pen)
    assert made == {"cap-mouth-plug": "MG-0006 A"}
    assert bench.ordered(view) == ["MG-0006 A"]


def change_before_anything_is_sent(bench: Bench) -> None:
    """A change of the cap is the next draft of the same revision."""
    pen = bench.pen(**CAP)
    made, view = bench.make(pen)
    assert made == {"cap-mouth-plug": "MG-0006 A.2"}
    assert bench.ordered(view) == ["MG-0006 A"]


def change_what_the_turner_has(bench: Bench) -> None:
    """From the release on a change needs a reason, and only what changed is ordered."""
    for number in ("MG-0006",):
        bench.say("release", number, "--date", DAY)
    pen = bench.pen()
    assert "--reason" in bench.say("make", pen, "--date", DAY, code=2)
    made, view = bench.make(pen, "--reason", "the cap was measured again")
    assert made == {"cap-mouth-plug": "MG-0006 B"}
    assert bench.ordered(view) == ["MG-0006 B"]


def change_what_has_arrived(bench: Bench) -> None:
    """It was made from the draft, never released, and arrived: it exists, so B stays what it is."""
    gauged = "thread.pitch_diameter=pass@ring-gauge"
    bench.say("receive", "MG-0006", "--reading", gauged, "--date", DAY)
    pen = bench.pen(**CAP_AGAIN)
    assert "received" in bench.say("make", pen, "--date", DAY, code=2)
    made, view = bench.make(pen, "--reason", "the tap was ground")
    assert made == {"cap-mouth-plug": "MG-0006 C"}
    assert bench.ordered(view) == ["MG-0006 C"]


def measure_an_old_one_again(bench: Bench) -> None:
    """It needs a reason too, and becomes the next revision."""
    again = OLD["jar-2"].replace("run_out = 0.02", "run_out = 0.03")
    (bench.folder / "jar-2.toml").write_text(again, "utf-8")
    bench.say("adopt", str(bench.folder / "jar-2.toml"), code=2)
    said = bench.say("adopt", str(bench.folder / "jar-2.toml"), "--reason", "measured again")
    assert "MG-0004 B" in said


def lose_the_index(bench: Bench) -> None:
    """Everything is found all the same."""
    before = bench.ask("find", "--all")
    shutil.rmtree(bench.archive / ".cache")
    assert bench.ask("find", "--all") == before


def find_everything(bench: Bench) -> None:
    """By pen, thread, words and what it holds; the archive is sound."""
    assert bench.names("--pen", "adopted") == [
        "MG-0001 A", "MG-0002 A", "MG-0003 A", "MG-0004 B", "MG-0005 A"
    ]  # fmt: skip
    assert bench.names("M12xPh2.4P0.8") == ["MG-0006 C"]
    assert bench.names("M12xPh2.4P0.8", "--all") == [
        "MG-0006 A", "MG-0006 A.2", "MG-0006 B", "MG-0006 C"
    ]  # fmt: skip
    assert bench.names("--text", "tea tin", "--part", "tin-3") == ["MG-0001 A"]
    held = bench.ask("holds", "MG-0001", bench.pen(**CAP_AGAIN))["holds"]
    assert [(h["part"], h["end"]) for h in held] == [("barrel", "mouth")]
    assert "sound" in CliRunner().invoke(main, ["verify", str(bench.archive)]).output
