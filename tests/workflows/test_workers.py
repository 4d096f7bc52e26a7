"""Workers: results in their order whoever is faster, errors that arrive as they were raised, a
worker that dies."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import pytest

from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError, Level
from mandrelgen.files.proof.report import ProofError
from mandrelgen.workflows import parallel
from mandrelgen.workflows.parallel import Call, Crew, Flow, Here, Pool, WorkerError, each

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
FOUND = (
    Finding(level=Level.ERROR, code="one", where="here", message="first", remedy="mend it"),
    Finding(Level.NOTE, "two", "there", "second"),
)


@contextmanager
def pool(count: int = 2) -> Iterator[Pool]:
    """Workers, also in a test runner that has threads."""
    made = Pool(count, lambda: None)
    try:
        yield made
    finally:
        made.end(at_once=True)


def slowly(seconds: float, value: int) -> int:
    time.sleep(seconds)
    return value


def failing(seconds: float, error: Exception) -> None:
    time.sleep(seconds)
    raise error


def who() -> tuple[int, int]:
    return os.getpid(), os.getppid()


def dies() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


class Odd(Exception):
    """An error that cannot be made again from its text."""

    def __init__(self, one: int, two: int) -> None:
        super().__init__(f"odd {one} {two}")


def doubled(value: int) -> Flow[list[int]]:
    """Two calls at once, nothing, then one that needs both results."""
    first = yield [Call(slowly, (0.02 / value, value)), Call(slowly, (0.01, 10 * value))]
    none = yield ()
    last = yield [Call(slowly, (0.0, sum(first)))]
    return [*first, *none, *last]


@pytest.mark.parametrize("count", [1, 2, 4])
def test_results_come_in_their_order_whoever_is_faster(count: int) -> None:
    told: list[tuple[int, list[int]]] = []
    wanted = [[n, 10 * n, 11 * n] for n in (1, 2, 3, 4, 5)]
    with pool(count) as crew:
        for _ in range(2):
            assert (
                crew.run(
                    [doubled(n) for n in (1, 2, 3, 4, 5)],
                    lambda n, result: told.append((n, result)),
                )
                == wanted
            )
    assert sorted(told) == sorted([*enumerate(wanted)] * 2)
    assert Here().run([doubled(n) for n in (1, 2, 3, 4, 5)]) == wanted


def test_calls_run_at_once_in_processes_that_stay() -> None:
    with pool(2) as crew:
        start = time.perf_counter()
        crew.run([each(Call(slowly, (0.5, n))) for n in range(2)])
        assert time.perf_counter() - start < 0.9
        pids = {pid for pid, _ in crew.run([each(Call(who, ())) for _ in range(20)])}
    assert 1 <= len(pids) <= 2
    assert os.getpid() not in pids


def test_of_calls_that_wait_the_lowest_rank_begins() -> None:
    def flows() -> Sequence[Flow[Any]]:
        return [each(Call(slowly, (0.01, n), rank)) for n, rank in enumerate((0, 3, 1, 2))]

    order: list[int] = []
    with pool(1) as crew:
        crew.run(flows(), lambda n, result: order.append(n))
    assert order == [0, 2, 3, 1]


@pytest.mark.parametrize(
    "error",
    [InputError(FOUND), DesignError(FOUND), ProofError(FOUND), DiskError("full", "make room"),
     ValueError("a fault of the program"), KeyError("x")],
    ids=lambda e: type(e).__name__,
)  # fmt: skip
def test_an_error_arrives_as_it_was_raised(error: Exception) -> None:
    with pool() as crew, pytest.raises(type(error)) as caught:
        crew.run([each(Call(failing, (0.0, error)))])
    assert type(caught.value) is type(error)
    assert str(caught.value) == str(error)
    for name in ("findings", "finding", "exit_code"):
        assert getattr(caught.value, name, None) == getattr(error, name, None)


def test_an_error_that_cannot_travel_arrives_in_words() -> None:
    with pool() as crew, pytest.raises(RuntimeError, match=r"Odd: odd 1 2"):
        crew.run([each(Call(fails_oddly, ()))])


def fails_oddly() -> None:
    raise Odd(1, 2)


def test_a_fault_of_the_program_says_where_in_the_worker() -> None:
    with pool() as crew, pytest.raises(ZeroDivisionError) as caught:
        crew.run([each(Call(divmod, (1, 0)))])
    assert "in a worker process" in "".join(caught.value.__notes__)


@pytest.mark.parametrize("here", [True, False])
def test_of_two_errors_the_first_flows_is_told_whoever_is_faster(here: bool) -> None:
    def asked(crew: Crew) -> None:
        errors = (None, InputError(FOUND[:1]), InputError(FOUND[1:]))
        crew.run(
            [each(Call(slowly, (0.0, 1)) if e is None else Call(failing, (0.2 / n, e)))
             for n, e in enumerate(errors)]
        )  # fmt: skip

    with pool(2) as crew, pytest.raises(InputError) as caught:
        asked(Here() if here else crew)
    assert caught.value.findings == FOUND[:1]


def test_after_an_error_the_workers_go_on() -> None:
    with pool() as crew:
        with pytest.raises(InputError):
            crew.run([each(Call(failing, (0.0, InputError(FOUND))))])
        assert crew.run([each(Call(slowly, (0.0, n))) for n in range(4)]) == [0, 1, 2, 3]


def test_after_a_failure_of_this_side_the_workers_go_on() -> None:
    def full(n: int, result: object) -> None:
        raise DiskError("full")

    with pool() as crew:
        for _ in range(2):
            with pytest.raises(DiskError):
                crew.run([each(Call(slowly, (0.1 * n, n))) for n in range(4)], full)
        assert crew.run([each(Call(slowly, (0.0, n))) for n in range(4)]) == [0, 1, 2, 3]


@pytest.mark.parametrize("count", [1, 2])
def test_a_worker_that_is_killed_is_told_and_nothing_hangs(count: int) -> None:
    start = time.perf_counter()
    with pool(count) as crew:
        with pytest.raises(WorkerError) as caught:
            crew.run([each(Call(slowly, (0.05, 1))), each(Call(dies, ())), each(Call(who, ()))])
        (finding,) = caught.value.findings
        assert finding.code == "worker.ended"
        assert "--workers 1" in finding.remedy
        assert caught.value.exit_code == 1
    assert time.perf_counter() - start < 5


def test_no_memory_in_a_worker_is_told_like_its_death() -> None:
    with pool() as crew, pytest.raises(WorkerError, match="memory"):
        crew.run([each(Call(failing, (0.0, MemoryError())))])


def test_when_the_block_ends_no_process_is_left() -> None:
    with pool(3) as crew:
        pids = {pid for pid, _ in crew.run([each(Call(who, ())) for _ in range(30)])}
        crew.run([each(Call(slowly, (0.1, n))) for n in range(3)])
        pids |= {pid for pid, _ in crew.run([each(Call(who, ())) for _ in range(30)])}
        crew.end()
    deadline = time.monotonic() + 5
    while any(alive(pid) for pid in pids) and time.monotonic() < deadline:
        time.sleep(0.01)
    assert not [pid for pid in pids if alive(pid)]


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_where_there_can_be_no_workers_this_process_works(monkeypatch: pytest.MonkeyPatch) -> None:
    def crewed(count: int = 4) -> type:
        with parallel.crew(count, lambda: None) as crew:
            assert crew.run([each(Call(who, ()))])[0][0] == os.getpid()
            return type(crew)

    assert crewed(1) is Here
    with monkeypatch.context() as patch:
        patch.setattr(sys, "platform", "darwin")
        assert crewed() is Here
    with monkeypatch.context() as patch:
        patch.delattr(os, "fork")
        assert crewed() is Here
    event = threading.Event()
    thread = threading.Thread(target=event.wait)
    thread.start()
    assert crewed() is Here
    event.set()
    thread.join()
    with monkeypatch.context() as patch:
        patch.setattr(parallel, "can_fork", lambda: True)
        patch.setattr(os, "fork", refused)
        assert crewed() is Here


def refused() -> int:
    raise BlockingIOError("no process left")
