"""The thread finder against a judge that imports nothing of it: 2,000 random threads.

List, rounding and arithmetic of the judge: ``tests/support/thread_judge.py``; what is read and how
the readings err: ``tests/support/thread_study.py``. Decidable is a thread where, by brute force
over the list, exactly one lies within the stated uncertainties.
"""

from __future__ import annotations

import pytest

from tests.support.thread_study import study


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_of_2000_random_threads_the_decidable_are_named_and_no_other(seed: int) -> None:
    figures = study(2000, seed)
    print(f"seed {seed}: {figures.text()}")
    assert figures.true_first >= 0.95 * figures.decidable
    assert figures.cannot >= 0.95 * figures.others
