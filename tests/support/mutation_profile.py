"""A pytest plugin for mutation testing. Properties draw fewer values, always the same ones, and
what fails is not made smaller. No clock decides: a slow machine must not count as a mutant found.
No test finds what an earlier one left in a cache, where a mutant would hide."""

import doctest
import functools
import gc
import sys

import pytest
from hypothesis import Phase, settings

settings.register_profile(
    "mutation",
    max_examples=40,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
)
settings.load_profile("mutation")

# A mutant has its function's examples too: those of the function as it was are enough, and call it
# by its name.
_find = doctest.DocTestFinder.find


def _find_once(self, *args, **more):
    found = _find(self, *args, **more)
    return [t for t in found if "__mutmut_" not in t.name or t.name.endswith("_orig")]


doctest.DocTestFinder.find = _find_once

_CACHED = type(functools.cache(lambda: None))
_caches: list = []
_modules = 0


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup() -> None:
    global _caches, _modules
    if len(sys.modules) != _modules:
        _modules = len(sys.modules)
        _caches = [
            one
            for one in gc.get_objects()
            if type(one) is _CACHED and one.__module__.startswith("mandrelgen")
        ]
    for one in _caches:
        one.cache_clear()
