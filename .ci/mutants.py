"""What `.ci/mutate` runs: mutmut, quicker, and over a part of the mutants where all take too long.

    python .ci/mutants.py run [--share 0.2] [--seed 1] [--seconds 20] [--again] [MUTANT ...]
    python .ci/mutants.py tell

*Quicker*: pytest collects once; each mutant is tried in a process forked from there, which runs
its own tests, the shortest first, and ends at the first that fails. A function's tests are no more
than take `--seconds` together: a mutant that lives may then be found by a longer one, never the
other way round. *A part*: of each module the share given is drawn by the seed; the rest counts as
skipped.
"""

from __future__ import annotations

import argparse
import ast
import gc
import importlib
import math
import os
import pkgutil
import random
import re
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any, ClassVar

import mutmut.__main__ as main
from mutmut.mutation.data import SourceFileMutationData
from mutmut.runners.harness import PytestRunner
from mutmut.state import state
from mutmut.stats import status_by_exit_code
from mutmut.utils.file_utils import change_cwd, walk_mutatable_files
from mutmut.workers import isolation

SKIPPED, SUSPICIOUS, WORDING = 34, 35, 38
TEXT = re.compile(r"f?(?:\"(?:[^\"\\]|\\.)*\"|'(?:[^'\\]|\\.)*')")
# What no test reaches lives too; a run that broke down shows nothing.
LIVE = ("survived", "no tests", "suspicious", "segfault")


class Kept:
    """A pytest plugin: the session that has collected, and its tests by their names."""

    session: Any = None
    items: ClassVar[dict[str, Any]] = {}

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
        loaded()


def loaded() -> None:
    """Everything that a test may load as it runs, so that no mutant's process has to."""
    import mandrelgen

    for found in pkgutil.walk_packages(mandrelgen.__path__, "mandrelgen."):
        if not found.name.endswith("__main__") and "kernel" not in found.name:
            importlib.import_module(found.name)
    gc.collect()
    gc.freeze()


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


def status(code: int | None) -> str:
    return "wording" if code == WORDING else status_by_exit_code[code]


def data() -> list[SourceFileMutationData]:
    every = [SourceFileMutationData(path=path) for path in walk_mutatable_files()]
    for one in every:
        one.load()
    return every


def plain(line: str) -> str:
    """The line with every sentence in it as if nobody had shouted it."""

    def calm(found: re.Match[str]) -> str:
        said = found[0]
        if said.startswith("f") or " " not in said:
            return said
        return f"{said[0]}{said[1:-1].removeprefix('XX').removesuffix('XX').lower()}{said[-1]}"

    return TEXT.sub(calm, line)


def reworded(path: Path) -> set[str]:
    """Mutants of a file that only put XX round a sentence (a text with a blank in it), or write it
    in large or small letters: no test should stand on that."""
    text = (Path("mutants") / path).read_text("utf-8")
    lines = text.splitlines()
    bodies = {
        node.name: lines[node.body[0].lineno - 1 : node.end_lineno]
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef) and "__mutmut_" in node.name
    }
    found = set()
    for name, body in bodies.items():
        first = bodies[name.rpartition("_")[0] + "_orig"]
        differ = [(a, b) for a, b in zip(first, body, strict=False) if a != b]
        if len(first) == len(body) and differ and all(plain(a) == plain(b) for a, b in differ):
            found.add(f"{'.'.join(path.with_suffix('').parts)}.{name}")
    return found


def drawn(path: Path, names: Iterable[str], share: float, seed: int) -> set[str]:
    """The share of a module's mutants that the seed draws; a larger share holds the smaller one."""
    mixed = sorted(names)
    random.Random(f"{seed} {path}").shuffle(mixed)
    return set(mixed[: math.ceil(share * len(mixed))])


def draw(share: float, seed: int, again: bool) -> None:
    """Mark, in each module, what is only reworded and what the share leaves out; what was tried
    stays, but for what lived if it is wanted again."""
    for one in data():
        words = reworded(one.path) if one.exit_code_by_key else set()
        one.exit_code_by_key.update(dict.fromkeys(words, WORDING))
        taken = drawn(one.path, one.exit_code_by_key, share, seed)
        for name in set(one.exit_code_by_key) - words:
            code = one.exit_code_by_key[name]
            if code in (None, SKIPPED) or (again and status(code) in LIVE):
                one.exit_code_by_key[name] = None if name in taken else SKIPPED
        one.save()


def run(given: argparse.Namespace) -> None:
    create, collect = main.create_mutants, main.collect_or_load_stats

    def create_and_draw(*args: Any) -> Any:
        made = create(*args)
        draw(given.share, given.seed, given.again)
        return made

    def collect_and_shorten(*args: Any, **more: Any) -> None:
        known = Path("mutants/mutmut-stats.json").exists()
        collect(*args, **more)
        # Other tests than before, and every mutant counts as untried again: so does the draw.
        draw(given.share, given.seed, False)
        shorten(given.seconds)
        if not known:  # what has just counted the tests has seen them pass
            isolation.ForkServerRunner.run_clean_tests = lambda self, tests: 0  # type: ignore[method-assign]

    main.create_mutants, main.collect_or_load_stats = create_and_draw, collect_and_shorten
    main.run_forced_fail_test = lambda runner: None  # every mutant found shows as much
    main._run(tuple(given.mutants), given.children)


def tell(share: float, seed: int) -> int:
    """What lives, then module by module what was found; 1 below 95 % of what was tried."""
    total: Counter[str] = Counter()
    rows = []
    for one in data():
        statuses = {name: status(code) for name, code in one.exit_code_by_key.items()}
        taken = drawn(one.path, statuses, share, seed)
        statuses = {  # what was tried for another draw, or by name, does not count
            name: how if name in taken else "skipped" for name, how in statuses.items()
        }
        for name, how in statuses.items():
            if how in LIVE or how == "timeout":
                print(f"{name}: {how}")
        count = Counter(statuses.values())
        rows += [row(str(one.path), count)] if count else []
        total += count
    print(f"{'':42}{'mutants':>8}{'reworded':>9}{'tried':>7}{'found':>7}{'live':>6}{'%':>7}")
    print(*rows, row("altogether", total), sep="\n")
    return 0 if found(total) >= 95 else 1


def tried(count: Counter[str]) -> int:
    return sum(n for how, n in count.items() if how not in {"wording", "skipped", "not checked"})


def found(count: Counter[str]) -> float:
    """The share found, %; nothing tried is nothing found."""
    live = sum(count[how] for how in LIVE)
    return 100 * (1 - live / tried(count)) if tried(count) else 0.0


def row(name: str, count: Counter[str]) -> str:
    live = sum(count[how] for how in LIVE)
    return (
        f"{name:42}{sum(count.values()):8}{count['wording']:9}{tried(count):7}"
        f"{tried(count) - live:7}{live:6}{found(count):7.1f}"
    )


def patient(pid: int, timeout_s: float) -> None:
    """Processor time ends a mutant that runs for ever; the clock only one that waits."""
    _register_timeout(pid, 20 * timeout_s)


def seldom(*args: Any, force_output: bool = False) -> None:
    """The line of figures twice a minute: it counts every mutant anew."""
    if force_output or time.monotonic() > seldom.last + 30:  # type: ignore[attr-defined]
        seldom.last = time.monotonic()  # type: ignore[attr-defined]
        _print_stats(*args, force_output=True)


seldom.last = 0.0  # type: ignore[attr-defined]
_print_stats, main.print_stats = main.print_stats, seldom
_register_timeout, isolation.register_timeout = isolation.register_timeout, patient
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
    parser.add_argument("--again", action="store_true", help="try what lived again")
    parser.add_argument("mutants", nargs="*")
    given = parser.parse_args()
    if given.what == "tell":
        sys.exit(tell(given.share, given.seed))
    run(given)
