"""Options of the long suites; their defaults are what the long run takes."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("mandrelgen, long suites")
    group.addoption("--pens", type=int, default=2000, help="random pens (default 2000)")
    group.addoption("--seed-of-pens", type=int, default=20260531, help="seed (default 20260531)")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """What the long suites ran on (seeds, how it came out), from every worker."""
    told = [
        text
        for reports in terminalreporter.stats.values()
        for report in reports
        for name, text in getattr(report, "user_properties", ())
        if name == "mix" and getattr(report, "when", "") == "call"
    ]
    if told:
        terminalreporter.section("what the long suites ran on")
        for text in told:
            terminalreporter.write_line(str(text))
