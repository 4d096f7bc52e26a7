"""Options of the long suites; their defaults are what the long run takes."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("mandrelgen, long suites")
    group.addoption("--pens", type=int, default=2000, help="random pens (default 2000)")
    group.addoption("--seed-of-pens", type=int, default=20260531, help="seed (default 20260531)")
    group.addoption("--skip-pens", type=int, default=0, help="begin at this pen (default 0)")
