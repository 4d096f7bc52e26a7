"""Two pens that share threads, from the first request to the drawer, by the commands alone: what is
shared is ordered once, a corrected id orders nothing anew, a thread changed after ordering needs a
reason, what was sent back comes again, what is lost is asked for again. Drawings are left out."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from mandrelgen.cli.app import main
from mandrelgen.core.resources import template_path
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import batch
from mandrelgen.workflows.make_options import MakeOptions
from tests.support.archived import DAY
from tests.support.killing import without_drawings


class Bench:
    def __init__(self, folder: Path) -> None:
        self.folder, self.archive = folder, folder / "drawer"
        (folder / "shop.toml").write_bytes(starter("shop", "bench"))

    def pen(self, name: str, **changes: str) -> str:
        text = starter("pen", "heron").decode().replace('id = "heron"', f'id = "{name}"')
        text = text.replace('name = "Heron"', f'name = "{name.title()}"')
        text = re.sub(r"(?m)^(owner|drawn_by|approved_by) = .*$", "", text)  # the demo's own
        for old, new in changes.items():
            assert old in text, old
            text = text.replace(old, new)
        (self.folder / f"{name}.toml").write_text(text, "utf-8")
        return str(self.folder / f"{name}.toml")

    def run(self, *args: str, code: int = 0) -> str:
        done = CliRunner().invoke(main, list(args))
        assert done.exit_code == code, done.output
        return done.output

    def make(self, pen: str, *args: str, code: int = 0) -> Any:
        to = ("--to", str(self.archive), "--workers", "1", "--date", DAY)
        done = CliRunner().invoke(main, ["make", pen, *to, "--json", *args])
        assert done.exit_code == code, done.output
        return json.loads(done.stdout)

    def book(self, *args: str, code: int = 0) -> str:
        return self.run("book", *args, "--to", str(self.archive), code=code)

    def orders(self, superseded: bool = False) -> list[dict[str, Any]]:
        done = CliRunner().invoke(main, ["orders", str(self.archive), "--json"])
        assert done.exit_code == 0, done.output
        view = json.loads(done.stdout)
        schema = json.loads(template_path("schema/orders.schema.json").read_text("utf-8"))
        jsonschema.Draft202012Validator(schema).validate(view)
        found: list[dict[str, Any]] = view["superseded" if superseded else "orders"]
        return found

    def asked(self) -> list[str]:
        """Every fixture in an order that stands."""
        return [
            f"{m['number']} {m['revision']}" for o in self.orders() for m in o["mandrels"]
        ]  # fmt: skip


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    without_drawings(monkeypatch)
    return Bench(tmp_path)


def test_the_story_of_two_pens(bench: Bench) -> None:
    heron = bench.pen("heron")
    assert [m["number"] for m in bench.make(heron)["mandrels"]] == ["MG-0001", "MG-0002", "MG-0003"]
    (first,) = bench.orders()
    assert (first["pen"], first["state"]) == ("heron", "designed")
    assert first["id"].startswith(f"{DAY}_heron_")

    # The egret is the heron's like: nothing of it is made, nothing ordered twice.
    egret = bench.pen("egret")
    view = bench.make(egret)
    assert view["mandrels"] == []
    assert [w["uses"] for w in view["words"] if w["word"] == "have"] == [
        "MG-0001", "MG-0002", "MG-0003"
    ]  # fmt: skip
    assert all("order it once, for both" in w["reason"] for w in view["words"] if w["uses"])
    assert len(bench.asked()) == len(set(bench.asked())) == 3

    bench.book(first["id"], "asked", "--whom", "K. Tern", "--date", "2026-06-01")
    assert bench.make(egret)["mandrels"] == []
    bench.book(first["id"], "quoted", "--price", "48,50 EUR", "--lead-days", "21",
               "--date", "2026-06-03")  # fmt: skip
    bench.book(first["id"], "ordered", "--date", "2026-06-05")
    said = bench.run("orders", str(bench.archive))
    assert said.count("ordered since 2026-06-05, K. Tern, 48.50 EUR, promised for 2026-06-26") == 3
    correct_an_id(bench, heron)
    changed = change_a_thread_after_ordering(bench)
    from_arrival_to_the_drawer(bench, changed)
    lose_one(bench, changed)
    wear_one_out(bench, changed)


def correct_an_id(bench: Bench, heron: str) -> None:
    """A typo in the pen's id, corrected: nobody can be asked here, so it is told."""
    Path(heron).unlink()
    typo = bench.pen("heron", **{'id = "heron"': 'id = "heron-1"'})
    told = bench.make(typo, code=2)["findings"]
    assert [f["code"] for f in told] == ["id.changed"] * 3
    assert all("--same-as MG-000" in f["remedy"] and "--again" in f["remedy"] for f in told)
    same = [x for n in (1, 2, 3) for x in ("--same-as", f"MG-000{n}")]
    view = bench.make(typo, *same)
    assert {m["number"] for m in view["mandrels"] if m["existed"]} == {
        "MG-0001", "MG-0002", "MG-0003"
    }  # fmt: skip
    assert view["order"] is None
    assert len(bench.orders()) == 1
    assert bench.make(typo)["order"] is None  # once said, never asked again
    told = bench.make(typo, "--same-as", "MG-0009", code=2)["findings"]
    assert "MG-0009" in told[0]["message"]
    assert "sound" in bench.run("verify", str(bench.archive))


def words(view: Any) -> dict[str, tuple[str, str | None]]:
    return {w["id"]: (w["word"], w["uses"]) for w in view["words"] if w["word"] != "skip"}


def change_a_thread_after_ordering(bench: Bench) -> str:
    changed = bench.pen(
        "heron", **{'id = "heron"': 'id = "heron-1"', "tap_lead = 1.6": "tap_lead = 1.8"}
    )
    assert "reason" in json.dumps(bench.make(changed, code=2))
    view = bench.make(changed, "--reason", "the cap was measured again")
    names = [f"{m['number']} {m['revision']}" for m in view["mandrels"]]
    assert names == ["MG-0001 B", "MG-0002 A", "MG-0003 A"]
    # Only what changed is to order; what was ordered is on its way, and its zip is not sent again.
    assert words(view) == {
        "cap-mouth-plug": ("order", None),
        "barrel-mouth-plug": ("have", "MG-0002"),
        "section-rear-cup": ("have", "MG-0003"),
    }
    assert "is ordered (K. Tern, since 2026-06-05)" in json.dumps(view["words"])
    assert sorted(bench.asked()) == ["MG-0001 A", "MG-0001 B", "MG-0002 A", "MG-0003 A"]
    return changed


def from_arrival_to_the_drawer(bench: Bench, pen: str) -> None:
    for name in ("MG-0001:B", "MG-0002", "MG-0003"):
        if name == "MG-0001:B":
            bench.book(name, "ordered", "--whom", "K. Tern", "--date", "2026-06-10")
        bench.book(name, "arrived", "--date", "2026-06-26")
    bench.book("MG-0003", "sent-back", "--note", "shoulder not square", "--date", "2026-06-27")
    bench.book("MG-0003", "arrived", "--date", "2026-07-05")
    bench.book("MG-0002", "reworked", "--note", "spigot polished", "--date", "2026-06-27")
    for name in ("MG-0001", "MG-0002", "MG-0003"):
        bench.book(name, "in-use", "--date", "2026-07-06")
    assert "cannot follow" in bench.book("MG-0003", "quoted", "--date", "2026-07-07", code=2)
    # All there: nothing to order, nothing to send, and the first line says so.
    view = bench.make(pen)
    assert {uses for _, uses in words(view).values()} == {"MG-0001", "MG-0002", "MG-0003"}
    assert (view["order"], view["zip"]) == (None, None)
    said = bench.run("make", pen, "--to", str(bench.archive), "--date", DAY, "--workers", "1")
    assert said.startswith("3 you have, 1 not needed\n")
    assert "send this zip" not in said


def lose_one(bench: Bench, pen: str) -> None:
    """What is lost is no longer there: the same drawing is asked for again, and it alone."""
    bench.book("MG-0003", "lost", "--note", "it rolled away", "--date", "2027-01-05")
    view = bench.make(pen)
    assert words(view)["section-rear-cup"] == ("order", None)
    assert [w for w, _ in words(view).values()].count("have") == 2
    items = json.loads((Path(view["order"]) / "order.json").read_text("utf-8"))["items"]
    assert [(i["number"], i["revision"]) for i in items] == [("MG-0003", "A")]
    bench.book(Path(view["order"]).name, "ordered", "--whom", "K. Tern", "--date", "2027-01-08")
    assert words(bench.make(pen))["section-rear-cup"] == ("have", "MG-0003")
    assert "sound" in bench.run("verify", str(bench.archive))


def wear_one_out(bench: Bench, pen: str) -> None:
    """A later check finds the thread worn: out of its limits (8.338 to 8.478, ISO 965-1 6g)."""
    worn = ("receive", "MG-0002", "--reading", "thread.major_diameter=8.31@micrometer")
    told = bench.run(*worn, "--to", str(bench.archive), "--date", "2027-05-01", code=1)
    assert "outside its limits" in told
    bench.book("MG-0002", "withdrawn", "--note", "worn out", "--date", "2027-05-02")
    view = bench.make(pen)
    assert words(view)["barrel-mouth-plug"] == ("order", None)
    assert [f["code"] for f in view["findings"] if f["code"].startswith("order")] == [
        "order.withdrawn"
    ]
    view = bench.make(pen, "--reason", "the first one is worn out")
    items = json.loads((Path(view["order"]) / "order.json").read_text("utf-8"))["items"]
    assert [(i["number"], i["revision"]) for i in items] == [("MG-0002", "B")]
    assert len(bench.asked()) == len(set(bench.asked())) + 1  # the lost one alone, twice
    assert "sound" in bench.run("verify", str(bench.archive))


def test_a_draft_s_order_takes_the_place_of_one_never_sent(bench: Bench) -> None:
    bench.make(bench.pen("heron"))
    (old,) = bench.orders()
    bench.make(bench.pen("heron", **{"tap_lead = 1.6": "tap_lead = 1.8"}))
    (new,) = bench.orders()
    (gone,) = bench.orders(superseded=True)
    assert (gone["id"], gone["superseded_by"]) == (old["id"], new["id"])
    assert f"{old['id']}  (heron)  SUPERSEDED by {new['id']}" in bench.run(
        "orders", str(bench.archive), "--all"
    )
    again = bench.make(bench.pen("heron"), "--again")
    assert again["order"] is not None


def test_a_part_s_corrected_id_asks_for_that_one_alone(bench: Bench) -> None:
    bench.make(bench.pen("heron"))
    text = Path(bench.pen("heron")).read_text("utf-8")
    (bench.folder / "heron.toml").write_text(text.replace("barrel", "barel"), "utf-8")
    told = bench.make(str(bench.folder / "heron.toml"), code=2)["findings"]
    assert [f["code"] for f in told] == ["id.changed"]
    assert "--same-as MG-0002" in told[0]["remedy"]
    view = bench.make(str(bench.folder / "heron.toml"), "--same-as", "MG-0002")
    assert {m["number"] for m in view["mandrels"]} == {"MG-0001", "MG-0002", "MG-0003"}


def test_on_a_terminal_it_asks(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    bench.make(bench.pen("heron"))
    text = Path(bench.pen("heron")).read_text("utf-8").replace('id = "heron"', 'id = "herron"')
    (bench.folder / "heron.toml").write_text(text, "utf-8")
    asked: list[str] = []

    def answer(question: str) -> bool:
        asked.append(question)
        return "MG-0002" not in question

    options = MakeOptions(folder=bench.archive, date=DAY)
    file = bench.folder / "heron.toml"
    (outcome,) = batch.make_all([file], options, lambda _: None, None, answer)
    assert len(asked) == 3
    assert all("made for heron" in q for q in asked)
    assert outcome.result is not None
    # The one answered with no is the heron's still, and stands in its order: it is shared.
    assert {m.number for m in outcome.result.made} == {"MG-0001", "MG-0003"}
    uses = {a.planned: a.uses for a in outcome.result.words}
    assert uses["barrel-mouth-plug"] == "MG-0002"


BAD = {
    "a day that is none": ("ordered", "--date", "2026-02-30"),
    "a price below nothing": ("ordered", "--price", "-3"),
    "no price": ("ordered", "--price", "cheap"),
    "a price out of range": ("ordered", "--price", "99999999"),
    "a lead time out of range": ("ordered", "--lead-days", "100000"),
    "a promise in the past": ("ordered", "--date", "2026-06-02", "--promised", "2026-06-01"),
    "a state that is none": ("shipped",),
    "asked of nobody": ("asked",),
    "a note no paper can show": ("ordered", "--note", "a\x00b"),
    "a state that cannot follow": ("arrived-back",),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_input_is_told_and_nothing_is_noted(bench: Bench, name: str) -> None:
    bench.make(bench.pen("heron"))
    said = bench.book("MG-0001", *BAD[name], code=2)
    assert said.startswith("error: ")
    assert "Traceback" not in said
    assert not (bench.archive / "MG-0001" / "events").exists()


@pytest.mark.parametrize("name", ["MG-0099", "MG-1", "no-order", "", "../x", "MG-0001:C"])
def test_an_unknown_name_is_told(bench: Bench, name: str) -> None:
    bench.make(bench.pen("heron"))
    assert bench.book(name, "ordered", code=2).startswith("error: ")


def test_two_are_there_only_when_two_were_ordered(bench: Bench) -> None:
    file = Path(bench.pen("heron"))
    text = file.read_text("utf-8")
    file.write_text(text + "\n[mandrels.defaults]\nquantity = 2\n", "utf-8")
    order = Path(bench.make(str(file))["order"]).name
    bench.book(order, "ordered", "--whom", "K. Tern", "--date", "2026-06-05")
    assert {w for w, _ in words(bench.make(str(file))).values()} == {"have"}
    # A third is wanted: the two do not count as three.
    file.write_text(text + "\n[mandrels.defaults]\nquantity = 3\n", "utf-8")
    view = bench.make(str(file))
    assert {w for w, _ in words(view).values()} == {"order"}
    assert view["order"] is not None
