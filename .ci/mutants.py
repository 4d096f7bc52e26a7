"""What `.ci/mutate` runs: mutmut, quicker, and over a part of the mutants where all take too long.

    python .ci/mutants.py run [--share 0.2] [--seed 1] [--seconds 20] [--children 2] [MUTANT ...]
    python .ci/mutants.py tell

*Quicker*: pytest collects once; each mutant is tried in a process forked from there, which runs its
own tests, the shortest first, and ends at the first that fails. A function's tests are no more than
take `--seconds` altogether: a mutant that lives may then be found by a longer one, never the other
way round. *A part*: of each module the share given is drawn by the seed; the rest counts as skipped.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

import mutmut.__main__ as main
from mutmut.mutation.data import SourceFileMutationData
from mutmut.runners.harness import PytestRunner
from mutmut.state import state
from mutmut.stats import status_by_exit_code
from mutmut.utils.file_utils import change_cwd, walk_mutatable_files

SKIPPED, SUSPICIOUS = 34, 35


class Kept:
    """A pytest plugin: the session that has collected, and its tests by their names."""

    session: Any = None
    items: dict[str, Any] = {}

    def pytest_collection_finish(self, session: Any) -> None:
        Kept.session = session
        Kept.items = {item.nodeid: item for item in session.items}


def collect_once(self: PytestRunner) -> None:
    """As `pytest --collect-only`, but what was collected stays usable."""
    from _pytest.config import _prepareconfig
    from _pytest.main import Session

    with change_cwd("mutants"):
        args = [*self._pytest_add_cli_args_test_selection, "--rootdir=.", "-qq", "-s", "-x"]
        config = _prepareconfig([*args, "--tb=no", *self._pytest_add_cli_args], [Kept()])
        config._do_configure()
        session = Session.from_config(config)
        config.hook.pytest_sessionstart(session=session)
        config.hook.pytest_collection(session=session)


def run_kept(self: PytestRunner, *, mutant_name: str | None, tests: Any) -> int:
    """0 if every test passes, 1 at the first that does not; `tests` in any order."""
    if Kept.session is None or mutant_name is None:
        return _run_tests(self, mutant_name=mutant_name, tests=tests)
    took = state().duration_by_test
    items = [Kept.items[t] for t in sorted(tests, key=lambda t: took.get(t, 0.0))]
    config = Kept.session.config
    own = tempfile.mkdtemp(prefix="mutant-")
    config._tmp_path_factory._basetemp = Path(own).resolve()
    try:
        with change_cwd("mutants"):
            for item, after in zip(items, [*items[1:], None], strict=True):
                config.hook.pytest_runtest_protocol(item=item, nextitem=after)
                if Kept.session.testsfailed:
                    return 1
        return 0
    except Exception:
        return SUSPICIOUS
    finally:
        shutil.rmtree(own, ignore_errors=True)


def shorten(seconds: float) -> None:
    """Of each function's tests keep the shortest that take `seconds` altogether, one at least."""
    took = state().duration_by_test
    for name, tests in state().tests_by_mangled_function_name.items():
        kept, total = set(), 0.0
        for test in sorted(tests, key=lambda t: (took[t], t)):
            total += took[test]
            if kept and total > seconds:
                break
            kept.add(test)
        state().tests_by_mangled_function_name[name] = kept


def data() -> list[SourceFileMutationData]:
    every = [SourceFileMutationData(path=path) for path in walk_mutatable_files()]
    for one in every:
        one.load()
    return every


def draw(share: float, seed: int) -> None:
    """Mark as skipped, in each module, what the share leaves out; what was tried stays."""
    for one in data():
        names = sorted(one.exit_code_by_key)
        drawn = random.Random(f"{seed} {one.path}")
        taken = set(drawn.sample(names, round(share * len(names))))
        for name in names:
            code = one.exit_code_by_key[name]
            if code in (None, SKIPPED):
                one.exit_code_by_key[name] = None if name in taken else SKIPPED
        one.save()


def run(share: float, seed: int, seconds: float, children: int, names: list[str]) -> None:
    create, collect = main.create_mutants, main.collect_or_load_stats

    def create_and_draw(*args: Any) -> Any:
        made = create(*args)
        draw(share, seed)
        return made

    def collect_and_shorten(*args: Any, **more: Any) -> None:
        collect(*args, **more)
        shorten(seconds)

    main.create_mutants, main.collect_or_load_stats = create_and_draw, collect_and_shorten
    main._run(tuple(names), children)


def tell() -> int:
    """Module by module what was found; 1 below 95 % of what was tried, or where nothing was."""
    total: Counter[str] = Counter()
    print(f"{'':45}{'mutants':>8}{'tried':>7}{'found':>7}{'live':>6}{'no test':>8}{'%':>7}")
    for one in data():
        count = Counter(status_by_exit_code[code] for code in one.exit_code_by_key.values())
        if count:
            row(str(one.path), count)
        total += count
    share = row("altogether", total)
    Path("mutants/told.json").write_text(json.dumps(total), "utf-8")
    return 0 if share >= 95 else 1


def row(name: str, count: Counter[str]) -> float:
    # What no test reaches lives too: nobody would notice it.
    live = count["survived"] + count["no tests"] + count["suspicious"]
    tried = sum(count.values()) - count["skipped"] - count["not checked"]
    share = 100 * (tried - live) / tried if tried else 0.0
    print(
        f"{name:45}{sum(count.values()):8}{tried:7}{tried - live:7}{count['survived']:6}"
        f"{count['no tests']:8}{share:7.1f}"
    )
    return share


_run_tests = PytestRunner.run_tests
PytestRunner.warm_up = collect_once  # type: ignore[method-assign]
PytestRunner.run_tests = run_kept  # type: ignore[method-assign]

if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("what", choices=["run", "tell"])
    parser.add_argument("--share", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--children", type=int, default=os.cpu_count() or 1)
    parser.add_argument("mutants", nargs="*")
    given = parser.parse_args()
    if given.what == "tell":
        sys.exit(tell())
    run(given.share, given.seed, given.seconds, given.children, given.mutants)
