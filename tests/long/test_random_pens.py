"""Two thousand random pens, as files through ``make --prove`` and ``verify``: a clear finding, or
packages whose every file is proved; never a traceback, over 10 s (of one core: others may share
it) or over 1 GB.

    python -m pytest tests/long/test_random_pens.py [-n 0 -s] [--pens N] [--seed-of-pens S]

They run in shares, so that every core has work; a share's seed is S and its own number. The mix is
printed. A pen that fares badly is printed as a file, and
the others go on.
"""

from __future__ import annotations

import collections
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.support.penroad import judge, random_trees

SHARES = 20
LEAST = 0.3  # a smaller part of packages would prove little; over all it is three of four


@pytest.mark.parametrize("share", range(SHARES))
def test_random_pens_give_proved_packages_or_clear_findings(
    tmp_path: Path,
    request: pytest.FixtureRequest,
    record_property: Callable[[str, object], None],
    share: int,
) -> None:
    pens, first = (int(request.config.getoption(n)) for n in ("--pens", "--seed-of-pens"))
    number = first + share
    mix: collections.Counter[str] = collections.Counter()
    bad: list[str] = []
    for n, tree in enumerate(random_trees(-(-pens // SHARES), number)):
        folder = tmp_path / str(n)
        try:
            mix[judge(tree, folder)] += 1
        except AssertionError as e:
            bad.append(f"seed {number}, pen {n}: {e}")
            mix["BAD"] += 1
        shutil.rmtree(folder)
    made = sum(c for word, c in mix.items() if word.startswith("packages"))
    told = f"seed {number}: {dict(mix.most_common())}, {made / mix.total():.0%} give packages"
    print(f"\n{told}", flush=True)
    record_property("mix", told)
    assert not bad, "\n\n".join([told, *bad])
    if mix.total() >= 50:
        assert made / mix.total() >= LEAST, told
