"""Waiting in a browser until something is so, looked at often: the driver's own wait looks every
half second, which made most of what the browser's tests took."""

from __future__ import annotations

from typing import Any

import pytest

pytest.importorskip("selenium")
from selenium.webdriver.support.wait import WebDriverWait

LOOK_EVERY = 0.03  # s


def waiting(tab: Any, seconds: float = 120) -> WebDriverWait[Any]:
    """As `WebDriverWait`; fails after ``seconds``."""
    return WebDriverWait(tab, seconds, poll_frequency=LOOK_EVERY)
