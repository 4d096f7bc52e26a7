"""Two thousand random pens, as files through ``make --prove`` and ``verify``: a clear finding, or
packages whose every file is proved; never a traceback, over 10 s (of one core: others may share
it) or over 1 GB.

    python -m pytest tests/long/test_random_pens.py -n 0 -s [--pens N] [--seed-of-pens S]
        [--skip-pens K]

The mix is printed; at least half give packages.
"""

from __future__ import annotations

import collections
import shutil
from pathlib import Path

import pytest

from tests.penroad import judge, preload, random_trees


def test_random_pens_give_proved_packages_or_clear_findings(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    count, number, skip = (
        int(request.config.getoption(name)) for name in ("--pens", "--seed-of-pens", "--skip-pens")
    )
    preload()
    mix: collections.Counter[str] = collections.Counter()
    bad: list[int] = []
    for n, tree in list(enumerate(random_trees(skip + count, number)))[skip:]:
        folder = tmp_path / str(n)
        try:
            mix[judge(tree, folder)] += 1
        except AssertionError as e:
            bad.append(n)
            mix["BAD"] += 1
            print(f"\nseed {number}, pen {n}: {e}", flush=True)
        shutil.rmtree(folder)
        if mix.total() % 50 == 0:
            print(f"{mix.total()} pens: {dict(mix.most_common())}", flush=True)
    made = sum(c for word, c in mix.items() if word.startswith("packages"))
    print(f"\nseed {number}: {dict(mix.most_common())}, {made / mix.total():.0%} give packages")
    assert not bad, f"seed {number}, pens {bad}"
    assert made / mix.total() >= 0.5
