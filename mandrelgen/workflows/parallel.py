"""Who draws: this process, worker processes, or any `concurrent.futures.Executor` handed in."""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from functools import partial
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, TypeVar

from mandrelgen.core.errors import DesignError, Finding, Level

MOST = 8
T = TypeVar("T")


class WorkerError(DesignError):
    """A worker ended in the midst of a call, or found no memory (exit code 1)."""


class Here(Executor):
    """Every call in this process, when its result is asked for: so each is heard of in turn."""

    def submit(self, fn: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:
        """See `concurrent.futures.Executor.submit`."""
        return _Asked(partial(fn, *args, **kwargs))


class _Asked(Future[T]):
    def __init__(self, call: Callable[[], T]) -> None:
        super().__init__()
        self._call = call

    def result(self, timeout: float | None = None) -> T:
        if not self.done():
            try:
                self.set_result(self._call())
            except Exception as e:
                self.set_exception(e)
        return super().result(timeout)


def worked_out(call: Callable[[], T]) -> Future[T]:
    """What ``call`` gives, or raises, worked out in this process now."""
    asked = Here().submit(call)
    with contextlib.suppress(Exception):
        asked.result()
    return asked


class Workers(ProcessPoolExecutor):
    """Processes forked of this one."""

    def __init__(self, count: int) -> None:
        super().__init__(count, multiprocessing.get_context("fork"), _begin)
        self._count = count

    def one_over(self, calls: int) -> bool:
        """Whether of ``calls`` as long as each other one would be left for a round of its own:
        this process, which waits meanwhile, may take it."""
        return calls > self._count and calls % self._count == 1


@contextlib.contextmanager
def told() -> Iterator[None]:
    """Around a call to an executor and the wait for its result: a worker that ended, or found no
    memory, is a WorkerError."""
    try:
        yield
    except BrokenExecutor as e:
        raise WorkerError([_ended("a worker process ended before its work was done")]) from e
    except MemoryError as e:
        raise WorkerError([_ended("a worker process found no memory")]) from e


def _ended(message: str) -> Finding:
    return Finding(
        level=Level.ERROR,
        code="worker.ended",
        where="make",
        message=f"{message}: the memory may be short, or it was killed",
        remedy="what was published is whole: run it again, with --workers 1 it needs less memory",
    )


def cpus() -> int:
    """How many workers are worth it: the CPUs this process may use, at most `MOST`."""
    try:
        found = len(os.sched_getaffinity(0))
    except AttributeError:
        found = os.cpu_count() or 1
    return min(MOST, found)


def can_fork() -> bool:
    """Whether workers are possible. macOS has fork, but its own libraries do not survive it."""
    alone = threading.active_count() == 1
    return hasattr(os, "fork") and sys.platform != "darwin" and alone


@contextlib.contextmanager
def workers(count: int, load: Callable[[], object]) -> Iterator[Executor]:
    """``count`` processes forked of this one, which has called ``load`` (its imports) so that they
    share what is loaded; this process alone if one is enough or there can be none. They end with
    the block, at once if an error ends it."""
    if count < 2 or not can_fork():
        yield Here()
        return
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the workers are what runs side by side
    with contextlib.suppress(Exception):  # what is wrong will be told by the call
        load()
    gc.freeze()  # what is loaded is not looked through again, and its pages stay shared
    others = multiprocessing.active_children()
    pool = Workers(count)
    executor: Executor = pool
    # A request to stop comes where the workers are forked already, too.
    try:
        try:
            with _born_deaf():
                pool.submit(os.getpid)  # forked now, before there is a thread or an index open
                _only_workers_answer(pool)
        except OSError:
            executor = Here()
        yield executor
    except BaseException:
        for process in multiprocessing.active_children():
            if process not in others:
                process.kill()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _only_workers_answer(pool: ProcessPoolExecutor) -> None:
    """Close this process's end of the pipe for answers, where it never writes: else who reads there
    would wait for ever for the rest of an answer in whose midst all workers were killed (CPython's
    pool keeps it open; its name is not public)."""
    writer = getattr(getattr(pool, "_result_queue", None), "_writer", None)
    if writer is not None:
        writer.close()


@contextlib.contextmanager
def ahead(count: int, call: Callable[[], T]) -> Iterator[Future[T]]:
    """What ``call`` gives, from a process forked now: it works while this one loads what comes
    after. In this process, when it is asked for, if ``count`` is 1, if there can be no fork, or if
    the other gave no answer that can be read. The other ends with the block."""
    process = mine = None
    try:
        if count > 1 and can_fork():
            with _born_deaf():  # who asks to stop is heard where the other is known already
                process, mine = _forked(call)
        if mine is None:
            yield Here().submit(call)
        else:
            yield _Asked(partial(_received, mine, call))
    finally:
        if process is not None and mine is not None:
            process.kill()
            process.join()
            mine.close()


def _forked(call: Callable[[], T]) -> tuple[BaseProcess, Connection] | tuple[None, None]:
    """A process that works ``call`` out, and where its answer comes; none if there can be none."""
    fork = multiprocessing.get_context("fork")
    mine, theirs = fork.Pipe(duplex=False)
    process = fork.Process(target=_answer, args=(theirs, call), daemon=True)
    try:
        process.start()
    except OSError:
        mine.close()
        return None, None
    finally:
        theirs.close()  # so that its end is heard of
    return process, mine


def _answer(to: Connection, call: Callable[[], object]) -> None:
    _begin()
    try:
        to.send((call(), None))
    except Exception as e:
        to.send((None, e))


def _received(answer: Connection, call: Callable[[], T]) -> T:
    try:
        found, error = answer.recv()
    except Exception:  # it ended without one, or with one that no other process can read
        return call()
    if error is not None:
        raise error
    value: T = found
    return value


@contextlib.contextmanager
def _born_deaf() -> Iterator[None]:
    """Around a fork: Ctrl-C, which a terminal sends to every process, is this process's alone; and
    what asks to stop waits until the fork is known, here and, until it is at work, in the other."""
    old = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, *_caught()})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, old)


def _caught() -> set[signal.Signals]:
    """The signals besides Ctrl-C that this process has a function for."""
    return {n for n in signal.Signals if n is not signal.SIGINT and callable(signal.getsignal(n))}


def _begin() -> None:
    """In a worker: deaf to Ctrl-C, ended by every other signal at once (the pool ends its workers
    by one, and waits for them), and gone when its parent is."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    caught = _caught()
    for number in caught:
        signal.signal(number, signal.SIG_DFL)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT, *caught})
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
