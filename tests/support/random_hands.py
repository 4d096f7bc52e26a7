"""Random actions on the page of a pen, and whether a keystroke was lost: what was typed last stands
in the box, and in the file if it can stand there."""

from __future__ import annotations

import random
import tomllib
from pathlib import Path
from typing import Any

from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from tests.support.bench_hands import quiet, settled, window
from tests.support.bench_page import Served

# Boxes whose value may be anything near without touching another: the parts' lengths, a name.
BOXES = ("parts.cap.length", "parts.barrel.length", "parts.section.length", "parts.finial.length")
EVERY = 25
"""Actions between two looks at the file."""


def played(tab: Any, at: Served, path: Path, actions: int, seed: int) -> dict[str, Any]:
    """Do so many actions; what was lost, if anything was."""
    rng = random.Random(seed)
    start = _lengths(path)
    typed: dict[str, str] = {}
    good = {k: [v] for k, v in start.items()}
    lost: list[str] = []
    window(tab, 1400)
    tab.get(f"{at.base}/pens/heron/pen")
    settled(tab)
    for n in range(1, actions + 1):
        key = rng.choice(BOXES)
        what = rng.choice(("type", "type", "type", "type", "add", "wrong", "arrow", "look", "step"))
        box = _box(tab, key)
        if what in ("type", "wrong"):
            value = f"{start[key] + rng.randrange(0, 200) / 100:.2f}".rstrip("0").rstrip(".")
            text = value if what == "type" else f"{value}x"
            box.send_keys(Keys.CONTROL, "a")
            box.send_keys(text, *([Keys.TAB] if rng.random() < 0.7 else []))
            typed[key] = text
            if what == "type":
                good[key].append(float(value))
        elif what == "add" and "." not in typed.get(key, "x") and "x" not in typed.get(key, "x"):
            box.send_keys(Keys.END, ".5")
            typed[key] += ".5"
            good[key].append(float(typed[key]))
        elif what == "arrow" and typed.get(key, "x")[-1] != "x":
            box.send_keys(Keys.ARROW_UP)
            typed[key] = str(box.get_attribute("value"))
            good[key].append(float(typed[key]))
        elif what == "look":
            tab.execute_script("document.querySelector('.part details').open ^= true")
        elif what == "step" and rng.random() < 0.3:
            # A person looks up before leaving the page: what is on its way arrives.
            tab.execute_script("document.activeElement.blur()")
            settled(tab)
            tab.get(f"{at.base}/pens/heron/{rng.choice(('joints', 'pen'))}")
            tab.get(f"{at.base}/pens/heron/pen")
            settled(tab)
        if n % EVERY == 0 or n == actions:
            tab.execute_script("document.activeElement.blur()")
            settled(tab)
            now = _lengths(path)
            for k in BOXES:
                shown = str(_box(tab, k).get_attribute("value"))
                # What cannot stand may have been typed over a size before that was on its way.
                may = good[k] if typed.get(k, "")[-1:] == "x" else good[k][-1:]
                if shown != typed.get(k, shown) or now[k] not in may:
                    lost.append(f"{n}: {k}: typed {typed.get(k)}, box {shown}, file {now[k]}")
            if lost:
                break
    quiet(tab)
    return {"actions": n, "seed": seed, "lost": lost}


def _box(tab: Any, key: str) -> Any:
    return tab.find_element(By.CSS_SELECTOR, f"input[data-key='{key}']")


def _lengths(path: Path) -> dict[str, float]:
    tree = tomllib.loads(path.read_text("utf-8"))["parts"]
    return {f"parts.{k}.length": float(v["length"]) for k, v in tree.items()}
