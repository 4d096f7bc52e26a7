"""From a key to the painted drawing and word, and from there to the painted preview of a sheet,
beside a cold ``check`` of the same pen in the same run: ``python -m tests.benchmarks.page
[ROUNDS]``. A real Chromium drives the page."""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.benchmarks.bar import Bar
from tests.support.bench_page import folder_with, served
from tests.support.cataloguing import browser

# The clock of the page itself: from the event of the key to the frame after the drawing changed.
WATCH = """
const done = arguments[0], box = document.getElementById('f-parts-cap-length');
const start = performance.now();
const seen = new MutationObserver(() => {
  const drawn = document.querySelector('.pen-drawing');
  if (!drawn || !drawn.textContent.includes(arguments[1])) return;
  seen.disconnect();
  requestAnimationFrame(() => setTimeout(async () => {
    const painted = performance.now() - start, sheet = new Image();
    sheet.src = `/pens/heron/sheet/cap-mouth-plug?v=${start}`;
    await sheet.decode();
    done([painted, performance.now() - start - painted]);
  }, 0));
});
seen.observe(document.getElementById('work'), {subtree: true, childList: true,
  characterData: true, attributes: true});
box.value = arguments[1];
box.dispatchEvent(new Event('change', {bubbles: true}));
"""


def measured(rounds: int) -> tuple[list[float], list[tuple[float, float]]]:
    """Cold checks, and keys to the painted drawing and then to its sheet, s."""
    with tempfile.TemporaryDirectory() as name:
        folder = folder_with(Path(name), "heron")
        cold = [_check(folder) for _ in range(max(3, rounds // 5))]
        for tab in browser(models=True):
            with served(str(folder)) as page:
                typed = _typed(tab, page.address, page.base, rounds)
    return cold, typed


# At most: a key to the painted drawing, median and 95 %, of a cold check; the sheet, of the key.
MEDIAN, HIGH, SHEET = 0.5, 1.0, 2.0


def bars(rounds: int) -> Iterator[Bar]:
    """The page's bars."""
    cold, typed = measured(rounds)
    check = statistics.median(cold)
    painted = sorted(t for t, _ in typed)
    middle = statistics.median(painted)
    high = painted[int(len(painted) * 0.95)]
    sheet = statistics.median(p for _, p in typed)
    yield Bar("page: a key to the painted drawing / cold check", middle / check, MEDIAN)
    yield Bar("page: the same, 95 %", high / check, HIGH)
    yield Bar("page: then to its sheet / a key to the drawing", sheet / middle, SHEET)


def main(rounds: int) -> None:
    """Print medians and 95 % values, s."""
    cold, typed = measured(rounds)
    check = statistics.median(cold)
    print(f"cold check          median {check:.3f} s")
    _told("key to painted", [t for t, _ in typed], check, MEDIAN, HIGH)
    painted = statistics.median(t for t, _ in typed)
    _told("then to its sheet", [p for _, p in typed], painted, SHEET, None)


def _told(what: str, found: list[float], against: float, asked: float, most: float | None) -> None:
    """Median and 95 %, s, and their shares of another figure with what is asked of them."""
    row = sorted(found)
    middle, high = statistics.median(row), row[int(len(row) * 0.95)]
    print(
        f"{what:20}median {middle:.3f} s, 95 % {high:.3f} s; "
        f"shares {middle / against:.2f} ({asked:g} asked), {high / against:.2f} "
        f"({'-' if most is None else f'{most:g}'} asked)"
    )


def _check(folder: Path) -> float:
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "mandrelgen", "check", str(folder / "heron.toml")],
        check=True, capture_output=True,
    )  # fmt: skip
    return time.perf_counter() - start


def _typed(tab: Any, address: str, base: str, rounds: int) -> list[tuple[float, float]]:
    tab.get(address)
    tab.get(f"{base}/pens/heron/pen")
    time.sleep(1)
    found = []
    for n in range(rounds):
        painted, sheet = tab.execute_async_script(
            WATCH.replace("arguments[1]", f"'{64.01 + n / 50:.2f}'")
        )
        found.append((painted / 1000, sheet / 1000))
        time.sleep(0.2)
    return found[2:]


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
