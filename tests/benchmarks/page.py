"""From a key to the painted drawing and word, beside a cold ``check`` of the same pen in the same
run: ``python -m tests.benchmarks.page [ROUNDS]``. A real Chromium drives the page."""

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
  requestAnimationFrame(() => setTimeout(() => done(performance.now() - start), 0));
});
seen.observe(document.getElementById('work'), {subtree: true, childList: true,
  characterData: true, attributes: true});
box.value = arguments[1];
box.dispatchEvent(new Event('change', {bubbles: true}));
"""


SHARE = 0.5  # of a cold check


def measured(rounds: int) -> tuple[list[float], list[float]]:
    """Cold checks, and keys to the painted drawing, s."""
    with tempfile.TemporaryDirectory() as name:
        folder = folder_with(Path(name), "heron")
        cold = [_check(folder) for _ in range(max(3, rounds // 5))]
        for tab in browser():
            with served(str(folder)) as page:
                typed = _typed(tab, page.address, page.base, rounds)
    return cold, typed


def bars(rounds: int) -> Iterator[Bar]:
    """The page's own bar."""
    cold, typed = measured(rounds)
    share = statistics.median(typed) / statistics.median(cold)
    yield Bar("page: a key to the painted drawing / cold check", share, SHARE)


def main(rounds: int) -> None:
    """Print medians and 95 % values, s."""
    cold, typed = measured(rounds)
    print(f"cold check         median {statistics.median(cold):.3f} s")
    typed.sort()
    print(
        f"key to painted     median {statistics.median(typed):.3f} s, "
        f"95 % {typed[int(len(typed) * 0.95)]:.3f} s; "
        f"share of the check {statistics.median(typed) / statistics.median(cold):.2f} "
        f"({SHARE:g} asked)"
    )


def _check(folder: Path) -> float:
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "mandrelgen", "check", str(folder / "heron.toml")],
        check=True, capture_output=True,
    )  # fmt: skip
    return time.perf_counter() - start


def _typed(tab: Any, address: str, base: str, rounds: int) -> list[float]:
    tab.get(address)
    tab.get(f"{base}/pens/heron/pen")
    time.sleep(1)
    found = []
    for n in range(rounds):
        found.append(tab.execute_async_script(
            WATCH.replace("arguments[1]", f"'{64.01 + n / 50:.2f}'")
        ) / 1000)  # fmt: skip
        time.sleep(0.2)
    return found[2:]


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
