"""Who draws: errors that arrive as they were raised, a worker that dies, no process left behind."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import Executor
from functools import partial

import pytest

from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError, Level
from mandrelgen.files.proof.report import ProofError
from mandrelgen.workflows import parallel
from mandrelgen.workflows.parallel import (
    Here,
    WorkerError,
    Workers,
    ahead,
    told,
    worked_out,
    workers,
)

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
FOUND = (
    Finding(level=Level.ERROR, code="one", where="here", message="first", remedy="mend it"),
    Finding(Level.NOTE, "two", "there", "second"),
)


@pytest.fixture(autouse=True)
def alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Workers, also in a test runner that has threads."""
    monkeypatch.setattr(parallel, "can_fork", lambda: True)


def nothing() -> None:
    """Nothing to load."""


def failing(error: Exception) -> None:
    raise error


def dies() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def slowly(seconds: float, value: int) -> int:
    time.sleep(seconds)
    return value


def test_calls_run_in_processes_that_stay() -> None:
    with workers(2, nothing) as pool:
        pids = {pool.submit(os.getpid).result() for _ in range(20)}
    assert 1 <= len(pids) <= 2
    assert os.getpid() not in pids


def test_a_call_that_would_be_left_for_a_round_of_its_own_is_this_processs() -> None:
    with workers(2, nothing) as pool:
        assert isinstance(pool, Workers)
        assert [n for n in range(8) if pool.one_over(n)] == [3, 5, 7]
    with workers(3, nothing) as pool:
        assert isinstance(pool, Workers)
        assert [n for n in range(9) if pool.one_over(n)] == [4, 7]


def test_what_is_worked_out_here_gives_its_result_or_raises_when_asked() -> None:
    assert worked_out(os.getpid).result() == os.getpid()
    failed = worked_out(partial(failing, ProofError(FOUND)))
    with pytest.raises(ProofError):
        failed.result()


def test_workers_share_what_this_process_has_loaded() -> None:
    said: list[int] = []
    with workers(2, lambda: said.append(7)) as pool:
        assert pool.submit(os.getppid).result() == os.getpid()
    assert said == [7]


def test_here_a_call_is_done_when_its_result_is_asked_for_and_once() -> None:
    done: list[int] = []
    futures = [Here().submit(done.append, n) for n in (1, 2, 3)]
    assert done == []
    assert futures[1].result() is futures[1].result() is None
    assert done == [2]


@pytest.mark.parametrize(
    "error",
    [InputError(FOUND), DesignError(FOUND), ProofError(FOUND), DiskError("full", "make room"),
     ValueError("a fault of the program"), KeyError("x")],
    ids=lambda e: type(e).__name__,
)  # fmt: skip
@pytest.mark.parametrize("count", [1, 2])
def test_an_error_arrives_as_it_was_raised(error: Exception, count: int) -> None:
    with workers(count, nothing) as pool, pytest.raises(type(error)) as caught, told():
        pool.submit(failing, error).result()
    assert type(caught.value) is type(error)
    assert str(caught.value) == str(error)
    for name in ("findings", "finding", "exit_code"):
        assert getattr(caught.value, name, None) == getattr(error, name, None)


def test_after_an_error_the_workers_go_on() -> None:
    with workers(2, nothing) as pool:
        with pytest.raises(InputError), told():
            pool.submit(failing, InputError(FOUND)).result()
        assert [pool.submit(slowly, 0.0, n).result() for n in range(4)] == [0, 1, 2, 3]


def test_a_worker_that_is_killed_is_told_and_nothing_hangs() -> None:
    start = time.perf_counter()
    with workers(2, nothing) as pool:
        for _ in range(2):  # and so is the next call
            with pytest.raises(WorkerError) as caught, told():
                pool.submit(dies).result()
            (finding,) = caught.value.findings
            assert finding.code == "worker.ended"
            assert "--workers 1" in finding.remedy
            assert caught.value.exit_code == 1
    assert time.perf_counter() - start < 300


@pytest.mark.parametrize("count", [1, 2])
def test_no_memory_in_a_worker_is_told_like_its_death(count: int) -> None:
    with workers(count, nothing) as pool, pytest.raises(WorkerError, match="memory"), told():
        pool.submit(failing, MemoryError()).result()


@pytest.mark.parametrize("stopped", [False, True])
def test_when_the_block_ends_no_process_is_left(stopped: bool) -> None:
    """Stopped by Ctrl-C, whatever a worker is at ends at once."""
    start = time.perf_counter()
    pids = set()
    try:
        with workers(2, nothing) as pool:
            pids = {pool.submit(os.getpid).result() for _ in range(20)}
            if stopped:
                pool.submit(slowly, 600.0, 1)
                raise KeyboardInterrupt
    except KeyboardInterrupt:
        assert stopped
    assert pids
    assert not [pid for pid in pids if alive(pid)]
    assert time.perf_counter() - start < 300


@pytest.mark.parametrize("around", ["workers", "ahead"])
def test_a_request_to_stop_at_the_fork_leaves_no_process(
    monkeypatch: pytest.MonkeyPatch, around: str
) -> None:
    """Ctrl-C or SIGTERM that comes while one is forked is heard as soon as it is known, and ends
    it: one that was left behind kept `make` waiting for ever."""
    real = parallel._born_deaf

    @contextlib.contextmanager
    def interrupted() -> Iterator[None]:
        with real():
            yield
            # To this thread, as `make` has no other: held until the block ends.
            signal.pthread_kill(threading.get_ident(), signal.SIGINT)

    monkeypatch.setattr(parallel, "_born_deaf", interrupted)
    # Where the tests were started in the background, Ctrl-C is ignored.
    ctrl_c = signal.signal(signal.SIGINT, signal.default_int_handler)
    before = set(multiprocessing.active_children())
    block = workers(2, nothing) if around == "workers" else ahead(2, partial(slowly, 600.0, 1))
    start = time.perf_counter()
    try:
        with pytest.raises(KeyboardInterrupt), block:
            raise AssertionError("it was heard before")
    finally:
        signal.signal(signal.SIGINT, ctrl_c)
    assert time.perf_counter() - start < 300
    assert not set(multiprocessing.active_children()) - before


def test_one_that_is_asked_to_end_as_it_is_born_ends() -> None:
    """SIGTERM in the moment before the forked process is at work: its parent's function for it
    raised where nobody was, and it stayed."""
    heard: list[int] = []
    old = signal.signal(signal.SIGTERM, lambda number, frame: heard.append(number))
    try:
        with parallel._born_deaf():
            process, mine = parallel._forked(partial(slowly, 600.0, 1))
            assert process is not None
            assert mine is not None
            process.terminate()
        process.join(300)
        assert process.exitcode == -signal.SIGTERM
        mine.close()
    finally:
        signal.signal(signal.SIGTERM, old)
    assert heard == []


def test_nobody_waits_for_the_rest_of_an_answer() -> None:
    """A worker may be killed in the midst of one: who reads it hears the end of the pipe only if
    this process, which never writes there, has closed its own end."""
    with workers(2, nothing) as pool:
        assert len(pool.submit(bytes, 1_000_000).result()) == 1_000_000
        assert pool._result_queue._writer.closed  # type: ignore[attr-defined]


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_where_there_can_be_no_workers_this_process_works(monkeypatch: pytest.MonkeyPatch) -> None:
    def crewed(count: int = 4) -> type[Executor]:
        with workers(count, nothing) as pool:
            assert pool.submit(os.getpid).result() == os.getpid()
            return type(pool)

    assert crewed(1) is Here
    with monkeypatch.context() as patch:
        patch.setattr(os, "fork", refused)
        assert crewed() is Here
    with monkeypatch.context() as patch:
        patch.setattr(parallel, "can_fork", lambda: False)
        assert crewed() is Here


def test_workers_need_fork_and_a_process_without_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    assert parallel.can_fork() == (sys.platform != "darwin")
    with monkeypatch.context() as patch:
        patch.setattr(threading, "active_count", lambda: 2)
        assert not parallel.can_fork()
    with monkeypatch.context() as patch:
        patch.setattr(sys, "platform", "darwin")
        assert not parallel.can_fork()
    with monkeypatch.context() as patch:
        patch.delattr(os, "fork")
        assert not parallel.can_fork()


def refused() -> int:
    raise BlockingIOError("no process left")


def test_what_is_asked_ahead_comes_from_a_process_of_its_own() -> None:
    with ahead(2, os.getpid) as found, workers(2, nothing) as pool:
        one = found.result()
        assert one not in {os.getpid(), *(pool.submit(os.getpid).result() for _ in range(9))}
        assert found.result() == one
    assert not alive(one)
    with ahead(1, os.getpid) as found:
        assert found.result() == os.getpid()


@pytest.mark.parametrize("error", [InputError(list(FOUND)), DesignError([FOUND[0]])])
def test_its_errors_arrive_as_they_were_raised(error: Exception) -> None:
    with ahead(2, partial(failing, error)) as found, pytest.raises(type(error)) as caught:
        found.result()
    assert caught.value.findings == error.findings  # type: ignore[attr-defined]


def dies_elsewhere(here: int) -> int:
    if os.getpid() != here:
        dies()
    return os.getpid()


def test_where_it_ends_without_an_answer_it_is_worked_out_here() -> None:
    with ahead(2, partial(dies_elsewhere, os.getpid())) as found:
        assert found.result() == os.getpid()


class OddError(Exception):
    """Cannot be made again from what a pickle keeps of it."""

    def __init__(self, one: str, two: str) -> None:
        super().__init__(one + two)


def odd() -> None:
    raise OddError("a", "b")


def test_an_error_that_no_other_process_can_read_is_raised_here() -> None:
    with ahead(2, odd) as found, pytest.raises(OddError, match="ab"):
        found.result()


def test_nobody_waits_for_what_was_asked_ahead() -> None:
    """As when an option is refused, or Ctrl-C stops the run."""
    start = time.perf_counter()
    with pytest.raises(KeyboardInterrupt), ahead(2, partial(slowly, 600.0, 1)):
        raise KeyboardInterrupt
    assert time.perf_counter() - start < 300


def test_where_no_process_can_be_begun_it_is_worked_out_here(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(os, "fork", refused)
    with ahead(2, os.getpid) as found:
        assert found.result() == os.getpid()
