"""A pen begun on the page: its first part by the small form, further parts, what joins them, and
what the page puts in until somebody says it."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.spec.read import read_pen
from tests.support.page_client import Tags, button_of, client_of, first_part, next_part, words


@pytest.mark.parametrize("kind", ["cap", "barrel", "section", "finial"])
def test_one_part_one_thread_two_sizes_make_a_pen_that_the_command_reads(
    tmp_path: Path, kind: str
) -> None:
    with client_of(tmp_path) as page:
        answer = first_part(page, kind, "m12 x 0,8", 14.5, 60, "Reed one")
        assert answer.status_code == 200
    pen = read_pen((tmp_path / "reed-one.toml").read_bytes(), "reed-one.toml")
    assert list(pen.parts) == [kind]
    assert "# taken as" in (tmp_path / "reed-one.toml").read_text("utf-8")


JOINED = "the section's rear in the barrel's mouth"


def barrel_and_section(page: TestClient) -> None:
    """Two parts whose joint does not close, and a shop with the collets for them."""
    first_part(page, "barrel", "M9x0.75", 13, 80)
    next_part(page, "section", "M9x0.75", 12, 28)
    page.post("/shop", data={"system": "ISO 15488-25", "sizes": ["10", "12", "14"]})


def mended(page: TestClient, step: str, text: str, code: str) -> str:
    """What is read after the first button of a finding was pressed."""
    return words(page.post(f"/pens/reed/{step}/mend", data=button_of(text, code)).text)


def test_a_second_part_is_screwed_to_the_first_where_its_thread_fits(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        first_part(page, "barrel", "M9x0.75", 13, 80)
        next_part(page, "section", "M9x0.75", 11, 28)
        assert JOINED in Tags(page.get("/pens/reed/joints").text).text


def test_a_thread_that_is_added_screws_into_its_counterpart(tmp_path: Path) -> None:
    """A cap, then a barrel with its own thread for the section; the cap's thread is cut on the
    barrel afterwards. Another hand, pitch or number of starts is no counterpart."""
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12.5x0.75 3 starts", 14.5, 60)
        next_part(page, "barrel", "M10x0.75", 13.5, 75)
        for thread, joined in (
            ("M12.5x0.75", False),
            ("12.5 x 0.75 3 starts LH", False),
            ("12.5 x 0.75 3 starts", True),
        ):  # fmt: skip
            row = {"part": "barrel", "end": "mouth", "side": "external", "reach": "10"}
            page.post("/pens/reed/joints/thread", data=row | {"thread": thread})
            shown = Tags(page.get("/pens/reed/joints").text).text
            assert ("the barrel's mouth in the cap's mouth" in shown) is joined
            if not joined:
                page.post("/pens/reed/joints/undo")


def test_threads_left_apart_are_told_with_a_button_and_no_step_says_ready(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        next_part(page, "section", "M11x0.75", 16, 40)
        key = "parts.section.ends.rear.external.thread"
        shown = page.post("/pens/reed/joints/set", data={"key": key, "value": "M12x0.8"}).text
        steps = words(shown)
        assert "1 pair not joined" in steps
        assert (
            "4 Order can be ordered; look at 2 things first" in steps
        )  # and no collets are listed
        assert "screw the section's rear into the cap's mouth" in steps
        done = mended(page, "joints", shown, "pen.not_joined")
        assert "the section's rear in the cap's mouth" in done
        assert "not joined" not in done


def test_a_thread_without_counterpart_has_a_button_that_cuts_it(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        next_part(page, "barrel", "M9x0.75", 13.5, 85)
        text = page.get("/pens/reed/joints").text
        assert "cut M12x0.8 on the barrel's mouth" in button_of(text, "pen.no_counterpart")["says"]
        done = mended(page, "joints", text, "pen.no_counterpart")
        assert "1 · the barrel's mouth in the cap's mouth" in done
        assert "no other part has" not in done


def test_a_joint_that_does_not_close_is_not_counted_as_closed(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        first_part(page, "barrel", "M9x0.75", 13, 80)
        next_part(page, "section", "M9x0.75", 11, 28)
        text = page.get("/pens/reed/joints").text
        shown = words(text)
        assert "Joints and holes 1 of 1 may stand open" in shown
        assert "may hold it open by up to" in shown.partition("Thread of joint 1")[2]
        # One joint, one word: what may stand open is not said to be unable to close besides.
        assert "does not close" not in shown
        shown = mended(page, "joints", text, "pen.shoulder")
        assert "Joints and holes closes" in shown
        assert "stand open" not in shown


def test_a_joint_that_does_not_close_is_said_beside_the_orders_word_in_one_place(
    tmp_path: Path,
) -> None:
    """It stops no order, but no step says ready beside it; its buttons mend it there."""
    with client_of(tmp_path) as page:
        barrel_and_section(page)
        text = page.get("/pens/reed/order").text
        shown = words(text)
        assert "4 Order can be ordered; look at 1 thing first" in shown
        assert "ready" not in shown
        assert "Before you order" in shown
        assert "may hold the joint open" in shown.partition("Before you order")[2]
        done = mended(page, "order", text, "pen.shoulder")
        assert "4 Order ready" in done
        assert "Before you order" not in done


def test_a_joint_left_open_on_purpose_is_said_so_and_holds_nothing_up(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        barrel_and_section(page)
        path = tmp_path / "reed.toml"
        taken = (
            '\n[[accept]]\ncode = "pen.shoulder"\nwhere = "section.rear-barrel.mouth"\n'
            'value = 2.0\nreason = "a ring fills it"\n'
        )
        path.write_text(path.read_text("utf-8") + taken, "utf-8")
        shown = words(page.get("/pens/reed/order").text)
        assert "Joints and holes 1 of 1 may stand open, accepted" in shown
        assert "4 Order ready" in shown


def test_one_box_names_the_material_of_all_parts_and_a_parts_own_stays(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        assert (
            "Material of all parts" not in page.get("/pens/reed/pen").text
        )  # of one part: its own
        next_part(page, "barrel", "M9x0.75", 13.5, 85)
        assert "Material of all parts" in page.get("/pens/reed/pen").text
        data = {"key": "parts.cap.material", "value": "casting-resin"}
        page.post("/pens/reed/pen/set", data=data)
        data = {"key": "pen.material", "value": "ebonite"}
        shown = page.post("/pens/reed/pen/set", data=data).text
        pen = read_pen((tmp_path / "reed.toml").read_bytes(), "reed.toml")
        assert {n: p.material for n, p in pen.parts.items()} == {
            "cap": "casting-resin", "barrel": "ebonite",
        }  # fmt: skip
        assert "ebonite, as all parts" in shown
        assert "taken as cast acrylic" not in shown
        page.post("/pens/reed/pen/set", data={"key": "parts.cap.material", "value": ""})
        pen = read_pen((tmp_path / "reed.toml").read_bytes(), "reed.toml")
        assert pen.parts["cap"].material == "ebonite"


def test_what_the_page_put_in_is_said_as_taken_until_the_person_says_it(tmp_path: Path) -> None:
    """The small form asks for neither a tapped depth nor the outside at the mouth."""
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        depth = "parts.cap.ends.mouth.internal.depth"
        for step, key, took in (
            ("joints", depth, "9"), ("pen", "parts.cap.ends.mouth.diameter", "14.5"),
        ):  # fmt: skip
            found = Tags(page.get(f"/pens/reed/{step}").text)
            box = next(a for t, a in found.tags if t == "input" and a.get("data-key") == key)
            assert box["value"] == ""
            assert box["data-taken"] == took
            assert f"taken as {took}: say yours" in found.text
        found = Tags(page.post("/pens/reed/joints/set", data={"key": depth, "value": "9"}).text)
        box = next(a for t, a in found.tags if t == "input" and a.get("data-key") == depth)
        assert box["value"] == "9"
        assert "taken as 9" not in found.text
        page.post("/pens/reed/joints/undo")
        assert "taken as 9: say yours" in Tags(page.get("/pens/reed/joints").text).text
        text = (tmp_path / "reed.toml").read_text("utf-8")
        assert "depth = 9.0" in text


@pytest.mark.parametrize("written_out", [True, False])
def test_the_other_end_of_a_part_takes_holes_and_threads_too(
    tmp_path: Path, written_out: bool
) -> None:
    """The small form speaks of one end: a cap's crown is tapped for its finial all the same."""
    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        if not written_out:  # keys of one table, dotted
            path = tmp_path / "reed.toml"
            head = path.read_text("utf-8").split("[parts.cap.ends")[0]
            path.write_text(
                head + 'ends.mouth.internal = { thread = "M12x0.8", depth = 9 }\n', "utf-8"
            )
        next_part(page, "finial", "M7x0.5", 11, 9)
        assert "cap, crown" in Tags(page.get("/pens/reed/joints").text).text
        at = {"part": "cap", "end": "crown"}
        page.post("/pens/reed/joints/hole", data={**at, "diameter": "6.5", "depth": "10"})
        row = {**at, "side": "internal", "thread": "M7x0.5", "reach": "8"}
        done = Tags(page.post("/pens/reed/joints/thread", data=row).text).text
        assert "the finial's root in the cap's crown" in done
        pen = read_pen((tmp_path / "reed.toml").read_bytes(), "reed.toml")
        crown = pen.parts["cap"].ends["crown"]
        assert crown.internal is not None
        assert [float(b.diameter) for b in crown.bore] == [6.5]
        for end in ("mouth2", "../x", "", "top"):
            answer = page.post("/pens/reed/joints/hole", data={
                "part": "cap", "end": end, "diameter": "5", "depth": "4"})  # fmt: skip
            assert answer.status_code == 404
