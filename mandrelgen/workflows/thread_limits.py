"""The ``thread`` command: a text in, limits out."""

from __future__ import annotations

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.standards.designation import ThreadTextError, parse
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.threads import ThreadLimitError, ThreadLimits, limits


def ask_thread(text: str, internal: bool = False) -> ThreadLimits:
    """Limits of a thread text; an internal class (``6H``, ``2B``) or ``internal`` makes a nut.

    Raises InputError that says what is wrong and how to mend it.
    """
    try:
        d = parse(text)
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
