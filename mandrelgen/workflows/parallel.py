"""Work for several processes: functions called in workers that were forked beforehand.

One process is forked at the very start, while this one is still small: no library loaded, no
thread running, no file or index open, which is what makes a fork safe. It loads what drawing needs
while this process reads and designs, and then forks the other workers, so that the libraries are
loaded once and shared. Each worker lives as long as the run, takes one call at a time through a
pipe and returns its result through another; what only the calls know stays in them, and everything
that touches the archive stays here.

Not `multiprocessing`: loading it alone takes a good part of a sheet's time, its pools cannot load
libraries before they fork, and one of them waits for ever for a worker that was killed.

A worker ignores Ctrl-C and is ended by this process; if this one dies, however, the pipes close
and the worker ends, at the latest when its call is done. Where fork is missing or unsafe (Windows,
macOS, a process with threads), the calls run here.
"""

from __future__ import annotations

import contextlib
import gc
import heapq
import os
import pickle
import select
import signal
import sys
import traceback
from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, BinaryIO, NoReturn, Protocol, TypeVar

from mandrelgen.core.errors import DesignError, Finding, Level

MOST = 8
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Call:
    """A module's function and its arguments; all of it and the result can be pickled. Of the calls
    that wait, the one of the lowest ``rank`` begins first."""

    function: Callable[..., Any]
    args: tuple[Any, ...]
    rank: float = 0.0


# What is done step by step: yields calls that may run at the same time, is sent their results, and
# returns its own.
Flow = Generator[Sequence[Call], list[Any], T]
# Told which flow has ended, with what.
Done = Callable[[int, Any], None]


def each(call: Call) -> Flow[Any]:
    """One call alone."""
    (result,) = yield (call,)
    return result


class Crew(Protocol):
    """Who works: this process or several. ``count``: how many calls run at once."""

    count: int

    def run(self, flows: Sequence[Flow[T]], done: Done = ...) -> list[T]:
        """The flows' results, in their order; ``done`` is told of each that ends. If one fails its
        error is raised, of several the first flow's, whoever was faster."""
        ...


class WorkerError(DesignError):
    """A worker ended in the midst of a call (exit code 1)."""


class Here:
    """Every call in this process, one flow after the other."""

    count = 1

    def run(self, flows: Sequence[Flow[T]], done: Done = lambda n, result: None) -> list[T]:
        """See `Crew`."""
        found = []
        for n, flow in enumerate(flows):
            try:
                calls = next(flow)
                while True:
                    calls = flow.send([c.function(*c.args) for c in calls])
            except StopIteration as end:
                found.append(end.value)
                done(n, end.value)
        return found


def cpus() -> int:
    """How many workers are worth it: the CPUs this process may use, at most `MOST`."""
    try:
        found = len(os.sched_getaffinity(0))
    except AttributeError:
        found = os.cpu_count() or 1
    return min(MOST, found)


def can_fork() -> bool:
    """Whether workers are possible. macOS has fork, but its own libraries do not survive it."""
    threading = sys.modules.get("threading")
    alone = threading is None or threading.active_count() == 1
    return hasattr(os, "fork") and sys.platform != "darwin" and alone


@contextlib.contextmanager
def crew(count: int, load: Callable[[], object]) -> Iterator[Crew]:
    """``count`` workers that have called ``load`` (its imports), or this process if one is enough
    or there can be none. They end with the block, whatever ends it."""
    if count < 2 or not can_fork():
        yield Here()
        return
    try:
        pool = Pool(count, load)
    except OSError:
        yield Here()
        return
    try:
        yield pool
    except BaseException:
        pool.end(at_once=True)
        raise
    pool.end()


@dataclass(eq=False, slots=True)
class _Worker:
    """This side's ends of a worker's two pipes, and what it is at: flow, place among its calls."""

    calls: BinaryIO
    results: BinaryIO
    at: tuple[int, int] | None = None


class Pool:
    """Forked workers."""

    def __init__(self, count: int, load: Callable[[], object]) -> None:
        """Raises OSError if the system grants no process."""
        self.count = count
        # Nothing is going on that would have to be broken off; at first, the loading.
        self._settled = False
        theirs: list[tuple[int, int]] = []
        self._workers: list[_Worker] = []
        for _ in range(count):
            (call_out, call_in), (result_out, result_in) = os.pipe(), os.pipe()
            theirs.append((call_out, result_in))
            self._workers.append(_Worker(_file(call_in, "wb"), _file(result_out, "rb")))
        sys.stdout.flush()
        sys.stderr.flush()
        # Ctrl-C waits until both know who they are.
        old = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            self._first = os.fork()
            if self._first == 0:
                for worker in self._workers:
                    os.close(worker.calls.fileno())
                    os.close(worker.results.fileno())
                _begin(theirs, load)
            _own_group(self._first)
        finally:
            for end in (e for both in theirs for e in both):
                os.close(end)
            signal.pthread_sigmask(signal.SIG_SETMASK, old)

    def end(self, at_once: bool = False) -> None:
        """End the workers; ``at_once``: whatever they are at, they hold nothing of value."""
        if at_once or not self._settled or self.busy():
            with contextlib.suppress(OSError):
                os.killpg(self._first, signal.SIGKILL)
        for worker in self._workers:
            with contextlib.suppress(OSError):
                worker.calls.close()
            worker.results.close()
        with contextlib.suppress(ChildProcessError):
            os.waitpid(self._first, 0)

    def run(self, flows: Sequence[Flow[T]], done: Done = lambda n, result: None) -> list[T]:
        """See `Crew`."""
        for worker in self.busy():  # what was given up by a ``done`` that failed
            self.take(worker)
        return _Round(self, flows, done).results()

    def idle(self) -> list[_Worker]:
        """The workers that wait for a call."""
        return [w for w in self._workers if w.at is None]

    def busy(self) -> list[_Worker]:
        """The workers that are at a call."""
        return [w for w in self._workers if w.at is not None]

    def give(self, worker: _Worker, call: Call, at: tuple[int, int]) -> None:
        """Let a worker begin."""
        worker.at = at
        with self._told():
            pickle.dump((call.function, call.args), worker.calls, pickle.HIGHEST_PROTOCOL)
            worker.calls.flush()

    def take(self, worker: _Worker) -> tuple[Any, BaseException | None]:
        """What a worker that has begun to answer says: its result or its error."""
        with self._told():
            result, error = pickle.load(worker.results)
        worker.at, self._settled = None, True
        return result, error

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        """A pipe that ends in the midst of a call is a worker that ended."""
        try:
            yield
        except (EOFError, OSError, pickle.UnpicklingError) as e:
            self._settled = False
            raise WorkerError([_ended("a worker process ended before its work was done")]) from e


def _file(descriptor: int, mode: str) -> BinaryIO:
    return open(descriptor, mode, buffering=1 << 16)  # type: ignore[return-value]


def _ended(message: str) -> Finding:
    return Finding(
        level=Level.ERROR,
        code="worker.ended",
        where="make",
        message=f"{message}: the memory may be short, or it was killed",
        remedy="what was published is whole: run it again, with --workers 1 it needs less memory",
    )


def _own_group(pid: int) -> None:
    """The workers are a group of their own, so that all are ended at once. Both sides say so: the
    one that comes second may find it done."""
    with contextlib.suppress(OSError):
        os.setpgid(pid, pid)


class _Round:
    """One `Pool.run`: which calls wait, which results are there."""

    def __init__(self, pool: Pool, flows: Sequence[Flow[Any]], done: Done) -> None:
        self._pool, self._flows, self._done = pool, flows, done
        self._found: list[Any] = [None] * len(flows)
        self._results: list[Any] = [None] * len(flows)
        self._left = [0] * len(flows)
        self._waiting: list[tuple[float, int, int, Call]] = []
        self._failed: tuple[tuple[int, int], BaseException] | None = None

    def results(self) -> list[Any]:
        for n in range(len(self._flows)):
            self._go_on(n)
        while True:
            for worker in self._pool.idle():
                if (call := self._next()) is not None:
                    self._pool.give(worker, *call)
            busy = self._pool.busy()
            if not busy:
                break
            ready, _, _ = select.select([w.results for w in busy], [], [])
            for worker in busy:
                if worker.results in ready:
                    self._take(worker)
        if self._failed is not None:
            raise self._failed[1]
        return self._found

    def _go_on(self, n: int) -> None:
        """Let the n-th flow say what comes next."""
        try:
            calls = self._flows[n].send(self._results[n])
            while not calls:
                calls = self._flows[n].send([])
        except StopIteration as end:
            self._found[n] = end.value
            self._done(n, end.value)
            return
        except Exception as e:
            self._fail((n, -1), e)
            return
        self._results[n], self._left[n] = [None] * len(calls), len(calls)
        for place, call in enumerate(calls):
            heapq.heappush(self._waiting, (call.rank, n, place, call))

    def _next(self) -> tuple[Call, tuple[int, int]] | None:
        """The call that begins now; none behind one that failed."""
        while self._waiting:
            _, n, place, call = heapq.heappop(self._waiting)
            if self._failed is None or (n, place) < self._failed[0]:
                return call, (n, place)
        return None

    def _take(self, worker: _Worker) -> None:
        at = worker.at
        assert at is not None
        result, error = self._pool.take(worker)
        n, place = at
        if error is not None:
            self._fail(at, error)
            return
        self._results[n][place] = result
        self._left[n] -= 1
        if self._left[n] == 0 and (self._failed is None or n < self._failed[0][0]):
            self._go_on(n)

    def _fail(self, at: tuple[int, int], error: BaseException) -> None:
        if self._failed is None or at < self._failed[0]:
            self._failed = (at, error)


def _begin(ends: list[tuple[int, int]], load: Callable[[], object]) -> NoReturn:
    """The first worker, in its own process: load, fork the others, work. Never returns."""
    code = 1
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
        os.setpgid(0, 0)
        # One thread each: the workers are what runs side by side, and none runs while it is forked.
        os.environ["OPENBLAS_NUM_THREADS"] = "1"
        gc.disable()
        with contextlib.suppress(Exception):  # what is wrong will be told by the call
            load()
        gc.freeze()  # what is loaded is not looked through again, and its pages stay shared
        gc.enable()
        others: list[int] = []
        for mine in ends[1:]:
            pid = os.fork()
            if pid == 0:
                ends, others = [mine, *(e for e in ends if e is not mine)], []
                break
            others.append(pid)
        for call_out, result_in in ends[1:]:
            os.close(call_out)
            os.close(result_in)
        _serve(*ends[0])
        for pid in others:
            os.waitpid(pid, 0)
        code = 0
    finally:
        os._exit(code)


def _serve(call_out: int, result_in: int) -> None:
    """Calls in, results out, until a pipe ends."""
    calls, results = _file(call_out, "rb"), _file(result_in, "wb")
    with contextlib.suppress(EOFError, BrokenPipeError):
        while True:
            answer = _answer(*pickle.load(calls))
            results.write(answer)
            results.flush()
            # A drawing's document is full of cycles: kept, they would make a long batch grow.
            del answer
            gc.collect()


def _answer(function: Callable[..., Any], args: tuple[Any, ...]) -> bytes:
    """The pickled pair of a call's result and its error."""
    try:
        return pickle.dumps((function(*args), None), pickle.HIGHEST_PROTOCOL)
    except MemoryError:
        error: BaseException = WorkerError([_ended("a worker process found no memory")])
    except BaseException as e:
        e.add_note(f"in a worker process:\n{traceback.format_exc()}")
        error = e
    try:
        answer = pickle.dumps((None, error), pickle.HIGHEST_PROTOCOL)
        pickle.loads(answer)
    except Exception:  # an error of a library that cannot travel
        text = "".join(traceback.format_exception(error))
        answer = pickle.dumps((None, RuntimeError(text)), pickle.HIGHEST_PROTOCOL)
    return answer
