"""What a person does with the catalogue's page in a browser, and what is seen there."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from PIL import Image

pytest.importorskip("selenium")
from selenium.webdriver import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from tests.support.waiting import waiting


def window(tab: Any, width: int, height: int, phone: bool = False) -> None:
    size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": phone}
    tab.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)


def one(tab: Any, selector: str) -> Any:
    return tab.find_element(By.CSS_SELECTOR, selector)


def shown(tab: Any) -> list[int]:
    found = tab.execute_script(
        "return [...document.querySelectorAll('.card')].filter(c => c.checkVisibility())"
        ".map(c => c.id)"
    )
    return [int(x[3:]) for x in found]


def keys(tab: Any, *words: str) -> None:
    """As a keyboard sends them: to whatever has the focus, be it a button just switched off."""
    for word in words:
        ActionChains(tab).send_keys(word).perform()


def active(tab: Any) -> str:
    """The card that has the focus, else the id of what has it."""
    return str(tab.execute_script(
        "const e = document.activeElement; return (e.closest('.card') || e).id"
    ))  # fmt: skip


def picture(tab: Any) -> np.ndarray[Any, Any]:
    """The 3D view's dots as they are on the screen."""
    data = one(tab, "#model").screenshot_as_png
    return np.asarray(Image.open(io.BytesIO(data)).convert("L"), dtype=float)


def opened(tab: Any, number: str) -> None:
    """Open a fixture and wait until its model was drawn."""
    link = one(tab, f"#{number} .open")
    tab.execute_script("arguments[0].scrollIntoView({block: 'center'})", link)
    link.click()
    drawn(tab)


def pressed(tab: Any, button: str) -> None:
    """Enter on a button, once it can be reached: a dialog may still be opening."""
    waiting(tab).until(lambda t: one(t, button).is_displayed())
    tab.execute_script("arguments[0].focus()", one(tab, button))
    keys(tab, Keys.ENTER)


def drawn(tab: Any, other: str = "") -> str:
    waiting(tab).until(
        lambda t: one(t, "#model").get_dom_attribute("data-shown") not in (None, other)
    )
    tab.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
    return str(one(tab, "#model").get_dom_attribute("data-shown"))


def dark(dots: np.ndarray[Any, Any]) -> float:
    """The share of dots darker than the empty stage (its gradient ends at 223 of 255)."""
    return float((dots < 205).mean())
