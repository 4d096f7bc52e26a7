"""Signals that end a run: each clears up as Ctrl-C does, and says which it was."""

from __future__ import annotations

import contextlib
import signal
import sys
import threading
from collections.abc import Iterator
from types import FrameType

# What ends a process by default and can be caught (POSIX.1-2017, signal.h; SIGPWR is Linux's,
# SIGBREAK Windows'). Faults of the program itself (SIGSEGV, SIGABRT …) are none of these.
NAMES = (
    "SIGTERM", "SIGHUP", "SIGQUIT", "SIGUSR1", "SIGUSR2", "SIGALRM", "SIGVTALRM", "SIGPROF",
    "SIGXCPU", "SIGPOLL", "SIGPWR", "SIGBREAK",
)  # fmt: skip


class Stopped(KeyboardInterrupt):
    """A signal asked the run to end; as Ctrl-C, so that all that clears up behind Ctrl-C does."""

    def __init__(self, number: int) -> None:
        self.number = number
        super().__init__(signal.Signals(number).name)


_asked: list[KeyboardInterrupt] = []


def asked_to_stop() -> KeyboardInterrupt | None:
    """What asked the run to stop since the last `stoppable` began, if anything did: a library that
    is written in another language may tell it as an error of its own."""
    return _asked[-1] if _asked else None


@contextlib.contextmanager
def stoppable() -> Iterator[None]:
    """In the body a signal that would end the process raises `Stopped` instead, once: those that
    follow do not disturb the clearing up. A signal that is ignored (``nohup``) stays ignored."""
    _asked.clear()
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    known = [signal.Signals[n] for n in NAMES if n in signal.Signals.__members__]
    mine = [n for n in known if signal.getsignal(n) is signal.SIG_DFL]

    def stop(number: int, frame: FrameType | None) -> None:
        for n in mine:
            signal.signal(n, signal.SIG_IGN)
        _asked.append(Stopped(number))
        raise _asked[-1]

    for n in mine:
        signal.signal(n, stop)
    ctrl_c = signal.getsignal(signal.SIGINT)

    def interrupted(number: int, frame: FrameType | None) -> None:
        _asked.append(KeyboardInterrupt())
        if callable(ctrl_c):  # as it is, or this would not be here
            ctrl_c(number, frame)

    if callable(ctrl_c):
        signal.signal(signal.SIGINT, interrupted)
    before = sys.unraisablehook
    sys.unraisablehook = lambda lost: _again(lost.exc_value) or before(lost)
    try:
        yield
    finally:
        sys.unraisablehook = before
        for n in mine:
            signal.signal(n, signal.SIG_DFL)
        if callable(ctrl_c):
            signal.signal(signal.SIGINT, ctrl_c)


def _again(lost: BaseException | None) -> bool:
    """Whether what Python swallows here (in a clean-up of its own, while it imports) is a request
    to stop: it is then made once more, a moment later, outside of there."""
    if not isinstance(lost, KeyboardInterrupt):
        return False
    found, hook = signal.getsignal(signal.SIGINT), sys._getframe(1)
    waits = iter(0.005 * 2**n for n in range(12))

    def later() -> None:
        threading.Timer(next(waits, 10.0), _interrupt_main).start()

    def repeat(number: int, frame: FrameType | None) -> None:
        if _under(frame, hook):  # not out of there yet: it would be swallowed again
            later()
            return
        signal.signal(signal.SIGINT, found)
        raise lost

    signal.signal(signal.SIGINT, repeat)
    later()
    return True


def _under(frame: FrameType | None, outer: FrameType) -> bool:
    """Whether ``frame`` was called, near or far, from ``outer``."""
    while frame is not None and frame is not outer:
        frame = frame.f_back
    return frame is outer


def _interrupt_main() -> None:
    """SIGINT to the main thread itself: one raised here, in another thread, would leave a system
    call of the main thread (a sleep, a read, a wait for a lock) asleep."""
    if sys.platform == "win32":
        signal.raise_signal(signal.SIGINT)
    else:
        signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGINT)
