"""Sizes dragged in the drawing and stepped by keys, in a real Chromium: the box is the truth."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from tests.support.bench_hands import drawn, quiet, settled, window
from tests.support.bench_page import folder_with, served
from tests.support.waiting import waiting

CAP = "parts.cap.length"
MOUTH = "parts.cap.ends.mouth.diameter"
TAIL = "parts.barrel.ends.tail.diameter"


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory, chromium: Any) -> Iterator[tuple[Any, Path]]:
    folder = folder_with(tmp_path_factory.mktemp("drag"), "heron")
    with served(str(folder)) as found:
        window(chromium, 1400)
        chromium.get_log("browser")
        chromium.get_log("performance")
        chromium.get(found.address)
        chromium.get(f"{found.base}/pens/heron/pen")
        settled(chromium)
        yield chromium, folder / "heron.toml"
        quiet(chromium)


def cap(path: Path) -> Any:
    return tomllib.loads(path.read_text("utf-8"))["parts"]["cap"]


def read(path: Path, key: str) -> float:
    """The size as the file has it."""
    here: Any = tomllib.loads(path.read_text("utf-8"))
    for step in key.split("."):
        here = here[step]
    return float(here)


def drag(tab: Any, key: str, dx: int, dy: int) -> tuple[float, float]:
    """Drag the text of a size; mm of the pen for each px, and what stands in the box then."""
    text = tab.find_element(By.CSS_SELECTOR, f".dimension[data-key='{key}'] text")
    mm = tab.execute_script(
        "const s = document.querySelector('.pen-drawing'); return s.viewBox.baseVal.width / "
        "s.getBoundingClientRect().width / parseFloat(s.dataset.scale)"
    )
    chain = ActionChains(tab, duration=40).move_to_element_with_offset(text, 6, 0).click_and_hold()
    for _ in range(4):
        chain = chain.move_by_offset(dx // 4, dy // 4)
    chain.release().perform()
    settled(tab)
    box = tab.find_element(By.CSS_SELECTOR, f"input[data-key='{key}']")
    return float(mm), float(box.get_attribute("value"))


@pytest.mark.parametrize(
    ("key", "dx", "dy", "times"), [(CAP, 48, 0, 1.0), (CAP, -40, 0, 1.0), (TAIL, 0, 4, -2.0)]
)
def test_a_size_follows_the_pointer_and_file_box_and_drawing_say_the_same(
    bench: tuple[Any, Path], key: str, dx: int, dy: int, times: float
) -> None:
    tab, path = bench
    before = read(path, key)
    mm, value = drag(tab, key, dx, dy)
    moved = times * mm * (dx or dy)
    assert value == pytest.approx(before + moved, abs=0.06 + abs(mm))
    assert value != before
    waiting(tab).until(lambda t: read(path, key) == value)
    waiting(tab).until(lambda t: f"{value:g}" in drawn(t))


def test_a_drag_is_one_change_and_undo_takes_all_of_it_back(bench: tuple[Any, Path]) -> None:
    tab, path = bench
    settled(tab)
    before = path.read_bytes()
    drag(tab, CAP, 60, 0)
    waiting(tab).until(lambda t: path.read_bytes() != before)
    tab.find_element(By.ID, "undo").click()
    waiting(tab).until(lambda t: path.read_bytes() == before)


def test_a_press_without_a_drag_leads_to_the_box_and_changes_nothing(
    bench: tuple[Any, Path],
) -> None:
    tab, path = bench
    before = path.read_bytes()
    tab.find_element(By.CSS_SELECTOR, f".dimension[data-key='{MOUTH}'] text").click()
    assert tab.switch_to.active_element.get_attribute("data-key") == MOUTH
    settled(tab)
    assert path.read_bytes() == before


def test_the_arrow_keys_step_the_size_that_has_the_focus(bench: tuple[Any, Path]) -> None:
    tab, path = bench
    box = tab.find_element(By.CSS_SELECTOR, f"input[data-key='{CAP}']")
    before = float(cap(path)["length"])
    box.send_keys(Keys.ARROW_UP, Keys.ARROW_UP, Keys.ARROW_DOWN, Keys.ARROW_UP)
    box.send_keys(Keys.SHIFT, Keys.ARROW_UP, Keys.NULL)
    assert float(box.get_attribute("value")) == pytest.approx(before + 1.2, abs=0.51)
    wanted = float(box.get_attribute("value"))
    waiting(tab).until(lambda t: float(cap(path)["length"]) == wanted)
