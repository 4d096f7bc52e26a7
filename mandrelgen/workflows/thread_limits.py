"""The ``thread`` command: a text in, limits out; or readings in, the thread they belong to out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.standards.threads import ThreadLimitError, ThreadLimits, limits

if TYPE_CHECKING:
    from mandrelgen.standards.thread_finder import Found


def find_thread(readings: str) -> Found:
    """The threads that agree with readings such as ``crest=9.32, ten=7.5, starts=1``.

    Raises InputError with every fault.
    """
    from mandrelgen.standards import thread_finder, thread_readings

    try:
        return thread_finder.find(thread_readings.parse_readings(readings))
    except thread_readings.ReadingsError as e:
        raise InputError(
            Finding(
                level=Level.ERROR,
                code="thread.measured",
                where="measured",
                message=message,
                remedy=remedy,
            )
            for message, remedy in e.faults
        ) from e


def ask_thread(text: str, internal: bool = False) -> ThreadLimits:
    """Limits of a thread text; an internal class (``6H``, ``2B``) or ``internal`` makes a nut.

    Raises InputError that says what is wrong and how to mend it.
    """
    try:
        d = read_thread(text)
        klass = d.tolerance_class
        nut = internal or klass.endswith("B") or any(c in "GH" for c in klass)
        return limits(d, external=not nut)
    except (ThreadTextError, ThreadLimitError, NotHeldError) as e:
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="thread.text",
                    where="thread",
                    message=e.message,
                    remedy=e.remedy,
                )
            ]
        ) from e
