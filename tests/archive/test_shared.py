"""Fixtures that serve more than the end they were made for: double-ended ones, two pens on one
mandrel, tailstock buttons; and how wear and the last check rank them."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.archive import events, root
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.assess.settled import designs
from mandrelgen.model.mandrel import MandrelKind
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import check, holds, receive, reuse
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workshop.receipt.readings import parse as reading
from tests.support.archived import DAY, publish
from tests.support.renamed import renamed

SHOP = starter("shop", "bench")
BOTH = ('[[mandrels.requests]]\nholds = "section.front"\nalso_holds = "cap.crown"\n'
        "shank_diameter = 14.0\n")  # fmt: skip
BUTTON = '[[mandrels.requests]]\nholds = "barrel.mouth"\nkind = "tailstock-button"\n'


def pen_text(name: str, requests: str) -> bytes:
    """The heron under another name with just these mandrels."""
    text = renamed("heron", name)
    return f"{text}\n{requests}".encode()


def put(folder: Path, name: str, requests: str) -> Path:
    (folder / "shop.toml").write_bytes(SHOP)
    path = folder / f"{name}.toml"
    path.write_bytes(pen_text(name, requests))
    return path


def file(folder: Path, name: str, requests: str) -> list[str]:
    """Publish a pen's mandrels without drawings; their numbers."""
    data = pen_text(name, requests)
    pen, shop = read_pen(data, "pen.toml"), read_shop(SHOP, "shop.toml")
    return [
        publish(folder, d.mandrel, data, SHOP).number
        for d in designs(pen, shop)
        if d.mandrel is not None
    ]


def offers(archive: Path, pen: Path) -> list[reuse.Offer]:
    return list(reuse.look(check.check(read_inputs(pen, None)), archive).offers)


def asks(*holds: str) -> str:
    return "".join(f'[[mandrels.requests]]\nholds = "{h}"\n' for h in holds)


def test_either_end_of_a_double_ended_mandrel_serves_another_pen(tmp_path: Path) -> None:
    archive = tmp_path / "a"
    (number,) = file(archive, "heron2", BOTH)
    found = offers(archive, put(tmp_path, "sedge", asks("section.front", "cap.crown")))
    assert [(o.planned, o.row.number) for o in found] == [
        ("section-front-plug", number), ("cap-crown-plug", number)
    ]  # fmt: skip
    for o in found:
        assert len(o.fitting.verdicts) == 1
        assert o.row.kind == MandrelKind.DOUBLE_ENDED.value
    # Each end is judged as itself: its own thread's part, its own step.
    assert [o.fitting.verdicts[0].part for o in found] == ["section", "cap"]
    assert found[0].fitting.step != found[1].fitting.step


def test_two_ends_are_wanted_either_way_round_and_one_end_is_not_enough(tmp_path: Path) -> None:
    archive = tmp_path / "a"
    (number,) = file(archive, "heron2", BOTH)
    file(archive, "heron3", asks("section.front"))
    turned = BOTH.replace("section.front", "x").replace("cap.crown", "section.front")
    steps = []
    for name, request in (("sedge", BOTH), ("rush", turned.replace('"x"', '"cap.crown"'))):
        (only,) = offers(archive, put(tmp_path, name, request))
        assert only.row.number == number
        assert len(only.fitting.verdicts) == 2
        assert only.new_step is not None
        steps.append(only.fitting.step)
        assert only.fitting.step == pytest.approx(only.new_step, abs=1e-6)
    assert steps[0] == pytest.approx(steps[1])


def test_a_mandrel_shared_by_two_pens(tmp_path: Path) -> None:
    archive = tmp_path / "a"
    (number,) = file(archive, "heron2", BOTH)
    pens = [put(tmp_path, "sedge", asks("section.front")), put(tmp_path, "rush", asks("cap.crown"))]
    for pen, planned in zip(pens, ("section-front-plug", "cap-crown-plug"), strict=True):
        looked = reuse.look(check.check(read_inputs(pen, None)), archive)
        assert looked.owned == frozenset()  # not yet owned: it is said to order it once, for both
        assert "order it once, for both" in looked.findings[0].remedy
        assert looked.findings[0].where == planned
    events.release(root.open_root(archive), number, DAY)
    for pen, planned in zip(pens, ("section-front-plug", "cap-crown-plug"), strict=True):
        assert reuse.look(check.check(read_inputs(pen, None)), archive).owned == {planned}
    held = holds.holds(archive, number, pens).held
    assert {(h.pen, h.hold.text) for h in held} >= {
        ("sedge", "section.front"), ("sedge", "cap.crown"),
        ("rush", "section.front"), ("rush", "cap.crown"),
    }  # fmt: skip


def test_wear_at_one_end_ranks_that_end_lower_and_a_newer_check_counts(tmp_path: Path) -> None:
    """Two equal fixtures in the drawer; the pitch diameter of one is read 0.12 below its lower
    limit, and later, by a finer check, close to its upper one: more play, then the least."""
    archive = tmp_path / "a"
    worn, fresh = (file(archive, name, asks("section.front"))[0] for name in ("heron2", "heron3"))
    for number in (worn, fresh):
        events.release(root.open_root(archive), number, DAY)
    pen = put(tmp_path, "sedge", asks("section.front"))

    def ranked() -> list[tuple[str, float, str]]:
        return [(o.row.number, o.fitting.step, o.row.checked) for o in offers(archive, pen)]

    equal = ranked()
    assert {n for n, _, _ in equal} == {worn, fresh}
    assert equal[0][1] == equal[1][1]
    row = next(o for o in offers(archive, pen) if o.row.number == worn)
    mandrel = read_mandrel(archive / row.row.folder)
    pitch = next(c for c in mandrel.characteristics if c.id == "thread.pitch_diameter")
    assert pitch.lower is not None
    assert pitch.upper is not None
    low = f"thread.pitch_diameter={pitch.lower - 0.12:.3f}@thread-micrometer"
    high = f"thread.pitch_diameter={pitch.upper - 0.004:.3f}@thread-micrometer"
    receive.receive(archive, worn, [reading(low)], "2026-06-01")
    found = ranked()
    assert [n for n, _, _ in found] == [fresh, worn]
    assert found[1][1] > found[0][1] + 0.001
    assert found[1][2] == "2026-06-01"
    receive.receive(archive, worn, [reading(high)], "2026-07-01")
    found = ranked()
    assert [n for n, _, _ in found] == [worn, fresh]
    assert found[0][2] == "2026-07-01"


def test_a_tailstock_button_is_looked_for_among_buttons_alone(tmp_path: Path) -> None:
    archive = tmp_path / "a"
    (button,) = file(archive, "heron2", BUTTON)
    file(archive, "heron3", '[[mandrels.requests]]\nholds = "barrel.mouth"\nkind = "spigot"\n')
    pen = put(tmp_path, "sedge", BUTTON)
    (found,) = offers(archive, pen)
    assert found.row.number == button
    assert found.as_good
    assert found.fitting.differs == ()
    assert "joint step" not in reuse.said(found)
    events.release(root.open_root(archive), button, DAY)
    looked = reuse.look(check.check(read_inputs(pen, None)), archive)
    assert looked.owned == {found.planned}
    # Into a narrower bore it does not go, in a wider one it would only rattle.
    text = pen_text("rush", BUTTON).decode()
    assert text.count("diameter = 7.75") == 1
    for other in ("7.6", "8.2"):
        (tmp_path / "rush.toml").write_text(text.replace("7.75", other), "utf-8")
        assert offers(archive, tmp_path / "rush.toml") == [], other
    held = holds.holds(archive, button, [pen]).held
    assert {h.hold.by for h in held} == {"bore"}
    assert "barrel.mouth" in {h.hold.text for h in held}
