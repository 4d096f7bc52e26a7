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

from tests.support.bench_page import Served
from tests.support.waiting import waiting


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
    still = {"name": "prefers-reduced-motion", "value": "reduce"}  # no colour half-way to another
    tab.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [scheme, still]})


def drawn(tab: Any) -> str:
    """The words of the drawing."""
    return str(tab.execute_script("return document.querySelector('.pen-drawing').textContent"))


def settled(tab: Any) -> None:
    """Nothing is asked for any more."""
    waiting(tab).until(
        lambda t: t.execute_script(
            "return document.readyState === 'complete' && "
            "!document.querySelector('.htmx-request, .htmx-swapping, .htmx-settling') && "
            "!document.documentElement.hasAttribute('data-unsent')"
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
        waiting(self.tab, seconds).until(
            lambda t: any(text in e.text for e in t.find_elements(By.CSS_SELECTOR, selector))
        )

    def wait(self, script: str) -> None:
        """Until the script returns something true."""
        waiting(self.tab, 60).until(lambda t: t.execute_script(script))


def first_pen(me: Any) -> int:
    """From an empty folder to an order for a cap's and a barrel's mandrel, in any browser's hands;
    how many interactions the first picture with its word took."""
    me.click("#n-cap")
    me.fill("#n-thread", "M12x0.8")
    me.fill("#n-diameter", "14.5")
    me.fill("#n-length", "60")
    me.fill("#n-name", "reed")
    me.click(".new button.main")
    me.wait("return document.querySelector('.pen-drawing')?.textContent.includes('cap')")
    me.click(".steps a[href$=mandrels]")
    me.see(".mandrel .word", "order")
    me.choose("#s-system", "ISO 15488-25")
    me.click("#s-12")
    me.click(".ask button.main")
    me.see(".mandrel .word", "order")
    me.wait(
        "const i = document.querySelector('.preview img'); "
        "return i && i.complete && i.naturalWidth > 0"
    )
    picture = int(me.count)
    me.click(".steps a[href$=pen]")
    me.click("#p-barrel")
    me.fill("#p-thread", "M9x0.75")
    me.fill("#p-diameter", "13.5")
    me.fill("#p-length", "85")
    me.click("section[aria-label='One more part'] button.main")
    me.wait("return document.querySelector('.pen-drawing')?.textContent.includes('barrel')")
    me.click(".steps a[href$=order]")
    me.see(".takes", "barrel-mouth-plug")
    me.wait("return !document.querySelector('.found .error')")
    me.click("section button.main")
    me.see(".sent h2", "Order", 240)
    return picture


def typed_when_gone(tab: Any, served: Served, value: str) -> Any:
    """The cap's length typed after the program was killed, and the page has said so; the box."""
    served.process.kill()
    served.process.wait()
    box = tab.find_element(By.ID, "f-parts-cap-length")
    box.send_keys(Keys.CONTROL, "a")
    box.send_keys(value, Keys.TAB)
    waiting(tab).until(lambda t: t.find_element(By.ID, "lost").is_displayed())
    return box
