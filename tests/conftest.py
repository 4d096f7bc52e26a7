"""Options of the long suites (their defaults are what the long run takes), and what is left out
where the CAD kernel is not installed."""

from __future__ import annotations

import gc
import importlib.util
import os
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

KERNEL = importlib.util.find_spec("cadquery") is not None
WHY = "the CAD kernel is not installed: pip install '.[cad]'"
# At the top of a module: it cannot even be imported without the kernel.
_IMPORTS = re.compile(
    r"^(?:from|import) (?:OCP|cadquery|mandrelgen\.geometry\.kernel|tests\.support\.solid_facts)\b",
    re.MULTILINE,
)


# How long an example takes depends on what else the machine does: no clock decides here.
if "tests.support.mutation_profile" not in sys.modules:
    settings.register_profile(
        "ordinary", deadline=None, suppress_health_check=[HealthCheck.too_slow]
    )
    settings.load_profile("ordinary")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """One worker more than there are cores, up to four: many tests wait for a browser, a page or
    a process they started."""
    cores = os.cpu_count() or 1
    return cores + 1 if cores <= 4 else cores


@pytest.fixture(scope="session", autouse=True)
def _own_state(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What the page remembers lies among the tests' own files, not in a person's."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        yield


def pytest_collection_finish() -> None:
    """What was loaded and collected stays: looking through it again and again for garbage takes a
    seventh of the processor time of all tests."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 100)


def pytest_ignore_collect(collection_path: Path) -> bool | None:
    """Modules that import the kernel as they begin, where it is missing."""
    if KERNEL or collection_path.suffix != ".py":
        return None
    return bool(_IMPORTS.search(collection_path.read_text("utf-8"))) or None


def pytest_report_header() -> str | None:
    """Say what is left out, and why."""
    return None if KERNEL else f"left out: tests that need it, since {WHY}"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip the single tests that need the kernel, where it is missing."""
    for item in items:
        if not KERNEL and item.get_closest_marker("cad"):
            item.add_marker(pytest.mark.skip(reason=WHY))


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("mandrelgen, long suites")
    group.addoption("--pens", type=int, default=2000, help="random pens (default 2000)")
    group.addoption("--seed-of-pens", type=int, default=20260531, help="seed (default 20260531)")
    group.addoption("--page-actions", type=int, default=5000, help="random actions (default 5000)")
    group.addoption("--page-seed", type=int, default=1, help="their seed (default 1)")


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
