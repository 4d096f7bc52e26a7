"""``new``: asks on a terminal (driven through a pseudo-terminal), takes options from scripts."""

from __future__ import annotations

import os
import re
import select
import sys
import time
import tomllib
from pathlib import Path

import pytest

from mandrelgen.core.errors import InputError
from mandrelgen.spec import new_file
from mandrelgen.spec.placeholders import STARTERS_NAMES
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.starters import starter_names
from mandrelgen.workflows import new_pen
from tests.support.commands import answered, here

pty = pytest.importorskip("pty", reason="no pseudo-terminals on this system")


def session(folder: Path, name: str, answers: list[tuple[str, str]]) -> str:
    """Run ``new NAME`` on a terminal of its own; each answer is typed once its question stands
    there. What the screen showed. Raises AssertionError for a question that does not come."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(folder)
        os.environ["PYTHONIOENCODING"] = "utf-8"
        os.execv(sys.executable, [sys.executable, "-m", "mandrelgen", "new", name])
    seen, at = "", 0
    try:
        for question, answer in answers:
            seen = _until(terminal, seen, at, question)
            at = len(seen)
            os.write(terminal, answer.encode() + b"\n")
        seen = _until(terminal, seen, at, "next: mandrelgen check")
    finally:
        os.close(terminal)
        os.waitpid(pid, 0)
    return seen


def _until(terminal: int, seen: str, at: int, wanted: str) -> str:
    end = time.monotonic() + 300
    while not re.search(wanted, seen[at:]):
        assert time.monotonic() < end, f"{wanted!r} did not come; the screen showed:\n{seen}"
        if select.select([terminal], [], [], 1)[0]:
            try:
                seen += os.read(terminal, 4096).decode("utf-8", "replace")
            except OSError:
                break
    assert re.search(wanted, seen[at:]), seen
    return seen


def test_a_maker_is_asked_in_the_order_of_the_work(tmp_path: Path) -> None:
    seen = session(
        tmp_path, "my-pen",
        [
            (r"Collets.*\[\?\]", "ER25 6 8"),
            (r"taps for.*\[\?\]", "M11x0.75, 9 by"),               # refused, and asked again
            (r"taps for.*\[\?\]", "M11x0.75, M9x0.75"),
            (r"dies for.*\[\?\]", ""),
            (r"Name of the pen \[My pen\]", "Evening pen"),
            (r"Which parts \[cap, barrel, section\]", ""),
            (r"Thread, cap on the barrel .*\[\?\]", "12.5 x"),      # refused, and asked again
            (r"Thread, cap on the barrel .*\[\?\]", "11x0.75"),
            (r"How deep.*\]", ""),
            (r"How long is its tenon.*\]", "6"),
            (r"Thread, section into barrel .*\[\?\]", "I only have calipers"),
            (r"Diameter over the crests.*\]", "?"),                 # cannot be measured either
            (r"Smallest bore.*\]", ""),
            (r"How deep.*\]", ""),
            (r"How long.*\]", "7"),
            (r"Does a nib unit screw into the section's front .*I don't know.*\]", ""),
            (r"Length of the cap.*\]", "480"),                      # a 480 for a 48
            (r"480 mm\? Not 48.*\]", "n"),
            (r"Length of the cap.*\]", "48"),
            (r"Diameter of the cap.*\]", "13,4"),
            (r"Which hole does the cap.*\]", "10.25"),
            (r"How deep is the cap's hole.*\]", "41"),
            (r"Length of the barrel.*\]", "58"),
            (r"Diameter of the barrel.*\]", "12.4"),
            (r"Which hole does the barrel.*\]", "?"),
            (r"Length of the section.*\]", "24"),
            (r"Diameter of the section.*\]", "9.9"),
            (r"Which hole does the section.*\]", "5.2"),
        ],
    )  # fmt: skip
    assert "I don't know" in seen
    text = (tmp_path / "my-pen.toml").read_text("utf-8")
    written = tomllib.loads(text)
    assert written["pen"] == {"id": "my-pen", "name": "Evening pen"}
    assert list(written["joints"]) == ["cap"]
    assert written["joints"]["cap"]["thread"] == "11x0.75"
    assert written["parts"]["cap"]["diameter"] == 13.4
    assert "section" not in written["parts"]
    assert "# through = 5.2" in text
    assert "# # thread = " in text
    assert not any(name in text for name in STARTERS_NAMES)
    assert seen.count("yours: M11x0.75, M9x0.75") == 2
    shop = tomllib.loads((tmp_path / "shop.toml").read_text("utf-8"))
    assert shop == {
        "schema": 1, "collets": [{"system": "ER25", "sizes": [6, 8]}],
        "taps": [{"thread": "M11x0.75"}, {"thread": "M9x0.75"}],
    }  # fmt: skip
    # The joint whose thread is not known is left open: the rest can be judged meanwhile.
    with pytest.raises(InputError) as caught:
        read_pen(text.encode(), "my-pen.toml")
    assert {f.where.split()[-1] for f in caught.value.findings} == {"joints.cap.depth"}
    begin = text.index("# Left open: ")
    rest = [x if x.startswith("# Left") else x.removeprefix("# ") for x in text[begin:].split("\n")]
    said = text[:begin] + "\n".join(rest)
    said = said.replace('# thread = ""', 'thread = "9x0.75"').replace(
        'thread = ""', 'thread = "9x0.75"'
    )
    assert list(tomllib.loads(said)["joints"]) == ["cap", "section"]


def test_a_maker_who_only_has_calipers_is_led_to_the_thread(tmp_path: Path) -> None:
    """Read where several threads agree until the pitch is known, over seven crests:
    M9.5x0.75 has crests of 9.338 to 9.5 (ISO 965-1, 6g) and so has M9.5x0.8, 9.326 to 9.5."""
    (tmp_path / "shop.toml").write_text('schema = 1\ndies = [{ thread = "M10x1" }]\n', "utf-8")
    seen = answered(
        tmp_path, ["new", "my-pen"],
        [
            (r"Name of the pen", ""),
            (r"Which parts", "barrel, section"),
            (r"yours: M10x1\s+Thread, section into barrel", "?"),
            (r"Diameter over the crests.*\]", "nine"),              # refused, and asked again
            (r"Diameter over the crests.*\]", "9,42 ± 0.02"),
            (r"Smallest bore.*\]", "8.75"),
            (r"Length over ten crests.*\]", "?"),
            (r"Starts.*\]", "1"),
            (r"It would decide: Length over ten crests.*\]", "5.25 over 7"),
            (r"Which is it .*\[1\]", "99"),                         # no such number
            (r"Which is it .*\[1\]", ""),
            (r"read as: .*9\.5 mm over the crests, pitch 0\.75", ""),
            (r"How long.*\]", "7"),
            *((r"(?s)\]", "?") for _ in range(7)),
        ],
    )  # fmt: skip
    assert "Collets" not in seen  # the shop file is there
    assert re.search(r"1  M9\.5x0\.75 +100%", seen)
    text = (tmp_path / "my-pen.toml").read_text("utf-8")
    assert "# read: crest 9.42 ± 0.02, minor 8.75 ± 0.05, " in text
    written = tomllib.loads(text)
    assert written["joints"]["section"]["thread"] == "M9.5x0.75"
    ends = {name: part["ends"] for name, part in written["parts"].items()}
    assert ends["section"]["rear"]["external"]["measured"] == {"crest": 9.42, "uncertainty": 0.02}
    assert ends["barrel"]["mouth"]["internal"]["measured"] == {"crest": 8.75}


def test_a_part_of_no_usual_name_is_asked_for_its_place_and_a_bought_nib_unit(
    tmp_path: Path,
) -> None:
    seen = answered(
        tmp_path, ["new", "pen"],
        [
            (r"Collets", "mine: 6 8"),                              # no system a shop could hold
            (r"Collets", "?"),
            (r"taps for", "M8,5x0,75; M10x1"),
            (r"dies for", "?"),
            (r"Name of the pen \[Pen\]", ""),
            (r"Which parts", "Cap Top!"),                           # no name for a part
            (r"Which parts", "cap, barrel, section, jewel"),
            (r"What does the jewel screw into \(cap, barrel, section\)", "cap"),
            (r"yours: M8,5x0,75, M10x1\s+Thread, cap on the barrel", "M10x1"),
            (r"(?s)read as: .*How deep is it tapped, cap on the barrel", "-2"),
            (r"How deep", "9"),
            (r"How long is its tenon, cap on the barrel", "7"),
            (r"Thread, section into barrel", "M8.5x0.75"),
            (r"How deep", "10"), (r"How long", "8"),
            (r"Thread, jewel into cap", "M6x0.5"),
            (r"How deep", "6"), (r"How long", "5"),
            (r"Does a nib unit screw into", "yes"),
            (r"Thread, nib unit into section", "M6.4x0.5"),
            (r"How deep is it tapped, nib unit", "8"),
            *((q, v) for part in ("cap", "barrel", "section", "jewel") for q, v in (
                (f"Length of the {part}", "500"), (r"500 mm\? Not 50", "y"),
                (f"Diameter of the {part}", "14"), (f"Which hole does the {part}", "6"),
                *([] if part == "section" else [(f"How deep is the {part}'s hole", "?")]),
            )),
        ],
    )  # fmt: skip
    assert "wrote shop.toml" in seen
    shop = tomllib.loads((tmp_path / "shop.toml").read_text("utf-8"))
    assert shop == {"schema": 1, "taps": [{"thread": "M8,5x0,75"}, {"thread": "M10x1"}]}
    written = tomllib.loads((tmp_path / "pen.toml").read_text("utf-8"))
    assert written["joints"]["section"]["thread"] == "M8.5x0.75"
    assert written["parts"]["section"]["ends"]["front"]["internal"]["thread"] == "M6.4x0.5"
    assert written["parts"]["cap"]["length"] == 500
    read_pen((tmp_path / "pen.toml").read_bytes().replace(b"500", b"50"), "pen.toml")


def test_one_part_alone_is_asked_which_side_its_thread_is_on(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text("schema = 1\n", "utf-8")
    answered(
        tmp_path, ["new", "one"],
        [
            (r"Name of the pen", ""), (r"Which parts", "section"),
            (r"Thread, section ", "M9x0.75"),
            (r"Is the section's thread inside or outside \[inside\]", "external"),
            (r"How long is its tenon", "7"),
            (r"Does a nib unit screw into", "no"),
            (r"Length of the section", "28"), (r"Diameter of the section", "11"),
            (r"Which hole", "?"),
        ],
    )  # fmt: skip
    end = read_pen((tmp_path / "one.toml").read_bytes(), "one.toml").parts["section"].ends["rear"]
    assert end.external is not None
    assert (end.external.thread, end.external.length) == ("M9x0.75", 7.0)


def test_readings_that_contradict_one_another_ask_nothing_more_and_may_stay_open(
    tmp_path: Path,
) -> None:
    """Crests of 9.42 are no thread's whose bore is 5."""
    (tmp_path / "shop.toml").write_text("schema = 1\n", "utf-8")
    seen = answered(
        tmp_path, ["new", "one"],
        [
            (r"Name of the pen", ""), (r"Which parts", "barrel, section"),
            (r"Thread, section into barrel", "?"),
            (r"over the crests", "9.42"), (r"Smallest bore", "5"),
            (r"Length over ten", "7.5"), (r"Starts", "1"),
            (r"Which is it .*\[\?\]", "no thread at all"), (r"Which is it", "?"),
            (r"How deep", "10"), (r"How long", "7"),
            *((r"(?s)\]", "?") for _ in range(7)),
        ],
    )  # fmt: skip
    assert "It would decide" not in seen
    text = (tmp_path / "one.toml").read_text("utf-8")
    assert "# Left open: " in text
    assert "joints" not in tomllib.loads(text)


def test_a_script_gives_readings_for_a_thread(tmp_path: Path) -> None:
    done = here("new", "one", "--thread", "section=crest=8.95, ten=5.25 over 7, starts=1",
               "--tenon", "section=7", "--size", "section=24x12", cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    end = read_pen((tmp_path / "one.toml").read_bytes(), "one.toml").parts["section"].ends["rear"]
    assert end.external is not None
    assert end.external.thread == "M9x0.75"
    assert end.external.measured is not None
    assert end.external.measured.crest == 8.95
    checked = here("check", cwd=tmp_path)
    assert checked.returncode == 0, checked.stdout + checked.stderr


def test_readings_that_do_not_decide_are_told_with_what_would(tmp_path: Path) -> None:
    done = here("new", "one", "--thread", "section=crest=9.42", cwd=tmp_path)
    assert done.returncode == 2
    assert "Cannot decide" in done.stderr
    assert re.search(r"The (length over ten crests|number of starts) parts", done.stderr)
    assert not list(tmp_path.iterdir())


FULL = (
    "--parts", "cap,barrel,section", "--thread", "cap=M11x0.75", "--thread", "section=7.6 x 0.75",
    "--tenon", "cap=6", "--tenon", "section=7", "--depth", "cap=8", "--depth", "section=9.5",
    "--size", "cap=48x13.4", "--size", "barrel=58x12.4", "--size", "section=24x9.9",
    "--hole", "cap=10.25x41", "--hole", "barrel=6.8x46", "--hole", "section=5.2",
)  # fmt: skip


def test_a_script_says_it_in_options_and_the_pen_can_be_checked(tmp_path: Path) -> None:
    done = here("new", "my-pen", *FULL, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    lines = (tmp_path / "my-pen.toml").read_text("utf-8").splitlines()
    assert lines[0] == "#:schema ./schema/pen.schema.json"
    assert (tmp_path / "schema" / "pen.schema.json").exists()
    assert all("#" in line or not line or line.startswith("[") for line in lines)
    checked = here("check", cwd=tmp_path)  # the one pen here
    assert checked.returncode == 0, checked.stdout + checked.stderr
    assert "My pen: 3 to order" in checked.stdout


def test_one_thread_alone_is_a_pen_of_one_part(tmp_path: Path) -> None:
    done = here("new", "one", "--thread", "barrel=M9x0.75", "--depth", "barrel=11",
               "--size", "barrel=80x13", cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    pen = read_pen((tmp_path / "one.toml").read_bytes(), "one.toml")
    assert pen.parts["barrel"].ends["mouth"].internal is not None


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--parts", "cap,barrel", "--thread", "section=M9x0.75"), "there is no such joint"),
        (("--thread", "barrel=M9 by what"), "M9 by what"),
        (("--thread", "M9x0.75"), "is not NAME=VALUE"),
        (("--parts", "Cap Top"), "is not a name for a part"),
        (("--parts", "cap,barrel", "--size", "cap=60"), "is not two sizes"),
        (("--parts", "cap,barrel", "--depth", "cap=-3"), "-3"),
        (("--parts", "cap,barrel", "--hole", "lid=3x4"), "there is no such part"),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_written(
    tmp_path: Path, args: tuple[str, ...], words: str
) -> None:
    done = here("new", "my-pen", *args, cwd=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", starter_names("pen"))
def test_a_starter_under_another_name_carries_nobodys_name(tmp_path: Path, name: str) -> None:
    new_pen.start("my-own", name, None, tmp_path)
    for file in ("my-own.toml", "shop.toml"):
        text = (tmp_path / file).read_text("utf-8")
        assert not any(n in text for n in STARTERS_NAMES), file
    assert read_pen((tmp_path / "my-own.toml").read_bytes(), "x").pen.id == "my-own"


def test_an_old_fixture_has_a_starter_that_adopt_takes(tmp_path: Path) -> None:
    assert here("new", "drawer-plug", "--starter", "old-fixture", cwd=tmp_path).returncode == 0
    assert not (tmp_path / "shop.toml").exists()
    done = here("adopt", "drawer-plug.toml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "MG-0001" in done.stdout


def test_the_thread_for_a_nib_unit_is_the_sections_front(tmp_path: Path) -> None:
    done = here("new", "my-pen", *FULL, "--thread", "nib=M6.4x0.5", "--depth", "nib=8",
               cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    pen = read_pen((tmp_path / "my-pen.toml").read_bytes(), "my-pen.toml")
    front = pen.parts["section"].ends["front"]
    assert front.internal is not None
    assert (front.internal.thread, front.internal.depth) == ("M6.4x0.5", 8.0)
    checked = here("check", cwd=tmp_path)
    assert checked.returncode == 0, checked.stdout + checked.stderr
    one = here("new", "one", "--parts", "barrel", "--thread", "nib=M6x0.5", cwd=tmp_path)
    assert "there is no such joint" in one.stderr


def test_a_nib_unit_that_is_not_known_yet_is_left_open_in_the_file(tmp_path: Path) -> None:
    pen = new_file.SaidPen("reed", "Reed", [new_file.SaidPart("section", "28", "11")])
    pen.joints = new_file.usual_joints(["section"])
    pen.joints[0].thread, pen.joints[0].tenon = "M9x0.75", "7"
    new_pen.alone(pen.joints[0])
    text = new_file.written(pen).decode()
    pen.joints.append(new_file.nib_thread())
    more = new_file.written(pen).decode()
    assert list(read_pen(more.encode(), "reed.toml").parts["section"].ends) == ["rear"]
    assert "# [parts.section.ends.front.internal]" in more
    assert "# [parts.section.ends.front.internal]" not in text
