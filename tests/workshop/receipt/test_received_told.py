"""From readings to the use: stored in the archive, told before and after, and read again."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from mandrelgen.archive import events, root
from mandrelgen.archive import reading_history as history
from mandrelgen.archive.events import current
from mandrelgen.assess.settled import designs
from mandrelgen.cli.views.receive import received_text
from mandrelgen.core.errors import InputError
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.answers.receive import received as received_view
from mandrelgen.workflows.receive import gather, receive
from mandrelgen.workshop.receipt.readings import parse
from tests.support.archived import OLD_PLUG, SPIGOT, publish, publish_pen
from tests.support.renamed import renamed
from tests.workshop.receipt.test_received_use import DAY, DESIGNED, mandrel

# -- stored, told, and read again -------------------------------------------------------------


@pytest.fixture(scope="module")
def heron(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("heron") / "a"
    publish_pen(folder, "heron", SPIGOT)
    return folder


@pytest.fixture
def archive(heron: Path, tmp_path: Path) -> Path:
    import shutil

    shutil.copytree(heron, tmp_path / "a")
    return tmp_path / "a"


def take(archive: Path, number: str, date: str, *texts: str, **more: bool):  # type: ignore[no-untyped-def]
    return receive(archive, number, gather(texts), date, **more)  # type: ignore[arg-type]


def test_before_and_after_are_told_and_stored(archive: Path) -> None:
    done = take(
        archive,
        "MG-0003",
        DAY,
        "thread.runout=0.006±0.002@report",
        "spigot1.diameter=7.652@micrometer",
    )
    text = received_text(done)
    assert "designed   as made" in text
    assert "thread.runout: run-out to the shank" in text
    assert "not proved yet, 4 sizes" in text
    view = received_view(done)
    json.dumps(view, allow_nan=False)
    (event,) = events.events_of(root.open_root(archive), "MG-0003")
    kept = event.data["served"]["sides"][0]
    assert kept == json.loads(json.dumps(view["served"]["sides"][0]))
    steps = {f["id"]: (f["designed"], f["made"]) for f in kept["figures"]}
    expected = done.served.sides[0].figure("joint_step")
    assert steps["joint_step"] == (
        pytest.approx(expected.designed, abs=1e-6), pytest.approx(expected.made, abs=1e-6)
    )  # fmt: skip
    assert kept["joint"] == "section.rear-barrel.mouth"
    # The same numbers a new design's verdict gives.
    check = DESIGNED["barrel-mouth-plug"].verdict
    assert check is not None
    assert expected.designed == pytest.approx(check.truth.step.states.tight.statistical)


def test_the_latest_day_counts_not_the_latest_entry(archive: Path) -> None:
    """Wear: new 7.655, worn 7.640 in July. An old note entered afterwards changes nothing."""
    take(archive, "MG-0003", "2026-06-01", "spigot1.diameter=7.655@micrometer")
    take(archive, "MG-0003", "2026-07-01", "spigot1.diameter=7.640@micrometer")
    late = take(archive, "MG-0003", "2026-06-15", "spigot1.diameter=7.654@micrometer",
                "shank.diameter=13.99@micrometer")  # fmt: skip
    assert late.outdated == (("spigot1.diameter", "2026-07-01"),)
    assert "received.outdated" in {f.code for f in late.findings}
    store = root.open_root(archive)
    made, read = history.mandrel_as_made(store, current(store, "MG-0003"))
    values = {r.id: r.value for r in read}
    assert values == {"spigot1.diameter": 7.640, "shank.diameter": 13.99}
    assert made.characteristic("spigot1.diameter").lower == pytest.approx(7.636)
    most = late.served.sides[0].figure("fit.spigot1.diameter.most")
    assert most.worse


def test_of_one_day_the_last_entry_counts(archive: Path) -> None:
    for value in ("7.640", "7.655"):
        take(archive, "MG-0003", DAY, f"spigot1.diameter={value}@micrometer")
    store = root.open_root(archive)
    _, read = history.mandrel_as_made(store, current(store, "MG-0003"))
    assert [r.value for r in read] == [7.655]


def test_readings_of_a_replaced_draft_are_another_fixture_s(archive: Path) -> None:
    take(archive, "MG-0003", DAY, "spigot1.diameter=7.640@micrometer")
    store = root.open_root(archive)
    entry = current(store, "MG-0003")
    happened = events.events_of(store, "MG-0003")
    assert history.readings(happened, entry.revision, entry.draft)
    assert history.readings(happened, entry.revision, entry.draft + 1) == ()


def test_a_measured_neighbour_goes_in(archive: Path) -> None:
    """The section's cup is measured truer: the barrel's joint gains, and the cup is named."""
    before = take(archive, "MG-0003", DAY, "spigot1.diameter=7.652@micrometer", keep=False).served
    assert before.neighbours == ()
    take(archive, "MG-0004", "2026-06-02", "counterbore.runout=0.004±0.002@report")
    after_ = take(archive, "MG-0003", DAY, "spigot1.diameter=7.652@micrometer", keep=False)
    (n,) = after_.served.neighbours
    assert (n.part, n.number, n.checked) == ("section", "MG-0004", "2026-06-02")
    step = after_.served.sides[0].figure("joint_step.worst")
    was = before.sides[0].figure("joint_step.worst")
    assert step.designed == was.designed
    assert step.made == pytest.approx((was.made or 0) - (0.03 - 0.006) / 2)
    assert "section on MG-0004 A as measured 2026-06-02" in received_text(after_)


def test_what_became_worse_is_said(archive: Path) -> None:
    done = take(archive, "MG-0003", DAY, "thread.runout=0.09±0.002@report")
    # Larger than drawn, and told as a figure; no finding, since the joint stands on a shoulder.
    assert done.served.sides[0].figure("joint_step").worse
    assert "received.step" not in {f.code for f in done.findings}
    tight = take(archive, "MG-0003", DAY, "thread.pitch_diameter=8.05±0.002@report", keep=False)
    assert "received.binds" in {f.code for f in tight.findings}
    gauge = take(archive, "MG-0003", DAY, "thread.pitch_diameter=fail@ring-gauge", keep=False)
    assert gauge.failed == ("thread.pitch_diameter",)
    assert "received.no-value" in {f.code for f in gauge.findings}


def test_an_old_fixture_without_a_pen_is_judged_all_the_same(tmp_path: Path) -> None:
    from mandrelgen.workflows import adopt

    store = root.open_root(tmp_path / "a")
    number = adopt.adopt(store, OLD_PLUG.encode(), "o.toml", DAY, "t", "").entry.number
    done = take(tmp_path / "a", number, DAY, "spigot1.diameter=7.60@micrometer")
    assert done.served.sides == ()
    assert "no pen file" in done.served.why_not
    assert "received.use" in {f.code for f in done.findings}


def test_both_ends_of_a_double_ended_mandrel(tmp_path: Path) -> None:
    """A barrel and its section on one mandrel: each is the other's neighbour, as made."""
    text = (starter("pen", "heron").decode() + SPIGOT).replace(
        "# [mandrels]\n",
        "[[mandrels.requests]]\nholds = \"barrel.mouth\"\nalso_holds = \"section.rear\"\n"
        "kind = \"double-ended\"\nshank_diameter = 13\n",
    )  # fmt: skip
    shop_bytes = starter("shop", "bench")
    pen = read_pen(text.encode(), "pen.toml")
    (d,) = designs(pen, read_shop(shop_bytes, "shop.toml"))
    assert d.mandrel is not None, d.findings
    number = publish(tmp_path / "a", d.mandrel, text.encode(), shop_bytes).number
    done = take(tmp_path / "a", number, DAY, "thread.runout=0.002±0.001@report")
    assert len(done.served.sides) == 2
    for s in done.served.sides:
        step = s.figure("joint_step.worst")
        assert (step.made or 0) < (step.designed or 0)


def test_every_fault_at_once(archive: Path, tmp_path: Path) -> None:
    path = tmp_path / "r.csv"
    path.write_text("id,value\nspigot1.diameter,7.65\nneck.diameter\nnone.such,3\n", "utf-8")
    with pytest.raises(InputError) as caught:
        receive(archive, "MG-0003", gather(["x", "9=caliper", "99=3"], path), DAY)
    wheres = [f.where for f in caught.value.findings]
    assert wheres == ["--reading", "--reading", "r.csv:3", "--reading", "r.csv:4"]
    assert all(f.remedy for f in caught.value.findings)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("spigot1.diameter=7.652±0@micrometer", "above 0"),
        ("spigot1.diameter=7.652±2@micrometer", "at most 1"),
        ("spigot1.diameter=7.652@report", "needs its uncertainty"),
        ("spigot1.diameter=7.652±x@report", "not a reading"),
        ("spigot1.diameter=7.652±0.01@my-eye", "no instrument"),
    ],
)  # fmt: skip
def test_uncertainties_that_are_none(archive: Path, text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        take(archive, "MG-0003", DAY, text)
    assert said in caught.value.findings[0].message


def test_a_reading_s_own_uncertainty(archive: Path) -> None:
    assert parse("28=7.652+-0.003@caliper") == parse("28 = 7,652 ± 0,003 @caliper")
    done = take(archive, "MG-0003", DAY, "spigot1.diameter=7.652±0.006@caliper")
    (r,) = next(j.readings for j in done.judgement.judged if j.id == "spigot1.diameter")
    assert (r.uncertainty, r.verdict.value) == (0.006, "accept")
    assert math.isclose(r.value or 0, 7.652)


def test_find_holds_and_reuse_tell_the_last_check_and_use_the_newest(
    heron: Path, tmp_path: Path
) -> None:
    """A worn reading that a newer one outdates plays no part; of two fixtures with one step the
    one checked last comes first."""
    import shutil

    from mandrelgen.archive.query import Query
    from mandrelgen.cli.views.search import found_text, holds_text
    from mandrelgen.workflows import check as pipeline
    from mandrelgen.workflows import holds, reuse, search
    from mandrelgen.workflows.read_inputs import read_inputs

    archive = tmp_path / "a"
    shutil.copytree(heron, archive)
    text = renamed("heron", "teal") + SPIGOT
    (tmp_path / "pen.toml").write_text(text, "utf-8")
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))

    def offers() -> list[reuse.Offer]:  # type: ignore[name-defined]
        looked = reuse.look(pipeline.check(read_inputs(tmp_path / "pen.toml", None)), archive)
        return [o for o in looked.offers if o.planned == "barrel-mouth-plug"]

    (drawn,) = offers()
    take(archive, "MG-0003", "2026-06-01", "thread.pitch_diameter=7.80±0.002@report")
    (worn,) = offers()
    assert worn.fitting.step > drawn.fitting.step
    take(archive, "MG-0003", "2026-07-01", "thread.pitch_diameter=7.985±0.002@report")
    (good,) = offers()
    assert good.fitting.step < drawn.fitting.step
    assert "last measured 2026-07-01" in reuse.said(good)
    # The old note entered late: neither the size nor the day of the last check goes back.
    take(archive, "MG-0003", "2026-05-01", "thread.pitch_diameter=7.80±0.002@report")
    (late,) = offers()
    assert late.fitting.step == good.fitting.step
    assert late.row.checked == "2026-07-01"
    assert "2026-07-01" in found_text(search.find(archive, Query()))
    assert "last measured 2026-07-01" in holds_text(holds.holds(archive, "MG-0003"))
    take(archive, "MG-0003", "2026-08-01", "nose.end=22.0@depth-gauge")
    assert "rejected then" in reuse.said(offers()[0])
    publish(archive, mandrel_again(), *twin())
    take(archive, "MG-0005", "2026-09-01", "thread.pitch_diameter=7.985±0.002@report")
    first, second = offers()
    assert first.fitting.step == pytest.approx(second.fitting.step)
    assert [first.row.number, second.row.number] == ["MG-0005", "MG-0003"]


def mandrel_again() -> Mandrel:
    """The barrel's plug, filed for another pen."""
    return replace(mandrel("barrel-mouth-plug"), pen="coot")


def twin() -> tuple[bytes, bytes]:
    pen = (renamed("heron", "coot") + SPIGOT).encode()
    return pen, starter("shop", "bench")
