"""What a person does with the page in a browser, counted; and what is seen of it."""

from __future__ import annotations

import json
import time
from typing import Any
from urllib.parse import urlsplit

import pytest

pytest.importorskip("selenium")
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.wait import WebDriverWait


def quiet(tab: Any) -> None:
    said = [e for e in tab.get_log("browser") if e["level"] not in ("DEBUG", "INFO")]
    assert said == []
    asked = set()
    for entry in tab.get_log("performance"):
        message = json.loads(entry["message"])["message"]
        if message["method"] == "Network.requestWillBeSent":
            asked.add(urlsplit(message["params"]["request"]["url"]))
    assert {u.hostname for u in asked if u.scheme != "data"} <= {"127.0.0.1"}


def window(tab: Any, width: int, dark: bool = False) -> None:
    size = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": False}
    tab.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
    tab.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [scheme]})


def drawn(tab: Any) -> str:
    """The words of the drawing."""
    return str(tab.execute_script("return document.querySelector('.pen-drawing').textContent"))


def settled(tab: Any) -> None:
    """Nothing is asked for any more."""
    WebDriverWait(tab, 20).until(
        lambda t: t.execute_script(
            "return document.readyState === 'complete' && "
            "!document.querySelector('.htmx-request, .htmx-swapping, .htmx-settling')"
        )
    )


class Hands:
    """Does what a person does and counts it: a click, a field filled, a key pressed."""

    def __init__(self, tab: Any) -> None:
        self.tab, self.count = tab, 0

    def click(self, selector: str) -> None:
        self.count += 1
        one = self.tab.find_element(By.CSS_SELECTOR, selector)
        self.tab.execute_script("arguments[0].scrollIntoView({block: 'center'})", one)
        one.click()
        time.sleep(0.05)
        settled(self.tab)

    def fill(self, selector: str, text: str) -> None:
        self.count += 1
        one = self.tab.find_element(By.CSS_SELECTOR, selector)
        self.tab.execute_script("arguments[0].scrollIntoView({block: 'center'})", one)
        one.send_keys(Keys.CONTROL, "a")
        one.send_keys(text, Keys.TAB)
        time.sleep(0.05)
        settled(self.tab)

    def choose(self, selector: str, value: str) -> None:
        self.count += 1
        from selenium.webdriver.support.select import Select

        Select(self.tab.find_element(By.CSS_SELECTOR, selector)).select_by_value(value)
        settled(self.tab)

    def see(self, selector: str, text: str = "", seconds: float = 20) -> None:
        WebDriverWait(self.tab, seconds).until(
            lambda t: any(text in e.text for e in t.find_elements(By.CSS_SELECTOR, selector))
        )
